//! What systems have been drawn: a property that nothing puts to the test proves nothing.

use crate::trial::Trial;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Disturbance, DrainTarget, Inlet, PumpSource, TankFeed, TankOutlet};
use ebbwright::simulation::{EventKind, Regime};

/// Every kind of part and behaviour that must come up, and whether it does in `trial`.
pub fn kinds(trial: &Trial) -> Vec<(&'static str, bool)> {
    let mut list = behaviours(trial);
    list.extend(parts(trial));
    list
}

fn behaviours(trial: &Trial) -> Vec<(&'static str, bool)> {
    let run = &trial.run;
    let regime = |wanted: Regime| run.beds.iter().any(|bed| bed.regime == wanted);
    let event = |wanted: fn(&EventKind) -> bool| run.events.iter().any(|event| wanted(&event.kind));
    vec![
        ("cycles", regime(Regime::Cycles)),
        ("dribbles", regime(Regime::Dribbles)),
        ("stalls", regime(Regime::Stalls)),
        ("runs on", regime(Regime::RunsOn)),
        ("overflows", regime(Regime::Overflows)),
        ("never fills", regime(Regime::NeverFills)),
        ("pump runs dry", run.sump.ran_dry > 0.0),
        ("sump spills", run.sump.overflowed > 0.0),
        (
            "inlet covered",
            event(|kind| matches!(kind, EventKind::InletCovered(_))),
        ),
        (
            "bed runs back",
            event(|kind| matches!(kind, EventKind::BackSiphonBegan(_))),
        ),
        (
            "line surcharged",
            run.line.is_some_and(|line| line.surcharged > 0.0),
        ),
        (
            "float valve gives water",
            run.top_off.is_some_and(|found| found.added > 0.0),
        ),
        (
            "reservoir spent",
            event(|kind| matches!(kind, EventKind::ReservoirSpent)),
        ),
        ("minutes", run.duration < 1800.0),
        ("a hundred hours", run.duration > 360_000.0),
    ]
}

fn parts(trial: &Trial) -> Vec<(&'static str, bool)> {
    let system = &trial.system;
    let any = |has: &dyn Fn(&ebbwright::model::Bed) -> bool| system.beds.iter().any(has);
    let incident =
        |wanted: fn(&Disturbance) -> bool| system.incidents.iter().any(|found| wanted(&found.what));
    let drowned = |bed: &ebbwright::model::Bed| {
        bed.siphon.drain.into == DrainTarget::Sump
            && bed.siphon.drain.outlet < trial.run.sump.level.max
    };
    let floors = || system.beds.iter().map(|bed| bed.floor);
    let tilt = floors().fold(f64::NEG_INFINITY, f64::max) - floors().fold(f64::INFINITY, f64::min);
    vec![
        ("one bed", system.beds.len() == 1),
        ("six beds", system.beds.len() == 6),
        ("beds at different heights", tilt > 0.1),
        (
            "box",
            any(&|bed| matches!(bed.shape, VesselShape::Box { .. })),
        ),
        (
            "upright drum",
            any(&|bed| matches!(bed.shape, VesselShape::UprightCylinder { .. })),
        ),
        (
            "tapered tote",
            any(&|bed| matches!(bed.shape, VesselShape::Tapered { .. })),
        ),
        (
            "lying drum",
            any(&|bed| matches!(bed.shape, VesselShape::LyingCylinder { .. })),
        ),
        (
            "shape from a table",
            any(&|bed| matches!(bed.shape, VesselShape::Table { .. })),
        ),
        (
            "fouled gravel",
            any(&|bed| bed.media.grain.is_some() && bed.media.fouling > 5.0),
        ),
        (
            "guard with openings",
            any(&|bed| {
                bed.guard
                    .as_ref()
                    .is_some_and(|guard| guard.slot_area.is_some())
            }),
        ),
        ("air tube", any(&|bed| bed.siphon.bell.air_tube.is_some())),
        ("drowned outlet", any(&drowned)),
        ("share", any(&|bed| matches!(bed.inlet, Inlet::Share(_)))),
        (
            "measured inflow",
            any(&|bed| matches!(bed.inlet, Inlet::Measured(_))),
        ),
        (
            "valve",
            any(&|bed| matches!(&bed.inlet, Inlet::Piped(branch) if branch.valve.is_some())),
        ),
        (
            "pump curve",
            matches!(system.pump.source, PumpSource::Curve(_)),
        ),
        ("timer", system.pump.schedule.is_some()),
        ("bypass", system.supply.bypass.is_some()),
        ("shared line", system.drain_line.is_some()),
        (
            "small line",
            system
                .drain_line
                .as_ref()
                .is_some_and(|line| line.run.bore < 0.03),
        ),
        (
            "tank feeds beds",
            system
                .tank
                .as_ref()
                .is_some_and(|tank| tank.overflows_to == TankOutlet::Beds),
        ),
        (
            "tank to sump",
            system
                .tank
                .as_ref()
                .is_some_and(|tank| tank.overflows_to == TankOutlet::Sump),
        ),
        (
            "tank on a branch",
            system
                .tank
                .as_ref()
                .is_some_and(|tank| matches!(tank.fed_by, TankFeed::PumpBranch(_))),
        ),
        ("settler", system.settler.is_some()),
        (
            "mains float valve",
            system
                .top_off
                .as_ref()
                .is_some_and(|valve| valve.reservoir.is_none()),
        ),
        ("evaporation", system.evaporation > 0.0),
        (
            "pump stops",
            incident(|what| *what == Disturbance::PumpStops),
        ),
        (
            "pump starts",
            incident(|what| *what == Disturbance::PumpStarts),
        ),
        (
            "siphon blocked",
            incident(|what| matches!(what, Disturbance::SiphonBlocked(_))),
        ),
        (
            "valve shut",
            incident(|what| matches!(what, Disturbance::ValveShut(_))),
        ),
        (
            "line blocked",
            incident(|what| matches!(what, Disturbance::LineBlocked(_))),
        ),
        ("worst moment", trial.worst),
    ]
}
