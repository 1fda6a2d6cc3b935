//! Volume, area and depth of containers.
//!
//! Depth `h` is measured from the vessel's floor. Below the floor everything
//! is zero. Above the top edge the vessel goes on with its top area, so that
//! an overfull state stays invertible; a lying cylinder is closed and holds
//! no more than its full volume.

mod depth_curve;
mod frustum;
mod measures;
mod quintic;
mod segment;
mod steps;

use std::f64::consts::PI;

use super::circular;
use frustum::Frustum;
use measures::{check_table, positive};
use segment::segment_depth;
use steps::{linear_area_depth, slab, table_area};

pub use depth_curve::DepthCurve;
pub use measures::VesselError;

/// Shape of a container's inside.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::vessel::VesselShape;
/// let drum = VesselShape::LyingCylinder { diameter: 0.5715, length: 0.8509 };
/// drum.check()?;
/// let v = drum.volume(0.20);
/// assert!((v - 0.0681).abs() < 0.0001); // m3
/// assert!((drum.depth_at(v) - 0.20).abs() < 1e-12);
/// # Ok::<(), ebbwright::hydraulics::vessel::VesselError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub enum VesselShape {
    /// Upright walls, rectangular.
    Box {
        /// Inside length `[m]`.
        length: f64,
        /// Inside width `[m]`.
        width: f64,
        /// Inside depth `[m]`.
        depth: f64,
    },
    /// A tote with sloping walls: rectangular at every depth, length and
    /// width linear from bottom to top (prismoid).
    Tapered {
        /// Inside length at the top `[m]`.
        top_length: f64,
        /// Inside width at the top `[m]`.
        top_width: f64,
        /// Inside length at the bottom `[m]`.
        bottom_length: f64,
        /// Inside width at the bottom `[m]`.
        bottom_width: f64,
        /// Inside depth `[m]`.
        depth: f64,
    },
    /// A barrel or round tank on its end.
    UprightCylinder {
        /// Inside diameter `[m]`.
        diameter: f64,
        /// Inside depth `[m]`.
        depth: f64,
    },
    /// A drum on its side with flat ends.
    LyingCylinder {
        /// Inside diameter `[m]`.
        diameter: f64,
        /// Inside length `[m]`.
        length: f64,
    },
    /// A drum on its side with flat ends whose top is cut away lengthwise: told by what a tape
    /// reads, since nothing of its circle has to be whole. Cut over its middle it is deeper than
    /// half as wide.
    HalfDrum {
        /// Inside length `[m]`.
        length: f64,
        /// Inside width across the opening `[m]`.
        width: f64,
        /// Inside depth at the middle `[m]`.
        depth: f64,
    },
    /// Water area measured at several depths, linear between them.
    Table {
        /// Depths from the floor `[m]`, the first 0, rising.
        depth: Vec<f64>,
        /// Areas at those depths `[m2]`; the first may be 0, the others are above it.
        area: Vec<f64>,
    },
}

/// Diameter `[m]` of the circle whose chord of `width` `[m]` lies `depth` `[m]` over its lowest point.
///
/// Range: both above zero. Exact geometry: of chord `w` and height `h` of an arc,
/// `d = h + w^2 / (4 h)` (intersecting chords, Euclid, Elements, III.35, from memory).
pub fn circle_through(width: f64, depth: f64) -> f64 {
    depth + 0.25 * width * width / depth
}

impl VesselShape {
    /// So many such vessels, joined at the bottom so that they stand at one level, as one
    /// shape with their areas together at every depth. Valid for any `count`; none counts
    /// as one. Derived here: areas add.
    #[must_use]
    pub fn joined(&self, count: u32) -> Self {
        let n = f64::from(count.max(1));
        let mut all = self.clone();
        match &mut all {
            VesselShape::Box { length, .. }
            | VesselShape::LyingCylinder { length, .. }
            | VesselShape::HalfDrum { length, .. } => *length *= n,
            VesselShape::Tapered {
                top_length,
                bottom_length,
                ..
            } => {
                *top_length *= n;
                *bottom_length *= n;
            }
            VesselShape::UprightCylinder { diameter, .. } => *diameter *= n.sqrt(),
            VesselShape::Table { area, .. } => area.iter_mut().for_each(|one| *one *= n),
        }
        all
    }

