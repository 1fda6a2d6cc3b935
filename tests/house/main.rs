//! Rules about the source itself.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::path::{Path, PathBuf};

/// Layers from the lowest up; those in one row may not import each other.
const LADDER: [&[&str]; 10] = [
    &["units", "numerics"],
    &["hydraulics"],
    &["model"],
    &["siphon", "network"],
    &["simulation"],
    &["assessment"],
    &["study"],
    &["scenario"],
    &["report", "plots"],
    &["commands"],
];

fn rank(module: &str) -> Option<usize> {
    LADDER.iter().position(|row| row.contains(&module))
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

fn all_sources() -> Vec<PathBuf> {
    let mut found = Vec::new();
    sources(Path::new("src"), &mut found);
    assert!(found.len() > 50, "the sources are somewhere else");
    found
}

/// Modules of the crate that a source names after `crate::`.
fn imports(text: &str) -> Vec<String> {
    text.match_indices("crate::")
        .filter(|(at, _)| {
            !text[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':')
        })
        .map(|(at, _)| {
            text[at + 7..]
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect()
        })
        .collect()
}

#[test]
fn every_layer_imports_only_from_below() {
    let mut checked = 0;
    for path in all_sources() {
        let mut parts = path.components().skip(1);
        let layer = parts
            .next()
            .unwrap()
            .as_os_str()
            .to_string_lossy()
            .into_owned();
        if layer.ends_with(".rs") {
            continue;
        }
        let own = rank(&layer).unwrap_or_else(|| panic!("{layer} has no place in the ladder"));
        // Tests inside a module may reach up for a real run to look at.
        let text = fs::read_to_string(&path).unwrap();
        let code = text.split("#[cfg(test)]").next().unwrap();
        if path
            .file_name()
            .is_some_and(|f| f == "tests.rs" || f == "sample.rs")
        {
            continue;
        }
        for module in imports(code) {
            if module == layer {
                continue;
            }
            if let Some(other) = rank(&module) {
                assert!(other < own, "{} imports crate::{module}", path.display());
                checked += 1;
            }
        }
    }
    assert!(checked > 100, "only {checked} imports were looked at");
}

#[test]
fn nothing_below_the_scenario_reads_files_clocks_or_the_environment() {
    for path in all_sources() {
        let layer = path
            .components()
            .nth(1)
            .unwrap()
            .as_os_str()
            .to_string_lossy()
            .into_owned();
        if rank(&layer).is_none_or(|r| r >= rank("scenario").unwrap()) {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        for word in [
            "std::fs",
            "std::env",
            "std::time",
            "Instant::now",
            "SystemTime",
            "rand::",
        ] {
            assert!(!text.contains(word), "{} uses {word}", path.display());
        }
    }
}

// A promise nobody can keep; the tool names hazards and defers to local codes.
#[test]
fn no_message_calls_anything_safe() {
    for path in all_sources() {
        let text = fs::read_to_string(&path).unwrap();
        for (number, line) in text.lines().enumerate() {
            let code = line.split("//").next().unwrap();
            let said = code.split('"').skip(1).step_by(2).any(|quoted| {
                quoted
                    .split(|c: char| !c.is_alphabetic())
                    .any(|word| ["safe", "safely"].contains(&word.to_lowercase().as_str()))
            });
            assert!(!said, "{}:{} says safe", path.display(), number + 1);
        }
    }
}
