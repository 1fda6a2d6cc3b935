//! No run may leave the sump's bounds, whatever the coefficients are.

use crate::random;
use ebbwright::assessment::assess;
use ebbwright::simulation::{Regime, Sampling, simulate, simulate_with};
use ebbwright::units::UnitSystem;
use proptest::prelude::*;
use proptest::test_runner::{Config, FileFailurePersistence, TestRunner};
use std::cell::RefCell;
use std::collections::BTreeMap;

const ROUNDING: f64 = 1e-6;

#[test]
fn no_run_leaves_the_sump_bounds() {
    let cases: u32 = std::env::var("BOUND_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(80);
    let config = Config {
        cases,
        source_file: Some(file!()),
        failure_persistence: Some(Box::new(FileFailurePersistence::WithSource("seeds"))),
        ..Config::default()
    };
    let seen = RefCell::new(BTreeMap::<&'static str, u32>::new());
    let count = |what: &'static str, when: bool| {
        *seen.borrow_mut().entry(what).or_default() += u32::from(when);
    };
    let mut runner = TestRunner::new(config);
    runner
        .run(&(random::system(), prop::collection::vec(random::values(), 2)), |(system, draws)| {
            let Ok(nominal) = simulate(&system, Sampling::None) else {
                count("no answer", true);
                return Ok(());
            };
            let bounds = assess(&system, &nominal, UnitSystem::Metric).sump;
            let runs = draws
                .iter()
                .filter_map(|values| simulate_with(&system, values, Sampling::None).ok())
                .chain([nominal.clone()]);
            for run in runs {
                let level = run.sump.level;
                prop_assert!(level.min >= bounds.low - ROUNDING, "{level:?} {bounds:?}");
                prop_assert!(level.max <= bounds.high + ROUNDING, "{level:?} {bounds:?}");
                count("runs", true);
                count("sump spills", run.sump.overflowed > 0.0);
                count("pump runs dry", run.sump.ran_dry > 0.0);
                count("line surcharged", run.line.is_some_and(|line| line.surcharged > 0.0));
                for bed in &run.beds {
                    count("bed overflows", bed.overflowed > 0.0);
                    count("cycles", bed.regime == Regime::Cycles);
                    count("dribbles", bed.regime == Regime::Dribbles);
                    count("stalls", bed.regime == Regime::Stalls);
                    count("runs on", bed.regime == Regime::RunsOn);
                }
            }
            Ok(())
        })
        .unwrap();
    println!("{:?}", seen.borrow());
    for (what, times) in seen.into_inner() {
        assert!(what == "no answer" || times > 0, "no run in which: {what}");
    }
}
