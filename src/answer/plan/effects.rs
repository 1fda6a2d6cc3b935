//! What a step does to what failed before it: figures before and after, beside their limits.

use super::{Planned, keys, names};
use crate::answer::{At, Figure, Key, Row, Text, between, said};
use crate::assessment::{CheckId, CheckUnit, Subject};
use crate::report::{Topic, bed_names, check_figure};
use crate::study::mend::{Effect, Step};
use crate::units::UnitSystem;

/// One effect and its place in the results.
type Placed<'a> = (At, &'a Effect);

impl Planned<'_> {
    /// The effects, for the results.
    /// `within`: the step is one of the plan, which has more to say of it.
    pub(super) fn effects_data(
        &self,
        at: &At,
        list: Key,
        (effects, within): (&[Effect], bool),
    ) -> Vec<Figure> {
        let effects = placed(at, list, effects);
        let data = effects.flat_map(|(at, effect)| {
            let figure =
                |key, value| at.in_unit(key, value, effect.unit.symbol(), value.to_string());
            let end = self.with_all(effect).filter(|_| within);
            let end = end.map(|end| figure(&keys::WITH_ALL, end));
            let all = vec![
                at.word(&keys::EFFECT_CHECK, effect.id.key()),
                at.word(&keys::EFFECT_SUBJECT, effect.subject.name(self.system)),
                figure(&keys::BEFORE, effect.before),
                figure(&keys::THEN, effect.after),
                figure(&keys::LIMIT_BEFORE, effect.limits.0),
                figure(&keys::LIMIT_THEN, effect.limits.1),
                at.word(&keys::EFFECT_UNIT, effect.unit.symbol()),
            ];
            all.into_iter().chain(end)
        });
        data.collect()
    }

    /// What the step brings about; of one that by itself mends nothing, what fails without it.
    pub(super) fn so_that(&self, at: &At, step: &Step, within: bool) -> Option<Row> {
        let needed: Vec<Placed> = placed(at, keys::NEEDED, &step.needed_for).collect();
        let others_done =
            |what: Text| Row::new("So that", said!("with the other steps done, {}", what));
        if needed.iter().any(|one| self.reads_other(one)) {
            let needed = self.effects(&needed, ["without it ", "with it "], false);
            return Some(others_done(Text::joined(needed, "; ")));
        }
        if !step.fails_without.is_empty() {
            let failing = names(self.system, &step.fails_without).join(", ");
            return Some(others_done(said!("without it fails: {}", failing)));
        }
        let mended = placed(at, keys::EFFECTS, &step.effects).filter(|(_, effect)| effect.mended);
        let failing = self.advice.plan.before.failing();
        let (at_first, spoilt): (Vec<Placed>, Vec<Placed>) = mended
            .partition(|(_, effect)| failing.iter().any(|it| it.is_of(effect.id, effect.subject)));
        // What an earlier step has spoilt is no reason beside what was wrong.
        let mended = if at_first.is_empty() {
            spoilt
        } else {
            at_first
        };
        let effects = self.effects(&mended, ["", "then "], within);
        (!effects.is_empty()).then(|| Row::new("So that", Text::joined(effects, "; ")))
    }

    /// Whether a figure or its limit reads other after than before.
    fn reads_other(&self, one: &Placed) -> bool {
        let read = |key| range(&[one], key, value_of(key), self.units).to_string();
        read(&keys::BEFORE) != read(&keys::THEN)
            || read(&keys::LIMIT_BEFORE) != read(&keys::LIMIT_THEN)
    }

    /// Figures before and after, those of several beds together.
    /// Each is said with these words in front of what was and of what is.
    /// `within`: what later steps take back is told.
    fn effects(&self, effects: &[Placed], words: [&str; 2], within: bool) -> Vec<Text> {
        let mut done: Vec<CheckId> = Vec::new();
        let mut out = Vec::new();
        // What reads the same before and after says nothing beside what does not.
        let moving = effects.iter().filter(|one| self.reads_other(one));
        let moving: Vec<Placed> = moving.cloned().collect();
        let effects = if moving.is_empty() {
            effects
        } else {
            &moving[..]
        };
        for one in effects {
            let effect = one.1;
            let beds = bed_of(effect.subject).is_some();
            if beds && done.contains(&effect.id) {
                continue;
            }
            done.push(effect.id);
            let alike: Vec<&Placed> = if beds {
                let same = effects.iter().filter(|(_, other)| other.id == effect.id);
                same.filter(|(_, other)| bed_of(other.subject).is_some())
                    .collect()
            } else {
                vec![one]
            };
            let left = within.then(|| self.taken_back(&alike)).flatten();
            out.push(self.effect(&alike, words, left));
        }
        out
    }

    /// The figures of one check of one or several beds.
    fn effect(&self, alike: &[&Placed], [was, is]: [&str; 2], left: Option<Text>) -> Text {
        let Some((_, effect)) = alike.first() else {
            return Text::default();
        };
        let of: Vec<usize> = alike
            .iter()
            .filter_map(|(_, one)| bed_of(one.subject))
            .collect();
        let subjects = if of.is_empty() {
            effect.subject.name(self.system).to_owned()
        } else {
            bed_names(self.system, &of)
        };
        let said = Topic::measured(effect.id, effect.subject, &subjects);
        let range = |key, value| range(alike, key, value, self.units);
        let before = range(&keys::BEFORE, |effect| effect.before);
        let after = range(&keys::THEN, |effect| effect.after);
        let first = range(&keys::LIMIT_BEFORE, |effect| effect.limits.0);
        let first = limit(effect.id, effect.at_least.0, first);
        let then = range(&keys::LIMIT_THEN, |effect| effect.limits.1);
        let then = limit(effect.id, effect.at_least.1, then);
        // What is usual is no limit. A change of siphon or line moves the limit too; what a later
        // step brings within its limit is not measured against it yet.
        let within = |(_, effect): &&Placed| match effect.at_least.1 {
            true => effect.after >= effect.limits.1,
            false => effect.after <= effect.limits.1,
        };
        let after = after.and(left.unwrap_or_default());
        let limited = match effect.id {
            CheckId::Period => false,
            CheckId::TopOff => alike.iter().all(within),
            _ => true,
        };
        if !limited {
            said!("{}: {}{}, {}{}", said, was, before, is, after)
        } else if first.to_string() == then.to_string() {
            said!("{}: {}{}, {}{} ({})", said, was, before, is, after, then)
        } else {
            said!(
                "{}: {}{} ({}), {}{} ({})",
                said,
                was,
                before,
                first,
                is,
                after,
                then
            )
        }
    }

    /// What the figure of an effect is with all steps of the plan `[SI]`.
    fn with_all(&self, effect: &Effect) -> Option<f64> {
        let found = self.advice.plan.after.check(effect.id, effect.subject);
        found.map(|check| check.value)
    }

    /// What later steps leave of what this one brought, where they take some of it back.
    fn taken_back(&self, alike: &[&Placed]) -> Option<Text> {
        // What is usual is no side to be on.
        if alike.iter().any(|(_, effect)| effect.id == CheckId::Period) {
            return None;
        }
        let in_the_end: Vec<(At, Effect)> = alike
            .iter()
            .filter_map(|(at, effect)| {
                let after = self.with_all(effect)?;
                Some((at.clone(), Effect { after, ..**effect }))
            })
            .collect();
        let less = |(now, (_, end)): (&&Placed, &(At, Effect))| match now.1.at_least.1 {
            true => end.after < now.1.after,
            false => end.after > now.1.after,
        };
        if in_the_end.len() < alike.len() || !alike.iter().zip(&in_the_end).any(less) {
            return None;
        }
        let ends: Vec<Placed> = in_the_end
            .iter()
            .map(|(at, end)| (at.clone(), end))
            .collect();
        let ends: Vec<&Placed> = ends.iter().collect();
        let then = range(alike, &keys::THEN, |effect| effect.after, self.units);
        let end = range(&ends, &keys::WITH_ALL, |effect| effect.after, self.units);
        (then.to_string() != end.to_string()).then(|| said!(", with all steps {}", end))
    }
}

