//! Scenarios drafted from random facts. All facts are invented; that a draft works is held
//! against a new reading of its text and a new simulation of it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod facts;
mod table;
mod tank;

use ebbwright::assessment::{Status, assess};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::PumpSource;
use ebbwright::scenario::{draft, parse};
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::study::draft::{Facts, SumpFact};
use ebbwright::units::UnitSystem;

/// Seeds of the usual run; `new_table` takes many more.
const SEEDS: std::ops::Range<u64> = 0..24;

/// Drafts from the facts that `of` draws for `seed`; `Err` says what fails.
fn drafted(seed: u64, of: fn(u64) -> Facts) -> Result<(), String> {
    let facts = of(seed);
    let about = |what: &str| format!("seed {seed}: {what}, {facts:?}");
    let found = draft(&facts, "a draft", &|_| {}).map_err(|error| about(&error.to_string()))?;
    let read = parse(&found.text, "draft.toml").unwrap_or_else(|error| {
        panic!(
            "{}",
            about(&format!("{}\n{}", error.render(false), found.text))
        )
    });
    owned(&facts, &read.system);
    let run = simulate(&read.system, Sampling::None).map_err(|error| about(&error.to_string()))?;
    let judged = assess(&read.system, &run);
    let passes = judged.verdict != Status::Fail;
    assert!(passes || !found.works(), "{}", about("promises otherwise"));
    assert_eq!(
        found.works(),
        found.troubles.is_empty(),
        "{}",
        about("troubles")
    );
    if found.works() {
        Ok(())
    } else {
        Err(about(&found.troubles.join(", ")))
    }
}

/// What the person owns is in the system as it was said.
fn owned(facts: &Facts, system: &ebbwright::model::System) {
    let close = |a: f64, b: f64| assert!((a - b).abs() < 1e-3, "{a} is not {b}");
    if let Some(beds) = facts.beds {
        assert_eq!(system.beds.len(), beds);
    }
    if let Some(ceiling) = facts.ceiling {
        close(system.ceiling.unwrap(), ceiling);
    }
    for bed in &system.beds {
        if let (
            Some(sides),
            VesselShape::Box {
                length,
                width,
                depth,
            },
        ) = (facts.bed, &bed.shape)
        {
            for (said, is) in sides.iter().zip([length, width, depth]) {
                close(*said, *is);
            }
        }
    }
    if let (Some(SumpFact::LyingDrum), VesselShape::LyingCylinder { length, .. }) =
        (&facts.sump, &system.sump.shape)
    {
        assert!(*length > 0.85 - 1e-3);
    }
    if let Some(vessels) = facts.vessels {
        assert_eq!(system.sump.count, vessels);
    }
    if let (Some(pump), PumpSource::Curve(curve)) = (facts.pump, &system.pump.source) {
        let Some((open, _)) = pump.box_figures() else {
            return;
        };
        assert!((curve.open_flow() / open - 1.0).abs() < 2e-3);
    }
}

#[test]
fn sensible_facts_become_a_scenario_that_passes() {
    let failed = SEEDS.filter_map(|seed| drafted(seed, facts::drawn).err());
    let failed: Vec<String> = failed.collect();
    let all = SEEDS.count();
    assert!(20 * failed.len() <= all, "{}", failed.join("\n"));
}

#[test]
fn sensible_facts_with_fish_become_a_scenario_that_passes() {
    let failed = SEEDS.filter_map(|seed| drafted(seed, facts::drawn_with_fish).err());
    let failed: Vec<String> = failed.collect();
    let all = SEEDS.count();
    assert!(20 * failed.len() <= all, "{}", failed.join("\n"));
}

#[test]
fn no_facts_at_all_are_enough() {
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        let facts = Facts {
            units,
            ..Facts::default()
        };
        let found = draft(&facts, "a draft", &|_| {}).unwrap();
        assert!(found.works(), "{:?}", found.troubles);
        assert!(found.text.contains("assumed"), "{}", found.text);
        assert!(!found.text.contains("#@"), "{}", found.text);
    }
}
