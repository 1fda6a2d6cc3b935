//! What fails a system and what only warns: each named after the verdict that was wrong.

use crate::fixes::{find, judge, with_line};
use crate::support::{self, one_bed};
use ebbwright::assessment::{CheckId, Status};
use ebbwright::model::*;
use ebbwright::simulation::{Regime, Sampling, simulate};
use ebbwright::units::UnitSystem::{Metric, Us};

fn regimes(system: &System) -> Vec<Regime> {
    let run = simulate(system, Sampling::None).unwrap();
    run.beds.iter().map(|bed| bed.regime_powered).collect()
}

#[test]
fn siphons_that_all_dribble_were_never_to_be_behind_exit_0() {
    // Inside the start band, whose nominal is 7.7 L/min in this bore, and below it.
    for litres in [4.0, 5.5, 6.5, 7.0] {
        let beds = ["north", "south"]
            .map(|name| support::bed(name, 1.0, 0.5, Inlet::Measured(litres / 60_000.0)));
        let system = support::system(
            beds.to_vec(),
            2.0 * litres / 60_000.0,
            Duration::Fixed(6.0 * 3600.0),
        );
        assert_eq!(regimes(&system), [Regime::Dribbles; 2], "{litres}");
        assert_eq!(judge(&system, Metric).verdict, Status::Fail, "{litres}");
    }
}

#[test]
fn a_run_in_which_no_bed_completed_a_cycle_warned_only() {
    let mut system = one_bed(11.0, 0.5);
    system.duration = Duration::Fixed(600.0);
    assert_eq!(regimes(&system), [Regime::Unfinished]);
    let assessment = judge(&system, Metric);
    let period = find(&assessment, CheckId::Period, "north");
    assert_eq!(period.status, Status::Fail, "{period:#?}");
    assert!(period.because.contains("no bed completed a cycle"));
    assert!(
        period.first_fix.contains("Simulate at least"),
        "{period:#?}"
    );
}

/// Weak siphons: their loss leaves little more than what comes in.
#[test]
fn an_inflow_ratio_over_its_most_failed_a_bed_that_cycles() {
    let mut told = 0;
    for (litres, k) in [8.0, 8.3, 8.6]
        .into_iter()
        .flat_map(|litres| [38.0, 44.0].map(|k| (litres, k)))
    {
        let mut system = one_bed(litres, 0.2);
        system.beds[0].siphon.drain.losses = DrainLosses::Total { k };
        if regimes(&system) != [Regime::Cycles] {
            continue;
        }
        let assessment = judge(&system, Metric);
        let ratio = find(&assessment, CheckId::InflowRatio, "north");
        assert_ne!(ratio.status, Status::Fail, "{litres}: {ratio:#?}");
        told += usize::from(ratio.value > system.thresholds.inflow_ratio_most);
    }
    assert!(told > 0);
}

#[test]
fn a_line_over_the_plumbers_capacity_failed_beds_that_cycle() {
    let mut told = 0;
    for bore in [0.030, 0.033, 0.035, 0.037, 0.039, 0.041] {
        let system = with_line(2, bore, 0.02);
        let run = simulate(&system, Sampling::None).unwrap();
        let line = run.line.unwrap();
        let copes = run.beds.iter().all(|bed| {
            bed.regime_powered == Regime::Cycles && bed.overflowed <= 0.0 && bed.came_up.is_none()
        });
        let assessment = judge(&system, Metric);
        let check = find(&assessment, CheckId::DrainLine, "drain line");
        if line.peak_flow > line.capacity {
            let stands_over = check.because.contains("stands");
            let copes = copes && !stands_over;
            let wanted = if copes { Status::Warn } else { Status::Fail };
            assert_eq!(check.status, wanted, "{bore}: {check:#?}");
            told += usize::from(copes);
        }
    }
    assert!(told > 0);
}

// A bed throttled by hand made its line fail, which was over its rule of thumb and coped: opened, it warned.
#[test]
fn a_bed_that_starves_is_no_fault_of_its_line() {
    let mut told = 0;
    for bore in [0.030, 0.033, 0.035, 0.037, 0.039, 0.041] {
        let status = |system: &System| {
            let assessment = judge(system, Metric);
            find(&assessment, CheckId::DrainLine, "drain line").status
        };
        let fed = with_line(3, bore, 0.02);
        let mut starved = fed.clone();
        for (bed, litres) in starved.beds.iter_mut().zip([9.0, 9.0, 4.0]) {
            bed.inlet = Inlet::Measured(litres / 60_000.0);
        }
        starved.pump.source = PumpSource::Steady(22.0 / 60_000.0);
        if status(&fed) == Status::Warn {
            assert_eq!(status(&starved), Status::Warn, "{bore}");
            told += 1;
        }
    }
    assert!(told > 0);
}

/// A sump of 0.6 m with three times its water in the beds.
#[test]
fn a_sump_that_spills_was_said_to_stand_over_its_own_wall() {
    let mut system = one_bed(10.5, 0.35);
    system.beds[0].start_depth = Some(0.20);
    system.sump.start_level = 0.53;
    for units in [Metric, Us] {
        let assessment = judge(&system, units);
        let check = find(&assessment, CheckId::SumpHigh, "sump");
        assert_eq!(check.status, Status::Fail);
        assert!(check.value >= 0.0, "{check:#?}");
        assert!(check.because.contains("the sump spills"), "{check:#?}");
        assert!(!check.because.contains("can rise to"), "{check:#?}");
    }
}
