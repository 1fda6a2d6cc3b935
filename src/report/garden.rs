//! Words on the fish.

use crate::assessment::FishFigures;
use crate::units::UnitSystem;

/// How long the fish have oxygen when pump or air stops.
pub(crate) fn until_low(found: &FishFigures, units: UnitSystem) -> String {
    format!(
        "pump or air stops: low in oxygen (3 mg/L) after {}, at rest after {} at most; {} of water",
        minutes(found.until_low[0], units),
        minutes(found.until_low[1], units),
        units.volume(found.lowest_volume)
    )
}

/// A time down to the minute, where it is that long: nothing here is known to the second.
pub(crate) fn minutes(time: f64, units: UnitSystem) -> String {
    units.time(if time > 600.0 {
        60.0 * (time / 60.0).floor()
    } else {
        time
    })
}
