//! Where a quantity of the model stands in a scenario.

use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    BedPart, BranchPart, DrainLosses, Level, Measure, Outlet, Pipe, PipePart, PumpPart, Quantity,
    System, TopOffPart, Vessel,
};
use crate::scenario::typed_edit::{EditPath, Part};

/// A path from keys joined by dots, below an entry of a list where there is one.
pub(super) fn path(list: Option<(&str, usize)>, keys: &str) -> EditPath {
    let mut parts = Vec::new();
    if let Some((list, i)) = list {
        parts.extend([Part::Name(list.to_owned()), Part::Entry(i + 1)]);
    }
    let names = keys.split('.').filter(|key| !key.is_empty());
    parts.extend(names.map(|key| Part::Name(key.to_owned())));
    EditPath::of(parts)
}

pub(super) fn of_vessel(vessel: Vessel, keys: &str) -> EditPath {
    match vessel {
        Vessel::Sump => path(None, &format!("sump.{keys}")),
        Vessel::Tank => path(None, &format!("tank.{keys}")),
        Vessel::Settler => path(None, &format!("settler.{keys}")),
        Vessel::Bed(i) => path(Some(("bed", i)), keys),
    }
}

pub(super) fn of_branch(outlet: Outlet, keys: &str) -> EditPath {
    match outlet {
        Outlet::Bypass => path(None, &format!("supply.bypass.{keys}")),
        Outlet::Settler => path(None, &format!("settler.inlet.{keys}")),
        Outlet::Tank => path(None, &format!("tank.inlet.{keys}")),
        Outlet::Bed(i) => path(Some(("bed", i)), &format!("inlet.{keys}")),
    }
}

pub(super) fn of_pipe(pipe: Pipe, keys: &str) -> EditPath {
    match pipe {
        Pipe::Trunk => path(None, &format!("supply.{keys}")),
        Pipe::DrainLine => path(None, &format!("drain-line.{keys}")),
        Pipe::Branch(outlet) => of_branch(outlet, keys),
    }
}

/// The key under which `what` is written in the scenario of `system`.
pub(super) fn of(what: Quantity, system: &System) -> Option<EditPath> {
    Some(match what {
        Quantity::Hours => path(None, "hours"),
        Quantity::Temperature => path(None, "water.temperature"),
        Quantity::Ceiling => path(None, "room.ceiling"),
        Quantity::Evaporation => path(None, "losses.evaporation"),
        Quantity::Source(n) => path(Some(("source", n)), "flow"),
        Quantity::Coefficient(which) => path(None, &format!("coefficients.{}", which.key())),
        Quantity::Level(vessel, level) => of_vessel(
            vessel,
            match (level, vessel) {
                (Level::Floor, _) => "floor",
                (Level::Start, _) => "start-level",
                (Level::Overflow, Vessel::Bed(_)) => "rim",
                (Level::Overflow, _) => "overflow-level",
            },
        ),
        Quantity::Measure(vessel, measure) => {
            let kind = shape_key(system.shape_of(vessel)?);
            of_vessel(vessel, &format!("shape.{kind}.{}", measure_key(measure)))
        }
        Quantity::Pipe(pipe, part) => of_pipe(
            pipe,
            match part {
                PipePart::Bore => "pipe.bore",
                PipePart::Length => "pipe.length",
                PipePart::Roughness => "pipe.roughness",
                PipePart::K => "k",
            },
        ),
        Quantity::Branch(outlet, part) => match part {
            BranchPart::Level => of_branch(outlet, "level"),
            BranchPart::Hole => of_branch(outlet, "anti-siphon-hole"),
            BranchPart::Opening => {
                let kind = system.branch_to(outlet)?.valve.as_ref()?.kind;
                of_branch(outlet, &format!("valve.{}", kind.name()))
            }
        },
        Quantity::Pump(part) => path(None, &format!("pump.{}", pump_key(part))),
        Quantity::LineSlope => path(None, "drain-line.slope"),
        Quantity::LineOutlet => path(None, "drain-line.outlet"),
        Quantity::TankOverflowBore => path(None, "tank.overflow-bore"),
        Quantity::TopOff(part) => {
            let key = match part {
                TopOffPart::Level => "level",
                TopOffPart::Flow => "flow",
                TopOffPart::Bore => "bore",
                TopOffPart::Reservoir => "reservoir",
            };
            path(None, &format!("top-off.{key}"))
        }
        Quantity::Bed(i, part) => {
            let losses = &system.beds.get(i)?.siphon.drain.losses;
            let total = matches!(losses, DrainLosses::Total { .. });
            path(Some(("bed", i)), bed_key(part, total))
        }
    })
}

pub(super) const fn shape_key(shape: &VesselShape) -> &'static str {
    match shape {
        VesselShape::Box { .. } => "box",
        VesselShape::Tapered { .. } => "tapered",
        VesselShape::UprightCylinder { .. } => "upright-cylinder",
        VesselShape::LyingCylinder { .. } => "lying-cylinder",
        VesselShape::HalfDrum { .. } => "half-drum",
        VesselShape::Table { .. } => "table",
    }
}

pub(super) const fn measure_key(measure: Measure) -> &'static str {
    match measure {
        Measure::Length => "length",
        Measure::Width => "width",
        Measure::Depth => "depth",
        Measure::Diameter => "diameter",
        Measure::TopLength => "top-length",
        Measure::TopWidth => "top-width",
        Measure::BottomLength => "bottom-length",
        Measure::BottomWidth => "bottom-width",
    }
}

const fn pump_key(part: PumpPart) -> &'static str {
    match part {
        PumpPart::Intake => "intake-level",
        PumpPart::Cover => "minimum-cover",
        PumpPart::SteadyFlow => "steady-flow",
        PumpPart::Power => "power",
        PumpPart::Efficiency => "efficiency",
        PumpPart::Tariff => "tariff",
        PumpPart::TimerOn => "schedule.on",
        PumpPart::TimerOff => "schedule.off",
    }
}

const fn bed_key(part: BedPart, total: bool) -> &'static str {
    match part {
        BedPart::MediaDepth => "media.depth",
        BedPart::Void => "media.void",
        BedPart::Grain => "media.grain",
        BedPart::Fouling => "media.fouling",
        BedPart::GuardDiameter => "guard.diameter",
        BedPart::GuardOpenings => "guard.slot-area",
        BedPart::Share => "inlet.share",
        BedPart::Flow => "inlet.flow",
        BedPart::PipeBore => "standpipe.bore",
        BedPart::PipeOutside => "standpipe.outside",
        BedPart::StandpipeLength => "standpipe.length",
        BedPart::Flare => "standpipe.flare",
        BedPart::BellBore => "bell.bore",
        BedPart::BellOutside => "bell.outside",
        BedPart::Clearance => "bell.clearance",
        BedPart::SlotCount => "bell.slots.count",
        BedPart::SlotWidth => "bell.slots.width",
        BedPart::SlotHeight => "bell.slots.height",
        BedPart::TubeBore => "bell.air-tube.bore",
        BedPart::TubeMouth => "bell.air-tube.mouth",
        BedPart::AirLeak => "bell.air-leak",
        BedPart::Outlet => "drain.outlet",
        BedPart::DrainLength => "drain.length",
        BedPart::DrainK if total => "drain.total-k",
        BedPart::DrainK => "drain.k",
        BedPart::DrainRoughness => "drain.roughness",
        BedPart::Junction => "drain.at",
    }
}
