//! The sump under a map: as it is, but never empty.

use crate::hydraulics::vessel::VesselShape;

/// Water in the basin under the sump `[m3]`: more than any pump takes in the longest time that
/// a point is simulated, also where all of it goes over the wall.
const BASIN: f64 = 4000.0;
/// Height over which the basin narrows to the sump, and from there to the pump's cover `[m]`.
const STEP: f64 = 1e-3;
/// Slabs that a shape with sloping or round walls is cut into.
const SLABS: u32 = 48;
/// Least area, of the widest: a lying drum closes at its top.
const LEAST: f64 = 1e-3;

/// A sump of this `shape` with a wide basin from just above `dry` down to the floor; `dry` is
/// the depth at which the pump draws air `[m]`, and has to be the floor from then on.
///
/// Over a sump that runs dry a map would show the pump drawing air by turns in place of
/// what the siphon does. Above the basin the sump keeps its own area at every depth, to
/// 1e-3 of it where walls are round, and so moves with its bed as it does in a run.
pub(super) fn never_dry(shape: &VesselShape, dry: f64) -> VesselShape {
    let top = shape.depth();
    let from = (dry.max(0.0) + 2.0 * STEP).min(top - STEP);
    if from <= STEP {
        return shape.clone();
    }
    let mut depth = vec![0.0, from - STEP];
    match shape {
        VesselShape::Box { .. } | VesselShape::UprightCylinder { .. } => {
            depth.extend([from, top]);
        }
        VesselShape::Table { depth: own, .. } => {
            depth.push(from);
            depth.extend(own.iter().copied().filter(|&h| h > from + STEP));
        }
        VesselShape::Tapered { .. }
        | VesselShape::LyingCylinder { .. }
        | VesselShape::HalfDrum { .. } => {
            let part = |k| from + (top - from) * f64::from(k) / f64::from(SLABS);
            depth.extend((0..=SLABS).map(part));
        }
    }
    let widest = depth[2..]
        .iter()
        .map(|&h| shape.area(h))
        .fold(0.0, f64::max);
    let area = depth
        .iter()
        .map(|&h| {
            if h < from {
                BASIN / (from - STEP)
            } else {
                shape.area(h).max(LEAST * widest)
            }
        })
        .collect();
    VesselShape::Table { depth, area }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    #[test]
    fn above_the_basin_levels_hold_the_water_they_held() {
        let drum = VesselShape::LyingCylinder {
            diameter: 0.572,
            length: 0.851,
        };
        let tote = VesselShape::Tapered {
            top_length: 0.8,
            top_width: 0.6,
            bottom_length: 0.7,
            bottom_width: 0.5,
            depth: 0.6,
        };
        for shape in [drum, tote] {
            let dry = 0.08;
            let deep = never_dry(&shape, dry);
            deep.check().unwrap();
            let held = |shape: &VesselShape, h: f64| shape.volume(h) - shape.volume(0.40);
            for h in [dry + 0.01, 0.25, 0.50] {
                let (one, other) = (held(&shape, h), held(&deep, h));
                assert!((one - other).abs() < 2e-4, "{shape:?} {h}: {one} {other}");
            }
            // A bed taken from the basin does not move its level to speak of.
            assert!(deep.depth_at(deep.volume(dry + 0.01) - 1.0) > dry);
            assert!(deep.full_volume() > 4000.0);
        }
    }
}
