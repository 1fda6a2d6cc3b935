//! The answer of `mend`: a plan, step by step, and what was simulated with all of it.

mod keys;

pub(super) use keys::KEYS;

use crate::answer::plan::Planned;
use crate::answer::plan::keys::TRIED;
use crate::answer::{At, Block, Document, Piece, Place, Row, Section, Text, said, status_key};
use crate::assessment::{CheckId, Subject};
use crate::model::System;
use crate::report::{Advice, Topic, regime_key, regime_phrase};
use crate::study::mend::Judged;
use crate::study::why::{Cause, Symptom};
use crate::units::UnitSystem;

/// What is said about a plan beside the plan itself.
pub struct MendAnswer<'a> {
    /// The plan, how the scenario says it, and what was to stay.
    pub advice: Advice<'a>,
    /// The system before it.
    pub system: &'a System,
    /// What somebody sees at a bed and is not to be expected of the system as described.
    pub complaint: Option<(usize, Symptom)>,
    /// Whether that was to be expected before what was changed since.
    pub mended: bool,
    /// What a quick check has found broken at a bed, which the description knows nothing of.
    pub found: Option<(usize, Cause)>,
    /// Units of what people read.
    pub units: UnitSystem,
}

impl MendAnswer<'_> {
    /// The plan with what each step does; `source` names the scenario on the page.
    pub fn document(&self, source: &str) -> Document {
        let plan = self.advice.plan;
        let planned = Planned {
            advice: self.advice,
            system: self.system,
            units: self.units,
            at: At::top(self.units),
        };
        let after = plan.after.failing();
        let sections = vec![
            planned.failing_before("What fails now"),
            planned.failing_after("What still fails with all steps"),
            self.outcome(),
            self.search(),
            planned.section(true).on_first_screen(),
        ];
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: Some(plan.after.verdict()),
            headline: self.found_first(after.len()),
            opening: said!("What makes `{}` pass.", source),
            remarks: Vec::new(),
            sections,
        }
    }

    /// What was found broken comes first: the plan is for what is told.
    fn found_first(&self, left: usize) -> Text {
        let plan = self.headline(left);
        let found = self.found.and_then(|(bed, cause)| {
            let name = self.system.beds.get(bed)?.name.as_str();
            // One is not told to take water out and then to fill it in.
            let mut steps = self.advice.plan.steps.iter().flat_map(|step| &step.changes);
            let filled = cause.is_of_water() && steps.any(|change| change.fills_sump().is_some());
            let cause = cause.entry();
            Some(said!(
                "First what the check at \"{}\" has found ({}): {}. For the system as it is described, \
                 without that: ",
                name,
                cause.words,
                match filled {
                    true => "the step that fills the sump says what has to stand in it",
                    false => cause.fix,
                }
            ))
        });
        match found {
            Some(first) => first.and(plan),
            None => plan.and(self.unexplained()),
        }
    }

    fn headline(&self, left: usize) -> Text {
        let steps = self.advice.plan.steps.len();
        match (steps, left) {
            (0, 0) => said!("Nothing fails: no change is needed."),
            (0, _) => said!("No change was found that helps."),
            (1, 0) => said!("One step makes it pass; the whole system was simulated with it."),
            (n, 0) => said!(
                "{} steps make it pass; the whole system was simulated with all of them.",
                At::top(self.units).count(&keys::STEP_COUNT, n)
            ),
            _ => said!(
                "No list of changes was found with which everything passes. This is the best \
                 one found; what still fails with it is below."
            ),
        }
    }

    /// That a plan for the system as described does not know what is broken.
    fn unexplained(&self) -> Option<Text> {
        let (bed, symptom) = self.complaint?;
        let bed = self.system.beds.get(bed)?;
        if self.mended {
            return Some(said!(
                " What you saw at \"{}\" ({}) is mended with what was changed since: as it stood it was \
                 to be expected, and now it is not. Where it still shows, find the cause once more.",
                bed.name.as_str(),
                symptom.words()
            ));
        }
        Some(said!(
            " But what you see at \"{}\" ({}) is not what the system as described is to be expected to do: \
             something there is not as told, or the siphon is far from the usual. No plan knows which: \
             find the cause first, and plan with that.{}",
            bed.name.as_str(),
            symptom.words(),
            self.worsened()
        ))
    }

    /// That the steps lead away from mending what is complained of.
    fn worsened(&self) -> Option<Text> {
        let (bed, symptom) = self.complaint?;
        let (id, subject) = symptom.check(bed)?;
        let status = |judged: &Judged| judged.check(id, subject).map(|check| check.status);
        let plan = self.advice.plan;
        let (before, after) = (status(&plan.before)?, status(&plan.after)?);
        (after > before).then(|| {
            said!(
                " These steps lead away from mending that: \"{}\" goes from {} to {} with them.",
                Topic::named(id, subject, self.system),
                status_key(before).to_uppercase(),
                status_key(after).to_uppercase()
            )
        })
    }

    /// What the system does with all steps.
    fn outcome(&self) -> Section {
        let plan = self.advice.plan;
        let beds = plan.mended.beds.iter().zip(&plan.after.run.beds);
        let rows = beds.enumerate().map(|(i, (bed, outcome))| {
            // The figure that the answers give too: what errors of level leave of it.
            let found = &plan.after.assessment;
            let dry = found
                .check(CheckId::DryLayer, Subject::Bed(i))
                .map_or_else(|| bed.gravel_over(outcome.peak_level), |one| one.value);
            let at = At::top(self.units).item(keys::BEDS_AFTER.name, i);
            let regime = at.word(&keys::REGIME, regime_key(outcome.regime));
            let words = said!(
                "{}, {} of gravel stay dry",
                regime.said(regime_phrase(outcome.regime)),
                at.figure(&keys::DRY, dry.max(0.0))
            );
            let name = Piece::Unsaid(at.word(&keys::NAME, bed.name.as_str()));
            Row::new(bed.name.clone(), words.and(name))
        });
        let steps = At::top(self.units).count(&keys::STEP_COUNT, plan.steps.len());
        let title = match plan.steps.len() {
            0 => "What the beds do as they are",
            1 => "Simulated with it",
            _ => "Simulated with all of them",
        };
        Section::new(title)
            .with(Block::Rows(rows.collect()))
            .with(Block::Data(vec![steps]))
    }

    fn search(&self) -> Section {
        let kept = if self.advice.kept.is_empty() {
            said!("Nothing was kept as it is; `--keep` protects what is glued, buried or bought.")
        } else {
            said!("Kept as it is: {}.", self.advice.kept.join(", "))
        };
        let tried = said!(
            "{} systems were simulated to find this, each with all beds together.",
            At::top(self.units).count(&TRIED, self.advice.plan.tried)
        );
        Section::new("How it was found")
            .at(Place::Back)
            .with(Block::List(vec![tried, kept]))
    }
}
