#![allow(clippy::unwrap_used)]

use super::sample::{tub, whole};
use super::*;
use crate::model::{Bed, DrainLosses, Inlet};

fn of(bed: usize, part: BedPart, system: &System) -> f64 {
    Quantity::Bed(bed, part).value(system).unwrap()
}

/// What is read is what was written, for every number of a system that has all parts.
#[test]
fn every_quantity_takes_another_value() {
    let system = whole();
    let all = Quantity::all(&system);
    assert!(all.len() > 120, "{}", all.len());
    for what in all {
        let now = what.value(&system).unwrap();
        let to = match what {
            Quantity::Bed(_, BedPart::SlotCount) => now + 1.0,
            _ => 1.001 * now + 1e-9,
        };
        let mut changed = system.clone();
        Change::set(what, to).apply_to(&mut changed).unwrap();
        let read = what.value(&changed).unwrap();
        assert!((read - to).abs() < 1e-12, "{what:?}: {read}");
        // And nothing that is not a number gets in.
        assert!(
            Change::set(what, f64::NAN).apply(&system).is_err(),
            "{what:?}"
        );
    }
}

/// Two of seven places forgot it: the pipe begins at the lip.
#[test]
fn standpipe_outlet_and_floor_change_the_pipe_that_runs_between_them() {
    let system = whole();
    let length = of(0, BedPart::DrainLength, &system);
    let lip = of(0, BedPart::StandpipeLength, &system);
    let moved = |what, by: f64| {
        let to = what_now(&system, what) + by;
        let changed = Change::set(what, to).apply(&system).unwrap();
        of(0, BedPart::DrainLength, &changed) - length
    };
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
    near(
        moved(Quantity::Bed(0, BedPart::StandpipeLength), -0.02),
        -0.02,
    );
    near(moved(Quantity::Bed(0, BedPart::Outlet), -0.03), 0.03);
    let floor = Quantity::Level(Vessel::Bed(0), Level::Floor);
    near(moved(floor, 0.05), 0.05);
    // Inside the bed nothing moves with the floor.
    let raised = Change::set(floor, 1.05).apply(&system).unwrap();
    for part in [
        BedPart::StandpipeLength,
        BedPart::SlotHeight,
        BedPart::TubeMouth,
    ] {
        near(of(0, part, &raised), of(0, part, &system));
    }
    near(
        raised.beds[0].rim_level(),
        system.beds[0].rim_level() + 0.05,
    );
    near(raised.beds[0].start_level().unwrap(), 1.15);
    assert!(lip > 0.1);
}

fn what_now(system: &System, what: Quantity) -> f64 {
    what.value(system).unwrap()
}

#[test]
fn what_cannot_be_built_is_refused_by_the_rules_of_the_model() {
    let system = whole();
    let refused = |change: Change| change.apply(&system).unwrap_err();
    assert!(matches!(
        refused(Change::of_bed(0, BedPart::StandpipeLength, 0.5)),
        Misfit::LipAboveRim { .. }
    ));
    assert!(matches!(
        refused(Change::of_bed(7, BedPart::Void, 0.5)),
        Misfit::NoPart { .. }
    ));
    assert!(matches!(
        refused(Change::of_bed(0, BedPart::SlotCount, 2.5)),
        Misfit::Impossible { .. }
    ));
    assert!(matches!(
        refused(Change::Inflow { bed: 0, to: 1e-4 }),
        Misfit::PumpedInflow
    ));
    assert!(matches!(
        refused(Change::Tip(Vessel::Sump)),
        Misfit::NoPart { .. }
    ));
    assert_eq!(
        refused(Change::ClearIncident(1)),
        Misfit::NoPart { what: "such event" }
    );
}

/// Only the last of several must leave a system that can be built.
#[test]
fn changes_that_only_fit_together_are_done_together() {
    let system = whole();
    let shorter = Change::of_bed(0, BedPart::StandpipeLength, 0.2);
    let wider = Change::PipeSize {
        bed: 0,
        bore: 0.12,
        outside: 0.13,
    };
    let bell = Change::BellSize {
        bed: 0,
        bore: 0.15,
        outside: 0.159,
    };
    assert!(wider.apply(&system).is_err());
    let changed = Change::apply_all(&[shorter, wider, bell], &system).unwrap();
    assert_eq!(of(0, BedPart::PipeBore, &changed), 0.12);
    assert_eq!(of(0, BedPart::BellBore, &changed), 0.15);
}

