//! What is sold and what a ruler shows: the sizes that a plan may ask for.

use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, neighbours};
use crate::hydraulics::vessel::VesselShape;
use crate::numerics::in_order::InOrder;
use crate::units::UnitSystem;

const INCH: f64 = 0.0254;

/// The finest step that is cut or set `[m]`: 1 mm or 1/16 in.
pub(super) const fn grain(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 1e-3,
        UnitSystem::Us => INCH / 16.0,
    }
}

/// The step that a level of water is filled to `[m]`: 5 mm or 1/4 in.
pub(super) const fn level_grain(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 5e-3,
        UnitSystem::Us => INCH / 4.0,
    }
}

/// The step of a pipe moved or a bed raised `[m]`: 10 mm or 1/2 in.
pub(super) const fn coarse(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 1e-2,
        UnitSystem::Us => INCH / 2.0,
    }
}

/// `value` in whole steps, downwards.
pub(super) fn down(value: f64, step: f64) -> f64 {
    // Rounding must not cost a whole step.
    (value / step + 1e-9).floor() * step
}

/// `value` in whole steps, upwards.
pub(super) fn up(value: f64, step: f64) -> f64 {
    (value / step - 1e-9).ceil() * step
}

/// The narrowest pipe on sale with at least this bore.
pub(super) fn at_least(bore: f64, units: UnitSystem) -> Option<&'static PipeSize> {
    let (_, wider) = neighbours(bore, units, 1);
    // Neighbours leave out the size itself.
    let same = PIPE_SIZES
        .iter()
        .find(|size| (size.bore - bore).abs() < 1e-9);
    same.or(wider.first().copied())
}

/// Vessels that people stand under their beds and how many of each, least water first: common
/// practice, no source for the measures beyond a drum's own.
pub(super) fn vessels(units: UnitSystem) -> Vec<(VesselShape, u32)> {
    let (diameter, length) = crate::study::absorb::COMMON_DRUM;
    let lying = VesselShape::LyingCylinder { diameter, length };
    let upright = VesselShape::UprightCylinder {
        diameter,
        depth: length,
    };
    let mut all: Vec<(VesselShape, u32)> = (1..=4)
        .flat_map(|count| [(lying.clone(), count), (upright.clone(), count)])
        .collect();
    let boxes: &[[f64; 3]] = match units {
        UnitSystem::Metric => &[
            [0.8, 0.6, 0.4],
            [1.2, 0.8, 0.5],
            [1.5, 1.0, 0.5],
            [2.0, 1.0, 0.6],
            [2.5, 1.2, 0.6],
        ],
        UnitSystem::Us => &[
            [36.0 * INCH, 24.0 * INCH, 16.0 * INCH],
            [48.0 * INCH, 30.0 * INCH, 20.0 * INCH],
            [60.0 * INCH, 40.0 * INCH, 20.0 * INCH],
            [72.0 * INCH, 42.0 * INCH, 24.0 * INCH],
            [96.0 * INCH, 48.0 * INCH, 24.0 * INCH],
        ],
    };
    all.extend(boxes.iter().map(|&[length, width, depth]| {
        let shape = VesselShape::Box {
            length,
            width,
            depth,
        };
        (shape, 1)
    }));
    let holds = |(shape, count): &(VesselShape, u32)| f64::from(*count) * shape.full_volume();
    all.order_by(|a, b| holds(a).total_cmp(&holds(b)));
    all
}
