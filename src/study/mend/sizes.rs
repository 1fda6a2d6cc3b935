//! What is sold and what a ruler shows: the sizes that a plan may ask for.

use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize};
use crate::hydraulics::vessel::VesselShape;
pub(super) use crate::study::widen::neighbours;
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
    (value / step + 1e-9).floor() * step
}

/// `value` in whole steps, upwards.
pub(super) fn up(value: f64, step: f64) -> f64 {
    (value / step - 1e-9).ceil() * step
}

/// The narrowest pipe on sale with at least this bore.
pub(super) fn at_least(bore: f64, units: UnitSystem) -> Option<&'static PipeSize> {
    let (_, wider) = neighbours(bore, units, 1);
    let same = PIPE_SIZES
        .iter()
        .find(|size| (size.bore - bore).abs() < 1e-9);
    same.or(wider.first().copied())
}

/// Vessels that people stand under their beds, smallest first: common practice, no source
/// for the measures beyond a drum's own.
pub(super) fn vessels(units: UnitSystem) -> Vec<VesselShape> {
    let drum = crate::study::absorb::COMMON_DRUM;
    let drums = [1_u32, 2, 3, 4].map(f64::from);
    let mut all: Vec<VesselShape> = drums
        .iter()
        .map(|n| VesselShape::LyingCylinder {
            diameter: drum.0,
            length: n * drum.1,
        })
        .collect();
    all.extend(drums.iter().map(|n| VesselShape::UprightCylinder {
        diameter: n.sqrt() * drum.0,
        depth: drum.1,
    }));
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
    all.extend(
        boxes
            .iter()
            .map(|&[length, width, depth]| VesselShape::Box {
                length,
                width,
                depth,
            }),
    );
    all.sort_by(|a, b| a.full_volume().total_cmp(&b.full_volume()));
    all
}
