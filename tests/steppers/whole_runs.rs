//! Whole simulations on both steppers, and the default against a tighter one.

use crate::support;
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::model::{Coefficient, DrainLine, DrainTarget, Duration, Inlet, System};
use ebbwright::numerics::integrate::{Stepper, Tolerance};
use ebbwright::simulation::{
    Regime, Run, RunEnd, Sampling, SharedTables, Stepping, simulate, simulate_by, simulate_sharing,
    simulate_until_told,
};

fn run(system: &System, stepper: Stepper, relative: f64) -> Run {
    let tolerance = Tolerance {
        relative,
        absolute: 1e-2 * relative,
    };
    let values = system.coefficients.nominal();
    simulate_by(
        system,
        &values,
        Sampling::None,
        Stepping {
            stepper,
            tolerance,
            ..Stepping::default()
        },
    )
    .unwrap()
}

/// Four beds that share a line too small for them.
fn on_a_line() -> System {
    let mut system = support::pumped_beds(4);
    let length = 4.0;
    for (i, bed) in system.beds.iter_mut().enumerate() {
        bed.siphon.drain.into = DrainTarget::Line { at: 1.0 + i as f64 };
    }
    let run = PipeRun {
        bore: 0.0408,
        length,
        roughness: PLASTIC_ROUGHNESS,
        k: 0.0,
    };
    system.drain_line = Some(DrainLine {
        run,
        slope: 0.02,
        outlet: 0.62,
        vented: true,
    });
    system
        .beds
        .iter_mut()
        .for_each(|bed| bed.siphon.drain.outlet += 0.3);
    system
}

pub fn systems() -> Vec<(&'static str, System)> {
    vec![
        ("cycles", support::one_bed(9.0, 0.5)),
        ("dribbles", support::one_bed(5.0, 0.5)),
        ("runs on", support::one_bed(16.0, 0.3)),
        ("stalls", support::one_bed(60.0, 0.5)),
        ("pumped", support::pumped_beds(1)),
        ("four pumped", support::pumped_beds(4)),
        ("on a line", on_a_line()),
    ]
}

/// Largest difference of periods (relative) and of peaks [m]; the same events in
/// the same order are taken for granted.
fn differences(name: &str, a: &Run, b: &Run) -> (f64, f64) {
    let kinds = |run: &Run| {
        run.events
            .iter()
            .map(|event| event.kind)
            .collect::<Vec<_>>()
    };
    assert_eq!(kinds(a), kinds(b), "{name}");
    let (mut period, mut peak) = (0.0_f64, 0.0_f64);
    for (a, b) in a.beds.iter().zip(&b.beds) {
        assert_eq!(a.regime, b.regime, "{name}");
        assert_eq!(a.cycles.len(), b.cycles.len(), "{name}");
        peak = peak.max((a.peak_level - b.peak_level).abs());
        for (a, b) in a.cycles.iter().zip(&b.cycles) {
            period = period.max((a.period() / b.period() - 1.0).abs());
            peak = peak.max((a.peak_level - b.peak_level).abs());
        }
    }
    (period, peak)
}

#[test]
fn both_steppers_give_the_same_run() {
    for (name, system) in systems() {
        let own = run(&system, Stepper::Own, 1e-10);
        let reference = run(&system, Stepper::OdeSolvers, 1e-10);
        let (period, peak) = differences(name, &own, &reference);
        println!(
            "{name}: {} events, period {period:e}, peak {peak:e}",
            own.events.len()
        );
        assert!(period < 1e-7, "{name}: periods differ by {period:e}");
        assert!(peak < 1e-7, "{name}: peaks differ by {peak:e} m");
    }
}

#[test]
fn events_are_within_a_millionth_of_a_period() {
    for (name, system) in systems() {
        let usual = simulate(&system, Sampling::None).unwrap();
        let tight = run(&system, Stepper::Own, 1e-11);
        let (period, peak) = differences(name, &usual, &tight);
        println!(
            "{name}: {} and {} evaluations, period {period:e}, peak {peak:e}",
            usual.work.evaluations, tight.work.evaluations
        );
        // A line has bends where entries begin to hold it up that no event locates.
        let bends = if system.drain_line.is_some() {
            3.0
        } else {
            1.0
        };
        assert!(
            period < bends * 1e-6,
            "{name}: periods differ by {period:e}"
        );
        assert!(peak < bends * 1e-7, "{name}: peaks differ by {peak:e} m");
    }
}

#[test]
fn a_rough_run_ends_with_the_first_cycle_that_comes_round_only_where_nothing_else_holds_water() {
    let rough = |system: &System| {
        let values = system.coefficients.nominal();
        simulate_by(system, &values, Sampling::None, Stepping::rough()).unwrap()
    };
    let mut pumped = support::pumped_beds(1);
    pumped.duration = Duration::UntilSettled { at_most: 86_400.0 };
    for system in [support::one_bed(9.0, 0.5), pumped] {
        let (usual, quick) = (simulate(&system, Sampling::None).unwrap(), rough(&system));
        let (full, one) = (&usual.beds[0], &quick.beds[0]);
        assert!(matches!(quick.ended, RunEnd::Settled { .. }));
        assert_eq!((full.cycles.len(), one.cycles.len()), (3, 1));
        for (a, b) in full.cycles.iter().zip(one.cycles.iter().cycle()) {
            assert!((a.period() / b.period() - 1.0).abs() < 2e-5);
            assert!((a.sump_range.0 - b.sump_range.0).abs() < 1e-5);
            assert!((a.sump_range.1 - b.sump_range.1).abs() < 1e-5);
        }
        assert!((full.left_level.unwrap() - one.left_level.unwrap()).abs() < 1e-6);
        // What the air takes is missing at every break: one cycle is not the next.
        let mut loses = system;
        loses.evaporation = 10.0 / 86_400.0 / 1000.0;
        assert!(rough(&loses).beds[0].cycles.len() >= 3);
    }
}

