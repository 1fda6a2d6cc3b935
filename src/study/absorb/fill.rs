//! How full a sump may be: start levels that keep the pump covered and the freeboard.

use crate::assessment::{SumpVolumes, kept_under, sump_volumes};
use crate::model::System;
use crate::numerics::root::{Until, greatest_bearable};
use crate::simulation::Run;

/// Water that may be missing or too much by rounding `[m3]`.
const SLACK: f64 = 1e-9;

/// Rounds in which a fill is corrected: drowned outlets and the drain line make it
/// move the bounds.
const ROUNDS: usize = 40;

/// Halvings in the search for the highest fill: to far below what a tape shows.
const HALVINGS: Until = Until::Halvings(40);

/// Start levels of the sump between which both bounds hold `[m]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillRange {
    /// Least that keeps the pump covered; `None`: not even filled to the brim.
    pub least: Option<f64>,
    /// Most that keeps the freeboard; `None`: not even nearly empty.
    pub most: Option<f64>,
    /// What the sump's highest water stays under between them `[m]`.
    pub top: f64,
}

impl FillRange {
    /// Both ends `[m]`, where some level keeps both bounds.
    pub fn range(&self) -> Option<(f64, f64)> {
        match (self.least, self.most) {
            (Some(least), Some(most)) if least <= most => Some((least, most)),
            _ => None,
        }
    }
}

/// Level over which less than the wanted freeboard is left under the overflow `[m]`.
pub fn freeboard_level(system: &System) -> f64 {
    system.sump.overflow_level - system.thresholds.sump_freeboard
}

/// Start levels between which both bounds hold: under the holes in the sump's wall where there is
/// room, else as if they were sealed.
pub(in crate::study) fn fill_range(system: &System, run: &Run) -> FillRange {
    let rim = freeboard_level(system);
    let under_a_hole = kept_under(system, rim).filter(|&top| top < rim);
    let mut under = under_a_hole.map(|top| range_under(system, run, top));
    under
        .find(|found| found.range().is_some())
        .unwrap_or_else(|| range_under(system, run, rim))
}

/// The same with the sump's highest water at `top` `[m]` at most.
fn range_under(system: &System, run: &Run, top: f64) -> FillRange {
    let dry = system.sump.volume_at(system.pump.least_level());
    let full = system.sump.volume_at(top);
    let least = balanced_fill(system, run, |volumes| dry - volumes.low);
    let most = balanced_fill(system, run, |volumes| full - volumes.high);
    FillRange {
        least,
        most: most.or_else(|| highest_fill(system, run, least?, full)),
        top,
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
        // Half of it, so that whoever looks again with all of it agrees.
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
pub(super) fn passes(system: &System, run: &Run) -> bool {
    let dry = system.sump.volume_at(system.pump.least_level());
    let full = system.sump.volume_at(freeboard_level(system));
    let Some(least) = balanced_fill(system, run, |volumes| dry - volumes.low) else {
        return false;
    };
    let mut changed = system.clone();
    changed.sump.start_level = least;
    sump_volumes(&changed, run).high <= full + SLACK
}