/// Effects with their places in this list of a step.
fn placed<'a>(
    at: &At,
    list: Key,
    effects: &'a [Effect],
) -> impl Iterator<Item = Placed<'a>> + use<'a> {
    let at = at.clone();
    let effects = effects.iter().enumerate();
    effects.map(move |(i, effect)| (at.item(list.name, i), effect))
}

/// The least and the greatest of several figures, or the one that both are.
fn range(alike: &[&Placed], key: &Key, value: fn(&Effect) -> f64, units: UnitSystem) -> Text {
    let figure = |(at, effect): &Placed| {
        let value = value(effect);
        let shown = shown(value, effect.unit, units);
        at.in_unit(key, value, effect.unit.symbol(), shown)
    };
    let order = |a: &&&Placed, b: &&&Placed| value(a.1).total_cmp(&value(b.1));
    let low = alike.iter().min_by(order).map(|one| figure(one));
    let high = alike.iter().max_by(order).map(|one| figure(one));
    match (low, high) {
        (Some(low), Some(high)) if low.shown != high.shown => between(low, "to", high),
        (low, _) => low.into(),
    }
}

/// What of an effect stands under one of these keys.
fn value_of(key: &Key) -> fn(&Effect) -> f64 {
    match key.name {
        name if name == keys::BEFORE.name => |effect| effect.before,
        name if name == keys::THEN.name => |effect| effect.after,
        name if name == keys::LIMIT_BEFORE.name => |effect| effect.limits.0,
        _ => |effect| effect.limits.1,
    }
}

