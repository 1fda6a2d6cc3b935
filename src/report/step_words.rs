//! What several changes do together, those alike for several beds said once.

use crate::model::{Change, System};
use crate::report::bed_names::{bed_name, bed_names};
use crate::report::change_words;
use crate::units::UnitSystem;
use crate::units::display::capital;

/// Stands for the name of a bed while texts are compared; no text holds it.
const SOME_BED: &str = "\u{0}";

/// `changes` of `system`, as one sentence.
pub(crate) fn step_words(changes: &[Change], system: &System, units: UnitSystem) -> String {
    let said: Vec<String> = changes
        .iter()
        .map(|change| change_words(change, system, units))
        .collect();
    capital(&merged(&said, system).join(", ")) + "."
}

/// Texts that differ in nothing but a bed's name become one text of all those beds.
pub(super) fn merged(said: &[String], system: &System) -> Vec<String> {
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for text in said {
        let of = (0..system.beds.len()).find(|&i| text.contains(&bed_name(system, i)));
        let template = match of {
            Some(i) => text.replace(&bed_name(system, i), SOME_BED),
            None => text.clone(),
        };
        match groups.iter_mut().find(|(known, _)| *known == template) {
            Some((_, beds)) => beds.extend(of),
            None => groups.push((template, of.into_iter().collect())),
        }
    }
    groups
        .into_iter()
        .map(|(template, beds)| template.replace(SOME_BED, &bed_names(system, &beds)))
        .collect()
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
        let said = |changes: &[Change]| step_words(changes, &system, UnitSystem::Metric);
        let alike = said(&[cut(0, 0.2), cut(1, 0.2)]);
        assert!(alike.contains("standpipe of every bed "), "{alike}");
        let apart = said(&[cut(0, 0.2), cut(1, 0.19)]);
        assert!(
            apart.contains("\"north\"") && apart.contains("\"south\""),
            "{apart}"
        );
    }
}
