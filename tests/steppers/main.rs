//! scratch
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#[path = "../support/mod.rs"]
mod support;
use ebbwright::numerics::integrate::*;
use ebbwright::simulation::*;

#[test]
fn look() {
    for (name, system) in [("1", support::pumped_beds(1)), ("4", support::pumped_beds(4)), ("one 9", support::one_bed(9.0, 0.5)), ("one 7", support::one_bed(7.0, 0.5))] {
        let run = |stepper, rel: f64| {
            simulate_by(&system, &system.coefficients.nominal(), Sampling::None,
                Stepping { stepper, tolerance: Tolerance { relative: rel, absolute: rel * 1e-2 } }).unwrap()
        };
        let tight = run(Stepper::Own, 1e-12);
        for (s, rel) in [(Stepper::Own, 1e-6), (Stepper::Own, 3e-7), (Stepper::Own, 1e-7), (Stepper::Own, 3e-8),(Stepper::Own, 1e-8), (Stepper::Own, 1e-9), (Stepper::OdeSolvers, 1e-8), (Stepper::OdeSolvers, 1e-12)] {
            let r = run(s, rel);
            let mut worst = 0.0f64; let mut wp = 0.0f64; let mut inflow = 0.0f64;
            for (a, b) in r.beds.iter().zip(&tight.beds) {
                for (c, d) in a.cycles.iter().zip(&b.cycles) {
                    worst = worst.max((c.period() / d.period() - 1.0).abs());
                    wp = wp.max((c.peak_level - d.peak_level).abs());
                    inflow = inflow.max((c.water/d.water-1.0).abs());
                }
            }
            if rel==1e-7 && name=="4" { for (i,(a, b)) in r.beds.iter().zip(&tight.beds).enumerate() { for (k,(c, d)) in a.cycles.iter().zip(&b.cycles).enumerate() { if (c.period() / d.period() - 1.0).abs()>2e-7 {println!("CYC bed {i} cycle {k} began {} {:e} fill {:e} prime {:e} drain {:e}", d.began, c.period()-d.period(), c.fill-d.fill,c.prime-d.prime,c.drain-d.drain);}}}}
            println!("{name} {s:?} {rel:e}: steps {} evals {} events {}/{} period {worst:e} peak {wp:e} water {inflow:e} residual {:e} last {:?}", r.work.steps, r.work.evaluations, r.work.events, tight.work.events, r.residual, (r.events.last().unwrap().time - tight.events.last().unwrap().time));
        }
    }
}
