//! What a fit changes for the owner, in words: verdicts that move, bands that facts cut, the
//! flow to try next.

use crate::answer::fit::{FitReport, keys};
use crate::answer::{At, Block, Figure, Key, Section, Text, said};
use crate::assessment::Verdict;
use crate::model::Band;
use crate::report::verdict_key;
use crate::study::fit::{Edge, Shift, Trial};
use crate::study::measure::{Against, Disagreement, FactKind, Measurable};
use crate::units::table::significant;

/// A band narrower by less than this is not spoken of.
const NARROWER: f64 = 0.02;
/// Most trials told of.
const MOST_TRIED: usize = 2;

/// `starts`, `breaks`.
const fn does(edge: Measurable) -> &'static str {
    match edge {
        Measurable::StartsAt => "starts",
        _ => "breaks",
    }
}

const fn phrase(edge: Measurable, verdict: Verdict) -> &'static str {
    match (edge, verdict) {
        (Measurable::StartsAt, Verdict::Will) => "surely starts",
        (Measurable::StartsAt, Verdict::Uncertain) => "may or may not start",
        (Measurable::StartsAt, Verdict::WillNot) => "will not start",
        (_, Verdict::Will) => "surely breaks",
        (_, Verdict::Uncertain) => "may or may not break",
        (_, Verdict::WillNot) => "will not break",
    }
}

const fn sure(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Will => "sure",
        Verdict::Uncertain => "in doubt",
        Verdict::WillNot => "out of the question",
    }
}

