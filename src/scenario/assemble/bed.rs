//! A bed: shape, rim, media, guard.

use super::super::fault::Faults;
use super::super::node::{At, Node};
use super::{Surroundings, garden, label, optional, refuse, siphon, vessels};
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Bed, Guard, Inlet, Media, Misfit, Rules, Side, Siphon, within};
use crate::units::table::Quantity;

/// A bed before its inlet is settled; that depends on the other beds.
pub(super) struct BedInWaiting {
    name: String,
    floor: f64,
    shape: VesselShape,
    rim_height: f64,
    media: Media,
    guard: Option<Guard>,
    start_depth: Option<f64>,
    access: Option<Vec<Side>>,
    siphon: Siphon,
}

impl BedInWaiting {
    pub fn with_inlet(self, inlet: Inlet) -> Bed {
        Bed {
            name: self.name,
            floor: self.floor,
            shape: self.shape,
            rim_height: self.rim_height,
            media: self.media,
            guard: self.guard,
            inlet,
            start_depth: self.start_depth,
            access: self.access,
            siphon: self.siphon,
        }
    }
}

pub(super) fn bed(
    node: &Node,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<BedInWaiting> {
    let floor = node.at("floor");
    let shape = vessels::shape(node, faults);
    let rim = rim(node, shape.as_ref(), around, faults);
    let media = media(node, rim.as_ref(), faults);
    let siphon = siphon::siphon(node, floor.as_ref(), rim.as_ref(), around, faults);
    let guard = optional(node, "guard", |guard| {
        Some(Guard {
            diameter: guard.number("diameter")?,
            slot_area: guard.optional("slot-area")?,
        })
    });
    let fits = siphon::bell_outside(node, faults).and_then(|bell| {
        column_fits(
            node,
            guard.as_ref()?.as_ref(),
            bell,
            shape.as_ref()?,
            media.as_ref(),
            faults,
        )
    });
    let start = start_level(node, rim.as_ref(), faults);
    fits?;
    let (floor, shape) = (floor?.value, shape?);
    let rim_height = (rim?.value - floor).min(shape.depth());
    Some(BedInWaiting {
        name: node.text("name")?.to_owned(),
        floor,
        shape,
        rim_height,
        media: media?,
        guard: guard?,
        start_depth: start?.map(|level| level - floor),
        access: garden::access(node)?,
        siphon: siphon?,
    })
}

/// The rim as given, else the top of the shape; placed where the reader looks for it.
fn rim(
    node: &Node,
    shape: Option<&VesselShape>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<At> {
    let floor = node.at("floor")?;
    let top = floor.value + shape?.depth();
    if node.has("rim") {
        let rim = node.at("rim")?;
        let (shown, floor_shown, top_shown) = (
            faults.length(rim.value),
            faults.length(floor.value),
            faults.length(top),
        );
        if let Some(misfit) = Rules::rim_over_floor(rim.value, floor.value) {
            let labels = vec![
                label(&rim.span, format!("rim at {shown}")),
                label(&floor.span, format!("bed floor at {floor_shown}")),
            ];
            let sum = faults.length(floor.value + rim.value);
            let help = format!(
                "rim is an elevation above the room's floor, not a height of wall; a wall of {shown} \
                 puts the rim at {sum}"
            );
            refuse(faults, misfit, node.path_of("rim"), labels, help);
            return None;
        }
        if let Some(misfit) = Rules::rim_in_shape(rim.value, top) {
            let labels = vec![
                label(&rim.span, format!("rim at {shown}")),
                label(
                    &node.span_of("shape"),
                    format!("top at {top_shown}, floor plus depth"),
                ),
            ];
            let help = format!("write at most {top_shown}, or make the shape deeper");
            refuse(faults, misfit, node.path_of("rim"), labels, help);
            return None;
        }
    }
    let (rim, key) = match node.number("rim") {
        Some(rim) => (rim.min(top), "rim"),
        None => (top, "shape"),
    };
    let at = At {
        value: rim,
        span: node.span_of(key),
    };
    if let Some(misfit) = Rules::rim_under_ceiling(rim, around.ceiling) {
        let rim = faults.length(rim);
        let labels = vec![
            label(&at.span, format!("rim at {rim}")),
            label(
                &floor.span,
                format!("bed floor at {}", faults.length(floor.value)),
            ),
        ];
        let help = "elevations are above the room's floor; check the bed's floor and depth, and room.ceiling";
        refuse(faults, misfit, node.path.clone(), labels, help);
        return None;
    }
    Some(at)
}

fn media(node: &Node, rim: Option<&At>, faults: &mut Faults<'_>) -> Option<Media> {
    let media = node.table("media")?;
    let depth = media.at("depth");
    if let (Some(depth), Some(rim), Some(floor)) = (&depth, rim, node.number("floor")) {
        let wall = rim.value - floor;
        if let Some(misfit) = Rules::media_under_rim(depth.value, wall) {
            let (shown, wall) = (faults.length(depth.value), faults.length(wall));
            let labels = vec![
                label(&depth.span, format!("{shown} of media")),
                label(&rim.span, format!("rim {wall} above the bed floor")),
            ];
            let help = format!(
                "write at most {wall}; media.depth is measured from the bed's floor to the top of the gravel"
            );
            refuse(faults, misfit, media.path_of("depth"), labels, help);
            return None;
        }
    }
    Some(Media {
        depth: depth?.value,
        void: media.number("void")?,
        grain: media.optional("grain")?,
        fouling: media.number_or("fouling", 1.0)?,
    })
}

/// Guard over bell, and the wider of the two into the bed.
fn column_fits(
    node: &Node,
    guard: Option<&Guard>,
    bell: At,
    shape: &VesselShape,
    media: Option<&Media>,
    faults: &mut Faults<'_>,
) -> Option<()> {
    let width = 2.0 * shape.half_width();
    let wall = node.table("bell").map_or("", siphon::usual_wall);
    let mut widest = (bell.clone(), "the bell", node.path_of("bell"));
    if let (Some(guard), Some(table)) = (guard, node.table("guard")) {
        let span = table.span_of("diameter");
        if let Some(misfit) = Rules::guard_over_bell(guard.diameter, bell.value) {
            let (inside, outside) = (faults.length(guard.diameter), faults.length(bell.value));
            let labels = vec![
                label(&span, format!("guard {inside} inside")),
                label(&bell.span, format!("bell {outside} outside{wall}")),
            ];
            let help = format!(
                "the guard stands round the bell: its inside diameter must be more than {outside}"
            );
            refuse(faults, misfit, table.path_of("diameter"), labels, help);
            return None;
        }
        if let (Some(openings), Some(media)) = (guard.slot_area, media)
            && let Some(misfit) = Rules::guard_openings(openings, guard.diameter, media.depth)
        {
            let mut at_most = String::new();
            if let Misfit::GuardOpenings { wall, .. } = misfit {
                at_most = format!("at most {}", faults.figure(Quantity::Area, wall));
            }
            let labels = vec![label(&table.span_of("slot-area"), at_most)];
            let help = "slot-area is the area of all openings of the guard together, number times one opening";
            refuse(faults, misfit, table.path_of("slot-area"), labels, help);
            return None;
        }
        widest = (
            At {
                value: guard.diameter,
                span,
            },
            "the guard",
            table.path_of("diameter"),
        );
    }
    let wall = if guard.is_some() { "" } else { wall };
    let (at, what, path) = widest;
    if let Some(misfit) = Rules::column_in_bed(what, at.value, width) {
        let (diameter, width) = (faults.length(at.value), faults.length(width));
        let labels = vec![
            label(&at.span, format!("{diameter} wide{wall}")),
            label(&node.span_of("shape"), format!("bed {width} wide")),
        ];
        let help = format!("{what} stands in the bed: measure it again, or the bed's shape");
        refuse(faults, misfit, path, labels, help);
        return None;
    }
    Some(())
}

/// `Some(None)`: not given, starts at the break level.
fn start_level(node: &Node, rim: Option<&At>, faults: &mut Faults<'_>) -> Option<Option<f64>> {
    let level = match node.at("start-level") {
        Some(level) => level,
        None if node.has("start-level") => return None,
        None => return Some(None),
    };
    let (floor, rim) = (node.number("floor")?, rim?.value);
    if let Some(level) = within(floor, level.value, rim) {
        return Some(Some(level));
    }
    let misfit = Rules::bed_start_level(level.value, floor, rim)?;
    let (floor, rim) = (faults.length(floor), faults.length(rim));
    let labels = vec![label(&level.span, format!("allowed: {floor} to {rim}"))];
    let help = "start-level is the elevation of the water above the room's floor, not its depth; \
                leave it out to start at the break level";
    refuse(faults, misfit, node.path_of("start-level"), labels, help);
    None
}

/// No two beds share a name.
pub(super) fn names_differ(beds: &[Node], faults: &mut Faults<'_>) {
    for (i, bed) in beds.iter().enumerate() {
        let Some(name) = bed.text("name") else {
            continue;
        };
        let Some(first) = beds
            .iter()
            .take(i)
            .find(|other| other.text("name") == Some(name))
        else {
            continue;
        };
        let labels = vec![
            label(&bed.span_of("name"), "the same name again"),
            label(&first.span_of("name"), "used here first"),
        ];
        let help = format!("give each bed a name of its own, such as \"{name} 2\"");
        let name = name.to_owned();
        refuse(
            faults,
            Misfit::DuplicateName { name },
            bed.path_of("name"),
            labels,
            help,
        );
    }
}
