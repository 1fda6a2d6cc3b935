//! From a bed's edge through its gravel to the siphon.

use crate::hydraulics::guard_openings::{GuardOpenings, SLOT_COEFFICIENT};
use crate::hydraulics::packed_bed::GravelLaw;
use crate::hydraulics::radial_inflow::RadialInflow;
use crate::hydraulics::water::Water;
use crate::model::Bed;

/// The way of the water of `bed` through its gravel and guard; `None` where no grain
/// size is given, or nothing lies between the guard and the bed's half width.
///
/// Gravel by Ergun with the drainable void as its porosity; openings spread over
/// the depth of the media; the bed's half width as the outer radius, the bell's
/// outside as the inner one where there is no guard.
pub fn gravel_way(bed: &Bed, water: &Water) -> Option<RadialInflow> {
    let clean = GravelLaw::Ergun
        .resistance(bed.media.grain?, bed.media.void, water)
        .ok()?;
    let openings = bed.guard.as_ref().and_then(|guard| {
        GuardOpenings::new(guard.slot_area?, bed.media.depth, SLOT_COEFFICIENT).ok()
    });
    let inner = bed
        .guard
        .as_ref()
        .map_or(bed.siphon.bell.outside, |guard| guard.diameter);
    RadialInflow::new(
        clean.fouled(bed.media.fouling),
        0.5 * inner,
        bed.shape.half_width(),
        openings,
    )
    .ok()
}
