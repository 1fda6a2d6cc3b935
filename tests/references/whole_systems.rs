//! Whole runs: the same equations written apart in Python, solved by scipy
//! (`python/siphon_system.py`, `data/whole_systems.csv`, `systems/`).

use std::collections::BTreeMap;
use std::path::PathBuf;

use crate::table::{Row, rows_in};
use ebbwright::scenario;
use ebbwright::simulation::{BedOutcome, Cycle, Regime, Run, Sampling, simulate};

/// Largest difference of a duration, as a share of the cycle's period.
const TIME: f64 = 2e-6;
/// The same of what has a spilling bed in it: the tool takes the friction factor of the
/// annulus as it is at the start, scipy's model as it is at each flow. 9e-5 at most.
const SPILLING: f64 = 1e-4;
/// Largest difference of a level [m].
const LEVEL: f64 = 1e-6;
/// The same of the sump, which shares the times above, and of a bed that spills for ever [m].
const SUMP: f64 = 1e-5;

/// The values of each system.
fn systems() -> BTreeMap<String, Vec<Row>> {
    let mut systems: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for row in rows_in("references/data", "whole_systems.csv") {
        let name = row.text("system").to_owned();
        systems.entry(name).or_default().push(row);
    }
    systems
}

fn run(name: &str) -> (Vec<String>, Run) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/references/systems")
        .join(format!("{name}.toml"));
    let system = scenario::read(&path).unwrap().system;
    let names = system.beds.iter().map(|bed| bed.name.clone()).collect();
    (names, simulate(&system, Sampling::Every(600.0)).unwrap())
}

/// Our value and how far it may be off.
fn ours(row: &Row, names: &[String], run: &Run) -> (f64, f64) {
    let quantity = row.text("quantity");
    let Some(i) = names.iter().position(|name| name == row.text("bed")) else {
        return match quantity {
            "sump_least_m" => (run.sump.level.min, SUMP),
            "sump_most_m" => (run.sump.level.max, SUMP),
            other => panic!("{other}"),
        };
    };
    let bed = &run.beds[i];
    match row.maybe("cycle") {
        Some(number) => of_cycle(quantity, bed.cycles[number as usize - 1]),
        None => of_bed(quantity, bed, *run.recording.beds[i].level.last().unwrap()),
    }
}

fn of_bed(quantity: &str, bed: &BedOutcome, last_level: f64) -> (f64, f64) {
    let regime = |wanted: Regime| {
        assert_eq!(bed.regime, wanted);
        (last_level, SUMP)
    };
    match quantity {
        "break_level_m" => (bed.break_level, LEVEL),
        "cycles" => (bed.cycles.len() as f64, 0.0),
        "stands_spilling_m" => regime(Regime::Dribbles),
        "stands_full_m" => regime(Regime::Stalls),
        "stands_running_on_m" => regime(Regime::RunsOn),
        other => panic!("{other}"),
    }
}

fn of_cycle(quantity: &str, cycle: Cycle) -> (f64, f64) {
    let off = TIME * cycle.period();
    match quantity {
        // Differences of all cycles before it add up.
        "began_s" => (cycle.began, SPILLING * cycle.began),
        "fill_s" => (cycle.fill, SPILLING * cycle.period()),
        "prime_s" => (cycle.prime, off),
        "drain_s" => (cycle.drain, off),
        "peak_m" => (cycle.peak_level, LEVEL),
        "sump_at_break_m" => (cycle.sump_level, SUMP),
        other => panic!("{other}"),
    }
}

#[test]
fn whole_runs_are_those_of_a_separate_model() {
    let mut held = 0;
    let systems = systems();
    for (name, rows) in &systems {
        let (names, run) = run(name);
        for row in rows {
            let (ours, allowed) = ours(row, &names, &run);
            let theirs = row.number("value");
            assert!(
                (ours - theirs).abs() <= allowed,
                "{}: {name}, {} {} {} is {ours}, scipy {theirs}",
                row.place(),
                row.text("bed"),
                row.text("cycle"),
                row.text("quantity"),
            );
            held += 1;
        }
    }
    assert_eq!((systems.len(), held), (14, 517));
}