#[test]
fn rounding_alone_unsettles_the_water_balance() {
    for (name, system) in systems() {
        for stepper in [Stepper::Own, Stepper::OdeSolvers] {
            let run = run(&system, stepper, 1e-7);
            let share = run.residual.abs() / run.water_at_start;
            assert!(share < 1e-11, "{name}, {stepper:?}: {share:e}");
        }
    }
}

#[test]
fn the_same_input_gives_the_same_run() {
    let system = support::pumped_beds(4);
    let (a, b) = (
        simulate(&system, Sampling::None),
        simulate(&system, Sampling::None),
    );
    assert_eq!(a.unwrap().events, b.unwrap().events);
}

/// Tables are told apart by everything they follow from: a run that finds those of others, of
/// like beds and of its own, is what it is alone.
#[test]
fn tables_of_other_runs_change_nothing() {
    let mut free = support::pumped_beds(2);
    free.duration = Duration::Fixed(2.0 * 3600.0);
    free.beds
        .iter_mut()
        .for_each(|bed| bed.media.grain = Some(0.012));
    let mut lined = on_a_line();
    lined.duration = Duration::Fixed(3600.0);
    let mut systems = vec![free.clone(), lined];
    type Turn = fn(&mut System);
    let turns: [Turn; 7] = [
        |system| system.beds[0].media.grain = Some(0.008),
        |system| system.beds[0].media.void = 0.36,
        |system| system.beds[0].siphon.drain.outlet -= 0.1,
        |system| system.beds[0].rim_height -= 0.01,
        |system| system.beds[1].floor += 0.02,
        |system| system.coefficients[Coefficient::SlotDip].nominal *= 1.02,
        |system| system.pump.intake_level += 0.001,
    ];
    systems.extend(turns.map(|turn| {
        let mut other = free.clone();
        turn(&mut other);
        other
    }));
    let tables = SharedTables::default();
    for _ in 0..2 {
        for (k, system) in systems.iter().enumerate() {
            let (values, rough) = (system.coefficients.nominal(), Stepping::rough());
            let alone = simulate_by(system, &values, Sampling::None, rough).unwrap();
            let shared = simulate_sharing(system, &values, Sampling::None, rough, &tables);
            let (alone, shared) = (format!("{alone:?}"), format!("{:?}", shared.unwrap()));
            assert!(alone == shared, "{k}");
        }
    }
}

// The same steps, only fewer of them: what it tells is told to the bit.
#[test]
fn a_run_until_every_bed_has_told_is_the_beginning_of_the_whole_one() {
    let mut system = support::pumped_beds(4);
    system.duration = Duration::Fixed(24.0 * 3600.0);
    let (values, rough) = (system.coefficients.nominal(), Stepping::rough());
    let whole = simulate_by(&system, &values, Sampling::None, rough).unwrap();
    let tables = SharedTables::default();
    let told = simulate_until_told(&system, &values, 4, rough, &tables).unwrap();
    assert!(told.duration < 0.25 * whole.duration, "{}", told.duration);
    let counts: Vec<usize> = told.beds.iter().map(|bed| bed.cycles.len()).collect();
    assert_eq!(counts.iter().min(), Some(&4), "{counts:?}");
    for (short, long) in told.beds.iter().zip(&whole.beds) {
        assert_eq!(short.regime, Regime::Cycles);
        let same = &long.cycles[..short.cycles.len()];
        assert_eq!(format!("{:?}", short.cycles), format!("{same:?}"));
    }
}

#[test]
fn a_bed_that_never_cycles_beside_one_that_does_is_told_after_an_hour_of_it() {
    let mut system = support::pumped_beds(2);
    system.duration = Duration::Fixed(24.0 * 3600.0);
    // Less than what starts it, into a bed of its own.
    system.beds[1].inlet = Inlet::Measured(2.0 / 60_000.0);
    let (values, rough) = (system.coefficients.nominal(), Stepping::rough());
    let whole = simulate_by(&system, &values, Sampling::None, rough).unwrap();
    assert_eq!(whole.beds[1].regime, Regime::Dribbles);
    let tables = SharedTables::default();
    let told = simulate_until_told(&system, &values, 4, rough, &tables).unwrap();
    assert_eq!(told.beds[1].tends_to, Regime::Dribbles);
    let since = told.beds[1].regimes.last().unwrap().from;
    assert!(
        told.duration >= since + 3600.0,
        "{since}: {}",
        told.duration
    );
    assert!(told.duration < 0.5 * whole.duration, "{}", told.duration);
}
