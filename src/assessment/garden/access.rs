//! How far an arm must reach over a bed.

use crate::hydraulics::vessel::{VesselShape, circle_through};
use crate::model::{Bed, Side, System};

/// Reach over one bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArmReach {
    /// Its place in the list of beds.
    pub bed: usize,
    /// From the nearest free side to the farthest gravel `[m]`; infinite where no side is free.
    pub needed: f64,
}

/// Reach over each bed whose free sides are told.
pub(super) fn reaches(system: &System) -> Vec<ArmReach> {
    let beds = system.beds.iter().enumerate();
    beds.filter_map(|(bed, told)| {
        let sides = told.access.as_ref()?;
        Some(ArmReach {
            bed,
            needed: needed(told, sides),
        })
    })
    .collect()
}

/// Farthest place of the bed from the nearest of `sides` `[m]`: a place lies so far from a
/// long side and so far from an end, and the nearer of the two counts.
fn needed(bed: &Bed, sides: &[Side]) -> f64 {
    let (along, across) = plan(&bed.shape);
    let from =
        |one: Side, other: Side, span: f64| match (sides.contains(&one), sides.contains(&other)) {
            (true, true) => 0.5 * span,
            (false, false) => f64::INFINITY,
            _ => span,
        };
    from(Side::Front, Side::Back, across).min(from(Side::Left, Side::Right, along))
}

/// Greatest width of a lying drum cut open at `depth` where it is `width` across `[m]`.
fn widest(width: f64, depth: f64) -> f64 {
    let diameter = circle_through(width, depth);
    if depth > 0.5 * diameter {
        diameter
    } else {
        width
    }
}

/// Length and width of a bed seen from above, the greatest inside `[m]`; a table of areas
/// counts as a circle of its mean area.
fn plan(shape: &VesselShape) -> (f64, f64) {
    match *shape {
        VesselShape::Box { length, width, .. } => (length, width),
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            ..
        } => (top_length.max(bottom_length), top_width.max(bottom_width)),
        VesselShape::UprightCylinder { diameter, .. } => (diameter, diameter),
        VesselShape::LyingCylinder { diameter, length } => (length, diameter),
        VesselShape::HalfDrum {
            length,
            width,
            depth,
        } => (length, widest(width, depth)),
        VesselShape::Table { .. } => {
            let across = 2.0 * shape.half_width();
            (across, across)
        }
    }
}
