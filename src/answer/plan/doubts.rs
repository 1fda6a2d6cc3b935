//! What is in doubt with all steps, and what would settle it.

use super::{Planned, keys};
use crate::answer::sentence::told_at;
use crate::answer::told::{Told, told};
use crate::answer::{At, Figure, Text, said};
use crate::assessment::Status;
use crate::report::Topic;

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
        let brought = passed.contains(&one.topic);
        let said = match brought {
            true => " (in no doubt before, this is what the steps cost)",
            false => "",
        };
        at.flag(&keys::BROUGHT, brought).said(said)
    }
}
