//! What is told of one bed's length: what it gives, how sure it is, and what goes with it.

use crate::answer::cut::{CutReport, keys};
use crate::answer::sentence::told_at;
use crate::answer::{At, Column, Piece, Row, Table, Text, between, said};
use crate::assessment::{Check, CheckId, Subject, Verdict};
use crate::model::{Bed, DrainLosses};
use crate::report::{because, regime_key, verdict_key};
use crate::simulation::Regime;
use crate::study::cut::{BedCut, Bound, Cut, Stand, Step};
use crate::units::UnitSystem;

/// Cycles whose peaks differ by more than this are worth a word `[m]`.
const NOTABLE_SPREAD: f64 = 1e-3;

impl CutReport<'_> {
    /// What the bed's lengths give, one line each.
    pub(super) fn stands(&self, found: &BedCut, cut: &Cut) -> Table {
        let (at, to) = (self.at(found), self.at(found).part("cut"));
        let fine = |metres| self.units.fine_length(metres);
        let line = |what: &str, at: At, stand: &Stand, length: String| {
            vec![
                what.into(),
                at.shown(&keys::LENGTH, stand.length, length).into(),
                at.shown(&keys::PEAK_DEPTH, stand.peak, fine(stand.peak))
                    .into(),
                at.shown(&keys::DRY_LAYER, stand.dry_layer, fine(stand.dry_layer))
                    .into(),
            ]
        };
        let (now, exact) = (&found.present, &cut.exact);
        let rounded = &cut.rounded(self.units).stand;
        let tape = match self.units {
            UnitSystem::Metric => "to 1 mm",
            UnitSystem::Us => "to 1/16 in",
        };
        let present = match self.now(found) == now.length {
            true if self.planned => "planned",
            true => "now",
            false => "as changed",
        };
        let computed = match cut.too_long {
            Some(_) => "kept",
            None => "computed",
        };
        let columns = ["Length", "Bed floor to lip", "Highest water", "Dry gravel"];
        Table {
            columns: Column::names_and_figures(columns),
            rows: vec![
                line(present, at.part("present"), now, fine(now.length)),
                line(computed, to.part("computed"), exact, fine(exact.length)),
                line(
                    tape,
                    self.chosen(found),
                    rounded,
                    self.units.length(rounded.length),
                ),
            ],
        }
    }

    /// Figures of a bed that has its length.
    pub(super) fn rows(&self, found: &BedCut, cut: &Cut) -> Vec<Row> {
        let (units, at) = (self.units, self.at(found));
        let to = at.part("cut");
        let chosen = cut.rounded(units);
        let change = chosen.stand.length - self.now(found);
        let longer = self.chosen(found).figure(&keys::LONGER, change);
        let now = at.figure(&keys::NOW, self.now(found));
        let as_it_is = change.abs() < 0.5 * Step::of(units).metres();
        let left = !as_it_is && !self.planned && cut.is_as_good(self.now(found));
        let than_now = if as_it_is && self.planned {
            longer.said("as planned").into()
        } else if as_it_is {
            longer.said("as it is now").into()
        } else if left {
            said!("{}but leave the one that stands, {}", longer.said(""), now)
        } else {
            let how = match change < 0.0 {
                true if self.is_put_in(found) => {
                    "shorter than the one that stood there; so it is put in already"
                }
                true if self.planned => "shorter than planned so far",
                true => "shorter than now",
                false if self.planned => "longer than planned so far",
                // Nobody makes a pipe longer that stands.
                false => {
                    "longer than now, so it is no cut of the one that stands but a new one; left as it is \
                     that one leaves more dry and floods less"
                }
            };
            let by = units.length(change.abs());
            said!("{} {}", longer.said(by), how)
        };
        let length = self
            .chosen(found)
            .figure(&keys::LENGTH, chosen.stand.length);
        // The bell's tube is the second piece: as long as it was it would leave another gap.
        let bell = self.chosen(found).item(keys::LIST.name, 1);
        let bell = bell.figure(&keys::PIECE_LENGTH, chosen.list.bell);
        let mut rows = vec![
            Row::new(
                "Standpipe",
                match left {
                    true => said!(
                        "{}, {}, and its bell as it is: they differ by less than formula and saw leave open \
                         (at the length found the bell is {} from the bed's floor to its cap)",
                        length,
                        than_now,
                        bell
                    ),
                    false => said!(
                        "{}, {}; its bell {} from the bed's floor to its cap, or the gap over the lip is \
                         another than reckoned with",
                        length,
                        than_now,
                        bell
                    ),
                },
            ),
            match cut.too_long {
                Some(longest) => Row::new("No longer", self.not_longer(&to, longest)),
                None => Row::new("May have to be", self.band(&to.part("band"), cut)),
            },
            Row::new("Over the lip", self.over_lip(&to, cut)),
            Row::new(
                "Taken off",
                said!(
                    "{} for errors of level, as in every answer on dry gravel",
                    at.figure(&keys::ALLOWANCE, found.allowance)
                ),
            ),
            Row::new(
                "Starts, stops",
                said!(
                    "it {} start, it {} stop",
                    to.word(&keys::WILL_START, verdict_key(cut.will_start))
                        .said(surely(cut.will_start)),
                    to.word(&keys::WILL_BREAK, verdict_key(cut.will_break))
                        .said(surely(cut.will_break))
                ),
            ),
        ];
        if let Some(check) = self.dry_layer_check(found) {
            rows.push(Row::new(
                "Dry gravel",
                told_at(
                    &to,
                    &keys::AT_WORST,
                    because(self.system, check, self.units),
                ),
            ));
        }
        if cut.peak_spread > NOTABLE_SPREAD {
            rows.push(Row::new(
                "Timing",
                said!(
                    "its peaks lie up to {} apart from cycle to cycle, with what the other beds \
                     and the sump do; the highest counts",
                    to.figure(&keys::PEAK_SPREAD, cut.peak_spread)
                ),
            ));
        }
        let lines = self.lines(&chosen.bed);
        let lines = self.chosen(found).word(&keys::IN_SCENARIO, lines);
        rows.push(Row::new("In the scenario", lines));
        rows
    }

    /// Why the length that stands is kept.
    fn not_longer(&self, to: &At, longest: f64) -> Text {
        said!(
            "up to {} would leave the wanted layer too, but with that something else fails ({})",
            to.figure(&keys::TOO_LONG, longest),
            self.failing_with_longest().join("; ")
        )
    }

    fn band(&self, at: &At, cut: &Cut) -> Text {
        let bound = |name: &str, end: &Bound| {
            let shown = self.units.length(end.length);
            at.part(name).shown(&keys::BOUND_LENGTH, end.length, shown)
        };
        let with = |regime: Regime| match regime {
            Regime::Cycles => String::new(),
            other => format!(" (with bad luck its siphon {})", plural(other)),
        };
        let high = cut.band.longest.regime;
        let longest = bound("longest", &cut.band.longest);
        let over = "by what is uncertain of start, priming, slots and lip";
        match &cut.band.shortest {
            Some(end) if end.regime == Regime::Cycles && high == Regime::Cycles => {
                said!(
                    "{} {}",
                    between(bound("shortest", end), "to", longest),
                    over
                )
            }
            Some(end) => said!(
                "{}{} to {}{} {}",
                bound("shortest", end),
                with(end.regime),
                longest,
                with(high),
                over
            ),
            None => said!(
                "up to {}{} {}; in their worst case none leaves the wanted layer",
                longest,
                with(high),
                over
            ),
        }
    }

    fn over_lip(&self, to: &At, cut: &Cut) -> Text {
        let units = self.units;
        let over = cut.exact.peak - cut.exact.length;
        let more = over - cut.start_head;
        let part = |key, metres| to.shown(key, metres, units.fine_length(metres));
        let more = part(&keys::UNTIL_FULL, more);
        let more = if over - cut.start_head > 5e-5 {
            said!(", {} more until it runs full", more)
        } else {
            Piece::Unsaid(more).into()
        };
        said!(
            "the water goes {} over it: {} to start it{}",
            part(&keys::OVER_LIP, over),
            part(&keys::START_HEAD, cut.start_head),
            more
        )
    }

    /// What to write into the scenario for these lengths.
    pub(super) fn lines(&self, bed: &Bed) -> String {
        let length = |metres: f64| match self.units {
            // A developed length need not be a whole number of steps.
            UnitSystem::Metric => self.units.fine_length(metres).replace(".0 mm", " mm"),
            UnitSystem::Us => self.units.length(metres),
        };
        let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
        let mut text = format!(
            "standpipe.length = \"{}\", bell.clearance = \"{}\"",
            length(pipe.lip_height),
            length(bell.clearance)
        );
        if let DrainLosses::Computed {
            length: developed, ..
        } = bed.siphon.drain.losses
        {
            text += &format!(", drain.length = \"{}\"", length(developed));
        }
        text
    }

    fn dry_layer_check(&self, found: &BedCut) -> Option<&Check> {
        let subject = Subject::Bed(found.bed);
        self.cuts.assessment.check(CheckId::DryLayer, subject)
    }
}

/// How far a promise goes.
const fn surely(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Will => "will",
        Verdict::Uncertain => "may or may not",
        Verdict::WillNot => "will not",
    }
}

/// What a bed does, as a verb.
fn plural(regime: Regime) -> &'static str {
    match regime {
        Regime::RunsOn => "runs on",
        Regime::NeverFills => "never fills",
        other => regime_key(other),
    }
}
