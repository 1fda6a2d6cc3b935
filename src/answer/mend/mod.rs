//! The answer of `mend`: a plan, step by step, and what was simulated with all of it.

mod keys;

pub(super) use keys::KEYS;

use crate::answer::{At, Block, Document, Finding, Place, Row, Section, Text, said};
use crate::model::{System, Trouble};
use crate::study::mend::{Failing, Plan, Step};
use crate::units::UnitSystem;

/// What is said about a plan beside the plan itself.
pub struct MendAnswer<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The system before it.
    pub system: &'a System,
    /// For each step, its changes as `--with` takes them.
    pub edits: &'a [Vec<String>],
    /// What was to stay.
    pub kept: &'a [String],
    /// Units of what people read.
    pub units: UnitSystem,
}

impl MendAnswer<'_> {
    /// The plan with what each step does; `source` names the scenario on the page.
    pub fn document(&self, source: &str) -> Document {
        let top = At::top(self.units);
        let plan = self.plan;
        let after = plan.after.failing();
        let mut sections = vec![Section::data(
            [
                vec![
                    top.flag(&keys::WORKS, plan.works()),
                    top.count(&keys::TRIED, plan.tried),
                ],
                top.words(&keys::KEPT, self.kept.iter().cloned()),
            ]
            .concat(),
        )];
        if !plan.steps.is_empty() {
            let steps = plan.steps.iter().enumerate();
            let findings = steps.map(|(n, step)| self.step(n, step)).collect();
            sections.push(
                Section::new("What to do")
                    .at(Place::Lead)
                    .with(Block::Findings(findings)),
            );
        }
        sections.push(self.failing("failing_before", "What fails now", &plan.before.failing()));
        sections.push(self.failing("failing_after", "What still fails with all steps", &after));
        sections.push(self.outcome());
        sections.push(self.search());
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: Some(plan.after.verdict()),
            headline: self.headline(after.len()),
            opening: said!("What makes `{}` pass.", source),
            remarks: Vec::new(),
            sections,
        }
    }

    fn headline(&self, left: usize) -> Text {
        let steps = self.plan.steps.len();
        match (steps, left) {
            (0, 0) => said!("Nothing fails: no change is needed."),
            (0, _) => said!("No change was found that helps."),
            (1, 0) => said!("One step makes it pass; the whole system was simulated with it."),
            (n, 0) => said!(
                "{} steps make it pass; the whole system was simulated with all of them.",
                n.to_string()
            ),
            _ => said!(
                "No list of changes was found with which everything passes. This is the best \
                 one found; what still fails with it is below."
            ),
        }
    }

    fn step(&self, n: usize, step: &Step) -> Finding {
        let at = At::top(self.units).item("steps", n);
        let words = self.words(step);
        let mends = names(self.system, &missing(&step.before, &step.after));
        let breaks = names(self.system, &missing(&step.after, &step.before));
        let mut rows = Vec::new();
        if !mends.is_empty() {
            rows.push(Row::new("Mends", listed(at.words(&keys::MENDS, mends))));
        }
        if !breaks.is_empty() {
            let then = listed(at.words(&keys::BREAKS, breaks));
            rows.push(Row::new("Then fails, until the next steps", then));
        }
        rows.push(Row::new(
            "Trouble",
            at.word(&keys::TROUBLE, step.trouble.key())
                .said(trouble_words(step.trouble)),
        ));
        if let Some(edits) = self.edits.get(n) {
            let written = at.words(&keys::WITH, edits.iter().cloned());
            rows.push(Row::new("In the scenario", listed(written)));
        }
        Finding {
            status: None,
            title: said!("{}. {}", (n + 1).to_string(), at.word(&keys::SAYS, words)),
            rows,
        }
    }

    /// What a step does, as one sentence.
    fn words(&self, step: &Step) -> String {
        let changes = step.changes.iter();
        let all: Vec<String> = changes
            .map(|change| crate::report::change_words(change, self.system, self.units))
            .collect();
        let mut words = all.join(", ");
        if let Some(first) = words.get(..1).map(str::to_uppercase) {
            words.replace_range(..1, &first);
        }
        words + "."
    }

    fn failing(&self, key: &str, title: &str, failing: &[Failing]) -> Section {
        let rows = failing.iter().enumerate().map(|(i, one)| {
            let at = At::top(self.units).item(key, i);
            let subject = one.subject.name(self.system).to_owned();
            let events = at.flag(&keys::WITH_EVENTS, one.disturbed);
            let events = if one.disturbed {
                said!(", with the events of the scenario{}", events.said(""))
            } else {
                Text::from(events.said(""))
            };
            said!(
                "{} of {}{}",
                at.word(&keys::CHECK, one.id.key()),
                at.word(&keys::SUBJECT, subject),
                events
            )
        });
        Section::new(title)
            .keyed(key.replace('_', "-"))
            .with(Block::List(rows.collect()))
    }

    /// What the system does with all steps.
    fn outcome(&self) -> Section {
        let plan = self.plan;
        let beds = plan.mended.beds.iter().zip(&plan.after.run.beds);
        let rows = beds.map(|(bed, outcome)| {
            let dry = bed.gravel_over(outcome.peak_level);
            let words = format!(
                "{}, {} of gravel stay dry",
                crate::report::regime_phrase(outcome.regime),
                self.units.length(dry.max(0.0))
            );
            Row::new(bed.name.clone(), words)
        });
        Section::new("Simulated with all of them").with(Block::Rows(rows.collect()))
    }

    fn search(&self) -> Section {
        let kept = if self.kept.is_empty() {
            said!("Nothing was kept as it is; `--keep` protects what is glued, buried or bought.")
        } else {
            said!("Kept as it is: {}.", self.kept.join(", "))
        };
        let tried = said!(
            "{} systems were simulated to find this, each with all beds together.",
            self.plan.tried.to_string()
        );
        Section::new("How it was found")
            .at(Place::Back)
            .with(Block::List(vec![tried, kept]))
    }
}

fn missing<'a>(from: &'a [Failing], other: &[Failing]) -> Vec<&'a Failing> {
    let same = |a: &Failing, b: &Failing| a.id == b.id && a.subject == b.subject;
    from.iter()
        .filter(|one| !other.iter().any(|two| same(one, two)))
        .collect()
}

fn names(system: &System, failing: &[&Failing]) -> Vec<String> {
    failing
        .iter()
        .map(|one| format!("{} of {}", one.id.key(), one.subject.name(system)))
        .collect()
}

fn listed(figures: Vec<crate::answer::Figure>) -> Text {
    Text::joined(figures.into_iter().map(Text::from), ", ")
}

const fn trouble_words(trouble: Trouble) -> &'static str {
    match trouble {
        Trouble::Turn => "turned or set by hand",
        Trouble::Refill => "water let in or out",
        Trouble::CutOrDrill => "a saw or a drill",
        Trouble::Replumb => "pipes taken apart and joined anew",
        Trouble::Buy => "a part to buy",
        Trouble::Rebuild => "a bed emptied, moved or made anew",
    }
}
