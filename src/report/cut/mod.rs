//! What to cut, as text, page and JSON.

mod json;
mod markdown;
mod pieces;
mod refusal_words;
mod text;

pub use refusal_words::{refusal_because, refusal_fix};

use crate::assessment::Subject;
use crate::assessment::{Check, CheckId, Status, Verdict};
use crate::model::{Bed, DrainLosses, System};
use crate::report::because;
use crate::report::rows::{Row, row};
use crate::report::words::{bed_title, check_name, plain, regime_key, verdict_key};
use crate::scenario::FittingCount;
use crate::simulation::Regime;
use crate::study::cut::{BedCut, Cut, Cuts, Stand, Step};
use crate::units::UnitSystem;
use crate::units::display::between;

/// Cycles whose peaks differ by more than this are worth a word `[m]`.
const NOTABLE_SPREAD: f64 = 1e-3;

/// Everything there is to say about standpipes to cut.
#[derive(Debug, Clone, Copy)]
pub struct CutReport<'a> {
    /// The system as the scenario describes it.
    pub system: &'a System,
    /// What was found.
    pub cuts: &'a Cuts,
    /// Fittings of every bed's drain, in file order; what is missing is not listed.
    pub fittings: &'a [Vec<FittingCount>],
    /// Units of text and page; JSON is SI.
    pub units: UnitSystem,
}