#[test]
fn raising_everything_leaves_the_sump_and_every_siphon_as_they_are() {
    let system = whole();
    let raised = Change::RaiseAll { by: 0.1 }.apply(&system).unwrap();
    assert_eq!(raised.sump.floor, system.sump.floor);
    assert_eq!(
        raised.beds[0].siphon.drain.losses,
        system.beds[0].siphon.drain.losses
    );
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12, "{a} {b}");
    near(raised.beds[1].siphon.drain.outlet, 0.85);
    near(raised.drain_line.as_ref().unwrap().outlet, 0.7);
    near(raised.supply.trunk.length, 1.6);
    near(raised.branch_to(Outlet::Bed(0)).unwrap().level, 1.6);
    near(
        raised
            .branch_to(Outlet::Bypass)
            .unwrap()
            .anti_siphon_hole
            .unwrap(),
        0.68,
    );
    // A bed by itself keeps its outlet.
    let bed = Change::RaiseBed { bed: 0, by: 0.1 }.apply(&system).unwrap();
    near(bed.beds[0].siphon.drain.outlet, 0.75);
    near(bed.branch_to(Outlet::Bed(0)).unwrap().level, 1.6);
    near(bed.branch_to(Outlet::Bed(1)).unwrap().level, 1.5);
    let longer = |system: &System| match system.beds[0].siphon.drain.losses {
        DrainLosses::Computed { length, .. } => length,
        DrainLosses::Total { .. } => f64::NAN,
    };
    near(longer(&bed), longer(&system) + 0.1);
}

/// Two equal drums hold twice at every depth; the water in them stays.
#[test]
fn vessels_are_replaced_tipped_and_joined_with_their_water() {
    let mut system = whole();
    let drum = VesselShape::UprightCylinder {
        diameter: 0.57,
        depth: 0.40,
    };
    let replaced = Change::Replace {
        vessel: Vessel::Sump,
        shape: drum,
    };
    // 0.3 m3 go into 0.1 only up to its overflow.
    system = replaced.apply(&system).unwrap();
    assert_eq!(system.sump.overflow_level, 0.35);
    assert_eq!(system.sump.start_level, 0.35);
    let water = |system: &System| {
        let sump = &system.sump;
        sump.volume_at(sump.start_level)
    };
    let two = Change::Join { count: 2 };
    let joined = two.apply(&system).unwrap();
    assert!((water(&joined) - water(&system)).abs() < 1e-12);
    let at = system.sump.floor + 0.2;
    assert!((joined.sump.volume_at(at) - 2.0 * system.sump.volume_at(at)).abs() < 1e-12);
    let level = joined.sump.level_of(joined.sump.volume_at(at));
    assert!((level - at).abs() < 1e-12);
    // Three in all, not three times two; another vessel stands alone.
    let three = Change::Join { count: 3 }.apply(&joined).unwrap();
    assert_eq!((joined.sump.count, three.sump.count), (2, 3));
    let alone = replaced.apply(&three).unwrap();
    assert_eq!(alone.sump.count, 1);
    assert!(Change::Join { count: 0 }.apply(&system).is_err());
    assert!((joined.sump.start_level - 0.175).abs() < 1e-9);
    let lying = Change::Tip(Vessel::Tank).apply(&system).unwrap();
    assert!(matches!(
        lying.tank.as_ref().unwrap().shape,
        VesselShape::LyingCylinder { length: 0.6, .. }
    ));
    // A full tank stays full.
    let tank = lying.tank.as_ref().unwrap();
    assert_eq!(tank.start_level, tank.overflow_level);
}

