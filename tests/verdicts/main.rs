//! Verdicts on finished runs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod bounds;
mod random;

use ebbwright::assessment::assess;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem;

#[test]
fn look() {
    for (q, drop) in [(9.0, 0.5), (5.0, 0.5), (16.0, 0.3), (60.0, 0.5), (12.0, 0.6)] {
        let system = support::one_bed(q, drop);
        let run = simulate(&system, Sampling::None).unwrap();
        let t = std::time::Instant::now();
        let a = assess(&system, &run, UnitSystem::Metric);
        println!("=== {q} {drop} {:?} {:?} {:?}", run.beds[0].regime, a.verdict, t.elapsed());
        println!("{:?} {:?}", a.sump, run.sump.level);
        for c in &a.checks {
            println!("{:?} {} [{}] v {:.6} l {:.6} m {:.6}\n    {}\n    FIX {}", c.status, c.id.key(), c.subject, c.value, c.limit, c.margin, c.because, c.first_fix);
        }
        for n in &a.notes { println!("NOTE {n}"); }
        for n in &a.cautions { println!("CAUTION {n}"); }
    }
}
