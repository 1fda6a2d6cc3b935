//! `ebbwright mend`: what it promises is held against `run` on the file that it wrote.

use std::fs;

use serde_json::Value;

use crate::bench::Bench;

const DRIBBLES: &str = include_str!("../../scenarios/dribbles.toml");

fn plan(bench: &Bench, more: &[&str]) -> Value {
    let words = [&["mend", "bed.toml", "--json"], more].concat();
    let (json, _) = bench.expect(0, &words);
    serde_json::from_str(&json).unwrap()
}

#[test]
fn a_mended_scenario_passes_as_promised() {
    let bench = Bench::new(DRIBBLES);
    let _ = bench.expect(1, &["run", "bed.toml", "--json"]);
    let found = plan(&bench, &["--write", "mended.toml"]);
    assert_eq!(found["works"], true);
    assert_eq!(found["failing_after"], Value::Array(Vec::new()));
    assert!(!found["steps"].as_array().unwrap().is_empty());
    let mended = fs::read_to_string(bench.path("mended.toml")).unwrap();
    assert!(mended.contains("# Invented"), "{mended}");
    let (json, _) = bench.expect(0, &["run", "mended.toml", "--json"]);
    let run: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(run["verdict"], found["verdict"]);
}

#[test]
fn the_steps_are_what_with_takes() {
    let bench = Bench::new(DRIBBLES);
    let found = plan(&bench, &[]);
    let mut words = vec!["run", "bed.toml", "--json"];
    let edits = found["steps"].as_array().unwrap().iter();
    for edit in edits.flat_map(|step| step["with"].as_array().unwrap()) {
        words.extend(["--with", edit.as_str().unwrap()]);
    }
    let _ = bench.expect(0, &words);
}

#[test]
fn what_is_kept_is_in_no_step() {
    let bench = Bench::new(DRIBBLES);
    let found = plan(&bench, &["--keep", "bed.balcony.standpipe"]);
    assert_eq!(found["kept"][0], "bed.balcony.standpipe");
    for step in found["steps"].as_array().unwrap() {
        for edit in step["with"].as_array().unwrap() {
            assert!(!edit.as_str().unwrap().contains("standpipe"), "{edit}");
        }
    }
}

#[test]
fn what_passes_needs_no_plan() {
    let bench = Bench::new(crate::bench::WORKS);
    let (text, _) = bench.expect(0, &["mend", "bed.toml"]);
    assert!(text.contains("no change is needed"), "{text}");
    assert!(bench.path("bed-mend/mend.md").is_file());
    assert!(bench.path("bed-mend/report.html").is_file());
}

// The words for what is no change of the file stood in the sources, and no answer printed them.
#[test]
fn what_no_step_mends_is_said_with_what_hands_can_do() {
    let bench = Bench::new(include_str!("../../scenarios/does-not-fit.toml"));
    let (json, _) = bench.expect(1, &["mend", "bed.toml", "--json"]);
    let found: Value = serde_json::from_str(&json).unwrap();
    let left = found["failing_after"].as_array().unwrap();
    let turnover = left.iter().find(|one| one["check"] == "turnover").unwrap();
    let how = turnover["by_hand"].as_str().unwrap();
    assert!(how.contains("take a larger pump"), "{how}");
    let (said, _) = bench.expect(1, &["mend", "bed.toml"]);
    let said: Vec<&str> = said.split_whitespace().collect();
    assert!(said.join(" ").contains(how), "{said:?}");
}