#[test]
fn parts_are_fitted_taken_out_and_turned() {
    let system = whole();
    let changed = Change::apply_all(
        &[
            Change::AirTube { bed: 1, tube: None },
            Change::Valves(vec![(Outlet::Bed(0), 0.8), (Outlet::Bypass, 0.1)]),
            Change::FitValve {
                outlet: Outlet::Tank,
                kind: ValveKind::Gate,
                opening: 0.3,
            },
            Change::CheckValve(true),
            Change::SealEntries(true),
            Change::Vent(false),
            Change::ClearIncident(0),
            Change::PumpSpeed(1.1),
            Change::clean_gravel(0),
            Change::drill_hole(Outlet::Bed(1), 1.41),
            Change::turn(Outlet::Bed(1), 0.9),
        ],
        &system,
    )
    .unwrap();
    assert_eq!(changed.beds[1].siphon.bell.air_tube, None);
    let opening = |outlet| Quantity::Branch(outlet, BranchPart::Opening).value(&changed);
    assert_eq!(opening(Outlet::Bed(0)), Some(0.8));
    assert_eq!(opening(Outlet::Bed(1)), Some(0.9));
    assert_eq!(opening(Outlet::Bypass), Some(0.1));
    assert_eq!(opening(Outlet::Tank), Some(0.3));
    assert!(changed.pump.check_valve && changed.incidents.is_empty());
    assert!(changed.sump.sealed_entries);
    assert!(!changed.drain_line.as_ref().unwrap().vented);
    let head = match &changed.pump.source {
        PumpSource::Curve(curve) => curve.shut_off_head(),
        PumpSource::Steady(_) => f64::NAN,
    };
    assert!((head - 3.0 * 1.21).abs() < 1e-9);
}

/// A measured inflow that is not the pump's whole flow leaves the rest where it went; one
/// pump for two measured beds follows them.
#[test]
fn the_inflow_of_one_bed_leaves_the_others_theirs() {
    let two = |first, second| {
        System::builder()
            .sump(tub(), 0.0)
            .steady_flow(2e-4)
            .bed(Bed::builder("a", tub(), 1.0).inlet(first))
            .bed(Bed::builder("b", tub(), 1.0).inlet(second))
            .build()
            .unwrap()
    };
    let shared = two(Inlet::Share(0.5), Inlet::Share(0.5));
    let changed = Change::Inflow { bed: 0, to: 1.5e-4 }
        .apply(&shared)
        .unwrap();
    let flow = |i| Quantity::Bed(i, BedPart::Flow).value(&changed).unwrap();
    assert!((flow(0) - 1.5e-4).abs() < 1e-15 && (flow(1) - 1e-4).abs() < 1e-15);
    let pump = |system: &System| Quantity::Pump(PumpPart::SteadyFlow).value(system).unwrap();
    assert!((pump(&changed) - 2.5e-4).abs() < 1e-15);
    let measured = two(Inlet::Measured(1e-4), Inlet::Measured(1e-4));
    let more = Change::of_bed(1, BedPart::Flow, 2e-4)
        .apply(&measured)
        .unwrap();
    assert!((pump(&more) - 3e-4).abs() < 1e-15);
}

#[test]
fn cutting_is_less_trouble_than_buying() {
    let system = whole();
    let of = |change: Change| change.trouble(&system);
    let length = Quantity::Bed(0, BedPart::StandpipeLength);
    let now = length.value(&system).unwrap();
    assert_eq!(of(Change::set(length, now - 0.01)), Trouble::CutOrDrill);
    assert_eq!(of(Change::set(length, now + 0.01)), Trouble::Replumb);
    let mouth = Quantity::Bed(0, BedPart::TubeMouth);
    assert_eq!(of(Change::set(mouth, 0.05)), Trouble::CutOrDrill);
    assert_eq!(of(Change::set(mouth, 0.02)), Trouble::Replumb);
    assert_eq!(of(Change::turn(Outlet::Bed(0), 0.1)), Trouble::Turn);
    let fill = Quantity::Level(Vessel::Sump, Level::Start);
    assert_eq!(of(Change::set(fill, 0.2)), Trouble::Refill);
    assert_eq!(of(Change::RaiseAll { by: 0.1 }), Trouble::Rebuild);
    assert!(Trouble::ALL.is_sorted());
}
