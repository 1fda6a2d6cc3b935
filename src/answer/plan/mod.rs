//! A plan, step by step, and what was simulated with all of it: the advice of every command.

mod doubts;
mod effects;
pub(in crate::answer) mod keys;
mod left;

use crate::answer::bucket::bucket;
use crate::answer::counts;
use crate::answer::sentence::{told_after, told_at};
use crate::answer::told::{Told, told};
use crate::answer::{At, Block, Figure, Finding, Place, Row, Section, Text, said, status_key};
use crate::assessment::{Check, CheckId, Joining, LEVELS_DIFFER};
use crate::hydraulics::pipe_sizes::{Schedule, narrowest};
use crate::model::{Change, System, Trouble};
use crate::report::{Advice, Report, Say, Topic, step_words};
#[cfg(test)]
use crate::study::mend::Plan;
use crate::study::mend::{Effect, Failing, Step};
use crate::units::UnitSystem;

/// The two lists of a plan.
#[derive(Clone, Copy)]
enum Listed {
    /// What has to be done.
    Steps,
    /// What only settles a doubt.
    Surer,
}

/// A plan for `system` and its place in the results.
pub(in crate::answer) struct Planned<'a> {
    pub advice: Advice<'a>,
    pub system: &'a System,
    pub units: UnitSystem,
    pub at: At,
}

#[cfg(test)]
impl<'a> Planned<'a> {
    /// A plan for `system` with nothing beside its steps.
    fn alone(plan: &'a Plan, system: &'a System) -> Self {
        let advice = Advice {
            plan,
            edits: &[],
            surer: &[],
            kept: &[],
        };
        let units = UnitSystem::Metric;
        let at = At::top(units);
        Self {
            advice,
            system,
            units,
            at,
        }
    }
}

