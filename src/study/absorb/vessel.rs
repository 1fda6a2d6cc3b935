//! Other vessels in the sump's place: how small they may be.

use crate::hydraulics::vessel::VesselShape;
use crate::model::{Change, MOST_JOINED, System, Vessel};
use crate::numerics::root::last_whole;
use crate::simulation::Run;
use crate::study::absorb::drum::{Drum, Stance, stood};
use crate::study::absorb::fill::passes;

/// Largest measure tried `[mm]`, whole.
const LARGEST: f64 = 6000.0;
/// Most drums tried side by side.
const MOST_DRUMS: u32 = MOST_JOINED;

/// The system over so many other vessels, and how far everything over the sump moved up `[m]`.
///
/// Floor, pump and the height of the overflow under the vessel's top stay; outlets,
/// beds, inlets and the line move with the overflow.
pub(super) fn candidate(system: &System, shape: VesselShape, count: u32) -> (System, f64) {
    let mut changed = system.clone();
    let shift = shape.depth() - system.sump.shape.depth();
    let vessel = Vessel::Sump;
    let swap = Change::Replace { vessel, shape }
        .apply_to(&mut changed)
        .and_then(|()| Change::Join { count }.apply_to(&mut changed));
    debug_assert!(swap.is_ok(), "{swap:?}");
    if shift != 0.0 {
        changed.raise(shift);
    }
    (changed, shift)
}

/// The smallest vessel of one family, its measure a whole number of millimetres, that
/// passes; every larger one holds more between the same levels.
pub(super) fn smallest_vessel(
    system: &System,
    run: &Run,
    make: impl Fn(f64) -> VesselShape,
) -> Option<VesselShape> {
    let shape = |millimetres: f64| make(millimetres / 1000.0);
    let enough = |millimetres: f64| passes(&candidate(system, shape(millimetres), 1).0, run);
    // Below this there is no room for an overflow over the floor.
    let sump = &system.sump;
    let mut low = 0.0;
    let above_overflow = sump.top() - sump.overflow_level;
    while low < LARGEST && shape(low + 1.0).depth() <= above_overflow {
        low += 1.0;
    }
    (low < LARGEST && enough(LARGEST)).then(|| shape(last_whole(LARGEST, low, enough)))
}

/// How many such drums, joined at the bottom so that they stand at one level, pass.
pub(super) fn drums_needed(system: &System, run: &Run, drum: Drum, stance: Stance) -> Option<u32> {
    (1..=MOST_DRUMS).find(|&count| {
        let shape = stood(drum, stance);
        passes(&candidate(system, shape, count).0, run)
    })
}
