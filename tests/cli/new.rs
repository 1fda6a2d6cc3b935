//! `ebbwright new` and `ebbwright schema`.

use std::fs;

use serde_json::Value;

use crate::bench::{Bench, WORKS};

#[test]
fn a_new_scenario_runs_as_it_is() {
    for units in ["metric", "us"] {
        for blank in [&["--blank"][..], &[]] {
            let bench = Bench::new(WORKS);
            let asked = [&["new", "--units", units, "shed.toml"], blank].concat();
            let (out, err) = bench.expect(0, &asked);
            assert!(out.contains("ebbwright run shed.toml"), "{out}");
            assert_eq!(err, "");
            let _ = bench.expect(0, &["run", "shed.toml", "--units", units]);
            assert!(bench.path("shed-results/report.md").is_file());
        }
    }
}

#[test]
fn facts_become_a_scenario_in_their_units_with_reasons() {
    let bench = Bench::new(WORKS);
    let facts = [
        "new",
        "shed.toml",
        "--beds",
        "4",
        "--bed",
        "4 ft x 2 ft x 12 in",
        "--room",
        "7 ft",
        "--drum",
        "lying",
        "--pump",
        "800 gal/h, 10 ft",
    ];
    let (_, err) = bench.expect(0, &facts);
    assert_eq!(err, "");
    let text = fs::read_to_string(bench.path("shed.toml")).unwrap();
    for part in [
        "ceiling = \"7 ft\"",
        "open-flow = \"800 gal/h\"",
        "length = \"4 ft\", width = \"24 in\", depth = \"12 in\"",
        "of dry gravel",
        "to start for",
        "schedule = \"40\"",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    let (out, _) = bench.expect(0, &["mend", "shed.toml"]);
    assert!(out.contains("Nothing fails"), "{out}");
}

#[test]
fn a_fish_tank_is_a_fact_like_any_other() {
    let bench = Bench::new(WORKS);
    let facts = [
        "new",
        "fish.toml",
        "--beds",
        "2",
        "--pump",
        "900 gal/h 10 ft",
        "--tank",
    ];
    let (_, err) = bench.expect(0, &[&facts[..], &["80 gal on 16 in"]].concat());
    assert_eq!(err, "");
    let text = fs::read_to_string(bench.path("fish.toml")).unwrap();
    for part in [
        "[tank]",
        "floor = \"16 in\"",
        "open-flow = \"900 gal/h\"",
        "\"tank.shape\"",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    let (out, _) = bench.expect(0, &["run", "fish.toml"]);
    assert!(out.contains("Fish tank     Cannot fall under"), "{out}");
    let _ = bench.expect(0, &[&facts[..], &["none", "--force"]].concat());
    let text = fs::read_to_string(bench.path("fish.toml")).unwrap();
    assert!(!text.contains("[tank]"), "{text}");
}

#[test]
fn facts_that_cannot_work_say_which_and_the_least_that_would() {
    let bench = Bench::new(WORKS);
    let low = [
        "new",
        "low.toml",
        "--room",
        "3 ft 6 in",
        "--beds",
        "2",
        "--pump",
        "800 gal/h, 10 ft",
    ];
    let (_, err) = bench.expect(1, &low);
    assert!(
        err.contains("do not fit under a ceiling of 3 ft 6 in"),
        "{err}"
    );
    assert!(err.contains("The least that works is 3 ft 10 in"), "{err}");
    // The best found is there all the same.
    assert!(bench.path("low.toml").is_file());
    let small = [
        "new",
        "small.toml",
        "--drum",
        "1 lying",
        "--beds",
        "4",
        "--bed",
        "4 ft x 3 ft x 14 in",
        "--pump",
        "2000 gal/h, 12 ft",
    ];
    let (_, err) = bench.expect(1, &small);
    assert!(err.contains("of the flood"), "{err}");
    assert!(err.contains("joined for the sump instead of 1"), "{err}");
}

#[test]
fn a_fact_that_cannot_be_read_says_what_to_type() {
    let bench = Bench::new(WORKS);
    for (option, value, says) in [
        ("--bed", "4 ft x 2 ft", "inside length, width and depth"),
        ("--pump", "800 gal/h", "two figures on its box"),
        ("--drum", "bucket", "lying, upright or tote"),
        ("--room", "tall", "height of the room"),
        ("--tank", "koi", "none, a volume such as"),
        ("--tank", "2 upright", "more than one tank"),
        // Examples are in the units that somebody types in.
        ("--pump", "3500 L/h", "3000 L/h, 3 m"),
        ("--bed", "4 ft", "4 ft x 2 ft x 12 in"),
    ] {
        let (_, err) = bench.expect(2, &["new", option, value]);
        assert!(err.contains(says), "{err}");
    }
}

#[test]
fn without_a_file_the_scenario_goes_to_standard_output() {
    let bench = Bench::new(WORKS);
    let (metric, _) = bench.expect(0, &["new"]);
    let (us, _) = bench.expect(0, &["new", "--units", "us"]);
    assert_ne!(metric, us);
    let _ = bench.expect(0, &["new", "shed.toml"]);
    let written = fs::read_to_string(bench.path("shed.toml")).unwrap();
    let titled = metric.replace("title = \"My system\"", "title = \"shed\"");
    assert_eq!(written, titled);
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