    /// Refuses measures that make no vessel: all in `[m]` or `[m2]`.
    ///
    /// Range: every measure finite and above zero; a table starts at depth 0
    /// and rises. The other methods assume a shape that passed this.
    ///
    /// # Errors
    /// [`VesselError`] naming the first bad measure.
    pub fn check(&self) -> Result<(), VesselError> {
        match self {
            VesselShape::Box {
                length,
                width,
                depth,
            }
            | VesselShape::HalfDrum {
                length,
                width,
                depth,
            } => positive(&[("length", *length), ("width", *width), ("depth", *depth)]),
            VesselShape::Tapered {
                top_length,
                top_width,
                bottom_length,
                bottom_width,
                depth,
            } => positive(&[
                ("top length", *top_length),
                ("top width", *top_width),
                ("bottom length", *bottom_length),
                ("bottom width", *bottom_width),
                ("depth", *depth),
            ]),
            VesselShape::UprightCylinder { diameter, depth } => {
                positive(&[("diameter", *diameter), ("depth", *depth)])
            }
            VesselShape::LyingCylinder { diameter, length } => {
                positive(&[("diameter", *diameter), ("length", *length)])
            }
            VesselShape::Table { depth, area } => check_table(depth, area),
        }
    }

    /// Inside depth when full `[m]`. Valid for every shape.
    pub fn depth(&self) -> f64 {
        match self {
            VesselShape::Box { depth, .. }
            | VesselShape::Tapered { depth, .. }
            | VesselShape::UprightCylinder { depth, .. }
            | VesselShape::HalfDrum { depth, .. } => *depth,
            VesselShape::LyingCylinder { diameter, .. } => *diameter,
            VesselShape::Table { depth, .. } => depth.last().copied().unwrap_or(0.0),
        }
    }

    /// Volume when full to the brim `[m3]`. Valid for every shape.
    pub fn full_volume(&self) -> f64 {
        self.volume(self.depth())
    }

    /// Volume over depth when full `[m2]`. Valid for every shape.
    pub fn mean_area(&self) -> f64 {
        self.full_volume() / self.depth()
    }

    /// Water volume `[m3]` at depth `h` `[m]`.
    ///
    /// Valid for any depth: zero at and below the floor; above the top the top
    /// area goes on upwards (lying cylinder: stays at the full volume).
    pub fn volume(&self, h: f64) -> f64 {
        if h <= 0.0 {
            return 0.0;
        }
        match self {
            VesselShape::Box { length, width, .. } => length * width * h,
            VesselShape::Tapered {
                top_length,
                top_width,
                bottom_length,
                bottom_width,
                depth,
            } => Frustum::new(
                [*top_length, *top_width],
                [*bottom_length, *bottom_width],
                *depth,
            )
            .volume(h),
            VesselShape::UprightCylinder { diameter, .. } => 0.25 * PI * diameter * diameter * h,
            VesselShape::LyingCylinder { diameter, length } => {
                length * circular::area(*diameter, h)
            }
            VesselShape::HalfDrum {
                length,
                width,
                depth,
            } => {
                let within = length * circular::area(circle_through(*width, *depth), h.min(*depth));
                within + length * width * (h - depth).max(0.0)
            }
            VesselShape::Table { depth, area } => {
                let mut sum = 0.0;
                for i in 1..depth.len().min(area.len()) {
                    if h <= depth[i] {
                        let a = table_area(depth, area, h);
                        return sum + 0.5 * (area[i - 1] + a) * (h - depth[i - 1]);
                    }
                    sum += slab(depth, area, i);
                }
                sum + self.area(h) * (h - self.depth())
            }
        }
    }

