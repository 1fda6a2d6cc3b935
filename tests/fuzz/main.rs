//! Files that were damaged and systems that were walked to: each is read, or refused with
//! reasons; each that was read is simulated and told.
//!
//! `FUZZ_FILES`, `FUZZ_RUNS` and `FUZZ_PLANS` ask for other counts, `FUZZ_FIRST` and `FUZZ_SEED` for other
//! files; `.ci/hunt` does. A file that fell is written to the tests' own folder, and kept in `fallen` once its
//! fault is mended.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod corpus;
mod damage;
mod dice;
mod emit;
mod judge;
#[path = "../support/splices.rs"]
mod splices;
mod walk;

use dice::Dice;
use rayon::prelude::*;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

/// Files read and systems simulated in an ordinary run.
const FILES: u64 = 20_000;
const RUNS: u64 = 500;
/// Systems whose plan is looked for in an ordinary run, and how many are tried for it.
const PLANS: u64 = 24;
const TRIES: usize = 4;
/// Steps of a walk, at most; those that the reader refuses are taken back.
const STEPS: usize = 24;

fn asked(variable: &str, usual: u64) -> u64 {
    let asked = std::env::var(variable).ok();
    asked.and_then(|count| count.parse().ok()).unwrap_or(usual)
}

static SEED: LazyLock<u64> = LazyLock::new(|| asked("FUZZ_SEED", 2026));
static TEXTS: LazyLock<Vec<String>> = LazyLock::new(corpus::all);
static SCHEMA: LazyLock<Value> = LazyLock::new(ebbwright::scenario::schema);
/// Those of the texts that can be read, as trees.
static TREES: LazyLock<Vec<Value>> = LazyLock::new(|| {
    let valid = |text: &&String| ebbwright::scenario::parse(text, "valid.toml").is_ok();
    let texts = TEXTS.iter().filter(valid);
    texts.filter_map(|text| emit::tree(text)).collect()
});

/// A file that does not do as it must.
struct Fallen {
    name: String,
    text: String,
    why: String,
}

/// File `number`: damaged as text, or walked to in a few steps.
fn file(number: u64) -> String {
    let mut dice = Dice::new(*SEED, number);
    if dice.chance(0.7) {
        let (text, other) = (dice.one(&TEXTS).clone(), dice.one(&TEXTS).clone());
        return damage::damaged(&text, &other, &mut dice);
    }
    let mut tree = dice.one(&TREES).clone();
    for _ in 0..=dice.roll(3) {
        let other = dice.one(&TREES).clone();
        walk::step(&mut tree, &SCHEMA, &other, &mut dice);
    }
    emit::text(&tree)
}

/// System `number`: a valid file, many steps away from the one it began as.
fn system(number: u64) -> Result<String, Fallen> {
    let mut dice = Dice::new(!*SEED, number);
    let mut tree = dice.one(&TREES).clone();
    let mut text = emit::text(&tree);
    for _ in 0..=dice.roll(STEPS) {
        let mut next = tree.clone();
        let other = dice.one(&TREES).clone();
        walk::step(&mut next, &SCHEMA, &other, &mut dice);
        shortened(&mut next, number);
        let written = emit::text(&next);
        match judge::read(&written) {
            Ok(Some(_)) => (tree, text) = (next, written),
            Ok(None) => {}
            Err(why) => return Err(fallen("walk", number, written, why)),
        }
    }
    Ok(text)
}

/// Beds on a line of which a worst moment is still searched for in seconds.
const SEARCHED: usize = 2;

/// What a test can wait for: minutes; now and then a day, or weeks.
fn shortened(tree: &mut Value, number: u64) {
    let beds = tree["bed"].as_array().map_or(0, Vec::len);
    let most = match number % 100 {
        0 => 100.0,
        n if n % 10 == 0 => 12.0,
        _ => 1.0,
    };
    let asked = tree["hours"].as_f64().unwrap_or(most);
    tree["hours"] = serde_json::json!(asked.min(most));
    let many = beds > SEARCHED && tree.get("drain-line").is_some();
    let events = tree.get_mut("event").and_then(Value::as_array_mut);
    for event in events.into_iter().flatten() {
        if event["at"] == "worst" && (many || most > 1.0) {
            event["at"] = serde_json::json!("100 s");
        }
    }
}

