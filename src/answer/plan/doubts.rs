//! What is in doubt with all steps, and what would settle it.

use super::{Planned, keys};
use crate::answer::sentence::told_at;
use crate::answer::told::Told;
use crate::answer::{Text, said};
use crate::assessment::Status;

impl Planned<'_> {
    /// Each answer of the mended system that is in doubt, with its figures.
    pub(super) fn doubts(&self, answers: &[Told]) -> Vec<Text> {
        let doubtful = answers.iter().filter(|one| one.status == Status::Warn);
        doubtful
            .enumerate()
            .map(|(i, one)| {
                let at = self.at.item(keys::DOUBTS.name, i);
                let settles = one.settles.as_ref();
                let settles =
                    settles.map(|how| said!(" {}", at.word(&keys::SETTLES, how.as_str())));
                said!(
                    "{}: {}{}",
                    at.word(&keys::TOPIC, one.topic.key())
                        .said(one.topic.label()),
                    told_at(&at, &keys::WORDS, one.words.clone()),
                    settles
                )
            })
            .collect()
    }
}
