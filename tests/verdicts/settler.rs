//! Settler, and the falls from fish tank and settler: each status, each fix done as printed.

use crate::fixes::{find, judge};
use crate::loop_checks::beside_settler;
use crate::mend::{amount, mend};
use crate::told::{Assessment, Check};
use ebbwright::assessment::{CheckId, CheckUnit, Fix, Hint, Status};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem;
use ebbwright::units::table::Quantity as Measured;

const BOTH: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Us];
const SUBJECT: &str = "settler";
pub const STAY: &str = "settler's stay";

pub fn with_settler(kind: SettlerKind, diameter: f64, water: f64) -> System {
    let mut system = beside_settler();
    system.settler = Some(Settler {
        kind,
        shape: VesselShape::UprightCylinder {
            diameter,
            depth: water + 0.1,
        },
        floor: 0.0,
        overflow_level: water,
        inlet: None,
    });
    system
}

fn area(diameter: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * diameter * diameter
}

pub fn through(system: &System) -> f64 {
    simulate(system, Sampling::None)
        .unwrap()
        .tank
        .unwrap()
        .inflow
}

fn has(assessment: &Assessment, subject: &str) -> bool {
    assessment
        .checks
        .iter()
        .any(|check| check.id == CheckId::Settler && check.subject == subject)
}

fn consistent(check: &Check, unit: CheckUnit) {
    let sign = if unit == CheckUnit::Second { -1.0 } else { 1.0 };
    assert_eq!(check.unit, unit);
    assert!(
        (check.margin - sign * (check.limit - check.value)).abs() < 1e-12 * check.limit,
        "{check:#?}"
    );
    assert_eq!(check.status == Status::Pass, check.margin >= 0.0);
}

// By hand: Q over A, held against 11 and 2.4 m3/m2/h (Davidson & Summerfelt 2005 and a rule
// of thumb, both from memory); nothing is asked of a radial-flow settler's stay.
#[test]
fn a_settler_is_judged_by_its_surface() {
    let flow = through(&beside_settler());
    for (kind, per_hour) in [
        (SettlerKind::RadialFlow, 11.0),
        (SettlerKind::PlainBasin, 2.4),
    ] {
        let needed = (flow * 3600.0 / per_hour / std::f64::consts::FRAC_PI_4).sqrt();
        for units in BOTH {
            for (share, wanted) in [(1.01, Status::Pass), (0.99, Status::Fail)] {
                let system = with_settler(kind, share * needed, 1.0);
                let assessment = judge(&system, units);
                let check = find(&assessment, CheckId::Settler, SUBJECT);
                assert_eq!(check.status, wanted, "{check:#?}");
                consistent(check, CheckUnit::MetrePerSecond);
                let loading = flow / area(share * needed);
                assert!((check.value / loading - 1.0).abs() < 1e-9, "{check:#?}");
                assert!((check.limit * 3600.0 - per_hour).abs() < 1e-12);
                assert!(check.because.contains(&units.surface_loading(loading)));
                assert_eq!(has(&assessment, STAY), kind == SettlerKind::PlainBasin);
                if wanted == Status::Fail {
                    let bearable = amount(&check.first_fix, "its flow down to ", Measured::Flow);
                    assert!(bearable <= per_hour / 3600.0 * area(share * needed) * (1.0 + 1e-9));
                    assert!(bearable > 0.9 * flow, "{check:#?}");
                    let radial = |fix: &Fix| fix.hints.contains(&Hint::RadialFlow);
                    assert_eq!(
                        check.fixes.iter().any(radial),
                        kind == SettlerKind::PlainBasin
                    );
                    let mut better = system.clone();
                    mend(&mut better, check.first());
                    let after = judge(&better, units);
                    let after = find(&after, CheckId::Settler, SUBJECT);
                    assert_eq!(after.status, Status::Pass, "{after:#?}");
                    assert!(after.first_fix.is_empty());
                }
            }
        }
    }
    // Too small for radial flow as well: turning it into one is no way out.
    let system = with_settler(SettlerKind::PlainBasin, 0.2, 1.0);
    let assessment = judge(&system, UnitSystem::Metric);
    let check = find(&assessment, CheckId::Settler, SUBJECT);
    assert_eq!(check.status, Status::Fail);
    assert_eq!(check.fixes.len(), 1, "{check:#?}");
    // Judged by its own size it is no longer told what size it wants.
    assert!(
        !assessment
            .notes
            .iter()
            .any(|note| note.contains("[settler]"))
    );
    assert!(
        judge(&beside_settler(), UnitSystem::Metric)
            .notes
            .iter()
            .any(|note| note.contains("[settler]"))
    );
}

