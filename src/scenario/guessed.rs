//! What a file says of itself in comments: which sizes were assumed, not measured, for whoever cuts a
//! pipe has to know that its length was never taken with a tape; and that nothing of it is built.

use super::Scenario;
use super::keys::EVERY_BED;

/// The comment line that names what was assumed, by keys with commas between.
const ASSUMED: &str = "# Assumed, not measured: ";

/// The line of a draft of which nothing stands yet.
pub(super) const PLANNED: &str = "Nothing of it has been built.";

/// Of one bed's drain, what was assumed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct GuessedDrain {
    /// The level at which it ends.
    pub outlet: bool,
    /// The developed length.
    pub length: bool,
}

impl Scenario {
    /// Whether it says of itself that nothing of it has been built.
    pub fn is_planned(&self) -> bool {
        let mut lines = self.source.text.lines();
        lines.any(|line| line.strip_prefix("# ") == Some(PLANNED))
    }

    /// What of each bed's drain was assumed, in file order; nothing where the file says nothing of it.
    pub fn guessed_drains(&self) -> Vec<GuessedDrain> {
        let root: toml::Table = self.source.text.parse().unwrap_or_default();
        let beds = root.get("bed").and_then(toml::Value::as_array);
        let lines = self.source.text.lines();
        let told: Vec<&str> = lines
            .filter_map(|line| line.strip_prefix(ASSUMED))
            .flat_map(|keys| keys.split(", "))
            .collect();
        let beds = beds.into_iter().flatten().enumerate();
        beds.map(|(i, bed)| {
            let guessed = |key: &str| {
                let own = bed
                    .get("drain")
                    .is_some_and(|drain| drain.get(key).is_some());
                let of_all = format!("{EVERY_BED}.drain.{key}");
                let of_it = format!("bed[{}].drain.{key}", i + 1);
                told.contains(&&*of_it) || (!own && told.contains(&&*of_all))
            };
            GuessedDrain {
                outlet: guessed("outlet"),
                length: guessed("length"),
            }
        })
        .collect()
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::GuessedDrain;
    use crate::scenario::{parse, starter};

    #[test]
    fn a_file_is_planned_where_it_says_so() {
        let planned = |text: &str| parse(text, "garden.toml").unwrap().is_planned();
        assert!(!planned(starter()));
        assert!(planned(&format!(
            "# Nothing of it has been built.\n{}",
            starter()
        )));
    }

    #[test]
    fn what_was_assumed_of_a_drain_is_that_beds_own() {
        let said = |line: &str| {
            let text = format!("{line}\n{}", starter());
            parse(&text, "starter.toml").unwrap().guessed_drains()[0]
        };
        let neither = GuessedDrain::default();
        assert_eq!(said(""), neither);
        assert_eq!(
            said("# Assumed, not measured: bed[2].drain.outlet, sump.floor"),
            neither
        );
        let found = said("# Assumed, not measured: sump.floor, bed[1].drain.outlet");
        assert_eq!((found.outlet, found.length), (true, false));
        // The starter's bed has a length of its own: that of every bed is another.
        assert_eq!(
            said("# Assumed, not measured: every-bed.drain.length"),
            neither
        );
    }
}
