//! What a step does to what failed before it: figures before and after, beside their limits.

use super::{Planned, keys};
use crate::answer::{At, Figure, Key, Row, Text, between, said};
use crate::assessment::{CheckId, CheckUnit, Subject};
use crate::report::{Topic, bed_names, check_figure};
use crate::study::mend::{Effect, Step};
use crate::units::UnitSystem;

/// One effect and its place in the results.
type Placed<'a> = (At, &'a Effect);

impl Planned<'_> {
    /// The effects, for the results.
    pub(super) fn effects_data(&self, at: &At, list: Key, effects: &[Effect]) -> Vec<Figure> {
        let effects = placed(at, list, effects);
        let data = effects.flat_map(|(at, effect)| {
            let figure =
                |key, value| at.in_unit(key, value, effect.unit.symbol(), value.to_string());
            vec![
                at.word(&keys::EFFECT_CHECK, effect.id.key()),
                at.word(&keys::EFFECT_SUBJECT, effect.subject.name(self.system)),
                figure(&keys::BEFORE, effect.before),
                figure(&keys::THEN, effect.after),
                figure(&keys::LIMIT_BEFORE, effect.limits.0),
                figure(&keys::LIMIT_THEN, effect.limits.1),
                at.word(&keys::EFFECT_UNIT, effect.unit.symbol()),
            ]
        });
        data.collect()
    }

    /// What the step brings about; of one that mends nothing by itself, what fails without it.
    pub(super) fn so_that(&self, at: &At, step: &Step) -> Option<Row> {
        let mended: Vec<Placed> = placed(at, keys::EFFECTS, &step.effects)
            .filter(|(_, effect)| effect.mended)
            .collect();
        if !mended.is_empty() {
            let effects = self.effects(&mended, ["", "then "]);
            return Some(Row::new("So that", Text::joined(effects, "; ")));
        }
        let needed: Vec<Placed> = placed(at, keys::NEEDED, &step.needed_for).collect();
        if needed.is_empty() {
            return None;
        }
        let needed = self.effects(&needed, ["without it ", "with it "]);
        let figures = said!("with the other steps done, {}", Text::joined(needed, "; "));
        Some(Row::new("So that", figures))
    }

    /// Figures before and after, those of several beds together.
    /// Each is said with these words in front of what was and of what is.
    fn effects(&self, effects: &[Placed], words: [&str; 2]) -> Vec<Text> {
        let mut done: Vec<CheckId> = Vec::new();
        let mut out = Vec::new();
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
            out.push(self.effect(&alike, words));
        }
        out
    }

    /// The figures of one check of one or several beds.
    fn effect(&self, alike: &[&Placed], [was, is]: [&str; 2]) -> Text {
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
