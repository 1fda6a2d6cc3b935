//! The timer, and what runs back when the pump stops.

use crate::support::{LITRE_PER_MINUTE, bed, one_bed, pumped_beds, system};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{BedStorage, Duration, Inlet, Schedule, System};
use ebbwright::simulation::{EventKind, Regime, Run, Sampling, simulate};

fn times(run: &Run, kind: EventKind) -> Vec<f64> {
    run.events
        .iter()
        .filter(|event| event.kind == kind)
        .map(|event| event.time)
        .collect()
}

fn timed(litres_per_minute: f64, on: f64, off: f64, hours: f64) -> System {
    let mut system = one_bed(litres_per_minute, 0.5);
    system.pump.schedule = Some(Schedule { on, off });
    system.pump.check_valve = true;
    system.duration = Duration::Fixed(hours * 3600.0);
    system
}

// By hand: on at 0, off at 900 s, on at 3600 s, and so on: edge k of a timer is a
// product, so the thousandth is as exact as the first.
#[test]
fn the_timer_switches_at_whole_multiples_of_its_periods() {
    let run = simulate(&timed(2.0, 0.7, 2.9, 0.9999), Sampling::None).unwrap();
    let (off, on) = (
        times(&run, EventKind::PumpSwitchedOff),
        times(&run, EventKind::PumpSwitchedOn),
    );
    assert_eq!((off.len(), on.len()), (1000, 999));
    for (k, (off, on)) in off.iter().zip(&on).enumerate() {
        let k = k as f64;
        assert!((off - (3.6 * k + 0.7)).abs() < 1e-9, "{off}");
        assert!((on - 3.6 * (k + 1.0)).abs() < 1e-9, "{on}");
    }
    assert_eq!(run.supply.stops, 1000);
    assert_eq!(run.supply.drained_back, 0.0);
}

// Closed form: with Q while it runs, a volume V from the first minute on takes
// whole periods of Q on seconds each, and the rest of V at Q in the last one.
#[test]
fn a_bed_on_a_timer_fills_by_its_running_time() {
    let flow = 6.0 * LITRE_PER_MINUTE;
    let (on, off) = (300.0, 600.0);
    let system = timed(6.0, on, off, 12.0);
    let run = simulate(&system, Sampling::None).unwrap();
    let storage = BedStorage::new(&system.beds[0]);
    let lip = system.beds[0].lip_level();
    let volume = storage.volume(lip) - storage.volume(run.beds[0].break_level);
    let running = volume / flow;
    let whole = (running / on).floor();
    let expected = whole * (on + off) + (running - whole * on);
    let found = times(&run, EventKind::LipReached(0))[0];
    assert!((found - expected).abs() < 1e-4, "{found} {expected}");
}

/// A timer, a tall wide riser and one bed fed over its rim.
fn riser(litres_per_minute: f64) -> System {
    let mut system = timed(litres_per_minute, 600.0, 600.0, 0.4);
    system.pump.check_valve = false;
    system.supply.trunk.bore = 0.050;
    system.supply.trunk.length = 3.0;
    system
}

// By hand: the trunk runs evenly from the intake (0.03 m) up to the rim (1.35 m); its
// part above the sump's level comes back, the rest stays. Volumes alone decide.
#[test]
fn the_riser_above_the_sump_runs_back_and_fills_first() {
    let system = riser(3.0);
    let run = simulate(&system, Sampling::Every(1.0)).unwrap();
    let full = std::f64::consts::FRAC_PI_4 * 0.050 * 0.050 * 3.0;
    let series = &run.recording;
    let stop = series.time.iter().position(|&t| t == 600.0).unwrap();
    let before = series.sump_level[stop];
    let expected = full * (1.35 - before) / (1.35 - 0.03);
    assert!(
        (run.supply.drained_back - expected).abs() < 1e-12,
        "{}",
        run.supply.drained_back
    );
    // The sump, 1.2 m x 0.8 m, rises by it at once.
    let after = series.time.iter().rposition(|&t| t == 600.0).unwrap();
    let rise = series.sump_level[after] - before;
    assert!((rise - expected / 0.96).abs() < 1e-9, "{rise}");
    // After the restart nothing comes until 3 L/min have filled the pipe again.
    let filled = times(&run, EventKind::PipesFilled)[0];
    let needed = expected / (3.0 * LITRE_PER_MINUTE);
    assert!((filled - 1200.0 - needed).abs() < 1e-6, "{filled}");
    for (k, &t) in series.time.iter().enumerate() {
        if t > 1200.0 && t < filled {
            assert_eq!(series.beds[0].inflow[k], 0.0);
        }
    }
    assert!(series.beds[0].inflow.last().unwrap() > &0.0);
}