// By hand: V over Q against 30 min (rule of thumb, from memory).
#[test]
fn a_plain_basin_that_is_too_shallow_is_warned_of() {
    let flow = through(&beside_settler());
    // Half the loading allowed, so that 0.6 m of water stay 30 min.
    let diameter = (flow * 3600.0 / 1.2 / std::f64::consts::FRAC_PI_4).sqrt();
    for units in BOTH {
        for (water, wanted) in [(0.61, Status::Pass), (0.50, Status::Warn)] {
            let system = with_settler(SettlerKind::PlainBasin, diameter, water);
            let assessment = judge(&system, units);
            assert_eq!(
                find(&assessment, CheckId::Settler, SUBJECT).status,
                Status::Pass
            );
            let check = find(&assessment, CheckId::Settler, STAY);
            assert_eq!(check.status, wanted, "{check:#?}");
            consistent(check, CheckUnit::Second);
            assert!(
                (check.value / (1800.0 * water / 0.6) - 1.0).abs() < 1e-6,
                "{check:#?}"
            );
            if wanted == Status::Warn {
                let mut better = system.clone();
                mend(&mut better, check.first());
                let after = judge(&better, units);
                let after = find(&after, CheckId::Settler, STAY);
                assert_eq!(after.status, Status::Pass, "{}", check.first_fix);
            }
        }
    }
}

#[test]
fn a_pump_that_never_ran_loads_no_settler() {
    let mut system = with_settler(SettlerKind::PlainBasin, 0.5, 0.6);
    system.incidents = vec![Incident {
        at: IncidentTime::At(0.0),
        what: Disturbance::PumpStops,
    }];
    let assessment = judge(&system, UnitSystem::Metric);
    let check = find(&assessment, CheckId::Settler, SUBJECT);
    assert_eq!((check.status, check.value), (Status::Pass, 0.0));
    assert!(!has(&assessment, STAY));
    assert!(!check.because.contains("not known"), "{check:#?}");
}

/// Whether a fix raises the floor of `vessel`.
fn raises(fix: &Fix, vessel: Vessel) -> bool {
    let floor = Quantity::Level(vessel, Level::Floor);
    let raised = |change: &Change| matches!(change, Change::Set { what, .. } if *what == floor);
    fix.changes.iter().any(raised)
}

// By hand: differences of the levels given.
#[test]
fn tank_and_settler_fall_towards_what_they_feed() {
    let settled = |level: f64| {
        let mut system = with_settler(SettlerKind::RadialFlow, 0.6, 0.5);
        let settler = system.settler.as_mut().unwrap();
        settler.floor = level - 0.5;
        settler.overflow_level = level;
        system
    };
    for units in BOTH {
        let good = judge(&settled(0.9), units);
        let tank = find(&good, CheckId::Fall, "fish tank");
        assert_eq!(tank.status, Status::Pass, "{tank:#?}");
        assert!((tank.value - 0.3).abs() < 1e-12);
        let high = good.sump.high.min(settled(0.9).sump.overflow_level);
        let settler = find(&good, CheckId::Fall, SUBJECT);
        assert_eq!(settler.status, Status::Pass);
        assert!((settler.value - (0.9 - high)).abs() < 1e-12);

        // A settler over the tank, and one in the sump's water.
        for (level, subject, vessel) in [
            (1.25, "fish tank", Vessel::Tank),
            (high - 0.1, SUBJECT, Vessel::Settler),
        ] {
            let system = settled(level);
            let assessment = judge(&system, units);
            let check = find(&assessment, CheckId::Fall, subject);
            assert_eq!(check.status, Status::Fail, "{check:#?}");
            assert!(raises(check.first(), vessel) && check.because.contains(" under "));
            let mut better = system.clone();
            mend(&mut better, check.first());
            let after = judge(&better, units);
            for subject in ["fish tank", SUBJECT] {
                let after = find(&after, CheckId::Fall, subject);
                assert_eq!(after.status, Status::Pass, "{after:#?}");
            }
        }

        // Both in the sump's water: one alone would end above the other.
        let mut low = settled(high - 0.1);
        let tank = low.tank.as_mut().unwrap();
        let down = tank.overflow_level - (high - 0.05);
        tank.floor -= down;
        tank.start_level -= down;
        tank.overflow_level -= down;
        let assessment = judge(&low, units);
        let check = find(&assessment, CheckId::Fall, SUBJECT);
        for vessel in [Vessel::Settler, Vessel::Tank] {
            assert!(raises(check.first(), vessel), "{check:#?}");
        }
        mend(&mut low, check.first());
        let after = judge(&low, units);
        for subject in ["fish tank", SUBJECT] {
            assert_eq!(find(&after, CheckId::Fall, subject).status, Status::Pass);
        }
    }
}

