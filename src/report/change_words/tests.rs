//! Words of every kind of change.

#![allow(clippy::unwrap_used)]
use super::*;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::valves::ValveKind;
use crate::model::{AirTube, Incident, IncidentTime, sample};
use std::fmt::Write as _;

/// One of each that is more than a number, and both ways where there are two.
fn composites() -> Vec<Change> {
    let drum = VesselShape::UprightCylinder {
        diameter: 0.57,
        depth: 0.85,
    };
    let tube = AirTube {
        bore: 0.008,
        mouth_height: 0.045,
    };
    let shapes = [
        sample::tub(),
        drum.clone(),
        VesselShape::LyingCylinder {
            diameter: 0.57,
            length: 0.85,
        },
        VesselShape::Tapered {
            top_length: 1.2,
            top_width: 1.0,
            bottom_length: 1.1,
            bottom_width: 0.9,
            depth: 0.6,
        },
        VesselShape::Table {
            depth: vec![0.0, 0.4],
            area: vec![0.3, 0.4],
        },
    ];
    let mut all: Vec<Change> = shapes
        .map(|shape| Change::Replace {
            vessel: Vessel::Sump,
            shape,
        })
        .to_vec();
    all.extend([
        Change::RaiseAll { by: 0.08 },
        Change::RaiseAll { by: -0.08 },
        Change::RaiseBed { bed: 0, by: 0.05 },
        Change::RaiseBed { bed: 1, by: -0.05 },
        Change::Tip(Vessel::Tank),
        Change::Join { count: 2 },
        Change::Stretch {
            vessel: Vessel::Bed(0),
            area: 1.5,
        },
        Change::Valves(vec![(Outlet::Bed(0), 0.64), (Outlet::Bypass, 0.2)]),
        Change::PipeSize {
            bed: 0,
            bore: 0.0351,
            outside: 0.0422,
        },
        Change::PipeSize {
            bed: 0,
            bore: 0.0333,
            outside: 0.0400,
        },
        Change::BellSize {
            bed: 0,
            bore: 0.0963,
            outside: 0.1100,
        },
        Change::AirTube { bed: 0, tube: None },
        Change::AirTube {
            bed: 0,
            tube: Some(tube),
        },
        Change::FitValve {
            outlet: Outlet::Bed(1),
            kind: ValveKind::Gate,
            opening: 0.5,
        },
        Change::FitBypass(sample::branch(0.6)),
        Change::CheckValve(true),
        Change::CheckValve(false),
        Change::SealEntries(true),
        Change::SealEntries(false),
        Change::Vent(true),
        Change::Vent(false),
        Change::Pump(PumpSource::Steady(2e-4)),
        Change::Pump(PumpSource::Curve(
            PumpCurve::from_box_figures(2.4, 7e-4).unwrap(),
        )),
        Change::PumpSpeed(0.85),
        Change::PumpSpeed(1.4),
        Change::Inflow { bed: 0, to: 1e-4 },
        Change::clean_gravel(0),
    ]);
    all.extend((0..5).map(Change::ClearIncident));
    all
}

/// Every number up and down, and every other change.
fn all(system: &System) -> Vec<Change> {
    let mut all = Vec::new();
    for what in Quantity::all(system) {
        let now = what.value(system).unwrap();
        let (up, down) = match what {
            Quantity::Bed(_, BedPart::SlotCount) => (now + 2.0, now - 2.0),
            _ => (1.1 * now, 0.9 * now),
        };
        all.push(Change::set(what, up));
        all.push(Change::set(what, down));
    }
    all.extend(composites());
    all
}

fn sick() -> System {
    let mut system = sample::whole();
    let whats = [
        Disturbance::PumpStarts,
        Disturbance::SiphonBlocked(0),
        Disturbance::LineBlocked(0.4),
        Disturbance::ValveShut(1),
    ];
    system.incidents.extend(whats.map(|what| Incident {
        at: IncidentTime::Worst,
        what,
    }));
    system
}

fn told(units: UnitSystem) -> String {
    let system = sick();
    let mut text = String::new();
    for change in all(&system) {
        writeln!(text, "{}", change_words(&change, &system, units)).unwrap();
    }
    text
}

fn snapshot(name: &str, units: UnitSystem) {
    insta::with_settings!({ snapshot_path => "../../../tests/snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, told(units));
    });
}

#[test]
fn every_change_has_words_in_metric_units() {
    snapshot("change-words-metric", UnitSystem::Metric);
}

#[test]
fn every_change_has_words_in_us_units() {
    snapshot("change-words-us", UnitSystem::Us);
}

#[test]
fn a_valve_is_opened_or_closed_in_whole_per_cent() {
    let system = sample::whole();
    let said = |opening| {
        let turn = Change::turn(Outlet::Bed(1), opening);
        change_words(&turn, &system, UnitSystem::Metric).to_string()
    };
    assert_eq!(said(0.64), "open the valve of \"south\" from 50 % to 64 %");
    assert_eq!(
        said(0.123),
        "close the valve of \"south\" from 50 % to 12 %"
    );
}
