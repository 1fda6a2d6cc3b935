//! Walls of the room beside sides of a bed that are not free.

use crate::hydraulics::vessel::VesselShape;
use crate::model::{Bed, Side, System};

use super::super::palette::{MID_GREY, PALE_GREY, Stroke};
use super::super::sheet::Sheet;
use super::View;
use super::plan::Place;

/// From the bed to the wall and thickness of the wall `[px]`.
const GAP: f64 = 4.0;
const THICK: f64 = 7.0;

/// Said where walls are drawn.
pub(super) const REMARK: &str = "Grey walls stand beside the sides of beds that are not free.";

/// The sides that the section shows left and right: it looks at a bed's narrow end.
fn shown(shape: &VesselShape) -> (Side, Side) {
    let wide = match *shape {
        VesselShape::Box { length, width, .. } => length < width,
        VesselShape::Tapered {
            top_length,
            top_width,
            ..
        } => top_length < top_width,
        _ => false,
    };
    if wide {
        (Side::Left, Side::Right)
    } else {
        (Side::Front, Side::Back)
    }
}

/// Whether a wall stands left and right of the bed as drawn.
fn walls(bed: &Bed) -> (bool, bool) {
    let Some(free) = &bed.access else {
        return (false, false);
    };
    let (left, right) = shown(&bed.shape);
    (!free.contains(&left), !free.contains(&right))
}

/// Whether any wall is drawn.
pub(super) fn any(system: &System) -> bool {
    let mut beds = system.beds.iter();
    beds.any(|bed| matches!(walls(bed), (true, _) | (_, true)))
}

/// From the floor of the room to its ceiling, or to the top of the row.
pub(super) fn draw(sheet: &mut Sheet, system: &System, place: &Place, view: &View) {
    let (left, right) = walls(&system.beds[place.bed]);
    let top = system.ceiling.map_or(view.top, |z| view.y(z).max(view.top));
    let mut wall = |from: f64, face: f64| {
        sheet.rect((from, top), (from + THICK, view.y(0.0)), PALE_GREY);
        let edge = [(face, top), (face, view.y(0.0))];
        sheet.line(&edge, Stroke::solid(MID_GREY, 1.0));
    };
    if left {
        let face = place.left() - GAP;
        wall(face - THICK, face);
    }
    if right {
        let face = place.right() + GAP;
        wall(face, face);
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
mod tests {
    use super::super::super::sample::{self, Wish};
    use super::*;
    use crate::units::UnitSystem;

    #[test]
    fn a_side_that_is_not_free_has_a_wall_in_the_section() {
        let mut system = sample::system(&Wish::default());
        let run = sample::run(&system);
        let drawn = |system: &System| {
            let sheet = super::super::draw(system, &run, UnitSystem::Metric);
            format!("{sheet:?}")
        };
        let plain = drawn(&system);
        assert!(!plain.contains("Grey walls"));
        system.beds[0].access = Some(Side::ALL.to_vec());
        assert_eq!(drawn(&system), plain);
        assert_eq!(walls(&system.beds[0]), (false, false));
        system.beds[0].access = Some(vec![Side::Front, Side::Left]);
        assert_eq!(walls(&system.beds[0]), (false, true));
        assert!(drawn(&system).contains("Grey walls"));
        // Wider than long: the section shows its ends.
        system.beds[0].shape = VesselShape::Box {
            length: 0.6,
            width: 1.2,
            depth: 0.35,
        };
        assert_eq!(walls(&system.beds[0]), (false, true));
        system.beds[0].access = Some(vec![Side::Right]);
        assert_eq!(walls(&system.beds[0]), (true, false));
    }
}
