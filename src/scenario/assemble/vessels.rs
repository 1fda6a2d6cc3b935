//! Sump, fish tank, settler, float valve.

use super::super::fault::Faults;
use super::super::node::Node;
use super::super::rule::Rule;
use super::{Surroundings, clash, label, optional, pipes, refuse, warn};
use crate::hydraulics::vessel::{VesselError, VesselShape};
use crate::model::{
    Entries, Inlet, Misfit, Rules, Settler, SettlerKind, Sump, Tank, TankFeed, TankOutlet, TopOff,
    within,
};

/// The shape of a vessel from its `shape` key.
pub(super) fn shape(node: &Node, faults: &mut Faults<'_>) -> Option<VesselShape> {
    let holder = node.table("shape")?;
    let kind = holder.entries.first()?.key.name;
    let measures = holder.table(kind)?;
    let shape = match kind {
        "box" => VesselShape::Box {
            length: measures.number("length")?,
            width: measures.number("width")?,
            depth: measures.number("depth")?,
        },
        "tapered" => VesselShape::Tapered {
            top_length: measures.number("top-length")?,
            top_width: measures.number("top-width")?,
            bottom_length: measures.number("bottom-length")?,
            bottom_width: measures.number("bottom-width")?,
            depth: measures.number("depth")?,
        },
        "upright-cylinder" => VesselShape::UprightCylinder {
            diameter: measures.number("diameter")?,
            depth: measures.number("depth")?,
        },
        "lying-cylinder" => VesselShape::LyingCylinder {
            diameter: measures.number("diameter")?,
            length: measures.number("length")?,
        },
        "half-drum" => VesselShape::HalfDrum {
            length: measures.number("length")?,
            width: measures.number("width")?,
            depth: measures.number("depth")?,
        },
        _ => VesselShape::Table {
            depth: measures.list("depth")?.to_vec(),
            area: measures.list("area")?.to_vec(),
        },
    };
    // More than one shape has been reported by the walk.
    if holder.entries.len() > 1 {
        return None;
    }
    match shape.check() {
        Ok(()) => Some(shape),
        Err(error) => {
            let (rule, key) = match error {
                VesselError::TableStart { depth } => (
                    Rule::TableStart {
                        depth: faults.length(depth),
                    },
                    "depth",
                ),
                VesselError::TableOrder { row, depth } => (
                    Rule::TableOrder {
                        row,
                        depth: faults.length(depth),
                    },
                    "depth",
                ),
                VesselError::TableSize { depths, areas } => {
                    (Rule::TableSize { depths, areas }, "area")
                }
                other => {
                    let (misfit, system) = (Misfit::Shape(other), faults.system);
                    (Rule::Misfit { misfit, system }, "area")
                }
            };
            let span = if kind == "table" {
                measures.span_of(key)
            } else {
                measures.span.clone()
            };
            clash(
                faults,
                rule,
                measures.path.clone(),
                vec![label(&span, "here")],
                "depths start at 0 and rise, with an area above 0 for each, such as \
                 depth = [\"0 m\", \"0.2 m\", \"0.4 m\"], area = [\"0.30 m2\", \"0.35 m2\", \"0.40 m2\"]"
                    .to_owned(),
            );
            None
        }
    }
}

/// The overflow lies above the bottom, at most at the top of the shape, below the ceiling.
fn overflow_level(
    node: &Node,
    shape: Option<&VesselShape>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<f64> {
    let (floor, overflow) = (node.at("floor")?, node.at("overflow-level")?);
    let path = node.path_of("overflow-level");
    let shown = faults.length(overflow.value);
    let here = label(&overflow.span, format!("overflow at {shown}"));
    if let Some(misfit) = Rules::overflow_over_floor(overflow.value, floor.value) {
        let low = faults.length(floor.value);
        let labels = vec![here, label(&floor.span, format!("bottom at {low}"))];
        let mut help =
            format!("overflow-level is an elevation above the room's floor: write more than {low}");
        // People measure it over the vessel's own bottom: what that comes to, where it is within the wall.
        let own = floor.value + overflow.value;
        if overflow.value > 0.0 && shape.is_some_and(|shape| overflow.value <= shape.depth()) {
            let own = faults.length(own);
            help = format!("{help}, or {own} where it was measured over its own bottom");
        }
        refuse(faults, misfit, path, labels, help);
        return None;
    }
    let top = floor.value + shape?.depth();
    if let Some(misfit) = Rules::overflow_in_shape(overflow.value, top) {
        let top = faults.length(top);
        let labels = vec![
            here,
            label(
                &node.span_of("shape"),
                format!("top at {top}, bottom plus depth"),
            ),
        ];
        let help = format!("write at most {top}, or measure the depth again");
        refuse(faults, misfit, path, labels, help);
        return None;
    }
    if let Some(misfit) = Rules::overflow_under_ceiling(overflow.value, around.ceiling) {
        let help = "elevations are above the room's floor; check floor, overflow-level and ceiling";
        refuse(faults, misfit, path, vec![here], help);
        return None;
    }
    Some(overflow.value.min(top))
}

/// The level at the start, between bottom and overflow.
fn start_level(node: &Node, faults: &mut Faults<'_>) -> Option<f64> {
    let (floor, overflow) = (node.number("floor")?, node.number("overflow-level")?);
    let level = node.at("start-level")?;
    if let Some(level) = within(floor, level.value, overflow) {
        return Some(level);
    }
    if overflow <= floor {
        // Reported for the overflow.
        return None;
    }
    let misfit = Rules::start_level(level.value, floor, overflow)?;
    let (floor, overflow) = (faults.length(floor), faults.length(overflow));
    let labels = vec![label(
        &level.span,
        format!("allowed: {floor} to {overflow}"),
    )];
    let help = "start-level is the elevation of the water above the room's floor, not its depth";
    refuse(faults, misfit, node.path_of("start-level"), labels, help);
    None
}

pub(super) fn sump(node: &Node, around: &Surroundings, faults: &mut Faults<'_>) -> Option<Sump> {
    let shape = shape(node, faults);
    let overflow_level = overflow_level(node, shape.as_ref(), around, faults);
    let start_level = start_level(node, faults);
    let overflow_level = overflow_level?;
    Some(Sump {
        shape: shape?,
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 1 to 20"
        )]
        count: node.number_or("count", 1.0)? as u32,
        floor: node.number("floor")?,
        start_level: start_level?.min(overflow_level),
        overflow_level,
        holds_fish: node.flag_or("fish-tank", false)?,
        sealed_entries: node.flag_or("sealed-entries", false)?,
        entries: match node.word("entries") {
            Some(word) => {
                let mut told = Entries::TOLD.into_iter();
                told.find(|one| one.0 == word)?.1
            }
            None => Entries::Untold,
        },
    })
}

