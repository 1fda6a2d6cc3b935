//! What fails, before a plan and after it, and what is left to hands.

use super::{Planned, keys};
use crate::answer::sentence::told_at;
use crate::answer::{Block, Section, Text, said};
use crate::assessment::{Adviser, Check};
use crate::model::System;
use crate::report::{Topic, by_hand};
use crate::simulation::Run;
use crate::study::mend::{Failing, Judged};
use crate::units::UnitSystem;
use crate::units::display::capital;
use std::cell::OnceCell;

impl Planned<'_> {
    /// What fails as things are, as a list.
    pub fn failing_before(&self, title: &str) -> Section {
        let before = (self.system, &self.advice.plan.before);
        self.failing("failing_before", title, before)
    }

    /// What still fails with all steps, as a list.
    pub fn failing_after(&self, title: &str) -> Section {
        let plan = self.advice.plan;
        self.failing(keys::FAILING_AFTER.name, title, (&plan.mended, &plan.after))
    }

    fn failing(&self, key: &str, title: &str, (system, judged): (&System, &Judged)) -> Section {
        let failing = judged.failing();
        let hands = Hands::new((system, judged), self.units);
        let rows = failing.iter().enumerate().map(|(i, one)| {
            let at = self.at.item(key, i);
            let name = one.subject.name(system);
            let named = |one: &Failing| Topic::named(one.id, one.subject, system);
            let said = named(one);
            // Two checks of one question are told apart by what they are called in the results.
            let alike = failing.iter().filter(|&other| named(other) == said).count() > 1;
            let check = at.word(&keys::CHECK, one.id.key());
            let check = if alike {
                said!(" ({})", check)
            } else {
                check.said("").into()
            };
            let events = at.flag(&keys::WITH_EVENTS, one.disturbed);
            let events = if one.disturbed {
                said!(", with the events of the scenario{}", events.said(""))
            } else {
                Text::from(events.said(""))
            };
            let by_hand = hands.help(one).unwrap_or_default();
            let space = if by_hand.is_empty() { "" } else { ". " };
            let by_hand = told_at(&at, &keys::BY_HAND, by_hand);
            said!(
                "{}{}{}{}{}{}",
                said,
                check,
                at.word(&keys::SUBJECT, name).said(""),
                events,
                space,
                by_hand
            )
        });
        Section::new(title)
            .keyed(key.replace('_', "-"))
            .with(Block::List(rows.collect()))
    }

    /// What no step mends, each with what to do about it by hand.
    pub(super) fn left_to_hands(&self) -> Vec<Text> {
        let plan = self.advice.plan;
        let after = plan.after.failing();
        let hands = Hands::new((&plan.mended, &plan.after), self.units);
        let said = after.iter().enumerate().filter_map(|(i, one)| {
            let at = self.at.item(keys::FAILING_AFTER.name, i);
            let how = told_at(&at, &keys::BY_HAND, hands.help(one)?);
            let what = capital(&Topic::named(one.id, one.subject, &plan.mended));
            Some(said!("{}: {}", what, how))
        });
        said.collect()
    }
}

/// What can be done about failures that is no change of the scenario. What a run comes to is
/// worked out once for all of them, and only where one fails in it.
struct Hands<'a> {
    judged: &'a Judged,
    ordinary: Advising<'a>,
    disturbed: Option<Advising<'a>>,
}

struct Advising<'a> {
    system: &'a System,
    run: &'a Run,
    units: UnitSystem,
    adviser: OnceCell<Adviser<'a>>,
}

impl<'a> Hands<'a> {
    fn new((system, judged): (&'a System, &'a Judged), units: UnitSystem) -> Self {
        let advising = |system, run| Advising {
            system,
            run,
            units,
            adviser: OnceCell::new(),
        };
        let disturbed = judged.disturbed.as_ref();
        Self {
            judged,
            ordinary: advising(system, &judged.run),
            disturbed: disturbed.map(|found| advising(&found.system, &found.run)),
        }
    }

    fn help(&self, one: &Failing) -> Option<Text> {
        let check = self.judged.check(one.id, one.subject)?;
        let disturbed = self.disturbed.as_ref().filter(|_| one.disturbed);
        disturbed.unwrap_or(&self.ordinary).help(check)
    }
}

impl Advising<'_> {
    fn help(&self, check: &Check) -> Option<Text> {
        let new = || Adviser::new(self.system, self.run, self.units);
        let fixes = self.adviser.get_or_init(new).fixes(check);
        by_hand(self.system, &fixes, self.units)
    }
}