fn fallen(kind: &str, number: u64, text: String, why: String) -> Fallen {
    Fallen {
        name: format!("{kind}-{}-{number}.toml", *SEED),
        text,
        why,
    }
}

/// The folder for files that fell.
fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("fuzz");
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// The file that this thread is at, put down while it is, should it never come back.
fn beside(text: &str) -> PathBuf {
    let thread = rayon::current_thread_index().unwrap_or_default();
    let path = folder().join(format!("at-work-{thread}.toml"));
    std::fs::write(&path, text).unwrap();
    path
}

/// Fails with the first of them; all are written where they can be run by hand.
fn none(mut fallen: Vec<Fallen>) {
    if fallen.is_empty() {
        return;
    }
    let folder = folder();
    for one in &fallen {
        std::fs::write(folder.join(&one.name), &one.text).unwrap();
        println!(
            "{}: {}",
            one.name,
            one.why.lines().next().unwrap_or_default()
        );
    }
    let count = fallen.len();
    let first = fallen.swap_remove(0);
    panic!(
        "{count} files fell; see {}\n{}: {}",
        folder.display(),
        first.name,
        first.why
    );
}

#[test]
fn a_file_is_read_or_refused_with_reasons_whatever_is_in_it() {
    let count = asked("FUZZ_FILES", FILES);
    let first = asked("FUZZ_FIRST", 0);
    let outcomes: Vec<Result<bool, Fallen>> = (first..first + count)
        .into_par_iter()
        .map(|number| {
            let text = file(number);
            let read = judge::read(&text).map(|scenario| scenario.is_some());
            read.map_err(|why| fallen("file", number, text, why))
        })
        .filter(|outcome| !matches!(outcome, Ok(false)))
        .collect();
    let read = outcomes.iter().filter(|outcome| outcome.is_ok()).count() as u64;
    println!("{count} files, {read} of them valid");
    none(outcomes.into_iter().filter_map(Result::err).collect());
    // Both must happen often, or only one of them is tested.
    assert!(
        read > count / 20 && read < count / 2,
        "{read} of {count} valid"
    );
}

#[test]
fn a_system_that_was_read_is_simulated_and_told() {
    let count = asked("FUZZ_RUNS", RUNS);
    let first = asked("FUZZ_FIRST", 0);
    let found: Vec<Fallen> = (first..first + count)
        .into_par_iter()
        .filter_map(|number| {
            let text = match system(number) {
                Ok(text) => text,
                Err(found) => return Some(found),
            };
            let scenario = judge::read(&text).ok().flatten()?;
            let at_work = beside(&text);
            let why = judge::simulate(&scenario).err();
            std::fs::remove_file(at_work).unwrap();
            Some(fallen("run", number, text, why?))
        })
        .collect();
    println!("{count} systems simulated");
    none(found);
}

#[test]
fn a_plan_has_a_place_in_the_file_whatever_the_system() {
    let count = asked("FUZZ_PLANS", PLANS);
    let first = asked("FUZZ_FIRST", 0);
    let found: Vec<Fallen> = (first..first + count)
        .into_par_iter()
        .filter_map(|number| {
            let text = system(number).ok()?;
            let scenario = judge::read(&text).ok().flatten()?;
            let why = judge::plan(&scenario, TRIES).err();
            Some(fallen("plan", number, text, why?))
        })
        .collect();
    none(found);
}

/// Every file that ever fell, kept under the name of its fault.
#[test]
fn what_fell_once_stays_mended() {
    stays_mended("tests/fuzz/fallen");
}

/// Move a file to `fallen` once it passes.
#[test]
#[ignore = "faults that are still open"]
fn what_fell_and_is_not_mended() {
    stays_mended("tests/fuzz/open");
}

fn stays_mended(folder: &str) {
    for (name, text) in corpus::folder(folder) {
        let judged = judge::read(&text).and_then(|scenario| match scenario {
            Some(scenario) if name.starts_with("plan-") => judge::plan(&scenario, TRIES),
            Some(scenario) => judge::simulate(&scenario),
            None => Ok(()),
        });
        if let Err(why) = judged {
            panic!("{name}: {why}");
        }
    }
}
