//! Sizes that are allowed but odd: a slip of the tape or of a unit is asked about, not refused.
//!
//! What is usual is common practice, no source, set here: wide enough that nothing that works
//! and is commonly built lies outside.

use super::fault::{KeyPath, Step};
use crate::units::DAY;

const L_PER_MIN: f64 = 1e-3 / 60.0;
const L_PER_DAY: f64 = 1e-3 / DAY;

/// Keys without the numbers of list entries, and the least and the most that is usual, in SI.
const USUAL: &[(&str, f64, f64)] = &[
    ("room.ceiling", 1.7, 8.0),
    ("water.temperature", 4.0, 36.0),
    ("bed.floor", 0.1, 2.3),
    ("bed.shape.box.length", 0.25, 8.0),
    ("bed.shape.box.width", 0.2, 3.0),
    ("bed.shape.box.depth", 0.12, 0.9),
    ("bed.shape.upright-cylinder.diameter", 0.25, 3.0),
    ("bed.shape.upright-cylinder.depth", 0.12, 0.9),
    ("bed.shape.lying-cylinder.diameter", 0.2, 1.5),
    ("bed.shape.lying-cylinder.length", 0.3, 4.0),
    ("bed.shape.half-drum.length", 0.3, 4.0),
    ("bed.shape.half-drum.width", 0.2, 1.5),
    ("bed.shape.half-drum.depth", 0.12, 0.9),
    ("bed.media.depth", 0.1, 0.6),
    ("bed.media.void", 0.2, 0.6),
    ("bed.media.grain", 0.002, 0.05),
    ("bed.guard.diameter", 0.04, 0.5),
    ("bed.standpipe.bore", 0.0, 0.08),
    ("bed.standpipe.length", 0.06, 0.55),
    ("bed.bell.bore", 0.03, 0.3),
    ("bed.bell.clearance", 0.003, 0.12),
    ("bed.bell.slots.width", 0.002, 0.08),
    ("bed.bell.slots.height", 0.003, 0.12),
    ("bed.bell.air-tube.bore", 0.002, 0.025),
    ("bed.drain.length", 0.08, 20.0),
    ("supply.pipe.bore", 0.008, 0.1),
    ("supply.pipe.length", 0.1, 60.0),
    ("drain-line.pipe.bore", 0.02, 0.2),
    ("drain-line.pipe.length", 0.1, 40.0),
    ("drain-line.slope", 0.002, 0.12),
    ("pump.box.shut-off-head", 0.3, 20.0),
    ("pump.box.open-flow", 1.5 * L_PER_MIN, 1000.0 * L_PER_MIN),
    ("pump.steady-flow", 0.3 * L_PER_MIN, 600.0 * L_PER_MIN),
    ("pump.power", 1.0, 2000.0),
    ("sump.shape.box.length", 0.2, 8.0),
    ("sump.shape.box.width", 0.2, 4.0),
    ("sump.shape.box.depth", 0.12, 2.0),
    ("sump.shape.upright-cylinder.diameter", 0.2, 4.0),
    ("sump.shape.upright-cylinder.depth", 0.12, 2.0),
    ("sump.shape.lying-cylinder.diameter", 0.2, 2.0),
    ("sump.shape.lying-cylinder.length", 0.3, 6.0),
    ("tank.shape.box.length", 0.2, 8.0),
    ("tank.shape.box.width", 0.2, 4.0),
    ("tank.shape.box.depth", 0.12, 2.0),
    ("tank.shape.upright-cylinder.diameter", 0.2, 4.0),
    ("tank.shape.upright-cylinder.depth", 0.12, 2.0),
    ("top-off.flow", 0.02 * L_PER_MIN, 60.0 * L_PER_MIN),
    ("top-off.bore", 0.002, 0.04),
    ("losses.evaporation", 0.0, 200.0 * L_PER_DAY),
];

/// What is usual at `path`, where `value` is not.
pub(super) fn unlike(path: &KeyPath, value: f64) -> Option<(f64, f64)> {
    let keys = path.0.iter().filter_map(|step| match step {
        Step::Key(key) => Some(key.as_str()),
        Step::Entry(_) => None,
    });
    let name = keys.collect::<Vec<_>>().join(".");
    USUAL
        .iter()
        .find(|(key, ..)| *key == name)
        .map(|(_, least, most)| (*least, *most))
        .filter(|&(least, most)| !(least..=most).contains(&value))
}
