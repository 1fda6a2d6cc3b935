//! Gravel to order.

use crate::hydraulics::circular::full_area;
use crate::model::{Bed, System};

/// Gravel of all beds as it lies there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GravelOrder {
    /// Volume, voids included `[m3]`.
    pub volume: f64,
    /// Mass when dry `[kg]`.
    pub mass: f64,
}

/// Gravel of all beds, the column around each siphon left out.
pub(super) fn order(system: &System) -> GravelOrder {
    let mut sum = GravelOrder::default();
    for bed in &system.beds {
        let volume = bed.shape.volume(bed.media.depth) - column(bed);
        sum.volume += volume;
        sum.mass += volume * (1.0 - bed.media.void) * GRAIN_DENSITY;
    }
    sum
}

/// Volume in the gravel's depth that guard or bell keeps free of it `[m3]`.
fn column(bed: &Bed) -> f64 {
    let bell = &bed.siphon.bell;
    let (across, height) = match &bed.guard {
        Some(guard) => (guard.diameter, bed.media.depth),
        None => {
            let top = bed.siphon.cap_height();
            (bell.outside, top.min(bed.media.depth))
        }
    };
    full_area(across) * height.max(0.0)
}

/// Density of gravel grains `[kg/m3]`; quartz and granite, from memory.
pub(in crate::assessment) const GRAIN_DENSITY: f64 = 2650.0;
