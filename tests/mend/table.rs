//! How often a plan is found, by what was wrong; printed, not run by itself.

use crate::garden::{WrongSize, broken};
use crate::plan_of;
use std::collections::BTreeMap;

/// Broken gardens of the published table.
const GARDENS: u64 = 300;

/// `cargo test --release --test mend -- --ignored --nocapture plan_table`, for DEVELOPERS.md.
#[test]
#[ignore = "takes minutes; prints the published table"]
fn plan_table() {
    let from: u64 = std::env::var("FIRST_SEED").map_or(1000, |seed| seed.parse().unwrap());
    let mut rates: BTreeMap<WrongSize, [u32; 2]> = BTreeMap::new();
    let mut by_count: BTreeMap<usize, [u32; 2]> = BTreeMap::new();
    let (mut steps, mut tried) = (0, 0);
    for seed in from..from + GARDENS {
        let broken = broken(seed);
        let system = broken.garden.system().unwrap();
        let plan = plan_of(&system);
        let works = u32::from(plan.works());
        for wrong in &broken.wrong {
            let rate = rates.entry(*wrong).or_default();
            *rate = [rate[0] + works, rate[1] + 1];
        }
        let rate = by_count.entry(broken.wrong.len()).or_default();
        *rate = [rate[0] + works, rate[1] + 1];
        steps += plan.steps.len();
        tried += plan.tried;
        if works == 0 {
            println!(
                "seed {seed}: {:?} left {:?}",
                broken.wrong,
                plan.after.failing()
            );
        }
    }
    for (wrong, [mended, all]) in rates {
        println!("| {wrong:?} | {all} | {mended} |");
    }
    for (count, [mended, all]) in by_count {
        println!("| {count} wrong sizes | {all} | {mended} |");
    }
    let mean = |sum: usize| sum as f64 / GARDENS as f64;
    println!(
        "steps {:.1}, systems simulated {:.0}",
        mean(steps),
        mean(tried)
    );
}