impl Planned<'_> {
    /// What only the results hold.
    pub fn data(&self) -> Vec<Figure> {
        let plan = self.advice.plan;
        let mut out = vec![
            self.at.flag(&keys::WORKS, plan.works()),
            self.at.word(&keys::AFTER, status_key(plan.after.verdict())),
            self.at.count(&keys::TRIED, plan.tried),
        ];
        let counts = self.at.part(keys::COUNTS_AFTER.name);
        out.extend(counts::figures(&self.mended(), &counts));
        out.extend(self.at.words(&keys::KEPT, self.advice.kept.iter().cloned()));
        let lists = [
            (keys::STEPS.name, &plan.steps, self.advice.edits),
            (keys::SURER.name, &plan.surer, self.advice.surer),
        ];
        for (list, n, step, edits) in lists.into_iter().flat_map(|(list, steps, edits)| {
            let steps = steps.iter().enumerate();
            steps.map(move |(n, step)| (list, n, step, edits))
        }) {
            let at = self.at.item(list, n);
            let within = list == keys::STEPS.name;
            out.push(at.word(&keys::TROUBLE, step.trouble.key()));
            out.extend(self.effects_data(&at, keys::EFFECTS, (&step.effects, within)));
            let edits = edits.get(n).into_iter().flatten();
            out.extend(at.words(&keys::WITH, edits.cloned()));
            out.extend(self.effects_data(&at, keys::NEEDED, (&step.needed_for, within)));
            let mends = names(self.system, missing(&step.before, &step.after));
            out.extend(at.words(&keys::MENDS, mends));
            let without = names(self.system, &step.fails_without);
            out.extend(at.words(&keys::FAILS_WITHOUT, without));
            let breaks = names(self.system, missing(&step.after, &step.before));
            out.extend(at.words(&keys::BREAKS, breaks));
        }
        out
    }

    /// The steps, what each does, and what the system does with all of them. `whole`: with the
    /// trouble of each step and how the scenario says it.
    pub fn section(&self, whole: bool) -> Section {
        let plan = self.advice.plan;
        let answers = self.answers();
        let mut section = Section::new("What to do").at(Place::Lead);
        if plan.steps.is_empty() {
            let said = if plan.before.failing().is_empty() {
                said!("Nothing has to be changed.")
            } else {
                said!(
                    "No change was found that helps: {} systems were simulated.{}",
                    self.at.count(&keys::TRIED, plan.tried),
                    self.kept_words()
                )
            };
            return self
                .afterwards(section.with(Block::Sentence(said)), &answers, whole)
                .with(Block::Data(self.data()));
        }
        if let Some(first) = self.try_first(&answers) {
            section = section.with(Block::Sentence(first.into()));
        }
        section = section.with(Block::Findings(self.findings(Listed::Steps, whole)));
        if plan.steps.len() > 1 {
            section = section.with(Block::Sentence(
                "What a step does is told of the system with the steps before it; a later step may move \
                 it again."
                    .into(),
            ));
        }
        section = section.with(Block::Sentence(self.outcome()));
        if let Some(buckets) = self.by_bucket() {
            section = section.with(Block::Sentence(buckets));
        }
        self.afterwards(section, &answers, whole)
            .with(Block::Data(self.data()))
    }

    /// What is left to hands or in doubt, and what would settle some of it.
    fn afterwards(&self, mut section: Section, answers: &[Told], whole: bool) -> Section {
        let by_hand = self.left_to_hands();
        if !by_hand.is_empty() {
            section = section.with(Block::List(by_hand));
        }
        let doubts = self.doubts(answers);
        if !doubts.is_empty() {
            section = section.with(Block::List(doubts));
        }
        if self.advice.plan.surer.is_empty() {
            return section;
        }
        let astray = |effect: &Effect| matches!(effect.id, CheckId::PumpCover | CheckId::DrainLine);
        let mut effects = self.advice.plan.surer.iter().flat_map(|step| &step.effects);
        let why = if effects.any(astray) {
            "To be surer, and against water over a wall at the worst: do these as well"
        } else {
            "To be surer, though it passes without"
        };
        section
            .with(Block::Sentence(said!(
                "{}; simulated after the steps before.",
                why
            )))
            .with(Block::Findings(self.findings(Listed::Surer, whole)))
    }

    fn findings(&self, which: Listed, whole: bool) -> Vec<Finding> {
        let plan = self.advice.plan;
        let (list, steps, edits, from) = match which {
            Listed::Steps => (
                keys::STEPS.name,
                &plan.steps,
                self.advice.edits,
                self.system,
            ),
            Listed::Surer => (
                keys::SURER.name,
                &plan.surer,
                self.advice.surer,
                &plan.mended,
            ),
        };
        let mut now = from.clone();
        let steps = steps.iter().enumerate();
        steps
            .map(|(n, step)| {
                let edits = edits.get(n).map_or(&[][..], Vec::as_slice);
                let said = step_words(&step.changes, &now, self.units);
                for change in &step.changes {
                    // What fits only with a later change of its step fits in the end.
                    let _ = change.apply_to(&mut now);
                }
                self.step(self.at.item(list, n), (step, said), edits, (whole, which))
            })
            .collect()
    }

    /// What the system with all steps answers; nothing while something still fails.
    fn answers(&self) -> Vec<Told> {
        if self.advice.plan.works() {
            told(&self.mended()).collect()
        } else {
            Vec::new()
        }
    }

    /// What to try before a saw is taken, where one reading would settle a doubt.
    fn try_first(&self, answers: &[Told]) -> Option<&'static str> {
        let plan = self.advice.plan;
        // What only makes it surer is not what one begins with.
        let steps = if plan.steps.is_empty() {
            &plan.surer
        } else {
            &plan.steps
        };
        let cuts = steps
            .iter()
            .map(|step| step.trouble)
            .any(|trouble| trouble >= Trouble::CutOrDrill);
        let doubtful = cuts && answers.iter().any(|one| one.settles.is_some());
        doubtful.then_some(match self.system.beds.len() {
            1 => {
                "Before anything is glued, try it and take the reading named below: the command \
                 measure prints how."
            }
            _ => {
                "Before every bed is cut, try it on one and take the reading named below: the \
                 command measure prints how."
            }
        })
    }

    /// The system with all steps, as it is reported.
    fn mended(&self) -> Report<'_> {
        let plan = self.advice.plan;
        let (run, assessment) = (&plan.after.run, &plan.after.assessment);
        Report::new(&plan.mended, run, assessment, self.units)
    }

    /// What was answered before any step.
    fn before(&self) -> Report<'_> {
        let plan = self.advice.plan;
        let (run, assessment) = (&plan.before.run, &plan.before.assessment);
        Report::new(self.system, run, assessment, self.units)
    }

    /// What was simulated with all steps, and how it went.
    fn outcome(&self) -> Text {
        let plan = self.advice.plan;
        let report = self.mended();
        let with = match plan.steps.len() {
            1 => "Simulated with this step",
            _ => "Simulated with all of them",
        };
        if plan.works() {
            let counts = self.at.part(keys::COUNTS_AFTER.name);
            return said!("{}: {}", with, counts::headline(&report, &counts));
        }
        let left = names(self.system, &plan.after.failing());
        said!(
            "{}, this is the best found and still not enough ({} systems were simulated): {} still \
             to mend.{}",
            with,
            self.at.count(&keys::TRIED, plan.tried),
            left.join(", "),
            self.kept_words()
        )
    }

    /// What a bucket says once valves are turned and flows set: nobody sees a share on a handle.
    fn by_bucket(&self) -> Option<Text> {
        let plan = self.advice.plan;
        let mut changes = plan.steps.iter().flat_map(|step| &step.changes);
        if !plan.works() || !changes.any(Change::sets_a_flow) {
            return None;
        }
        let (size, named) = bucket(self.units);
        let beds = plan.mended.beds.iter().zip(&plan.after.run.beds);
        let told = beds.enumerate().filter_map(|(i, (bed, outcome))| {
            let (at, flow) = (self.at.item(keys::BUCKETS.name, i), outcome.inflow.mean);
            (flow > 0.0).then(|| {
                said!(
                    "\"{}\" {} ({})",
                    at.word(&keys::BUCKET_BED, bed.name.as_str()),
                    at.figure(&keys::BUCKET_FILLS, (size / flow).round()),
                    at.figure(&keys::BUCKET_FLOW, flow)
                )
            })
        });
        Some(said!(
            "A bucket of {} is then full after: {}.",
            self.at.figure(&keys::BUCKET_SIZE, size).said(named),
            Text::joined(told, ", ")
        ))
    }

    fn kept_words(&self) -> String {
        if self.advice.kept.is_empty() {
            String::new()
        } else {
            format!(" Kept as it is: {}.", self.advice.kept.join(", "))
        }
    }

    fn step(
        &self,
        at: At,
        (step, said): (&Step, Text),
        edits: &[String],
        (whole, which): (bool, Listed),
    ) -> Finding {
        let mut rows = Vec::new();
        rows.extend(self.so_that(&at, step, matches!(which, Listed::Steps)));
        rows.extend(self.joining(&at, said.figures().count(), step));
        if whole {
            // What fails by another check of the same thing fails already.
            let fails = names(self.system, &step.before);
            let mut breaks = names(self.system, missing(&step.after, &step.before));
            breaks.retain(|one| !fails.contains(one));
            if !breaks.is_empty() {
                let then = format!("by itself it spoils {}", breaks.join(", "));
                rows.push(Row::new("Not alone", then));
            }
        }
        if whole {
            let tube = |change: &Change| matches!(change, Change::AirTube { tube: Some(_), .. });
            let work = match step.changes.iter().all(tube) {
                true => "a drill: a hole in the bell's cap and a piece of tube",
                false => trouble_words(step.trouble),
            };
            rows.push(Row::new("Work", work));
            let edits = at.words(&keys::WITH, edits.iter().cloned());
            let edits = Text::joined(edits.into_iter().map(Text::from), ", ");
            rows.push(Row::new("In the scenario", edits));
        }
        Finding {
            status: None,
            title: told_at(&at, &keys::SAYS, said),
            rows,
        }
    }

    /// How wide the pipe between joined vessels is.
    fn joining(&self, at: &At, first: usize, step: &Step) -> Option<Row> {
        let mut changes = step.changes.iter();
        changes.find(|change| matches!(change, Change::Join { .. }))?;
        let joining = self.advice.plan.after.assessment.garden.joining?;
        let say = Say {
            system: self.system,
            units: self.units,
        };
        let figures = [
            say.bore("joining_bore", joining.bore),
            say.flow("joining_flow", joining.flow),
            say.length("joining_levels_within", LEVELS_DIFFER),
        ];
        let words = joining_words(figures, &joining, self.units);
        Some(Row::new(
            "Joined by",
            told_after(at, &keys::JOINED, first, words),
        ))
    }
}

