//! Beside other people's ODE solvers, on the same beds and at the same error.
//!
//! `cargo run --release` in this folder prints, for one bed and for four, each solver's time of a
//! simulated day (best of many) and the error of the cycle period, for falling tolerances; then the
//! quickest run of each that is as close as ebbwright at its usual tolerance.
//! `cargo run --release -- one SOLVER TOLERANCE BEDS` does one day, to be counted by valgrind.
//! The tests do not need any of this.
//!
//! The beds are fed steadily, each by itself, so that nothing but the stepping differs. Ebbwright
//! does more than the others: reading its tables, the sump, all sums of water, every figure of
//! every cycle; its time is that of a whole run from a `System`.

mod beds;
mod solvers;
#[path = "../../../tests/support/mod.rs"]
mod support;

use beds::Beds;
use ebbwright::model::{DrainLosses, Duration, Inlet, PumpSource, System};
use ebbwright::numerics::integrate::{Stepper, Tolerance};
use ebbwright::simulation::{Sampling, Stepping, simulate_by};
use solvers::{Order, by_differential_equations, by_diffsol, by_ode_solvers};
use std::time::Instant;

/// Inflow `[L/min]` and fall from the bed's floor to its outlet `[m]`.
const BEDS: [(f64, f64); 4] = [(12.0, 0.60), (9.0, 0.45), (10.5, 0.55), (13.5, 0.70)];
/// Tried from the loosest on, each a little closer than the one before.
const TOLERANCES: [f64; 22] = [
    1e-3, 5e-4, 2e-4, 1e-4, 5e-5, 2e-5, 1e-5, 5e-6, 2e-6, 1e-6, 5e-7, 2e-7, 1e-7, 5e-8, 2e-8, 1e-8,
    5e-9, 2e-9, 1e-9, 5e-10, 2e-10, 1e-10,
];
/// Tolerance that ebbwright takes by itself.
const USUAL: f64 = 1e-7;
/// Least time over which runs are repeated `[s]`.
const LOOK: f64 = 0.2;

