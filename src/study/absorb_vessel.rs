//! Other vessels in the sump's place: how to fill them, and how small they may be.

use crate::assessment::{SumpVolumes, sump_volumes};
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Change, MOST_JOINED, System, Vessel};
use crate::numerics::root::{Until, greatest_bearable, last_whole};
use crate::simulation::Run;
use crate::study::absorb::{Drum, FillRange, Stance, freeboard_level, stood};

/// Water that may be missing or too much by rounding `[m3]`.
const SLACK: f64 = 1e-9;
/// Rounds in which a fill is corrected: drowned outlets and the drain line make it
/// move the bounds.
const ROUNDS: usize = 40;
/// Halvings in the search for the highest fill: to far below what a tape shows.
const HALVINGS: Until = Until::Halvings(40);
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

/// Start levels between which both bounds hold.
pub(super) fn fill_range(system: &System, run: &Run) -> FillRange {
    let dry = system.sump.volume_at(system.pump.least_level());
    let full = system.sump.volume_at(freeboard_level(system));
    let least = balanced_fill(system, run, |volumes| dry - volumes.low);
    let most = balanced_fill(system, run, |volumes| full - volumes.high);
    FillRange {
        least,
        most: most.or_else(|| highest_fill(system, run, least?, full)),
    }
}

/// The highest start level from `least` on that keeps the high bound at `full` `[m3]`; `None`
/// where not even `least` does.
///
/// Where more water drowns an outlet the bound jumps, and there may be no fill that meets
/// it exactly: the last before the jump is meant.
fn highest_fill(system: &System, run: &Run, least: f64, full: f64) -> Option<f64> {
    let mut changed = system.clone();
    let mut keeps = |level: f64| {
        changed.sump.start_level = level;
        sump_volumes(&changed, run).high <= full + SLACK
    };
    if !keeps(least) {
        return None;
    }
    let most = system.sump.overflow_level.max(least);
    Some(greatest_bearable(least, most, HALVINGS, keeps))
}

/// The start level at which no water is missing `[m]`; `None` outside the vessel.
fn balanced_fill(system: &System, run: &Run, missing: impl Fn(&SumpVolumes) -> f64) -> Option<f64> {
    let mut changed = system.clone();
    let brim = system.sump.volume_at(system.sump.overflow_level);
    let mut water = system.sump.volume_at(system.sump.start_level);
    for _ in 0..ROUNDS {
        changed.sump.start_level = system.sump.level_of(water);
        let short = missing(&sump_volumes(&changed, run));
        if short.abs() <= 0.5 * SLACK {
            return Some(changed.sump.start_level);
        }
        water += short;
        if !(0.0..=brim).contains(&water) {
            return None;
        }
    }
    None
}

/// Whether some fill keeps both bounds: the least that keeps the pump covered leaves
/// the most room under the overflow.
fn passes(system: &System, run: &Run) -> bool {
    let dry = system.sump.volume_at(system.pump.least_level());
    let full = system.sump.volume_at(freeboard_level(system));
    let Some(least) = balanced_fill(system, run, |volumes| dry - volumes.low) else {
        return false;
    };
    let mut changed = system.clone();
    changed.sump.start_level = least;
    sump_volumes(&changed, run).high <= full + SLACK
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