/// The narrowest pipe on sale that joins vessels at their bottom, and why it has to be that wide.
pub(in crate::answer) fn joining_words(
    [bore, flow, within]: [Figure; 3],
    joining: &Joining,
    units: UnitSystem,
) -> Text {
    let schedule = match units {
        UnitSystem::Us => Schedule::Sch40,
        UnitSystem::Metric => Schedule::Pn10,
    };
    let pipe = narrowest(joining.bore, schedule).map_or_else(
        || said!("pipe of at least {} bore", bore.clone()),
        |size| said!("{} pipe or wider", bore.clone().said(size.label())),
    );
    said!(
        "{}, at the very bottom: it passes {} with the vessels' levels within {} of each other",
        pipe,
        flow,
        within
    )
}

/// The plan of a command that has other things to say beside it, under the key `plan`.
pub(in crate::answer) fn plan_section(
    advice: Option<Advice>,
    system: &System,
    units: UnitSystem,
) -> Option<Section> {
    let planned = Planned {
        advice: advice?,
        system,
        units,
        at: At::top(units).part(keys::PLAN_KEY.name),
    };
    let left = planned.failing_after("");
    let figures = left.blocks.iter().flat_map(Block::figures).cloned();
    Some(planned.section(false).with(Block::Data(figures.collect())))
}

