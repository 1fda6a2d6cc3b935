//! The fish's water, whatever fails: holes, valves, intakes.

use crate::fixes::{find, judge, mended};
use crate::support::{one_bed, pumped_beds};
use crate::told::Check;
use ebbwright::assessment::{CheckId, Status};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;

const HOUR: f64 = 3600.0;

/// A fish tank with 0.50 m of water to 1.10 m, its inlet ending at `end` [m].
pub(crate) fn with_tank(end: f64, hole: Option<f64>) -> System {
    let mut system = pumped_beds(1);
    system.duration = Duration::Fixed(12.0 * HOUR);
    system.sump.shape = VesselShape::Box {
        length: 2.0,
        width: 2.0,
        depth: 0.6,
    };
    system.sump.start_level = 0.25;
    let inlet = Branch {
        level: end,
        run: PipeRun {
            bore: 0.015,
            length: 0.8,
            roughness: PLASTIC_ROUGHNESS,
            k: 3.0,
        },
        valve: None,
        anti_siphon_hole: hole,
    };
    system.tank = Some(Tank {
        shape: VesselShape::Box {
            length: 0.9,
            width: 0.6,
            depth: 0.6,
        },
        floor: 0.6,
        start_level: 1.1,
        overflow_level: 1.1,
        overflow_bore: 0.04,
        fed_by: TankFeed::PumpBranch(inlet),
        overflows_to: TankOutlet::Sump,
    });
    system
}

fn with_power_cut(mut system: System) -> System {
    let event = |hours: f64, what| Incident {
        at: IncidentTime::At(hours * HOUR),
        what,
    };
    system.incidents = vec![
        event(2.0, Disturbance::PumpStops),
        event(11.0, Disturbance::PumpStarts),
    ];
    system
}

fn tank_check(system: &System) -> Check {
    let assessment = judge(system, Metric);
    let mut checks = assessment.checks.iter();
    checks
        .find(|check| check.id == CheckId::TankLevel)
        .unwrap()
        .clone()
}

// Half of 0.50 m over 0.60 m: 0.85 m. The inlet ends at 0.65 m.
#[test]
fn a_tank_that_siphons_back_through_its_inlet_fails_with_and_without_a_power_cut() {
    let system = with_tank(0.65, None);
    let cut = with_power_cut(system.clone());
    let run = simulate(&cut, Sampling::None).unwrap();
    assert!((run.tank.unwrap().level.min - 0.65).abs() < 1e-6);
    let whole = simulate(&system, Sampling::None).unwrap();
    assert!(whole.tank.unwrap().level.min > 1.0);
    for system in [system, cut] {
        let check = tank_check(&system);
        assert_eq!(check.status, Status::Fail);
        assert!((check.value - 0.65).abs() < 1e-6 && (check.limit - 0.85).abs() < 1e-12);
        let words = "drill an anti-siphon hole";
        mended(
            &system,
            CheckId::TankLevel,
            "fish tank",
            Status::Fail,
            words,
        );
    }
}

// The valve holds in a power cut; a leak above it, or in it, is left.
#[test]
fn a_check_valve_alone_is_in_doubt_and_a_hole_is_not() {
    for cut in [false, true] {
        let build = |hole: Option<f64>| {
            let system = with_tank(0.65, hole);
            let mut system = if cut { with_power_cut(system) } else { system };
            system.pump.check_valve = true;
            system
        };
        let check = tank_check(&build(None));
        assert_eq!(check.status, Status::Warn);
        assert!(check.because.contains("only the check valve"), "{check:#?}");
        let words = "drill an anti-siphon hole";
        mended(
            &build(None),
            CheckId::TankLevel,
            "fish tank",
            Status::Warn,
            words,
        );
        assert_eq!(tank_check(&build(Some(0.86))).status, Status::Pass);
    }
}

