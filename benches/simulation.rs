//! Time of the hot formulas and of a simulated day.
//!
//! `cargo bench` measures; `cargo bench -- --test` runs each once, as the
//! continuous integration does.
#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used)]

#[path = "../tests/support/mod.rs"]
mod support;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use ebbwright::hydraulics::friction::darcy_friction_factor;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::water::Water;
use ebbwright::model::{
    Coefficients, DrainLine, DrainLosses, DrainTarget, Duration, Guard, Inlet, System,
};
use ebbwright::network::supply::SupplyTree;
use ebbwright::numerics::integrate::Stepper;
use ebbwright::simulation::{Sampling, Stepping, simulate, simulate_by};
use ebbwright::siphon::SiphonLaw;
use std::hint::black_box;

fn formulas(c: &mut Criterion) {
    let _ = c.bench_function("friction factor, turbulent", |b| {
        b.iter(|| darcy_friction_factor(black_box(45_000.0), black_box(5.6e-5)));
    });
    let system = support::pumped_beds(4);
    let water = Water::at(20.0).unwrap();
    let solved = SiphonLaw::new(&system.beds[0], &water, &Coefficients::default().nominal());
    let law = solved.clone().tabulated(&system.beds[0], 1e-7, false);
    let _ = c.bench_function("full-bore siphon, tabulated", |b| {
        b.iter(|| law.full_flow(black_box(0.63)));
    });
    let _ = c.bench_function("full-bore siphon, solved", |b| {
        b.iter(|| solved.full_flow(black_box(0.63)));
    });
    let tree = SupplyTree::new(&system);
    let _ = c.bench_function("supply tree, 4 beds", |b| {
        b.iter(|| tree.duty(black_box(0.37)));
    });
}

fn days(c: &mut Criterion) {
    let mut group = c.benchmark_group("one simulated day");
    for beds in [1, 4, 8] {
        let system = support::pumped_beds(beds);
        let mut told = false;
        let _ = group.bench_with_input(BenchmarkId::from_parameter(beds), &system, |b, system| {
            if !std::mem::replace(&mut told, true) {
                tell(system);
            }
            b.iter(|| simulate(black_box(system), Sampling::None));
        });
    }
    // The reference stepper, which the own one has to be worth its keep against.
    let system = support::pumped_beds(4);
    let stepping = Stepping {
        stepper: Stepper::OdeSolvers,
        ..Stepping::default()
    };
    let values = system.coefficients.nominal();
    let _ = group.bench_function("by ode_solvers, 4 beds", |b| {
        b.iter(|| simulate_by(black_box(&system), &values, Sampling::None, stepping));
    });
    // Tables and thresholds: what a run costs before its first step.
    let mut system = support::pumped_beds(4);
    system.duration = Duration::Fixed(1.0);
    let _ = group.bench_function("setup alone, 4 beds", |b| {
        b.iter(|| simulate(black_box(&system), Sampling::None));
    });
    group.finish();
}

/// `count` beds whose siphons draw through gravel, or through none; several share a line
/// that backs up.
fn gravelled(count: usize, grain: Option<f64>) -> System {
    let beds = (0..count).map(|i| {
        let floor = 1.0 + 0.01 * i as f64;
        let mut bed = support::bed("", floor, floor - 0.55, Inlet::Share(1.0 / count as f64));
        bed.media.grain = grain;
        bed.guard = Some(Guard {
            diameter: 0.110,
            slot_area: Some(60e-4),
        });
        if count > 1 {
            bed.siphon.drain.into = DrainTarget::Line { at: 1.0 + i as f64 };
        }
        bed
    });
    let flow = 9.0 * count as f64 * support::LITRE_PER_MINUTE;
    let mut system = support::system(beds.collect(), flow, Duration::Fixed(6.0 * 3600.0));
    system.sump.shape = ebbwright::hydraulics::vessel::VesselShape::Box {
        length: 3.0,
        width: 1.0,
        depth: 0.6,
    };
    system.drain_line = (count > 1).then_some(DrainLine {
        run: PipeRun {
            bore: 0.032,
            length: 4.0,
            roughness: 1.5e-6,
            k: 0.5,
        },
        slope: 0.02,
        outlet: 0.43,
        vented: true,
    });
    system
}

fn gravels(c: &mut Criterion) {
    let mut group = c.benchmark_group("six hours of beds");
    let cases = [
        ("one, no grain given", gravelled(1, None)),
        ("one, grain 12 mm", gravelled(1, Some(0.012))),
        ("two on a line, no grain given", gravelled(2, None)),
        ("two on a line, grain 12 mm", gravelled(2, Some(0.012))),
    ];
    for (name, system) in &cases {
        let mut told = false;
        let _ = group.bench_function(*name, |b| {
            if !std::mem::replace(&mut told, true) {
                tell(system);
            }
            b.iter(|| simulate(black_box(system), Sampling::None));
        });
    }
    group.finish();
}

/// The bed of `scipy_compare.py`: a day of a box fed steadily, its siphon's loss one number.
fn beside_scipy(c: &mut Criterion) {
    let mut system = support::one_bed(12.0, 0.6);
    system.beds[0].siphon.drain.losses = DrainLosses::Total { k: 3.0 };
    system.duration = Duration::Fixed(86_400.0);
    let run = simulate(&system, Sampling::None).unwrap();
    let cycle = run.beds[0].cycles[1];
    println!(
        "the bed of scipy_compare.py: {} cycles of {:.9} s",
        run.beds[0].cycles.len(),
        cycle.fill + cycle.prime + cycle.drain
    );
    let _ = c.bench_function("a day of the bed of scipy_compare.py", |b| {
        b.iter(|| simulate(black_box(&system), Sampling::None));
    });
}

/// Prints how much work the day is.
fn tell(system: &System) {
    let run = simulate(system, Sampling::None).unwrap();
    let cycles: usize = run.beds.iter().map(|bed| bed.cycles.len()).sum();
    println!(
        "{} beds: {cycles} cycles, {} events, {} steps, {} right-hand sides, {:.0} a cycle",
        system.beds.len(),
        run.work.events,
        run.work.steps,
        run.work.evaluations,
        run.work.evaluations as f64 / cycles as f64
    );
}

criterion_group!(benches, formulas, days, gravels, beside_scipy);
criterion_main!(benches);