const fn bed_of(subject: Subject) -> Option<usize> {
    match subject {
        Subject::Bed(i) => Some(i),
        _ => None,
    }
}

/// A figure of a check; what lies under its zero is not there at all.
fn shown(value: f64, unit: CheckUnit, units: UnitSystem) -> String {
    match unit {
        CheckUnit::Metre if value < 0.0 => "none".to_owned(),
        _ => check_figure(value, unit, units),
    }
}

/// What a limit is to its check.
fn limit(id: CheckId, at_least: bool, shown: Text) -> Text {
    match (id, at_least) {
        (CheckId::Starts, _) => said!("beyond doubt from {}", shown),
        (CheckId::Breaks, _) => said!("beyond doubt up to {}", shown),
        (CheckId::DrainLine, _) => said!("it could carry {}", shown),
        (_, true) => said!("{} at least", shown),
        (_, false) => said!("{} at most", shown),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::scenario::parse;
    use crate::study::mend::{Wish, mend};

    // A step that brings more than is left in the end says both; one that keeps it says it once.
    #[test]
    fn a_step_says_what_later_ones_take_back() {
        let text = include_str!("../../../scenarios/sump-runs-dry.toml");
        let system = parse(text, "one.toml").unwrap().system;
        let units = UnitSystem::Metric;
        let mut plan = mend(&system, Wish::anything(units), &|_| {}).unwrap();
        let said = |plan: &crate::study::mend::Plan| {
            let planned = Planned::alone(plan, &system);
            let last = planned.so_that(&planned.at, plan.steps.last().unwrap(), true);
            last.unwrap().text.to_string()
        };
        let all = plan.steps.len();
        let in_metres = |one: &&mut Effect| one.mended && one.unit == CheckUnit::Metre;
        assert!(!said(&plan).contains("with all steps"), "{}", said(&plan));
        let effects = &mut plan.steps[all - 1].effects;
        let first = effects.iter_mut().find(in_metres).unwrap();
        first.after += if first.at_least.1 { 0.02 } else { -0.02 };
        assert!(said(&plan).contains(", with all steps "), "{}", said(&plan));
        let effects = &mut plan.steps[all - 1].effects;
        let first = effects.iter_mut().find(in_metres).unwrap();
        first.after -= if first.at_least.1 { 0.04 } else { -0.04 };
        assert!(!said(&plan).contains("with all steps"), "{}", said(&plan));
    }
}