    /// Water surface `[m2]` at depth `h` `[m]`, the derivative of [`volume`](Self::volume).
    ///
    /// Valid for any depth: the floor's area at and below the floor, the top
    /// area above the top (lying cylinder: zero at both).
    pub fn area(&self, h: f64) -> f64 {
        match self {
            VesselShape::Box { length, width, .. } => length * width,
            VesselShape::Tapered {
                top_length,
                top_width,
                bottom_length,
                bottom_width,
                depth,
            } => Frustum::new(
                [*top_length, *top_width],
                [*bottom_length, *bottom_width],
                *depth,
            )
            .area(h),
            VesselShape::UprightCylinder { diameter, .. } => 0.25 * PI * diameter * diameter,
            VesselShape::LyingCylinder { diameter, length } => {
                length * circular::top_width(*diameter, h)
            }
            VesselShape::HalfDrum {
                length,
                width,
                depth,
            } if h < *depth => length * circular::top_width(circle_through(*width, *depth), h),
            VesselShape::HalfDrum { length, width, .. } => length * width,
            VesselShape::Table { depth, area } => table_area(depth, area, h),
        }
    }

    /// Depth `[m]` of a water volume `[m3]`, the inverse of [`volume`](Self::volume) to 1e-12 relative.
    ///
    /// Valid for any volume: zero or less gives 0; more than full goes on
    /// above the top (lying cylinder: stays at the diameter).
    pub fn depth_at(&self, volume: f64) -> f64 {
        if volume <= 0.0 {
            return 0.0;
        }
        match self {
            VesselShape::Box { length, width, .. } => volume / (length * width),
            VesselShape::Tapered {
                top_length,
                top_width,
                bottom_length,
                bottom_width,
                depth,
            } => Frustum::new(
                [*top_length, *top_width],
                [*bottom_length, *bottom_width],
                *depth,
            )
            .depth_at(volume),
            VesselShape::UprightCylinder { diameter, .. } => {
                volume / (0.25 * PI * diameter * diameter)
            }
            VesselShape::LyingCylinder { diameter, length } => {
                let full = 0.25 * PI * diameter * diameter * length;
                diameter * segment_depth(volume / full)
            }
            VesselShape::HalfDrum {
                length,
                width,
                depth,
            } => {
                let diameter = circle_through(*width, *depth);
                let circle = 0.25 * PI * diameter * diameter * length;
                let within = diameter * segment_depth(volume / circle);
                if within < *depth {
                    within
                } else {
                    depth + (volume - self.full_volume()) / (length * width)
                }
            }
            VesselShape::Table { depth, area } => {
                let mut left = volume;
                for i in 1..depth.len().min(area.len()) {
                    let slab = slab(depth, area, i);
                    if left <= slab {
                        let rise = (area[i] - area[i - 1]) / (depth[i] - depth[i - 1]);
                        return depth[i - 1] + linear_area_depth(area[i - 1], rise, left);
                    }
                    left -= slab;
                }
                self.depth() + left / self.area(self.depth())
            }
        }
    }