impl FitReport<'_> {
    /// Sentences in front of everything else: what disagrees, which verdicts moved, what to
    /// try next.
    pub(super) fn for_the_owner(&self) -> Vec<Text> {
        let mut told: Vec<Text> = self
            .fit
            .cut
            .disagreements
            .iter()
            .map(|one| self.disagreement(one))
            .collect();
        let shifts = self.fit.shifts.iter().enumerate();
        told.extend(shifts.filter_map(|(k, shift)| self.shift(k, shift)));
        if let Some(trial) = self.fit.trials.first()
            && (trial.settles() || self.fit.cut.has_cut())
        {
            told.push(said!("Try next: {}", self.attempt(0, trial)));
        }
        told
    }

    /// Fact `k`, such as `started at 9.0 L/min`, with the bed where there are several.
    fn fact(&self, k: usize) -> Option<Text> {
        let (at, fact) = (At::top(self.units).item("facts", k), self.fit.facts.get(k)?);
        let flow = at.figure(&keys::FACT_FLOW, fact.flow);
        let bed = (self.system.beds.len() > 1).then(|| format!(", {}", self.bed(fact.bed)));
        Some(said!("{} {}{}", fact.kind.words(), flow, bed))
    }

    fn disagreement(&self, one: &Disagreement) -> Text {
        let Some(fact) = self.fit.facts.get(one.fact) else {
            return Text::default();
        };
        let told = self.fact(one.fact);
        let other = match one.against {
            Against::Fact(k) => self.fact(k),
            Against::Band | Against::Others => None,
        };
        match other {
            Some(other) => said!(
                "\"{}\" and \"{}\" cannot both be true of this bore and outlet: time both again. \
                 Nothing was made of them.",
                told,
                other
            ),
            None if one.against == Against::Others => said!(
                "The reading \"{}\" disagrees with the other readings: time it again. Nothing was \
                 made of it.",
                told
            ),
            None => said!(
                "The reading \"{}\" disagrees with the scenario: with its bore and outlet {} there is \
                 not credible. Time it again; if it stays, measure the pipe's bore and how far the \
                 outlet lies below the bed. Nothing was made of it.",
                told,
                match fact.kind {
                    FactKind::Started => "a start",
                    FactKind::Dribbled => "a dribble",
                    FactKind::Broke | FactKind::RaisedBroke => "a break",
                    FactKind::RanOn | FactKind::RaisedRanOn => "running on",
                }
            ),
        }
    }

    /// A sentence where the edge or the verdict moved, or is still in doubt.
    fn shift(&self, k: usize, shift: &Shift) -> Option<Text> {
        let doubtful = shift.after.verdict == Verdict::Uncertain && !self.nothing_known();
        // Of beds that nothing was told of only what is decided otherwise now.
        let told = if self.is_told_of(shift.bed) {
            doubtful || has_moved(shift)
        } else {
            shift.before.verdict != shift.after.verdict
        };
        told.then(|| self.window(k, shift))
    }

    /// `"north" needs 5.7 to 9.4 L/min to start (5.1 to 10.2 L/min before) and surely starts at
    /// its 10.5 L/min, as before.`
    fn window(&self, k: usize, shift: &Shift) -> Text {
        let at = At::top(self.units).item("shifts", k);
        let ends = |key, edge: &Edge| at.ends(key, "to", (edge.flow.low, edge.flow.high));
        let (was, is) = (shift.before.verdict, shift.after.verdict);
        let start = shift.edge == Measurable::StartsAt;
        let before = has_narrowed(shift)
            .then(|| said!(" ({} before)", ends(&keys::SHIFT_BEFORE, &shift.before)));
        said!(
            "\"{}\" {} {}{}{} and {} {} its {}, {}.",
            self.bed(shift.bed),
            if start {
                "needs"
            } else {
                "breaks against up to"
            },
            ends(&keys::SHIFT_AFTER, &shift.after),
            if start { " to start" } else { "" },
            before,
            phrase(shift.edge, is),
            if start { "at" } else { "against" },
            at.figure(&keys::SHIFT_INFLOW, shift.inflow),
            if was == is {
                "as before".to_owned()
            } else {
                format!("which was {} before", sure(was))
            }
        )
    }

    /// Whether anything was measured or told of this bed.
    fn is_told_of(&self, bed: usize) -> bool {
        let fit = self.fit;
        fit.compared.iter().any(|one| one.measurement.bed == bed)
            || fit.seen.iter().any(|seen| seen.0 == bed)
            || fit.facts.iter().any(|fact| fact.bed == bed)
    }

    pub(super) fn nothing_known(&self) -> bool {
        let fit = self.fit;
        fit.compared.is_empty() && fit.seen.is_empty() && fit.facts.is_empty()
    }

    /// What to try and what each outcome would settle.
    fn attempt(&self, k: usize, trial: &Trial) -> Text {
        let at = At::top(self.units).item("trials", k);
        let bed = at.word(&keys::TRIAL_BED, self.bed(trial.bed));
        let flow = at.figure(&keys::TRIAL_FLOW, trial.flow);
        let (what, so, not) = match trial.hoped {
            FactKind::Started | FactKind::Dribbled => {
                ("whether it starts", "If it starts", "If it dribbles")
            }
            _ => ("whether it breaks", "If it breaks", "If it runs on"),
        };
        said!(
            "set the inflow of \"{}\" to {}, timed into a bucket three times, and watch {}. {}: {}. \
             {}: {}.",
            bed,
            flow,
            what,
            so,
            outcome(&at, "if_so", trial, &trial.if_so),
            not,
            outcome(&at, "if_not", trial, &trial.if_not)
        )
    }

    /// The trials, most telling first.
    pub(super) fn attempts(&self) -> Vec<Text> {
        let trials = self.fit.trials.iter().enumerate().take(MOST_TRIED);
        trials
            .map(|(k, trial)| self.attempt(k, trial).capital())
            .collect()
    }

    /// The window of each bed, before and now.
    pub(super) fn windows(&self) -> Option<Section> {
        if self.nothing_known() || !self.fit.shifts.iter().any(has_moved) {
            return None;
        }
        let shifts = self.fit.shifts.iter().enumerate();
        let rows = shifts.map(|(k, shift)| self.window(k, shift));
        Some(Section::new("What this changes").with(Block::List(rows.collect())))
    }

    /// What the facts leave of the bands.
    pub(super) fn cuts(&self) -> Option<Section> {
        let cut = &self.fit.cut;
        if self.fit.facts.is_empty() {
            return None;
        }
        let told = (0..self.fit.facts.len()).filter_map(|k| self.fact(k));
        let intro = said!(
            "Told: {}. Each says on which side of an edge the flow lay: it cuts the band and does \
             not centre it. A flow timed once into a bucket counts to 5 %, the siphon's own scatter \
             to 3 % (ours, no source); give a better one as \"9 L/min +- 1 %\".",
            Text::joined(told, "; ")
        );
        let by = |end: &str, fact: Option<usize>| {
            Some(said!("{} end by \"{}\"", end, self.fact(fact?)?))
        };
        let rows = cut.bands.iter().enumerate().map(|(k, band)| {
            let at = At::top(self.units).item("cuts", k);
            let ends = |key: &Key, of: Band| {
                let end = |name, value| {
                    let figure = at.named(key, name, value);
                    figure.said(significant(value, 3))
                };
                said!("{} to {}", end("low", of.low), end("high", of.high))
            };
            let before = ends(&keys::CUT_BEFORE, band.before);
            if !band.is_cut() {
                return said!("{}: {}, not cut", band.coefficient.key(), before);
            }
            let cutters = [by("low", band.low_by), by("high", band.high_by)];
            said!(
                "{}: {} left of {} ({})",
                band.coefficient.key(),
                ends(&keys::CUT_AFTER, band.after),
                before,
                Text::joined(cutters.into_iter().flatten(), ", ")
            )
        });
        let rows: Vec<Text> = rows.collect();
        let section = Section::new("What the facts leave")
            .with(Block::Sentence(intro))
            .with(Block::List(rows));
        Some(section)
    }

    /// The figures of all this.
    pub(super) fn owner_data(&self) -> Vec<Figure> {
        let top = At::top(self.units);
        let fit = self.fit;
        let mut all = Vec::new();
        for (k, fact) in fit.facts.iter().enumerate() {
            let at = top.item("facts", k);
            let disagrees = fit.cut.calls_wrong(k);
            all.extend([
                at.word(&keys::FACT_BED, self.bed(fact.bed)),
                at.word(&keys::FACT_WHAT, fact.kind.key()),
                at.figure(&keys::FACT_FLOW, fact.flow),
                at.figure(&keys::FACT_SIGMA, fact.sigma),
                at.flag(&keys::FACT_DISAGREES, disagrees),
            ]);
        }
        for (k, band) in fit.cut.bands.iter().enumerate() {
            let at = top.item("cuts", k);
            all.push(at.word(&keys::CUT_OF, band.coefficient.key()));
            all.extend(bands(&at, &keys::CUT_BEFORE, band.before));
            all.extend(bands(&at, &keys::CUT_AFTER, band.after));
            all.push(at.figure(&keys::CUT_LEFT, band.left()));
            all.extend(band.low_by.map(|fact| at.count(&keys::CUT_LOW_BY, fact)));
            all.extend(band.high_by.map(|fact| at.count(&keys::CUT_HIGH_BY, fact)));
        }
        for (k, shift) in fit.shifts.iter().enumerate() {
            let at = top.item("shifts", k);
            all.extend([
                at.word(&keys::SHIFT_BED, self.bed(shift.bed)),
                at.word(&keys::SHIFT_EDGE, does(shift.edge)),
                at.figure(&keys::SHIFT_INFLOW, shift.inflow),
                at.word(&keys::SHIFT_WAS, verdict_key(shift.before.verdict)),
                at.word(&keys::SHIFT_IS, verdict_key(shift.after.verdict)),
            ]);
            all.extend(bands(&at, &keys::SHIFT_BEFORE, shift.before.flow));
            all.extend(bands(&at, &keys::SHIFT_AFTER, shift.after.flow));
        }
        for (k, trial) in fit.trials.iter().enumerate() {
            let at = top.item("trials", k);
            all.extend([
                at.word(&keys::TRIAL_BED, self.bed(trial.bed)),
                at.word(&keys::TRIAL_HOPED, trial.hoped.key()),
                at.figure(&keys::TRIAL_FLOW, trial.flow),
                at.flag(&keys::TRIAL_SETTLES, trial.settles()),
            ]);
            for (part, edge) in [("if_so", &trial.if_so), ("if_not", &trial.if_not)] {
                let at = at.part(part);
                all.push(at.word(&keys::OUTCOME_IS, verdict_key(edge.verdict)));
                all.extend(bands(&at, &keys::OUTCOME_FLOW, edge.flow));
            }
        }
        all
    }
}

