//! Every figure of runs, checks and fixes as it stood last, for shipped, odd and once fallen
//! scenarios: a regression test and no more. It holds nothing against the outside; what does
//! is in `known`, `values`, `references` and `verdicts`. A change of the engine that is meant
//! shows here line by line: look at each, then `UPDATE_PINS=1 cargo test --test pins`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod figures;
mod lines;

use std::fs;
use std::path::{Path, PathBuf};

const HERE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests");

/// Scenario files of a folder, in order of their names.
fn files(folder: &str) -> Vec<PathBuf> {
    let listed = fs::read_dir(Path::new(HERE).join(folder)).unwrap();
    let mut found: Vec<PathBuf> = listed
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    found.sort();
    found
}

/// Holds every system of `folder` against its page in `found`; at most three lines of each
/// are told.
fn hold(folder: &str) {
    let update = std::env::var_os("UPDATE_PINS").is_some();
    let mut told = Vec::new();
    let mut count = 0;
    for path in files(folder) {
        let Some(now) = figures::of(&fs::read_to_string(&path).unwrap()) else {
            continue;
        };
        count += 1;
        let name = path.file_stem().unwrap().to_str().unwrap();
        let page = Path::new(HERE).join(format!("pins/found/{name}.txt"));
        if update {
            fs::write(&page, &now).unwrap();
        }
        let before = fs::read_to_string(&page).unwrap_or_default();
        let differing = lines::differing(&before, &now);
        told.extend(
            differing
                .iter()
                .take(3)
                .map(|line| format!("{name}: {line}")),
        );
    }
    assert!(count > 0, "no scenario in {folder}");
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn shipped_scenarios_keep_their_figures() {
    hold("../scenarios");
}

#[test]
fn odd_systems_keep_their_figures() {
    hold("odd/found");
}

#[test]
fn systems_that_fell_once_keep_their_figures() {
    hold("fuzz/fallen");
}

#[test]
fn drawn_systems_keep_their_figures() {
    hold("pins/systems");
}
