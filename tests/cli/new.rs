//! `ebbwright new` and `ebbwright schema`.

use std::fs;

use serde_json::Value;

use crate::bench::{Bench, WORKS};

#[test]
fn a_new_scenario_runs_as_it_is() {
    for units in ["metric", "us"] {
        let bench = Bench::new(WORKS);
        let (out, err) = bench.expect(0, &["new", "--units", units, "shed.toml"]);
        assert!(out.contains("ebbwright run shed.toml"), "{out}");
        assert_eq!(err, "");
        let _ = bench.expect(0, &["run", "shed.toml", "--units", units]);
        assert!(bench.path("shed-results/report.md").is_file());
    }
}

#[test]
fn without_a_file_the_scenario_goes_to_standard_output() {
    let bench = Bench::new(WORKS);
    let (metric, _) = bench.expect(0, &["new"]);
    let (us, _) = bench.expect(0, &["new", "--units", "us"]);
    assert_ne!(metric, us);
    let _ = bench.expect(0, &["new", "shed.toml"]);
    assert_eq!(fs::read_to_string(bench.path("shed.toml")).unwrap(), metric);
    assert_eq!(bench.names("."), ["bed.toml", "shed.toml"]);
}

#[test]
fn an_existing_file_is_replaced_only_when_asked() {
    let bench = Bench::new("mine");
    let (out, err) = bench.expect(2, &["new", "bed.toml"]);
    assert_eq!(out, "");
    assert!(err.contains("bed.toml") && err.contains("--force"), "{err}");
    assert_eq!(fs::read_to_string(bench.path("bed.toml")).unwrap(), "mine");
    let _ = bench.expect(0, &["new", "bed.toml", "--force"]);
    assert_ne!(fs::read_to_string(bench.path("bed.toml")).unwrap(), "mine");
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn a_file_that_cannot_be_written_is_named() {
    let bench = Bench::new("mine");
    for name in ["nowhere/shed.toml", "bed.toml/shed.toml", "."] {
        let (_, err) = bench.expect(2, &["new", name, "--force"]);
        assert!(err.contains(name), "{err}");
    }
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn the_schema_is_json_and_knows_the_tables_of_a_scenario() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &["schema"]);
    assert_eq!(err, "");
    let schema: Value = serde_json::from_str(&out).unwrap();
    assert!(schema["$schema"].is_string(), "{out}");
    let properties = schema["properties"].as_object().unwrap();
    for table in [
        "title",
        "sump",
        "pump",
        "supply",
        "bed",
        "drain-line",
        "checks",
    ] {
        assert!(properties.contains_key(table), "{table}");
    }
}
