//! Ranges of a map's axes when the user gives none.

use crate::hydraulics::vessel::VesselShape;
use crate::model::System;
use crate::study::map::MapAxis;
use crate::study::map::quantity::{MapQuantity, lowest_outlet};
use crate::study::window::BedWindow;

/// A range of `quantity` around today's value in bed `i` of `system` that shows
/// the edges of its window; `None` for an unknown bed.
///
/// Rounded to no particular figures; always within what the quantity allows.
pub fn usual_axis(
    quantity: MapQuantity,
    system: &System,
    i: usize,
    window: &BedWindow,
) -> Option<MapAxis> {
    let bed = system.beds.get(i)?;
    let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
    let today = quantity.value(system, i).unwrap_or(window.today.range.mean);
    let (sump, pump) = (&system.sump, &system.pump);
    let (from, to) = match quantity {
        MapQuantity::Inflow => inflow(window),
        MapQuantity::Bore => (0.6 * today, 1.6 * today),
        MapQuantity::Drop => (
            0.3 * today,
            (1.8 * today).min(bed.floor - lowest_outlet(bed, system)),
        ),
        MapQuantity::Standpipe => {
            let crown = bell.slots.height;
            // A lip under the slots starts no siphon, one at the rim spills first.
            (crown + 0.2 * (today - crown), 0.98 * bed.rim_height)
        }
        MapQuantity::Flare => (
            pipe.bore,
            // A flare has to pass inside its bell.
            (2.0 * pipe.bore).max(1.1 * today).min(0.95 * bell.bore),
        ),
        MapQuantity::SlotArea | MapQuantity::Clearance => (0.3 * today, 2.5 * today),
        MapQuantity::BellBore => (0.6 * today, 1.6 * today),
        MapQuantity::Void => (0.25_f64.min(0.8 * today), 0.55_f64.max(1.2 * today)),
        MapQuantity::BedArea => (0.4 * today, 2.0 * today),
        // A K of nothing today has no multiples to show.
        MapQuantity::DrainK => (0.0, (3.0 * today).max(4.0)),
        // Within 0 to 40 degC, for which the water's properties are known.
        MapQuantity::Temperature => (2.0, 35.0),
        MapQuantity::SumpLevel => {
            let dry = pump.least_level();
            (
                dry.max(sump.floor),
                top(&sump.shape, sump.floor, sump.overflow_level),
            )
        }
    };
    let (least, most) = quantity.allowed();
    let (from, to) = (from.clamp(least, most), to.clamp(least, most));
    // A value at the very end of what is possible still gets a range.
    let to = if to > from {
        to
    } else {
        from + 0.1 * from.abs().max(1e-3)
    };
    Some(MapAxis { quantity, from, to })
}

/// From below the earliest start to above the nominal break, today's inflow inside.
fn inflow(window: &BedWindow) -> (f64, f64) {
    let today = window.today.range;
    // What the bed gets today, what starts and what breaks it, with room on either side.
    let low = (0.5 * window.window.start.low).min(0.7 * today.min);
    let high = (1.3 * window.window.start.high)
        .max(1.15 * window.breaks_below.nominal)
        .max(1.3 * today.max);
    (low, high)
}

fn top(shape: &VesselShape, floor: f64, overflow: f64) -> f64 {
    overflow.min(floor + shape.depth())
}