/// Bore of the overflow pipe where the file names none `[m]`; common practice, no source.
const USUAL_OVERFLOW_BORE: f64 = 0.040;

pub(super) fn tank(node: &Node, around: &Surroundings, faults: &mut Faults<'_>) -> Option<Tank> {
    let shape = shape(node, faults);
    let overflow_level = overflow_level(node, shape.as_ref(), around, faults);
    let start_level = if node.has("start-level") {
        start_level(node, faults)
    } else {
        overflow_level
    };
    let inlet = optional(node, "inlet", |inlet| {
        pipes::inlet(inlet, node.at("floor").as_ref(), around, faults)
    });
    let overflow_level = overflow_level?;
    Some(Tank {
        shape: shape?,
        floor: node.number("floor")?,
        start_level: start_level?.min(overflow_level),
        overflow_level,
        overflow_bore: node.number_or("overflow-bore", USUAL_OVERFLOW_BORE)?,
        fed_by: inlet?.map_or(TankFeed::WholePump, TankFeed::PumpBranch),
        overflows_to: match node.word("overflows-to")? {
            "beds" => TankOutlet::Beds,
            "settler" => TankOutlet::Settler,
            _ => TankOutlet::Sump,
        },
    })
}

/// A settler; one that nothing flows into is a slip, though a harmless one.
pub(super) fn settler(
    node: &Node,
    tank: Option<&Node>,
    inlets: Option<&[Inlet]>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<Settler> {
    let by_tank = tank.and_then(|tank| tank.word("overflows-to")) == Some("settler");
    if !by_tank && !node.has("inlet") {
        warn(
            faults,
            Rule::UnusedSettler,
            node.path.clone(),
            vec![label(&node.span, "unused")],
            "write overflows-to = \"settler\" in [tank], give it a branch of the pump: inlet = \
             { level = \"1.0 m\", pipe = { bore = \"20 mm\", length = \"1 m\" } }, or leave \
             [settler] out"
                .to_owned(),
        );
    }
    let inlet = optional(node, "inlet", |inlet| {
        pipes::branch(inlet, node.at("floor").as_ref(), around, faults)
    });
    if let (Some(inlet), Some(inlets)) = (node.table("inlet"), inlets) {
        pipes::manifold_feeds(inlet, inlets, faults);
    }
    let shape = shape(node, faults);
    let overflow_level = overflow_level(node, shape.as_ref(), around, faults);
    let settler = Settler {
        kind: match node.word("kind")? {
            "plain" => SettlerKind::PlainBasin,
            _ => SettlerKind::RadialFlow,
        },
        shape: shape?,
        floor: node.number("floor")?,
        overflow_level: overflow_level?,
        inlet: inlet?,
    };
    if let Some(misfit) = Rules::settler_surface(settler.area(), settler.overflow_level) {
        refuse(
            faults,
            misfit,
            node.path_of("overflow-level"),
            vec![label(
                &node.span_of("overflow-level"),
                "the wall closes over the water here",
            )],
            "set overflow-level where the vessel is still open to the air, lower than its top"
                .to_owned(),
        );
        return None;
    }
    Some(settler)
}

pub(super) fn top_off(node: &Node, sump: Option<&Sump>, faults: &mut Faults<'_>) -> Option<TopOff> {
    if let (Some(level), Some(sump)) = (node.at("level"), sump)
        && let Some(misfit) = Rules::top_off_level(level.value, sump.floor, sump.overflow_level)
    {
        let (floor, overflow) = (
            faults.length(sump.floor),
            faults.length(sump.overflow_level),
        );
        let labels = vec![label(
            &level.span,
            format!("allowed: {floor} to below {overflow}"),
        )];
        let help =
            "level is the elevation of the water above the room's floor at which the valve shuts";
        refuse(faults, misfit, node.path_of("level"), labels, help);
        return None;
    }
    Some(TopOff {
        level: node.number("level")?,
        flow: node.number("flow")?,
        bore: node.number("bore")?,
        reservoir: node.optional("reservoir")?,
    })
}