#[test]
fn a_tank_that_feeds_beds_stands_over_their_inlets() {
    let mut system = crate::support::pumped_beds(2);
    system.duration = Duration::Fixed(1800.0);
    let inlet = |bed: &Bed| match &bed.inlet {
        Inlet::Piped(branch) => branch.level,
        _ => f64::NAN,
    };
    let highest = system.beds.iter().map(inlet).fold(f64::MIN, f64::max);
    let mut tank = beside_settler().tank.unwrap();
    tank.fed_by = TankFeed::WholePump;
    tank.overflows_to = TankOutlet::Beds;
    tank.floor = highest - 1.05;
    tank.overflow_level = highest - 0.05;
    tank.start_level = tank.overflow_level;
    system.tank = Some(tank);
    for units in BOTH {
        let assessment = judge(&system, units);
        let check = find(&assessment, CheckId::Fall, "fish tank");
        assert_eq!(check.status, Status::Fail);
        assert!((check.value + 0.05).abs() < 1e-12, "{check:#?}");
        let mut better = system.clone();
        mend(&mut better, check.first());
        let after = judge(&better, units);
        assert_eq!(
            find(&after, CheckId::Fall, "fish tank").status,
            Status::Pass
        );
    }
}

/// A settler on a branch of the pump, beside a bed that is fed by a pipe.
fn on_a_branch(diameter: f64) -> System {
    let mut system = crate::support::pumped_beds(1);
    let branch = match &system.beds[0].inlet {
        Inlet::Piped(branch) => branch.clone(),
        other => panic!("{other:?}"),
    };
    system.settler = Some(Settler {
        kind: SettlerKind::RadialFlow,
        shape: VesselShape::UprightCylinder {
            diameter,
            depth: 0.9,
        },
        floor: 0.3,
        overflow_level: 1.1,
        inlet: Some(branch),
    });
    system
}

#[test]
fn a_settler_on_a_branch_takes_what_a_bypass_there_would() {
    let by_settler = on_a_branch(0.5);
    let mut by_bypass = by_settler.clone();
    by_bypass.supply.bypass = by_bypass.settler.take().and_then(|settler| settler.inlet);
    let run = |system: &System| simulate(system, Sampling::None).unwrap();
    let (one, other) = (run(&by_settler), run(&by_bypass));
    assert_eq!(one.beds[0].inflow, other.beds[0].inflow);
    assert_eq!(one.sump.level, other.sump.level);
    let alone = run(&System {
        settler: None,
        ..by_settler
    });
    assert!(alone.beds[0].inflow.mean > 1.05 * one.beds[0].inflow.mean);
}

#[test]
fn a_settler_on_a_branch_is_judged_by_what_that_branch_gives() {
    let wide = on_a_branch(1.5);
    let narrow = on_a_branch(0.15);
    for (system, wanted) in [(wide, Status::Pass), (narrow, Status::Fail)] {
        let assessment = judge(&system, UnitSystem::Metric);
        let check = find(&assessment, CheckId::Settler, SUBJECT);
        assert_eq!(check.status, wanted, "{check:#?}");
        // It falls to the sump by itself.
        assert!(has_fall(&assessment), "{:#?}", assessment.checks);
    }
}

fn has_fall(assessment: &Assessment) -> bool {
    let mut checks = assessment.checks.iter();
    checks.any(|check| check.id == CheckId::Fall && check.subject == SUBJECT)
}