    /// Shortest horizontal half extent `[m]`, half the smaller of width and
    /// length at mid-depth; the distance water travels sideways to a drain in
    /// the middle. Valid for every shape; a table counts as a circle of its
    /// mean area.
    pub fn half_width(&self) -> f64 {
        match self {
            VesselShape::Box { length, width, .. } => 0.5 * length.min(*width),
            VesselShape::Tapered {
                top_length,
                top_width,
                bottom_length,
                bottom_width,
                ..
            } => 0.25 * (top_length + bottom_length).min(top_width + bottom_width),
            VesselShape::UprightCylinder { diameter, .. } => 0.5 * diameter,
            VesselShape::LyingCylinder { diameter, length } => 0.5 * diameter.min(*length),
            VesselShape::HalfDrum { length, depth, .. } => {
                0.5 * length.min(self.area(0.5 * depth) / length)
            }
            VesselShape::Table { .. } => (self.full_volume() / (PI * self.depth())).sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    fn shapes() -> Vec<VesselShape> {
        vec![
            VesselShape::Box {
                length: 1.2,
                width: 0.8,
                depth: 0.3,
            },
            VesselShape::Tapered {
                top_length: 0.6,
                top_width: 0.4,
                bottom_length: 0.5,
                bottom_width: 0.32,
                depth: 0.35,
            },
            VesselShape::Tapered {
                top_length: 0.1,
                top_width: 0.4,
                bottom_length: 0.9,
                bottom_width: 0.2,
                depth: 0.5,
            },
            VesselShape::UprightCylinder {
                diameter: 0.57,
                depth: 0.85,
            },
            VesselShape::LyingCylinder {
                diameter: 0.57,
                length: 0.85,
            },
            VesselShape::HalfDrum {
                length: 0.85,
                width: 0.57,
                depth: 0.285,
            },
            // Cut above its middle, and under it.
            VesselShape::HalfDrum {
                length: 0.85,
                width: 0.5,
                depth: 0.4,
            },
            VesselShape::HalfDrum {
                length: 0.85,
                width: 0.5,
                depth: 0.2,
            },
            VesselShape::Table {
                depth: vec![0.0, 0.1, 0.15, 0.4],
                area: vec![0.0, 0.3, 0.3, 0.2],
            },
        ]
    }

    #[test]
    fn depth_is_the_inverse_of_volume_to_1e_12() {
        for shape in shapes() {
            shape.check().unwrap();
            let top = shape.depth();
            for i in 1..=3000 {
                // Below the top, and above it where that means something.
                let h = top * f64::from(i) / 2000.0;
                let back = shape.depth_at(shape.volume(h));
                let lying = matches!(shape, VesselShape::LyingCylinder { .. });
                let expected = if lying { h.min(top) } else { h };
                // Near the crown of a lying drum the volume hardly grows: depth
                // is as good as the volume's rounding lets it be.
                let fine = (back / expected - 1.0).abs() < 1e-12
                    || (lying && (shape.volume(back) / shape.volume(h) - 1.0).abs() < 1e-15);
                assert!(fine, "{shape:?}: {h} came back as {back}");
            }
        }
    }

    /// One side opens while the other closes: the area is nothing like a straight line.
    #[test]
    fn a_vessel_twisted_from_edge_to_edge_is_inverted_as_well() {
        for ends in [
            [20.0, 0.0454, 0.0789, 0.0747],
            [0.02, 5.5887, 5.2134, 0.2729],
        ] {
            let [bottom_length, bottom_width, top_length, top_width] = ends;
            let shape = VesselShape::Tapered {
                top_length,
                top_width,
                bottom_length,
                bottom_width,
                depth: 0.8,
            };
            for i in 1..=2000 {
                let h = 0.8 * f64::from(i) / 2000.0;
                let v = shape.volume(h);
                let back = shape.depth_at(v);
                let same =
                    (shape.volume(back) / v - 1.0).abs() < 1e-12 && (0.0..=0.8).contains(&back);
                assert!(same, "{shape:?}: {h} came back as {back}");
            }
        }
    }

    #[test]
    fn a_film_of_water_is_inverted_as_well() {
        for shape in shapes() {
            for power in 1..=12 {
                let v = shape.full_volume() * 10.0_f64.powi(-power);
                let back = shape.volume(shape.depth_at(v));
                assert!(
                    (back / v - 1.0).abs() < 1e-12,
                    "{shape:?}: {v} came back as {back}"
                );
            }
        }
    }

    #[test]
    fn area_is_the_derivative_of_volume() {
        for shape in shapes() {
            let e = 1e-6 * shape.depth();
            for i in 1..=140 {
                // Odd steps stay clear of the kinks of table and top edge.
                let h = shape.depth() * (f64::from(i) - 0.513) / 100.0;
                let rise = (shape.volume(h + e) - shape.volume(h - e)) / (2.0 * e);
                let area = shape.area(h);
                assert!(
                    (rise - area).abs() < 1e-6 * (area + 0.01),
                    "{shape:?} at {h}: {rise}, {area}"
                );
            }
        }
    }

    #[test]
    fn volume_rises_with_depth_and_the_floor_is_empty() {
        for shape in shapes() {
            let mut last = 0.0;
            for i in 1..=1000 {
                let v = shape.volume(shape.depth() * f64::from(i) / 1000.0);
                assert!(v > last, "{shape:?} at {i}");
                last = v;
            }
            assert_eq!(last, shape.full_volume());
            for nothing in [0.0, -0.1] {
                assert_eq!(shape.volume(nothing), 0.0);
                assert_eq!(shape.depth_at(nothing), 0.0);
            }
        }
    }

    #[test]
    fn above_the_top_the_top_area_goes_on() {
        for shape in shapes() {
            let (top, full) = (shape.depth(), shape.full_volume());
            if let VesselShape::LyingCylinder { diameter, .. } = shape {
                assert_eq!(shape.volume(2.0 * top), full);
                assert_eq!(shape.depth_at(2.0 * full), diameter);
                assert_eq!(shape.area(1.1 * top), 0.0);
            } else {
                let above = shape.volume(top + 0.1) - full;
                assert!(
                    (above / (0.1 * shape.area(top)) - 1.0).abs() < 1e-12,
                    "{shape:?}"
                );
                assert_eq!(shape.area(top + 1.0), shape.area(top));
            }
        }
    }

    #[test]
    fn half_width_is_half_the_shorter_side() {
        let widths: Vec<f64> = shapes().iter().map(VesselShape::half_width).collect();
        // The last is the circle of its mean area 0.0925 / 0.4 m2.
        // Of the half drums chords half up: 2 sqrt(r^2 - (r - h / 2)^2).
        let expected = [
            0.4, 0.18, 0.15, 0.285, 0.285, 0.246_8, 0.266_9, 0.203_1, 0.271_3,
        ];
        for (ours, expected) in widths.iter().zip(expected) {
            assert!((ours - expected).abs() < 1e-4, "{widths:?}");
        }
    }

    #[test]
    fn half_a_drum_holds_half_of_it_and_a_part_what_the_whole_holds_so_deep() {
        let (diameter, length) = (0.57, 0.85);
        let whole = VesselShape::LyingCylinder { diameter, length };
        for depth in [0.1, 0.5 * diameter, 0.4] {
            let width = circular::top_width(diameter, depth);
            let part = VesselShape::HalfDrum {
                length,
                width,
                depth,
            };
            for share in [0.02, 0.3, 0.7, 1.0] {
                let h = share * depth;
                assert!((part.volume(h) / whole.volume(h) - 1.0).abs() < 1e-12);
                assert!((part.area(h) / whole.area(h) - 1.0).abs() < 1e-9);
            }
        }
        let half = VesselShape::HalfDrum {
            length,
            width: diameter,
            depth: 0.5 * diameter,
        };
        assert!((half.full_volume() / (0.5 * whole.full_volume()) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_straight_tapered_tote_is_a_box() {
        let straight = VesselShape::Tapered {
            top_length: 1.2,
            top_width: 0.8,
            bottom_length: 1.2,
            bottom_width: 0.8,
            depth: 0.3,
        };
        let as_box = &shapes()[0];
        for h in [0.01, 0.2, 0.3, 0.5] {
            assert!((straight.volume(h) - as_box.volume(h)).abs() < 1e-15);
            assert!((straight.depth_at(0.96 * h) - h).abs() < 1e-15);
        }
    }
}
