//! A plan, step by step, and what was simulated with all of it: the advice of every command.

pub(in crate::answer) mod keys;

use crate::answer::{At, Block, Figure, Finding, Place, Row, Section, Text, said, status_key};
use crate::assessment::{Check, CheckId, CheckUnit, Subject};
use crate::model::{System, Trouble};
use crate::report::Topic;
use crate::report::{Advice, Report, check_figure, headline, step_words};
use crate::study::mend::{Effect, Failing, Step};
use crate::units::UnitSystem;
use crate::units::display::between;

/// A plan for `system` and its place in the results.
pub(in crate::answer) struct Planned<'a> {
    pub advice: Advice<'a>,
    pub system: &'a System,
    pub units: UnitSystem,
    pub at: At,
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
        out.extend(self.at.words(&keys::KEPT, self.advice.kept.iter().cloned()));
        for (n, step) in plan.steps.iter().enumerate() {
            let at = self.at.item(keys::STEPS.name, n);
            out.push(at.word(&keys::TROUBLE, step.trouble.key()));
            for (i, effect) in step.effects.iter().enumerate() {
                out.extend(self.effect_data(&at.item(keys::EFFECTS.name, i), effect));
            }
            let edits = self.advice.edits.get(n).into_iter().flatten();
            out.extend(at.words(&keys::WITH, edits.cloned()));
            let mends = names(self.system, &missing(&step.before, &step.after));
            out.extend(at.words(&keys::MENDS, mends));
            let breaks = names(self.system, &missing(&step.after, &step.before));
            out.extend(at.words(&keys::BREAKS, breaks));
        }
        out
    }

    fn effect_data(&self, at: &At, effect: &Effect) -> Vec<Figure> {
        vec![
            at.word(&keys::EFFECT_CHECK, effect.id.key()),
            at.word(&keys::EFFECT_SUBJECT, effect.subject.name(self.system)),
            at.figure(&keys::BEFORE, effect.before),
            at.figure(&keys::THEN, effect.after),
            at.word(&keys::EFFECT_UNIT, effect.unit.symbol()),
        ]
    }

    /// The steps, what each does, and what the system does with all of them. `whole`: with the
    /// trouble of each step and how the scenario says it.
    pub fn section(&self, whole: bool) -> Section {
        let plan = self.advice.plan;
        let mut section = Section::new("What to do").at(Place::Lead);
        if plan.steps.is_empty() {
            let said = if plan.before.failing().is_empty() {
                said!("Nothing has to be changed.")
            } else {
                said!(
                    "No change was found that helps: {} systems were simulated.{}",
                    plan.tried.to_string(),
                    self.kept_words()
                )
            };
            return section
                .with(Block::Sentence(said))
                .with(Block::Data(self.data()));
        }
        let steps = plan.steps.iter().enumerate();
        let findings = steps.map(|(n, step)| self.step(n, step, whole)).collect();
        section = section.with(Block::Findings(findings));
        section
            .with(Block::Sentence(self.outcome()))
            .with(Block::Data(self.data()))
    }

    /// What was simulated with all steps, and how it went.
    fn outcome(&self) -> Text {
        let plan = self.advice.plan;
        let report = Report::new(
            &plan.mended,
            &plan.after.run,
            &plan.after.assessment,
            self.units,
        );
        let with = match plan.steps.len() {
            1 => "Simulated with this step",
            _ => "Simulated with all of them",
        };
        if plan.works() {
            return said!("{}: {}", with, headline(&report));
        }
        let left = names(
            self.system,
            &plan.after.failing().iter().collect::<Vec<_>>(),
        );
        said!(
            "{}, this is the best found and still not enough ({} systems were simulated): {} still \
             to mend.{}",
            with,
            plan.tried.to_string(),
            left.join(", "),
            self.kept_words()
        )
    }

    fn kept_words(&self) -> String {
        if self.advice.kept.is_empty() {
            String::new()
        } else {
            format!(" Kept as it is: {}.", self.advice.kept.join(", "))
        }
    }

    fn step(&self, n: usize, step: &Step, whole: bool) -> Finding {
        let at = self.at.item(keys::STEPS.name, n);
        let mut rows = Vec::new();
        let mended: Vec<&Effect> = step.effects.iter().filter(|one| one.mended).collect();
        let effects = self.effects(&mended);
        rows.push(Row::new(
            "So that",
            if effects.is_empty() {
                "the steps after it are enough".to_owned()
            } else {
                effects.join("; ")
            },
        ));
        if whole {
            let breaks = names(self.system, &missing(&step.after, &step.before));
            if !breaks.is_empty() {
                let then = format!("by itself it spoils {}", breaks.join(", "));
                rows.push(Row::new("Not alone", then));
            }
        }
        if whole {
            rows.push(Row::new("Trouble", trouble_words(step.trouble)));
            if let Some(edits) = self.advice.edits.get(n) {
                rows.push(Row::new("In the scenario", edits.join(", ")));
            }
        }
        Finding {
            status: None,
            title: at
                .word(
                    &keys::SAYS,
                    step_words(&step.changes, self.system, self.units),
                )
                .into(),
            rows,
        }
    }

    /// Figures before and after, those of several beds together.
    fn effects(&self, effects: &[&Effect]) -> Vec<String> {
        let mut done: Vec<CheckId> = Vec::new();
        let mut out = Vec::new();
        for &effect in effects {
            let beds = matches!(effect.subject, Subject::Bed(_));
            if beds && done.contains(&effect.id) {
                continue;
            }
            done.push(effect.id);
            let alike: Vec<&Effect> = if beds {
                let same = effects
                    .iter()
                    .copied()
                    .filter(|other| other.id == effect.id);
                same.filter(|other| matches!(other.subject, Subject::Bed(_)))
                    .collect()
            } else {
                vec![effect]
            };
            let range = |value: fn(&Effect) -> f64| {
                let values = alike.iter().map(|effect| value(effect));
                let least = values.clone().fold(f64::INFINITY, f64::min);
                let most = values.fold(f64::NEG_INFINITY, f64::max);
                let [low, high] = [least, most].map(|v| shown(v, effect.unit, self.units));
                if low == high {
                    low
                } else {
                    between(&low, "to", &high)
                }
            };
            let subjects: Vec<&str> = alike
                .iter()
                .map(|effect| effect.subject.name(self.system))
                .collect();
            let subjects = match subjects.len() {
                n if n > 1 && n == self.system.beds.len() => "every bed".to_owned(),
                _ => subjects.join(", "),
            };
            let named = Topic::measured(effect.id, effect.subject, &subjects);
            let (before, after) = (range(|effect| effect.before), range(|effect| effect.after));
            let limits = [
                limit(
                    effect.id,
                    effect.at_least.0,
                    &range(|effect| effect.limits.0),
                ),
                limit(
                    effect.id,
                    effect.at_least.1,
                    &range(|effect| effect.limits.1),
                ),
            ];
            // A change of siphon or line moves the limit too.
            out.push(if limits[0] == limits[1] {
                format!("{named}: {before}, then {after} ({})", limits[1])
            } else {
                format!(
                    "{named}: {before} ({}), then {after} ({})",
                    limits[0], limits[1]
                )
            });
        }
        out
    }

    /// What fails, as a list under `key`.
    pub fn failing(&self, key: &str, title: &str, failing: &[Failing]) -> Section {
        let rows = failing.iter().enumerate().map(|(i, one)| {
            let at = self.at.item(key, i);
            let name = one.subject.name(self.system);
            let said = Topic::named(one.id, one.subject, name);
            let events = at.flag(&keys::WITH_EVENTS, one.disturbed);
            let events = if one.disturbed {
                said!(", with the events of the scenario{}", events.said(""))
            } else {
                Text::from(events.said(""))
            };
            said!(
                "{} ({} of {}){}",
                said,
                at.word(&keys::CHECK, one.id.key()),
                at.word(&keys::SUBJECT, name),
                events
            )
        });
        Section::new(title)
            .keyed(key.replace('_', "-"))
            .with(Block::List(rows.collect()))
    }
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
    let after = planned.advice.plan.after.failing();
    let left = planned.failing(keys::FAILING_AFTER.name, "", &after);
    let figures = left.blocks.iter().flat_map(Block::figures).cloned();
    Some(planned.section(false).with(Block::Data(figures.collect())))
}

/// What the step of the plan does that mends this check.
pub(in crate::answer) fn step_for(
    advice: Advice,
    check: &Check,
    report: &Report,
) -> Option<String> {
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

fn names(system: &System, failing: &[&Failing]) -> Vec<String> {
    failing
        .iter()
        .map(|one| Topic::named(one.id, one.subject, one.subject.name(system)))
        .collect()
}

/// A figure of a check; what lies under its zero is not there at all.
fn shown(value: f64, unit: CheckUnit, units: UnitSystem) -> String {
    match unit {
        CheckUnit::Metre if value < 0.0 => "none".to_owned(),
        _ => check_figure(value, unit, units),
    }
}

/// What a limit is to its check.
fn limit(id: CheckId, at_least: bool, shown: &str) -> String {
    match (id, at_least) {
        (CheckId::Starts, _) => format!("beyond doubt from {shown}"),
        (CheckId::Breaks, _) => format!("beyond doubt up to {shown}"),
        (CheckId::Period, true) => format!("usual from {shown}"),
        (CheckId::Period, false) => format!("usual up to {shown}"),
        (_, true) => format!("{shown} at least"),
        (_, false) => format!("{shown} at most"),
    }
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
