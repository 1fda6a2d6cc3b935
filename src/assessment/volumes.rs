//! The volumes behind the sump bounds, for those who ask about other sumps.

use crate::assessment::bounds::Balance;
use crate::assessment::parts::Parts;
use crate::assessment::reach::lowest_level;
use crate::assessment::status::SumpBounds;
use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;

/// Water of the whole system at its extremes, whatever the timing.
#[derive(Debug, Clone, PartialEq)]
pub struct SumpVolumes {
    /// The levels that follow.
    pub bounds: SumpBounds,
    /// Water left in the sump with every bed at its highest and all pipes full,
    /// before any is lost over the overflow `[m3]`; negative when there is not enough.
    pub low: f64,
    /// Water that comes to the sump with every bed drained and the pump off `[m3]`;
    /// may be more than it holds.
    pub high: f64,
    /// Water that may have gone over the sump's overflow before the low bound `[m3]`.
    pub lost: f64,
    /// Water in the supply pipes when full `[m3]`.
    pub supply: f64,
    /// How far each bed's water can go, in file order.
    pub beds: Vec<BedReach>,
}

/// Lowest and highest water of a bed, elevations `[m]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BedReach {
    /// Lowest level that its siphon, or an inlet below it, can leave, or that it begins with.
    pub lowest: f64,
    /// Highest level, at most its rim.
    pub highest: f64,
    /// Whether water may go over its wall.
    pub may_spill: bool,
}

/// The water behind [`Assessment::sump`](crate::assessment::Assessment::sump).
///
/// Follows from volumes alone: of `run` nothing is used but that it belongs to a
/// system with the same beds, so one run serves for the same beds over any sump.
/// Valid for every system that the scenario reader accepts.
pub fn sump_volumes(system: &System, run: &Run) -> SumpVolumes {
    let parts = Parts::new(system, run, UnitSystem::Metric);
    let balance = Balance::new(&parts);
    SumpVolumes {
        bounds: balance.bounds,
        low: balance.low_volume,
        high: balance.high_volume,
        lost: balance.lost,
        supply: balance.supply,
        beds: balance
            .highest
            .iter()
            .enumerate()
            .map(|(i, highest)| BedReach {
                lowest: parts.beds()[i]
                    .start_level()
                    .unwrap_or(f64::INFINITY)
                    .min(lowest_level(&parts, i)),
                highest: highest.level,
                may_spill: highest.may_spill,
            })
            .collect(),
    }
}
