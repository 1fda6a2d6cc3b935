//! What is in doubt with all steps, and what would settle it.

use super::{Planned, keys};
use crate::answer::sentence::told_at;
use crate::answer::told::{Told, told};
use crate::answer::{At, Figure, Text, said};
use crate::assessment::{Status, Subject};
use crate::report::{Topic, bed_names};
use crate::study::mend::Judged;

impl Planned<'_> {
    /// Each answer of the mended system that is in doubt, with its figures.
    pub(super) fn doubts(&self, answers: &[Told]) -> Vec<Text> {
        let passed = self.passed_before();
        let doubtful = answers.iter().filter(|one| one.status == Status::Warn);
        doubtful
            .enumerate()
            .map(|(i, one)| {
                let at = self.at.item(keys::DOUBTS.name, i);
                let settles = one.settles.as_ref();
                let settles =
                    settles.map(|how| said!(" {}", at.word(&keys::SETTLES, how.as_str())));
                let brought = self.brought(&at, one, &passed);
                said!(
                    "{}{}: {}{}",
                    at.word(&keys::TOPIC, one.topic.key())
                        .said(one.topic.label()),
                    brought,
                    told_at(&at, &keys::WORDS, one.words.clone()),
                    settles
                )
            })
            .collect()
    }

    /// What was in no doubt before the steps; nothing where there are none.
    fn passed_before(&self) -> Vec<Topic> {
        if self.advice.plan.steps.is_empty() {
            return Vec::new();
        }
        let before = self.before();
        let passed = told(&before).filter(|one| one.status == Status::Pass);
        passed.map(|one| one.topic).collect()
    }

    /// What a plan mends may cost elsewhere; that is not found out afterwards.
    fn brought(&self, at: &At, one: &Told, passed: &[Topic]) -> Figure {
        let whole = passed.contains(&one.topic);
        let beds = match whole || self.advice.plan.steps.is_empty() {
            true => Vec::new(),
            false => self.brought_to(one.topic),
        };
        let said = match (whole, beds.as_slice()) {
            (true, _) => " (in no doubt before, this is what the steps cost)".to_owned(),
            (false, []) => String::new(),
            (false, beds) => format!(
                " (in no doubt before for {}, this is what the steps cost)",
                bed_names(self.system, beds)
            ),
        };
        let brought = whole || !beds.is_empty();
        at.flag(&keys::BROUGHT, brought).said(said)
    }

    /// Beds of which this was in no doubt before the steps, and is with them.
    fn brought_to(&self, topic: Topic) -> Vec<usize> {
        let plan = self.advice.plan;
        let of = |judged: &Judged, bed: usize| {
            let checks = judged.assessment.checks.iter();
            let own = checks.filter(|check| {
                check.subject == Subject::Bed(bed)
                    && Topic::of(check.id) == topic
                    && !check.informs()
            });
            own.map(|check| check.status).max()
        };
        let beds = 0..plan.mended.beds.len();
        beds.filter(|&bed| {
            of(&plan.before, bed) == Some(Status::Pass) && of(&plan.after, bed) > Some(Status::Pass)
        })
        .collect()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::assessment::CheckId;
    use crate::scenario::parse;
    use crate::study::mend::{Wish, mend};
    use crate::units::UnitSystem;

    // Only what had passed for every bed was told as a cost: of two beds one was in doubt before, and the other's
    // doubt was no news.
    #[test]
    fn a_bed_that_a_plan_brings_into_doubt_is_named_beside_one_that_was() {
        let text = include_str!("../../../tests/page/cellar.toml");
        let system = parse(text, "cellar.toml").unwrap().system;
        let units = UnitSystem::Metric;
        let mut plan = mend(&system, Wish::anything(units), &|_| {}).unwrap();
        let stops = |plan: &crate::study::mend::Plan| {
            let planned = Planned::alone(plan, &system);
            let answers: Vec<Told> = told(&planned.mended()).collect();
            let said = planned.doubts(&answers).into_iter();
            let mut said = said.map(|one| one.to_string());
            said.find(|one| one.starts_with("Stops")).unwrap()
        };
        let all = stops(&plan);
        assert!(all.starts_with("Stops (in no doubt before, this"), "{all}");
        let of = |one: &&mut crate::assessment::Check, bed: &str| {
            let found = system.beds.iter().position(|one| one.name == bed);
            one.id == CheckId::Breaks && one.subject == Subject::Bed(found.unwrap())
        };
        let checks = plan.before.assessment.checks.iter_mut();
        checks
            .filter(|one| of(one, "wall"))
            .for_each(|one| one.status = Status::Warn);
        let one = stops(&plan);
        let costs = "Stops (in no doubt before for \"window\", this is what the steps cost)";
        assert!(one.starts_with(costs), "{one}");
        let checks = plan.before.assessment.checks.iter_mut();
        checks
            .filter(|one| of(one, "window"))
            .for_each(|one| one.status = Status::Warn);
        let none = stops(&plan);
        assert!(none.starts_with("Stops: "), "{none}");
    }
}
