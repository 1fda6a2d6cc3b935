//! The standpipe lengths that `cut` finds, held against full simulations.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;
#[path = "../verdicts/random.rs"]
mod random;

use ebbwright::study::cut::*;
use ebbwright::units::UnitSystem;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

#[test]
fn look() {
    let mut runner = TestRunner::new_with_rng(Config::default(), TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    let mut tally = std::collections::BTreeMap::<String, usize>::new();
    for k in 0..150 {
        let system = random::system().new_tree(&mut runner).unwrap().current();
        let t = std::time::Instant::now();
        let wish = Wish { dry_layer: 0.05, only: None };
        let cuts = cut(&system, &wish, UnitSystem::Metric, &mut |_| {});
        match cuts {
            Err(e) => println!("{k} ERROR {e}"),
            Ok(cuts) => {
                println!("== {k} beds {} sims {} {:?}", system.beds.len(), cuts.simulations, t.elapsed());
                for bed in &cuts.beds {
                    match &bed.answer {
                        Ok(c) => { *tally.entry("cut".into()).or_default() += 1;
                            println!("  {} -> {:.2} dry {:.3} | {:.0} {:.3} | {:.3} {:.3} band {:?} {:?} head {:.1} spread {:.2} {:?} {:?}", bed.present.length*1e3, c.exact.length*1e3, c.exact.dry_layer*1e3,
                            c.millimetre.stand.length*1e3, c.millimetre.stand.dry_layer*1e3, c.sixteenth.stand.length/0.0254, c.sixteenth.stand.dry_layer*1e3,
                            c.band.shortest.map(|b| (b.length*1e3, b.regime)), (c.band.longest.length*1e3, c.band.longest.regime), c.start_head*1e3, c.peak_spread*1e3, c.will_start, c.will_break) },
                        Err(r) => { *tally.entry(r.key().into()).or_default() += 1;
                            println!("  {:.1} REFUSED {} {}\n      {}", bed.present.length*1e3, r.key(), r.because(UnitSystem::Metric), r.first_fix(UnitSystem::Metric)) },
                    }
                }
            }
        }
    }
    println!("{tally:?}");
}
