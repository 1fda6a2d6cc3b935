//! What fails, before a plan and after it, and what is left to hands.

use super::{Planned, keys};
use crate::answer::{Block, Section, Text, said};
use crate::assessment::Adviser;
use crate::model::System;
use crate::report::{Topic, by_hand};
use crate::study::mend::{Failing, Judged};
use crate::units::display::capital;

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
        let rows = failing.iter().enumerate().map(|(i, one)| {
            let at = self.at.item(key, i);
            let name = one.subject.name(system);
            let said = Topic::named(one.id, one.subject, system);
            let events = at.flag(&keys::WITH_EVENTS, one.disturbed);
            let events = if one.disturbed {
                said!(", with the events of the scenario{}", events.said(""))
            } else {
                Text::from(events.said(""))
            };
            let by_hand = self.by_hand(one, (system, judged)).unwrap_or_default();
            let space = if by_hand.is_empty() { "" } else { ". " };
            said!(
                "{} ({} of {}){}{}{}",
                said,
                at.word(&keys::CHECK, one.id.key()),
                at.word(&keys::SUBJECT, name),
                events,
                space,
                at.word(&keys::BY_HAND, by_hand)
            )
        });
        Section::new(title)
            .keyed(key.replace('_', "-"))
            .with(Block::List(rows.collect()))
    }

    /// What to do about what fails, where that is no change of the scenario.
    fn by_hand(&self, one: &Failing, (system, judged): (&System, &Judged)) -> Option<String> {
        let check = judged.check(one.id, one.subject)?;
        let (system, run) = match &judged.disturbed {
            Some(found) if one.disturbed => (&found.system, &found.run),
            _ => (system, &judged.run),
        };
        let fixes = Adviser::new(system, run, self.units).fixes(check);
        by_hand(system, &fixes, self.units)
    }

    /// What no step mends, each with what to do about it by hand.
    pub(super) fn left_to_hands(&self) -> Vec<Text> {
        let plan = self.advice.plan;
        let after = plan.after.failing();
        let said = after.iter().filter_map(|one| {
            let how = self.by_hand(one, (&plan.mended, &plan.after))?;
            let what = capital(&Topic::named(one.id, one.subject, &plan.mended));
            Some(said!("{}: {}", what, how))
        });
        said.collect()
    }
}
