//! Whether a file may say what a change comes to.

use super::SAME;
use super::differs::{Difference, differences};
use super::place;
use crate::model::{Change, Quantity, System};
use crate::scenario::format::{Table, Value};
use crate::scenario::keys::FORMAT;
use crate::scenario::typed_edit::Part;

/// Whether the keys of what `change` sets in `system`, or moves along with it, allow the numbers;
/// what sets no one number may say any.
pub(in crate::scenario) fn allows(change: &Change, system: &System) -> bool {
    match change {
        Change::Set { what, to } => may_be(*what, *to, system),
        // What does not fit is told by whoever does it.
        other => other.apply(system).map_or(true, |after| {
            let differ = differences(system, &after, SAME);
            differ.iter().all(|one| match one {
                Difference::Number(what) => {
                    let value = what.value(&after);
                    value.is_none_or(|value| may_be(*what, value, &after))
                }
                _ => true,
            })
        }),
    }
}

fn may_be(what: Quantity, value: f64, system: &System) -> bool {
    let Some(path) = place::of(what, system) else {
        return true;
    };
    let mut table: &Table = &FORMAT;
    for part in path.parts() {
        let Part::Name(name) = part else {
            continue;
        };
        match table.key(name).map(|key| &key.value) {
            Some(Value::Table(below) | Value::Tables(below)) => table = below,
            Some(Value::Quantity(bounds)) => return bounds.allow(value),
            _ => return true,
        }
    }
    true
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::model::{BedPart, Level, Vessel};
    use crate::scenario::{parse, starter};

    // A plan throttled a bed to nothing, and `mend` and `run` ended as if by a defect.
    #[test]
    fn a_plan_sets_no_number_that_the_file_cannot_say() {
        let system = parse(starter(), "starter.toml").unwrap().system;
        let flow = |to: f64| Change::of_bed(0, BedPart::Flow, to);
        assert!(allows(&flow(1e-4), &system));
        assert!(!allows(&flow(0.0), &system));
        assert!(!allows(&flow(3e-12), &system));
        let line = |to: f64| Change::set(Quantity::Level(Vessel::Sump, Level::Start), to);
        assert!(allows(&line(0.3), &system));
        assert!(!allows(&line(1e4), &system));
    }

    // A bed may be raised; the drain pipe that becomes longer with it beyond 100 m may not be said.
    #[test]
    fn what_moves_along_is_held_to_its_key_too() {
        let system = parse(starter(), "starter.toml").unwrap().system;
        let raised = |by: f64| Change::RaiseBed { bed: 0, by };
        assert!(allows(&raised(0.5), &system));
        let long = Change::of_bed(0, BedPart::DrainLength, 99.9);
        let system = long.apply(&system).unwrap();
        assert!(allows(&raised(0.05), &system));
        assert!(!allows(&raised(0.5), &system));
    }
}
