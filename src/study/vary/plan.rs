//! Plan sizes of vessels: what a tape measures across them.

use crate::hydraulics::vessel::VesselShape;

/// Names of the plan sizes of `shape`, in the order of [`lengthen`]. Upright
/// depths are not among them: levels, rims and overflows are inputs of their own.
/// A table's areas came from lengths that it does not name; they count as squares
/// of one side.
pub(super) const fn sides(shape: &VesselShape) -> &'static [&'static str] {
    match shape {
        VesselShape::Box { .. } | VesselShape::HalfDrum { .. } => &["length", "width"],
        VesselShape::Tapered { .. } => {
            &["top length", "top width", "bottom length", "bottom width"]
        }
        VesselShape::UprightCylinder { .. } => &["diameter"],
        VesselShape::LyingCylinder { .. } => &["diameter", "length"],
        VesselShape::Table { .. } => &["side"],
    }
}

/// Makes the plan size `side` of `shape`, an index into [`sides`], longer by `by`
/// `[m]`. A lying cylinder's diameter is its depth too.
///
/// What comes out may be no vessel: [`VesselShape::check`] tells.
pub(super) fn lengthen(shape: &mut VesselShape, side: usize, by: f64) {
    let sides: &mut [&mut f64] = match shape {
        VesselShape::Box { length, width, .. } | VesselShape::HalfDrum { length, width, .. } => {
            &mut [length, width]
        }
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            ..
        } => &mut [top_length, top_width, bottom_length, bottom_width],
        VesselShape::UprightCylinder { diameter, .. } => &mut [diameter],
        VesselShape::LyingCylinder { diameter, length } => &mut [diameter, length],
        VesselShape::Table { area, .. } => {
            for one in area.iter_mut().filter(|one| **one > 0.0) {
                let longer = one.sqrt() + by;
                // A negative side must not square to a vessel.
                *one = longer * longer.abs();
            }
            return;
        }
    };
    if let Some(one) = sides.get_mut(side) {
        **one += by;
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Every named side, and no other, changes the volume by area of wall times change.
    #[test]
    fn volumes_follow_each_side() {
        let (by, depth) = (0.003, 0.4);
        let shapes = [
            VesselShape::Box {
                length: 1.2,
                width: 0.8,
                depth,
            },
            VesselShape::UprightCylinder {
                diameter: 0.8,
                depth,
            },
            VesselShape::LyingCylinder {
                diameter: 0.6,
                length: 0.9,
            },
            VesselShape::Table {
                depth: vec![0.0, depth],
                area: vec![0.64, 0.64],
            },
        ];
        use std::f64::consts::PI;
        let expected = [
            vec![1.203 * 0.8 * depth, 1.2 * 0.803 * depth],
            vec![PI / 4.0 * 0.803 * 0.803 * depth],
            vec![PI / 4.0 * 0.603 * 0.603 * 0.9, PI / 4.0 * 0.36 * 0.903],
            vec![0.803 * 0.803 * depth],
        ];
        for (shape, expected) in shapes.iter().zip(expected) {
            assert_eq!(sides(shape).len(), expected.len());
            for (side, volume) in expected.into_iter().enumerate() {
                let mut changed = shape.clone();
                lengthen(&mut changed, side, by);
                changed.check().unwrap();
                assert!((changed.full_volume() / volume - 1.0).abs() < 1e-12);
            }
        }
        // Prismoid: depth / 6 times bottom, top and four times the middle.
        let tapered = VesselShape::Tapered {
            top_length: 1.0,
            top_width: 0.8,
            bottom_length: 0.9,
            bottom_width: 0.7,
            depth,
        };
        for side in 0..4 {
            let mut of = [1.0, 0.8, 0.9, 0.7];
            of[side] += by;
            let middle = 0.25 * (of[0] + of[2]) * (of[1] + of[3]);
            let volume = depth / 6.0 * (of[0] * of[1] + of[2] * of[3] + 4.0 * middle);
            let mut changed = tapered.clone();
            lengthen(&mut changed, side, by);
            assert!((changed.full_volume() / volume - 1.0).abs() < 1e-12);
        }
        assert_eq!(sides(&tapered).len(), 4);
    }

    #[test]
    fn a_side_shortened_below_nothing_is_no_vessel() {
        for shape in [
            VesselShape::Box {
                length: 0.05,
                width: 0.05,
                depth: 0.2,
            },
            VesselShape::Table {
                depth: vec![0.0, 0.2],
                area: vec![0.0025, 0.0025],
            },
        ] {
            let mut changed = shape;
            lengthen(&mut changed, 0, -0.06);
            assert!(changed.check().is_err(), "{changed:?}");
        }
    }
}
