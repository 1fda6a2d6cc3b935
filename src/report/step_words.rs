//! What several changes do together, those alike for several beds said once.

use crate::model::{Change, System};
use crate::report::bed_names::merged;
use crate::report::{Text, change_words};
use crate::units::UnitSystem;

/// `changes` of `system`, as one sentence.
pub(crate) fn step_words(changes: &[Change], system: &System, units: UnitSystem) -> Text {
    step_clause(changes, system, units).capital().and(".")
}

/// The same without a capital and a full stop.
pub(crate) fn step_clause(changes: &[Change], system: &System, units: UnitSystem) -> Text {
    let said = changes
        .iter()
        .map(|change| change_words(change, system, units))
        .collect();
    Text::joined(merged(said, system), ", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::BedPart;
    use crate::report::sample::Sample;

    #[test]
    fn what_is_done_to_every_bed_is_said_once() {
        let system = Sample::new().system;
        let cut = |i, length| Change::of_bed(i, BedPart::StandpipeLength, length);
        let said =
            |changes: &[Change]| step_words(changes, &system, UnitSystem::Metric).to_string();
        let alike = said(&[cut(0, 0.2), cut(1, 0.2)]);
        assert!(alike.contains("standpipe of every bed "), "{alike}");
        let apart = said(&[cut(0, 0.2), cut(1, 0.19)]);
        assert!(
            apart.contains("\"north\"") && apart.contains("\"south\""),
            "{apart}"
        );
    }
}