impl CutReport<'_> {
    fn bed(&self, found: &BedCut) -> &Bed {
        &self.system.beds[found.bed]
    }

    /// Whether every bed has its length.
    pub fn all_cut(&self) -> bool {
        self.cuts.beds.iter().all(|found| found.answer.is_ok())
    }

    /// The answer in one line.
    fn headline(&self) -> String {
        let mut cut = Vec::new();
        let mut refused = Vec::new();
        for found in &self.cuts.beds {
            let name = plain(&self.bed(found).name);
            match &found.answer {
                Ok(answer) => {
                    let length = answer.rounded(self.units).stand.length;
                    cut.push(format!("{name} to {}", self.units.length(length)));
                }
                Err(refusal) => refused.push(format!("{name} ({})", refusal.key())),
            }
        }
        let cut = cut.join(", ");
        match (cut.is_empty(), refused.is_empty()) {
            (_, true) => format!("Cut the standpipe of {cut}."),
            (true, false) => format!("No length does for {}.", refused.join(", ")),
            (false, false) => format!(
                "No length does for {}. Cut the standpipe of {cut}.",
                refused.join(", ")
            ),
        }
    }

    /// What was asked.
    fn wish(&self) -> String {
        format!(
            "Wanted: {} of dry gravel over the highest water, after what may be wrong with the \
             levels. Lengths run from the bed's floor, the underside of the gravel, to the lip, \
             and are the longest that leave it.",
            self.units.length(self.cuts.wanted)
        )
    }

    /// What the bed's lengths give, one line each: what, length, peak, dry layer.
    fn stands(&self, found: &BedCut, cut: &Cut) -> [[String; 4]; 4] {
        let line = |what: &str, length: String, stand: &Stand| {
            [
                what.to_owned(),
                length,
                fine(self.units, stand.peak),
                fine(self.units, stand.dry_layer),
            ]
        };
        let shown = |stand: &Stand| fine(self.units, stand.length);
        let (mm, sixteenth) = (&cut.millimetre.stand, &cut.sixteenth.stand);
        [
            line("now", shown(&found.present), &found.present),
            line("computed", shown(&cut.exact), &cut.exact),
            line("to 1 mm", UnitSystem::Metric.length(mm.length), mm),
            line(
                "to 1/16 in",
                UnitSystem::Us.length(sixteenth.length),
                sixteenth,
            ),
        ]
    }

    /// Figures of a bed that has its length.
    fn rows(&self, found: &BedCut, cut: &Cut) -> Vec<Row> {
        let units = self.units;
        let chosen = cut.rounded(units);
        let change = chosen.stand.length - found.present.length;
        let than_now = if change.abs() < 0.5 * Step::of(units).metres() {
            "as it is now".to_owned()
        } else {
            let how = if change < 0.0 { "shorter" } else { "longer" };
            format!("{} {how} than now", units.length(change.abs()))
        };
        let mut rows = vec![
            row(
                "Standpipe",
                format!("{}, {than_now}", units.length(chosen.stand.length)),
            ),
            row("Band", self.band(cut)),
            row("Over the lip", self.over_lip(cut)),
            row(
                "Taken off",
                format!(
                    "{} for errors of level, as the check dry-layer does",
                    units.length(found.allowance)
                ),
            ),
            row(
                "Starts, breaks",
                format!(
                    "{}, {}",
                    verdict_key(cut.will_start),
                    verdict_key(cut.will_break)
                ),
            ),
        ];
        if let Some(check) = self.dry_layer_check(found) {
            rows.push(row("At worst", because(self.system, check, self.units)));
        }
        if cut.peak_spread > NOTABLE_SPREAD {
            rows.push(row(
                "Timing",
                format!(
                    "its peaks lie up to {} apart from cycle to cycle, with what the other beds \
                     and the sump do; the highest counts",
                    units.length(cut.peak_spread)
                ),
            ));
        }
        rows.push(row("In the scenario", self.keys(&chosen.bed)));
        rows
    }

    fn band(&self, cut: &Cut) -> String {
        let units = self.units;
        let longest = fine(units, cut.band.longest.length);
        let with = |regime: Regime| match regime {
            Regime::Cycles => String::new(),
            other => format!(" (it {} there)", plural(other)),
        };
        let over = "over the soft coefficients of start, priming, slots and lip";
        match cut.band.shortest {
            Some(shortest) => {
                let (low, high) = (shortest.regime, cut.band.longest.regime);
                let low_length = fine(units, shortest.length);
                if low == Regime::Cycles && high == Regime::Cycles {
                    format!("{} {over}", between(&low_length, "to", &longest))
                } else {
                    format!(
                        "{low_length}{} to {longest}{} {over}",
                        with(low),
                        with(high)
                    )
                }
            }
            None => format!(
                "up to {longest}{} {over}; in their worst case none leaves the wanted layer",
                with(cut.band.longest.regime)
            ),
        }
    }

    fn over_lip(&self, cut: &Cut) -> String {
        let over = cut.exact.peak - cut.exact.length;
        let more = over - cut.start_head;
        let rest = if more > 5e-5 {
            format!(
                "{} to start it, {} more until it runs full",
                fine(self.units, cut.start_head),
                fine(self.units, more)
            )
        } else {
            format!("{} to start it", fine(self.units, cut.start_head))
        };
        format!("the water goes {} over it: {rest}", fine(self.units, over))
    }

    /// What to write into the scenario for these lengths.
    fn keys(&self, bed: &Bed) -> String {
        let length = |metres: f64| match self.units {
            // A developed length need not be a whole number of steps.
            UnitSystem::Metric => fine(self.units, metres).replace(".0 mm", " mm"),
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
        let checks = &self.cuts.assessment.checks;
        checks
            .iter()
            .find(|check| check.id == CheckId::DryLayer && check.subject == subject)
    }

    fn is_refused(&self, subject: Subject) -> bool {
        self.cuts
            .beds
            .iter()
            .any(|found| found.answer.is_err() && subject == Subject::Bed(found.bed))
    }

    /// Checks that still fail with these lengths, in one sentence; `None` if none does.
    fn still_failing(&self) -> Option<String> {
        let failing: Vec<String> = self
            .cuts
            .assessment
            .checks
            .iter()
            .filter(|check| check.status == Status::Fail && !self.is_refused(check.subject))
            .map(|check| check_name(check, self.system))
            .collect();
        (!failing.is_empty()).then(|| {
            format!(
                "With these lengths other things still fail ({}): write the lengths into the \
                 scenario and let `ebbwright run` say why and what to change.",
                failing.join("; ")
            )
        })
    }

    /// Beds that the new length brings into doubt.
    fn newly_unsure(&self) -> String {
        let newly =
            self.cuts.beds.iter().filter_map(|found| {
                let cut = found.answer.as_ref().ok()?;
                let now = [cut.will_start, cut.will_break];
                let lost: Vec<&str> = found
                    .present_verdicts
                    .iter()
                    .zip(now)
                    .zip(["start", "break"])
                    .filter(|((before, now), _)| **before == Verdict::Will && *now != Verdict::Will)
                    .map(|(_, what)| what)
                    .collect();
                let change = cut.rounded(self.units).stand.length - found.present.length;
                (!lost.is_empty()).then(|| {
                format!(
                    " With today's standpipe bed \"{}\" would {} beyond doubt: {} {} cost that.",
                    self.bed(found).name,
                    lost.join(" and "),
                    self.units.length(change.abs()),
                    if change > 0.0 { "more pipe" } else { "less pipe" }
                )
            })
            });
        newly.collect::<Vec<_>>().concat()
    }

    /// What a reader should know of every answer.
    fn notes(&self) -> Vec<String> {
        let mut notes: Vec<String> = self.still_failing().into_iter().collect();
        let doubtful = |verdict: Verdict| verdict != Verdict::Will;
        let unsure: Vec<String> = self
            .cuts
            .beds
            .iter()
            .filter(|found| {
                found
                    .answer
                    .as_ref()
                    .is_ok_and(|cut| doubtful(cut.will_start) || doubtful(cut.will_break))
            })
            .map(|found| bed_title(self.bed(found)))
            .collect();
        if !unsure.is_empty() {
            notes.push(format!(
                "{}: start or break lies inside the band of what is not known. The length does \
                 not settle that; leave the standpipe a little long and unglued until the \
                 siphon has cycled, then trim it.{}",
                unsure.join(", "),
                self.newly_unsure()
            ));
        }
        if !self.system.incidents.is_empty() {
            notes.push(
                "The scenario's events are left out: a standpipe is cut for ordinary running."
                    .to_owned(),
            );
        }
        if self.cuts.beds.iter().any(|found| found.answer.is_ok()) {
            notes.push(
                "Lengths are of the finished pipe in place: add what a joint in the floor and the \
             sockets of fittings take. Put it together dry and measure once more before gluing."
                    .to_owned(),
            );
        }
        notes
    }

    /// How the lengths were found.
    fn method(&self) -> String {
        let mut method = format!(
            "Every figure comes from full simulations of the whole system, {} in all, with all \
             beds at their lengths together.",
            self.cuts.simulations
        );
        if self.cuts.beds.iter().any(|found| found.answer.is_ok()) {
            method += " 1 mm more on any one pipe would no longer leave the wanted layer in some \
                       bed. Rounded lengths go down, to whole millimetres and to sixteenths of an \
                       inch, and were simulated again.";
        }
        method
    }
}

/// A length with one decimal more than a tape shows.
fn fine(units: UnitSystem, metres: f64) -> String {
    let (factor, unit) = units.length_axis();
    let decimals = match units {
        UnitSystem::Metric => 1,
        UnitSystem::Us => 2,
    };
    let scale = 10_f64.powi(decimals);
    // Adding zero turns a negative zero into a plain one.
    let value = (metres * factor * scale).round() / scale + 0.0;
    match units {
        UnitSystem::Metric => format!("{value:.1} {unit}"),
        UnitSystem::Us => format!("{value:.2} {unit}"),
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