#[test]
fn what_does_not_fit_into_the_sump_goes_over_its_overflow() {
    let mut system = riser(3.0);
    system.sump.start_level = system.sump.overflow_level;
    let run = simulate(&system, Sampling::None).unwrap();
    // 10 min at 3 L/min made 30 L of room, less than comes back? No: all of it fits.
    assert_eq!(run.sump.overflowed, 0.0);
    system.pump.schedule = Some(Schedule {
        on: 30.0,
        off: 600.0,
    });
    let run = simulate(&system, Sampling::None).unwrap();
    // 1.5 L of room for what comes back; twice, and the second time there is less missing.
    let first = run.supply.drained_back - 30.0 * 3.0 * LITRE_PER_MINUTE;
    assert!(
        first > 0.0 && run.sump.overflowed >= first - 1e-9,
        "{first}"
    );
    assert_eq!(times(&run, EventKind::SumpOverflowBegan)[0], 30.0);
}

/// A bed with its inlet's end under water when it is full.
fn drowned_inlet(hole: Option<f64>, check_valve: bool) -> System {
    let mut system = pumped_beds(1);
    if let Inlet::Piped(branch) = &mut system.beds[0].inlet {
        branch.level = 1.10;
        branch.anti_siphon_hole = hole;
    }
    system.beds[0].start_depth = Some(1.20 - system.beds[0].floor);
    system.pump.check_valve = check_valve;
    system.pump.schedule = Some(Schedule {
        on: 1.0,
        off: 7200.0,
    });
    system.duration = Duration::Fixed(7000.0);
    system
}

// Volumes: the bed (1.2 m x 1.0 m, void 0.40) falls from where it stood at the stop
// to the inlet's end, or to the hole, and not at all with a check valve.
#[test]
fn a_bed_runs_back_to_its_inlet_or_the_hole() {
    for (hole, check_valve, down_to) in [
        (None, false, Some(1.10)),
        (Some(1.16), false, Some(1.16)),
        (Some(1.30), false, None),
        (None, true, None),
    ] {
        let run = simulate(&drowned_inlet(hole, check_valve), Sampling::Every(10.0)).unwrap();
        let series = &run.recording;
        let stop = series.time.iter().position(|&t| t == 1.0).unwrap();
        let stood = series.beds[0].level[stop];
        let expected = down_to.map_or(0.0, |level| 0.48 * (stood - level));
        let found = run.supply.siphoned_back;
        assert!(
            (found - expected).abs() < 1e-7,
            "{hole:?} {check_valve}: {found} {expected}"
        );
        let last = *series.beds[0].level.last().unwrap();
        assert!((last - down_to.unwrap_or(stood)).abs() < 1e-6, "{last}");
        assert_eq!(
            times(&run, EventKind::BackSiphonEnded(0)).len(),
            usize::from(down_to.is_some())
        );
    }
}

// Darcy-Weisbach, put together again: what bed and sump stand apart is lost in the
// branch and the trunk at the flow that runs back.
#[test]
fn water_runs_back_as_branch_and_trunk_let_it() {
    let system = drowned_inlet(None, false);
    let run = simulate(&system, Sampling::Every(10.0)).unwrap();
    let Inlet::Piped(branch) = &system.beds[0].inlet else {
        panic!("a branch")
    };
    let branch = branch.resistance().unwrap();
    let series = &run.recording;
    let mut seen = 0;
    for k in 0..series.time.len() {
        let back = -series.beds[0].inflow[k];
        if back > 0.0 {
            let apart = series.beds[0].level[k] - series.sump_level[k];
            let lost = branch.head_loss(back, &system.water)
                + system.supply.trunk.head_loss(back, &system.water);
            assert!((lost / apart - 1.0).abs() < 1e-9, "{lost} {apart}");
            seen += 1;
        }
    }
    assert!(seen > 10);
}

