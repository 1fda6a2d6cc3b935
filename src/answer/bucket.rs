//! The bucket that people time a flow with.

use crate::units::UnitSystem;

/// The bucket to time a flow with `[m3]`, and its name.
pub(super) const fn bucket(units: UnitSystem) -> (f64, &'static str) {
    match units {
        UnitSystem::Metric => (0.010, "10 L"),
        UnitSystem::Us => (5.0 * 231.0 * 0.0254 * 0.0254 * 0.0254, "5 gal"),
    }
}
