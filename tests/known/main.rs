//! Runs whose answer is known without this program.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

use ebbwright::simulation::{Sampling, simulate};

#[test]
fn look() {
    for (q, drop) in [(9.0, 0.5), (5.0, 0.5), (16.0, 0.3), (60.0, 0.5), (12.0, 0.6)] {
        let system = support::one_bed(q, drop);
        let run = simulate(&system, Sampling::None).unwrap();
        let bed = &run.beds[0];
        println!(
            "{q} {drop}: {:?} {:?} cycles {} last {:?}\n peak {} break {} in {:?} start {:?} at break {:?} crown {} residual {:e} work {:?}",
            bed.regime, run.ended, bed.cycles.len(), bed.cycles.last(), bed.peak_level, bed.break_level,
            bed.inflow, bed.siphon_flow_at_start, bed.siphon_flow_at_break, bed.crown_pressure_min, run.residual, run.work
        );
        for e in run.events.iter().take(8) { println!("   {:.6} {:?}", e.time, e.kind); }
        println!("  {:?}", bed.regimes);
    }
}