// Design: a run-on lives on its inflow, and priming on at least 0.8 of the start flow.
#[test]
fn running_on_breaks_when_the_pump_stops() {
    let mut system = one_bed(26.0, 0.3);
    system.duration = Duration::Fixed(7200.0);
    let on = simulate(&system, Sampling::None).unwrap();
    let began = times(&on, EventKind::RunOnBegan(0))[0];
    system.pump.schedule = Some(Schedule {
        on: began + 100.0,
        off: 7200.0,
    });
    let run = simulate(&system, Sampling::None).unwrap();
    assert_eq!(times(&run, EventKind::Broke(0)), [began + 100.0]);
}

#[test]
fn priming_is_given_up_once_the_lip_passes_too_little() {
    let mut system = one_bed(8.0, 0.5);
    // A tall cap: priming takes minutes.
    system.beds[0].siphon.bell.clearance = 0.4;
    system.duration = Duration::Fixed(7200.0);
    let on = simulate(&system, Sampling::None).unwrap();
    let began = times(&on, EventKind::PrimingBegan(0))[0];
    let stop = began + 5.0;
    system.pump.schedule = Some(Schedule {
        on: stop,
        off: 7200.0,
    });
    let run = simulate(&system, Sampling::Every(1.0)).unwrap();
    let lost = times(&run, EventKind::PrimingLost(0))[0];
    assert!(lost > stop);
    assert!(times(&run, EventKind::FullBoreBegan(0)).is_empty());
    // Start flow by the design's formula, Fs = 0.45; given up at 0.8 of it.
    let bore: f64 = 0.0266;
    let start = 0.45 * std::f64::consts::FRAC_PI_4 * bore * bore * (9.80665 * bore).sqrt();
    let k = run.recording.time.iter().position(|&t| t == lost).unwrap();
    let flow = run.recording.beds[0].siphon_flow[k];
    assert!((flow / (0.8 * start) - 1.0).abs() < 1e-6, "{flow}");
}

// A bed that waits at its lip for the timer does not dribble for ever.
#[test]
fn rest_is_no_regime() {
    let mut system = timed(8.0, 1200.0, 14_400.0, 24.0);
    system.beds[0].start_depth = Some(system.beds[0].lip_level() - 0.05 - system.beds[0].floor);
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(
        run.beds[0]
            .regimes
            .iter()
            .all(|span| span.regime == ebbwright::simulation::Regime::Cycles)
    );
}

// Two beds on one pump: both timer edges and both beds' events in one run, water kept.
#[test]
fn a_day_on_the_timer_keeps_its_water() {
    let mut beds: Vec<_> = (0..3)
        .map(|i| bed(&format!("{i}"), 1.0, 0.5, Inlet::Share(0.3)))
        .collect();
    beds[1].shape = VesselShape::UprightCylinder {
        diameter: 0.9,
        depth: 0.35,
    };
    let mut system = system(beds, 30.0 * LITRE_PER_MINUTE, Duration::Fixed(86_400.0));
    system.pump.schedule = Some(Schedule {
        on: 1000.0,
        off: 350.0,
    });
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(
        run.residual.abs() <= 1e-9 * run.water_at_start,
        "{}",
        run.residual
    );
    assert!(run.beds.iter().all(|bed| bed.cycles.len() > 10));
}

// Whenever the run is cut off, a bed that dribbled through every running time dribbles.
#[test]
fn a_dribbling_bed_dribbles_at_whatever_moment_of_the_timer_the_run_ends() {
    let told = 8.0;
    for k in 0..40 {
        let hours = told + 0.05 * f64::from(k);
        let system = timed(2.0, 2700.0, 900.0, hours);
        let run = simulate(&system, Sampling::None).unwrap();
        assert_eq!(run.beds[0].regime, Regime::Dribbles, "{hours} h");
    }
}
