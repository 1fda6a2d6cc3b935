//! Words on the fish.

use crate::units::UnitSystem;

/// A time down to the minute, where it is that long: nothing here is known to the second.
pub(crate) fn minutes(time: f64, units: UnitSystem) -> String {
    units.time(if time > 600.0 {
        60.0 * (time / 60.0).floor()
    } else {
        time
    })
}
