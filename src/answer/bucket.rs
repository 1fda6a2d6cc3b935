//! The bucket that people time a flow with.

use crate::units::UnitSystem;
use crate::units::amounts;

/// The bucket to time a flow with `[m3]`, and its name.
pub(super) const fn bucket(units: UnitSystem) -> (f64, &'static str) {
    match units {
        UnitSystem::Metric => (amounts::bucket(units), "10 L"),
        UnitSystem::Us => (amounts::bucket(units), "5 gal"),
    }
}
