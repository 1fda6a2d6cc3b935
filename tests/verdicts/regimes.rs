//! What a bed is said to do, and what that makes of the verdict.

use crate::fixes::{find, judge, mended};
use crate::mend::{amount, mend};
use crate::support::{one_bed, pumped_beds};
use ebbwright::assessment::{CheckId, Status, Verdict};
use ebbwright::model::*;
use ebbwright::simulation::{Regime, Run, Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;
use ebbwright::units::table::Quantity as Measured;

const HOUR: f64 = 3600.0;

fn run(system: &System) -> Run {
    simulate(system, Sampling::None).unwrap()
}

fn lasting(mut system: System, hours: f64) -> System {
    system.duration = Duration::Fixed(hours * HOUR);
    system
}

fn valve_shut(hours: f64) -> Incident {
    Incident {
        at: IncidentTime::At(hours * HOUR),
        what: Disturbance::ValveShut(0),
    }
}

#[test]
fn a_run_too_short_for_a_cycle_says_so_and_how_long_it_takes() {
    let system = lasting(one_bed(11.0, 0.5), 0.25);
    let short = run(&system);
    assert!(short.beds[0].cycles.is_empty());
    assert_eq!(short.beds[0].regime, Regime::Unfinished);
    let spans = &short.beds[0].regimes;
    assert!(spans.iter().all(|span| span.regime == Regime::Unfinished));
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Period, "north");
    assert_eq!(check.status, Status::Fail);
    let time = amount(&check.first_fix, "imulate at least ", Measured::Time);
    let longer = lasting(system, time / HOUR);
    assert!(!run(&longer).beds[0].cycles.is_empty(), "{check:#?}");
    let assessment = judge(&longer, Metric);
    let check = find(&assessment, CheckId::Period, "north");
    assert!(check.because.contains("floods every"), "{check:#?}");
}

#[test]
fn a_bed_still_filling_when_the_run_ends_is_not_said_never_to_fill() {
    let system = lasting(one_bed(11.0, 0.5), 0.05);
    assert_eq!(run(&system).beds[0].regime, Regime::Unfinished);
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Starts, "north");
    assert_eq!(check.status, Status::Warn);
    assert!(check.because.contains("has not come to its lip"));
    let time = amount(&check.first_fix, "imulate at least ", Measured::Time);
    let longer = judge(&lasting(system, time / HOUR), Metric);
    assert_eq!(find(&longer, CheckId::Starts, "north").status, Status::Pass);
}

/// The least whole number of litres a minute with which a siphon of little drop runs on.
fn runs_on() -> System {
    (8..60)
        .map(|litres| lasting(one_bed(f64::from(litres), 0.3), 12.0))
        .find(|system| run(system).beds[0].regime == Regime::RunsOn)
        .unwrap()
}

// 60 L/min stalls, 3 dribbles: the cut empties what stalls or runs on, and it is still what
// it was.
#[test]
fn a_bed_that_only_a_power_cut_empties_is_what_it_was_before() {
    let regimes = [
        (lasting(one_bed(60.0, 0.5), 12.0), Regime::Stalls),
        (runs_on(), Regime::RunsOn),
        (lasting(one_bed(3.0, 0.5), 12.0), Regime::Dribbles),
        (lasting(one_bed(11.0, 0.5), 12.0), Regime::Cycles),
    ];
    for (mut system, regime) in regimes {
        assert_eq!(run(&system).beds[0].regime, regime);
        system.incidents = vec![Incident {
            at: IncidentTime::At(5.3 * HOUR),
            what: Disturbance::PumpStops,
        }];
        assert_eq!(run(&system).beds[0].regime, regime, "cut");
        system.incidents.clear();
        system.pump.schedule = Some(Schedule {
            on: 0.9 * HOUR,
            off: 0.6 * HOUR,
        });
        assert_eq!(run(&system).beds[0].regime, regime, "timer");
    }
}

#[test]
fn a_valve_shut_in_the_file_is_named_and_opened() {
    let mut system = lasting(pumped_beds(1), 12.0);
    if let Inlet::Piped(branch) = &mut system.beds[0].inlet {
        branch.valve.as_mut().unwrap().opening = 0.0;
    }
    let name = system.beds[0].name.clone();
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Starts, &name);
    assert!(check.because.contains("inlet valve"), "{check:#?}");
    assert!(check.because.contains("is shut"), "{check:#?}");
    assert!(!check.first_fix.contains("imulate"), "{check:#?}");
    let words = "open its ball valve from 0 %";
    mended(&system, CheckId::Starts, &name, Status::Fail, words);
}

#[test]
fn a_valve_that_an_incident_shuts_is_opened_again() {
    let mut system = lasting(pumped_beds(1), 12.0);
    if let Inlet::Piped(branch) = &mut system.beds[0].inlet {
        branch.valve.as_mut().unwrap().opening = 0.6;
    }
    system.incidents = vec![valve_shut(0.05)];
    let name = system.beds[0].name.clone();
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Starts, &name);
    assert_eq!(check.status, Status::Fail);
    assert!(check.because.contains("is shut"), "{check:#?}");
    assert!(check.is_undone(), "{check:#?}");
    system.incidents.clear();
    let opened = judge(&system, Metric);
    assert_eq!(find(&opened, CheckId::Starts, &name).status, Status::Pass);
}

// 6 L/min lies inside the band of the start flow (5.1 to 10.2), and the run dribbles.
#[test]
fn a_bed_that_dribbles_in_the_run_fails_whatever_its_band_says() {
    let system = one_bed(6.0, 0.5);
    assert_eq!(run(&system).beds[0].regime, Regime::Dribbles);
    let assessment = judge(&system, Metric);
    assert_eq!(assessment.beds[0].will_start, Verdict::Uncertain);
    assert_eq!(assessment.verdict, Status::Fail);
    mended(
        &system,
        CheckId::Starts,
        "north",
        Status::Fail,
        "raise the inflow",
    );
}

#[test]
fn a_bed_that_runs_on_in_the_run_fails_whatever_its_band_says() {
    let mut found = 0;
    for litres in 12..40 {
        let system = one_bed(f64::from(litres), 0.5);
        let assessment = judge(&system, Metric);
        let never_breaks = matches!(run(&system).beds[0].regime, Regime::RunsOn | Regime::Stalls);
        let check = find(&assessment, CheckId::Breaks, "north");
        if never_breaks && assessment.beds[0].will_break == Verdict::Uncertain {
            assert_eq!(check.status, Status::Fail, "{litres} L/min");
            found += 1;
        }
    }
    assert!(found > 0);
}

// The timer fills the bed less far than its lip, and every pause lets it run back.
#[test]
fn what_runs_back_in_every_pause_never_fills_without_a_check_valve() {
    let mut system = lasting(pumped_beds(1), 12.0);
    system.pump.schedule = Some(Schedule {
        on: 360.0,
        off: 3600.0,
    });
    let floor = system.beds[0].floor;
    if let Inlet::Piped(branch) = &mut system.beds[0].inlet {
        branch.level = floor + 0.03;
    }
    let name = system.beds[0].name.clone();
    assert_eq!(run(&system).beds[0].regime, Regime::NeverFills);
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Starts, &name);
    assert_eq!(check.status, Status::Fail);
    assert!(check.first_fix.contains("check valve"), "{check:#?}");
    mend(&mut system, check.first());
    let mended = run(&system);
    assert!(mended.beds[0].inflow_least_at_start.is_some(), "it fills");
}