#[test]
fn an_inlet_over_the_water_or_the_pumps_whole_flow_keeps_the_tank_full() {
    for system in [with_tank(1.25, None), with_power_cut(with_tank(1.25, None))] {
        let check = tank_check(&system);
        assert_eq!(check.status, Status::Pass);
        assert!((check.value - 1.1).abs() < 1e-6, "{check:#?}");
    }
    let mut system = with_power_cut(one_bed(11.0, 0.5));
    let mut tank = with_tank(1.25, None).tank.unwrap();
    tank.fed_by = TankFeed::WholePump;
    tank.overflows_to = TankOutlet::Beds;
    system.tank = Some(tank);
    let check = tank_check(&system);
    assert_eq!(check.status, Status::Pass);
    assert!(check.because.contains("taken to end above"), "{check:#?}");
}

#[test]
fn fish_that_need_more_than_the_overflow_keeps_get_a_higher_one() {
    let mut system = with_tank(1.25, None);
    system.thresholds.tank_depth = Some(0.55);
    let words = "raise the overflow of the fish tank";
    mended(
        &system,
        CheckId::TankLevel,
        "fish tank",
        Status::Fail,
        words,
    );
    system.thresholds.tank_depth = Some(0.70);
    let check = tank_check(&system);
    let depth = Quantity::Measure(Vessel::Tank, Measure::Depth);
    let mut deeper = system.clone();
    crate::mend::mend(&mut deeper, check.first());
    let more = depth.value(&deeper).unwrap() - depth.value(&system).unwrap();
    assert!((more - 0.100).abs() < 1e-9, "{check:#?}");
}

#[test]
fn a_tank_begun_nearly_empty_is_filled_first() {
    let mut system = with_tank(1.25, None);
    system.tank.as_mut().unwrap().start_level = 0.7;
    let words = "fill the fish tank to";
    mended(
        &system,
        CheckId::TankLevel,
        "fish tank",
        Status::Fail,
        words,
    );
}

// By hand: the pump empties the sump to 0.03 m + 0.05 m; half of 0.40 m is 0.20 m.
#[test]
fn fish_in_the_sump_need_a_high_intake_and_water_left_by_the_beds() {
    let mut system = one_bed(11.0, 0.5);
    system.sump.holds_fish = true;
    let check = tank_check(&system);
    assert_eq!(check.status, Status::Fail);
    assert!((check.value - 0.08).abs() < 1e-12 && (check.limit - 0.20).abs() < 1e-12);
    let words = "raise the pump's intake by";
    mended(&system, CheckId::TankLevel, "sump", Status::Fail, words);
    // The bed takes more than half of so little.
    system.sump.start_level = 0.21;
    let check = tank_check(&system);
    assert!(check.first_fix.contains("Fill the sump to"), "{check:#?}");
    mended(&system, CheckId::TankLevel, "sump", Status::Fail, words);
}

// Held against the simulation: the opening named renews the water once an hour, one per cent less
// does not.
#[test]
fn a_tank_renewed_too_seldom_gets_the_least_opening_that_does() {
    let opened = |opening: f64| {
        let mut system = with_tank(1.25, None);
        let tank = system.tank.as_mut().unwrap();
        let TankFeed::PumpBranch(branch) = &mut tank.fed_by else {
            panic!("{tank:?}");
        };
        branch.valve = Some(Valve {
            kind: ValveKind::Ball,
            opening,
        });
        judge(&system, Metric)
    };
    let throttled = opened(0.40);
    let check = find(&throttled, CheckId::Turnover, "fish tank");
    assert_ne!(check.status, Status::Pass, "{check:#?}");
    let [Change::Set { what, to }] = check.first().changes[..] else {
        panic!("{check:#?}");
    };
    assert_eq!(
        what,
        Quantity::Branch(Outlet::Tank, BranchPart::Opening),
        "{check:#?}"
    );
    let status = |opening: f64| find(&opened(opening), CheckId::Turnover, "fish tank").status;
    assert_eq!(status(to), Status::Pass);
    assert_ne!(status(to - 0.01), Status::Pass);
}
