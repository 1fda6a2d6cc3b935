//! Blocked and shut parts: cleared and opened, never built around.

use crate::fixes::{find, judge, with_line};
use crate::mend::does;
use crate::support::{one_bed, pumped_beds};
use ebbwright::assessment::{CheckId, Fix, Hint, Status};
use ebbwright::model::*;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem::{Metric, Us};

const HOUR: f64 = 3600.0;

fn at(hours: f64, what: Disturbance) -> Vec<Incident> {
    let at = IncidentTime::At(hours * HOUR);
    vec![Incident { at, what }]
}

fn blocked() -> System {
    let mut system = one_bed(11.0, 0.5);
    system.duration = Duration::Fixed(12.0 * HOUR);
    system.incidents = at(2.0, Disturbance::SiphonBlocked(0));
    system
}

#[test]
fn a_blocked_siphon_that_spills_fails_the_rim_and_is_cleared() {
    let mut system = blocked();
    let spilled = simulate(&system, Sampling::None).unwrap().beds[0].overflowed;
    assert!(spilled > 0.05, "{spilled}");
    let assessment = judge(&system, Metric);
    let rim = find(&assessment, CheckId::Rim, "north");
    assert_eq!(rim.status, Status::Fail);
    assert!(
        rim.margin < 0.0 && rim.because.contains("went over the rim"),
        "{rim:#?}"
    );
    for check in &assessment.checks {
        let cut = |fix: &Fix| does(&system, fix, "cut the standpipe");
        assert!(!check.fixes.iter().any(cut), "{check:#?}");
    }
    for id in [CheckId::Rim, CheckId::DryLayer] {
        let check = find(&assessment, id, "north");
        assert!(check.is_undone(), "{check:#?}");
    }
    system.incidents.clear();
    let cleared = judge(&system, Metric);
    for id in [CheckId::Rim, CheckId::DryLayer] {
        assert_eq!(find(&cleared, id, "north").status, Status::Pass);
    }
}

// The overflow named is simulated as a standpipe that never primes.
#[test]
fn the_overflow_named_beside_a_blockage_keeps_the_water_in() {
    for (units, litres) in [(Metric, 11.0), (Us, 11.0), (Metric, 20.0)] {
        let mut system = blocked();
        system.pump.source = PumpSource::Steady(litres / 60_000.0);
        let assessment = judge(&system, units);
        let fix = find(&assessment, CheckId::Rim, "north").first();
        let [Hint::Overflow { bore, lip, .. }] = fix.hints[..] else {
            panic!("{fix:?}");
        };
        system.incidents.clear();
        let bed = &mut system.beds[0];
        bed.siphon.standpipe.bore = bore;
        bed.siphon.standpipe.lip_diameter = bore;
        bed.siphon.standpipe.outside = bore + 0.006;
        bed.siphon.standpipe.lip_height = lip - bed.floor;
        bed.siphon.bell.bore = bore + 0.05;
        bed.siphon.bell.outside = bore + 0.056;
        bed.siphon.bell.air_leak = 1.0;
        let limit = bed.rim_level() - system.thresholds.rim_freeboard;
        let run = simulate(&system, Sampling::None).unwrap();
        assert_eq!(run.beds[0].overflowed, 0.0);
        assert!(run.beds[0].peak_level <= limit + 1e-4, "{fix:?}");
    }
}

#[test]
fn a_blocked_line_is_cleared() {
    // Wide enough to be less than half full while nothing blocks it.
    let mut system = with_line(1, 0.10, 0.02);
    system.duration = Duration::Fixed(12.0 * HOUR);
    let open = judge(&system, Metric);
    system.incidents = at(1.0, Disturbance::LineBlocked(0.9));
    let assessment = judge(&system, Metric);
    let mut cleared = 0;
    for (check, before) in assessment.checks.iter().zip(&open.checks) {
        let about_line = matches!(
            check.id,
            CheckId::DryLayer | CheckId::Rim | CheckId::Breaks | CheckId::DrainLine
        );
        let caused = check.status != Status::Pass && before.status == Status::Pass;
        if about_line && caused {
            assert!(check.is_undone(), "{check:#?}");
            cleared += 1;
        }
    }
    assert!(cleared > 0);
}

// With one valve shut the other bed gets the whole pump, and its siphon no longer breaks.
#[test]
fn a_bed_that_gets_too_much_since_another_is_shut_asks_for_that_one() {
    let mut system = pumped_beds(2);
    system.duration = Duration::Fixed(12.0 * HOUR);
    for bed in &mut system.beds {
        bed.siphon.standpipe.bore = 0.0212;
        bed.siphon.standpipe.lip_diameter = 0.0212;
        if let Inlet::Piped(branch) = &mut bed.inlet {
            branch.valve.as_mut().unwrap().opening = 1.0;
            branch.run.bore = 0.0266;
        }
    }
    let litres = 7.5 / 60_000.0 * 2.0;
    let curve = [(0.0, 4.0), (litres, 1.6), (1.2 * litres, 0.0)];
    let curve = ebbwright::hydraulics::pump_curve::PumpCurve::from_points(&curve).unwrap();
    system.pump.source = PumpSource::Curve(curve);
    let open = judge(&system, Metric);
    system.incidents = at(1.0, Disturbance::ValveShut(0));
    let shut = judge(&system, Metric);
    let mut asked = 0;
    for id in [CheckId::Rim, CheckId::Breaks, CheckId::InflowRatio] {
        let (now, before) = (find(&shut, id, "bed 2"), find(&open, id, "bed 2"));
        if now.status > before.status && before.status == Status::Pass {
            assert!(now.is_undone(), "{now:#?}");
            asked += 1;
        }
    }
    assert!(asked > 0, "{:#?}", find(&shut, CheckId::Breaks, "bed 2"));
}