fn bands(at: &At, key: &Key, band: Band) -> [Figure; 3] {
    [
        ("low", band.low),
        ("nominal", band.nominal),
        ("high", band.high),
    ]
    .map(|(name, value)| at.named(key, name, value))
}

/// Whether a verdict or the width of its edge moved.
fn has_moved(shift: &Shift) -> bool {
    shift.before.verdict != shift.after.verdict || has_narrowed(shift)
}

fn has_narrowed(shift: &Shift) -> bool {
    let width = |edge: &Edge| edge.flow.high - edge.flow.low;
    let before = width(&shift.before);
    (before - width(&shift.after)).abs() > NARROWER * before
}

/// What an outcome of a trial would settle.
fn outcome(at: &At, part: &str, trial: &Trial, edge: &Edge) -> Text {
    let at = at.part(part);
    let band = at.ends(&keys::OUTCOME_FLOW, "to", (edge.flow.low, edge.flow.high));
    let word = match trial.hoped {
        FactKind::Started | FactKind::Dribbled => "it needs",
        _ => "it breaks against up to",
    };
    let verdict = match (trial.now.verdict, edge.verdict) {
        (was, is) if was == is => match is {
            Verdict::Uncertain => ", and its own inflow stays in doubt",
            _ => "",
        },
        (_, Verdict::Will) => ", and its own inflow surely does",
        (_, Verdict::WillNot) => ", and its own inflow does not",
        (_, Verdict::Uncertain) => ", and its own inflow is in doubt",
    };
    said!("{} {}{}", word, band, verdict)
}