/// What the step of the plan does that mends this check.
pub(in crate::answer) fn step_for(advice: Advice, check: &Check, report: &Report) -> Option<Text> {
    let mut steps = advice.plan.steps.iter();
    let mends =
        |effect: &Effect| effect.mended && (effect.id, effect.subject) == (check.id, check.subject);
    let step = steps.find(|step| step.effects.iter().any(mends))?;
    Some(step_words(&step.changes, report.system, report.units))
}

fn missing<'a>(from: &'a [Failing], other: &[Failing]) -> Vec<&'a Failing> {
    let same = |a: &Failing, b: &Failing| a.id == b.id && a.subject == b.subject;
    from.iter()
        .filter(|one| !other.iter().any(|two| same(one, two)))
        .collect()
}

fn names<'a>(system: &System, failing: impl IntoIterator<Item = &'a Failing>) -> Vec<String> {
    let failing = failing.into_iter();
    failing
        .map(|one| Topic::named(one.id, one.subject, system))
        .collect()
}

const fn trouble_words(trouble: Trouble) -> &'static str {
    match trouble {
        Trouble::Turn => "turned or set by hand",
        Trouble::Refill => "water let in or out",
        Trouble::Shovel => "gravel put in or taken out",
        Trouble::CutOrDrill => "a saw or a drill",
        Trouble::Replumb => "pipes taken apart and joined anew",
        Trouble::Buy => "a part to buy",
        Trouble::Rebuild => "a bed emptied, moved or made anew",
    }
}