/// A solver: its name, and a day of `N` beds at a tolerance, as the break times of each.
type Entry<const N: usize> = (&'static str, fn(f64) -> [Vec<f64>; N]);

fn beds<const N: usize>() -> Beds<N> {
    Beds::new(std::array::from_fn(|i| BEDS[i]))
}

/// The same beds for ebbwright.
fn system<const N: usize>() -> System {
    let mut system = support::one_bed(12.0, 0.6);
    let flows = (0..N).map(|i| BEDS[i].0 * support::LITRE_PER_MINUTE);
    system.pump.source = PumpSource::Steady(flows.clone().sum());
    system.duration = Duration::Fixed(beds::DAY);
    // Under every outlet, so that no siphon looks at the sump.
    system.sump.start_level = 0.25;
    system.beds = flows
        .enumerate()
        .map(|(i, flow)| {
            let mut bed = support::bed("", 1.0, BEDS[i].1, Inlet::Measured(flow));
            bed.siphon.drain.losses = DrainLosses::Total { k: 3.0 };
            bed
        })
        .collect();
    if let ebbwright::hydraulics::vessel::VesselShape::Box { length, .. } = &mut system.sump.shape {
        *length *= N as f64;
    }
    system
}

/// Break times, by adding up cycles.
fn by_ebbwright<const N: usize>(tolerance: f64) -> [Vec<f64>; N] {
    let system = system::<N>();
    let stepping = Stepping {
        stepper: Stepper::Own,
        tolerance: Tolerance {
            relative: tolerance,
            absolute: 1e-2 * tolerance,
        },
        ..Stepping::default()
    };
    let values = system.coefficients.nominal();
    let run = simulate_by(&system, &values, Sampling::None, stepping).expect("a run");
    std::array::from_fn(|i| {
        let cycles = run.beds[i].cycles.iter();
        cycles
            .scan(0.0, |t, cycle| {
                *t += cycle.fill + cycle.prime + cycle.drain;
                Some(*t)
            })
            .collect()
    })
}

fn entries<const N: usize>() -> Vec<Entry<N>> {
    vec![
        ("ebbwright", by_ebbwright::<N>),
        ("diffsol", |rtol| by_diffsol::<N>(beds(), rtol)),
        ("ode_solvers", |rtol| by_ode_solvers::<N>(beds(), rtol)),
        ("differential-equations 5(4)", |rtol| {
            by_differential_equations::<N>(beds(), rtol, Order::Five)
        }),
        ("differential-equations 8(5,3)", |rtol| {
            by_differential_equations::<N>(beds(), rtol, Order::Eight)
        }),
    ]
}

/// Third period of each bed `[s]`; those before begin empty.
fn periods<const N: usize>(breaks: &[Vec<f64>; N]) -> [f64; N] {
    std::array::from_fn(|i| breaks[i][2] - breaks[i][1])
}

/// Largest share by which a period is off.
fn error<const N: usize>(breaks: &[Vec<f64>; N], exact: &[f64; N]) -> f64 {
    let off = periods(breaks).into_iter().zip(exact);
    off.map(|(is, exact)| (is / exact - 1.0).abs())
        .fold(0.0, f64::max)
}

/// Least time of a day `[ms]`.
fn least(run: impl Fn()) -> f64 {
    let began = Instant::now();
    let mut best = f64::INFINITY;
    while began.elapsed().as_secs_f64() < LOOK {
        let now = Instant::now();
        run();
        best = best.min(now.elapsed().as_secs_f64());
    }
    1e3 * best
}

fn table<const N: usize>() {
    let exact = periods(&by_differential_equations::<N>(beds(), 1e-13, Order::Eight));
    let wanted = error(&by_ebbwright::<N>(USUAL), &exact);
    println!(
        "\n{N} bed(s), exact periods {exact:.9?} s; ebbwright's error as usual {wanted:.1e}\n"
    );
    println!("| solver | tolerance | period error | ms a day |");
    println!("| --- | ---: | ---: | ---: |");
    for (name, run) in entries::<N>() {
        // The quickest of all tolerances that are close enough: errors do not fall evenly.
        let mut quickest: Option<(f64, f64, f64)> = None;
        for tolerance in TOLERANCES {
            let error = error(&run(tolerance), &exact);
            let time = least(|| {
                std::hint::black_box(run(tolerance));
            });
            eprintln!("{name}: {tolerance:.0e} {error:.1e} {time:.3}");
            let usual = name != "ebbwright" || tolerance == USUAL;
            if usual && error <= wanted && quickest.is_none_or(|(_, _, least)| time < least) {
                quickest = Some((tolerance, error, time));
            }
        }
        match quickest {
            Some((tolerance, error, time)) => {
                println!("| {name} | {tolerance:.0e} | {error:.1e} | {time:.3} |");
            }
            None => println!("| {name} | | never as close | |"),
        }
    }
}

fn one<const N: usize>(solver: &str, tolerance: f64) {
    let run = entries::<N>().into_iter().find(|(name, _)| *name == solver);
    let (_, run) = run.unwrap_or_else(|| panic!("no solver {solver}"));
    println!("{:?}", periods(&run(tolerance)));
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words
        .iter()
        .map(String::as_str)
        .collect::<Vec<_>>()
        .as_slice()
    {
        [] => {
            table::<1>();
            table::<4>();
        }
        ["one", solver, tolerance, beds] => {
            let tolerance = tolerance.parse().expect("a tolerance");
            match *beds {
                "1" => one::<1>(solver, tolerance),
                "4" => one::<4>(solver, tolerance),
                _ => panic!("1 or 4 beds"),
            }
        }
        _ => panic!("no words, or: one SOLVER TOLERANCE BEDS"),
    }
}
