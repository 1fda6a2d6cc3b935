//! Rules about the source itself.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod circles;
mod maths;

use std::fs;
use std::path::{Path, PathBuf};

/// Layers from the lowest up; those in one row may not import each other.
const LADDER: [&[&str]; 13] = [
    &["numerics"],
    &["units"],
    &["hydraulics"],
    &["model"],
    &["siphon", "network"],
    &["simulation"],
    &["assessment"],
    &["study"],
    &["scenario"],
    &["report", "plots"],
    &["answer"],
    &["page"],
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

/// What the engine must do without, and the feature whose modules may name it.
const BEHIND_A_FEATURE: [(&str, &str); 11] = [
    ("clap::", "cli"),
    ("indicatif::", "cli"),
    ("tempfile::", "cli"),
    ("miette::", "cli"),
    ("std::fs", "cli"),
    ("std::io", "cli"),
    ("std::thread", "cli"),
    ("plotters::", "plots"),
    ("png::", "plots"),
    ("rayon::", "parallel"),
    ("ode_solvers::", "ode_solvers"),
];

/// Modules of `text` that stand behind `feature`.
fn gated(text: &str, feature: &str) -> Vec<String> {
    let gates = [
        format!("#[cfg(feature = \"{feature}\")]"),
        format!("#[cfg(all(test, feature = \"{feature}\"))]"),
    ];
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    lines
        .windows(2)
        .filter(|pair| gates.iter().any(|gate| pair[0] == gate))
        .filter_map(|pair| {
            let name = pair[1].strip_prefix("pub ").unwrap_or(pair[1]);
            Some(name.strip_prefix("mod ")?.strip_suffix(';')?.to_owned())
        })
        .collect()
}

/// Whether a module on the way to `path` is only there with `feature`.
fn is_behind(path: &Path, feature: &str) -> bool {
    path.ancestors().any(|at| {
        let Some(folder) = at.parent() else {
            return false;
        };
        let name = at.file_stem().unwrap_or_default().to_string_lossy();
        ["lib.rs", "mod.rs"].iter().any(|parent| {
            fs::read_to_string(folder.join(parent))
                .is_ok_and(|text| gated(&text, feature).contains(&name.to_string()))
        })
    })
}

#[test]
fn the_engine_names_no_file_terminal_thread_or_picture() {
    let mut behind = 0;
    for path in all_sources() {
        if path.ends_with("main.rs") || path.ends_with("page/build.rs") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        // Tests inside a module may use what they like.
        let code = text.split("#[cfg(test)]\nmod tests").next().unwrap();
        let code: Vec<&str> = code
            .lines()
            .map(|l| l.split("//").next().unwrap())
            .collect();
        for (word, feature) in BEHIND_A_FEATURE {
            let gate = format!("#[cfg(feature = \"{feature}\")]");
            for (i, line) in code.iter().enumerate() {
                let names = line.match_indices(word).any(|(at, _)| {
                    !line[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':')
                });
                if !names || (i > 0 && code[i - 1].trim() == gate) {
                    continue;
                }
                let told = format!("{}:{} names {word}", path.display(), i + 1);
                assert!(is_behind(&path, feature), "{told} without {feature}");
                behind += 1;
            }
        }
    }
    assert!(behind > 20, "only {behind} names were looked at");
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
