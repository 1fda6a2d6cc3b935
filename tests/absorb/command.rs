//! `ebbwright absorb`: exit status, output, files.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::bench::{Bench, WORKS, files};
use crate::sentences::without_words;

fn shipped(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("scenarios")
        .join(name);
    fs::read_to_string(path).unwrap()
}

#[test]
fn a_drum_gets_both_answers_and_the_picture() {
    let bench = Bench::new(&shipped("one-bed-lying-drum.toml"));
    let (out, err) = bench.expect(0, &["absorb", "bed.toml"]);
    assert_eq!(err, "");
    for words in [
        "PASS  The sump takes all",
        "If the power fails\n  A power cut at the worst moment of this run",
        "The same drum upright and on its side",
        "The drum is 572 mm across and 851 mm long inside. It does either way.",
        "On its side (now)",
        "Smallest sump that passes",
        "Page and picture are in bed-absorb\n",
    ] {
        assert!(out.contains(words), "{words}\n{out}");
    }
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("On its side its top and its overflow are 279 mm lower"),
        "{out}"
    );
    assert!(
        !out.to_lowercase().contains("safe") && !out.contains("NaN"),
        "{out}"
    );
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    assert_eq!(
        bench.names("bed-absorb"),
        [
            "absorb.json",
            "absorb.md",
            "report.html",
            "volume.png",
            "volume.svg"
        ]
    );
    let page = fs::read_to_string(bench.path("bed-absorb/report.html")).unwrap();
    assert!(
        page.contains("data-key=\"standings[1].bounds.high_m\"") && page.contains("<svg"),
        "{page}"
    );
    let page = fs::read_to_string(bench.path("bed-absorb/absorb.md")).unwrap();
    assert!(
        page.contains("](volume.svg)") && page.contains("| Overflow | 0.809 m | 0.530 m |"),
        "{page}"
    );
}

#[test]
fn json_is_one_document_and_says_what_the_text_says() {
    let bench = Bench::new(&shipped("one-bed-lying-drum.toml"));
    let (out, err) = bench.expect(0, &["absorb", "bed.toml", "--json"]);
    assert_eq!(err, "");
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(found["verdict"], "pass");
    assert_eq!(found["standings"][1]["stance"], "lying");
    assert_eq!(found["standings"][1]["is_present"], true);
    assert_eq!(found["power_cut"]["running"][0], "north");
    let number = |value: &Value| value.as_f64().unwrap();
    let shift = number(&found["standings"][0]["shift_m"]);
    assert!((shift - (0.851 - 0.572)).abs() < 1e-12);
    let (after, bound) = (
        &found["power_cut"]["sump_after_m"],
        &found["sump"]["bounds"]["high_m"],
    );
    // One bed comes back to where it began: the bound itself, but for rounding of the steps.
    assert!(
        number(after) <= number(bound) + 1e-6,
        "{after} over {bound}"
    );
    assert_eq!(bench.names("."), ["bed.toml"]);
    // Units are for people.
    let (us, _) = bench.expect(0, &["absorb", "bed.toml", "--json", "--units", "us"]);
    let mut us: Value = serde_json::from_str(&us).unwrap();
    let mut metric = found;
    without_words(&mut us);
    without_words(&mut metric);
    assert_eq!(us, metric);
}

#[test]
fn a_sump_that_fails_ends_with_1_and_says_what_would_do() {
    let bench = Bench::new(&shipped("sump-overflows.toml"));
    let (out, _) = bench.expect(1, &["absorb", "bed.toml", "--out", "found"]);
    assert!(out.contains("FAIL  No fill makes this sump do"), "{out}");
    assert!(
        out.contains("FAIL  sump-high\n") && out.contains("What to do\n 1. "),
        "{out}"
    );
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("over the sump's overflow"), "{out}");
    let json: Value =
        serde_json::from_slice(&fs::read(bench.path("found/absorb.json")).unwrap()).unwrap();
    assert_eq!(json["verdict"], "fail");
    assert_eq!(json["smallest"][0]["fill"]["passes"], true);
    // Too little water in a sump that would do: the fill is the fix.
    let bench = Bench::new(&WORKS.replace("start-level = \"0.40 m\"", "start-level = \"0.20 m\""));
    let (out, _) = bench.expect(1, &["absorb", "bed.toml", "--json"]);
    let json: Value = serde_json::from_str(&out).unwrap();
    let (least, most) = (
        &json["sump"]["fill"]["least_m"],
        &json["sump"]["fill"]["most_m"],
    );
    let middle = 0.5 * (least.as_f64().unwrap() + most.as_f64().unwrap());
    let fixed = WORKS.replace(
        "start-level = \"0.40 m\"",
        &format!("start-level = \"{middle:.3} m\""),
    );
    let _ = Bench::new(&fixed).expect(0, &["absorb", "bed.toml"]);
}

#[test]
fn every_shipped_scenario_has_an_answer_and_the_same_one_twice() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut count = 0;
    for (name, bytes) in files(&folder) {
        if !name.ends_with(".toml") {
            continue;
        }
        let bench = Bench::new(std::str::from_utf8(&bytes).unwrap());
        let found = bench.run(&["absorb", "bed.toml", "--out", "one", "--units", "us"]);
        let again = bench.run(&["absorb", "bed.toml", "--out", "two", "--units", "us"]);
        let json: Value =
            serde_json::from_slice(&fs::read(bench.path("one/absorb.json")).unwrap()).unwrap();
        let status = if json["verdict"] == "fail" { 1 } else { 0 };
        assert_eq!(found.status.code(), Some(status), "{name}");
        assert_eq!(again.status.code(), Some(status), "{name}");
        assert!(
            files(&bench.path("one")) == files(&bench.path("two")),
            "{name}"
        );
        let text = String::from_utf8(found.stdout).unwrap();
        let long = text.lines().find(|line| line.chars().count() > 80);
        assert!(long.is_none(), "{name}: {long:?}");
        count += 1;
    }
    assert!(count >= 11, "{count} scenarios");
}

// What is left out of the bounds is named with what it does, in the very figures of `run`.
#[test]
fn bounds_with_float_valve_losses_and_events_are_those_of_run() {
    let bench = Bench::new(&shipped("whole-loop.toml"));
    let json = |command: &str| -> Value {
        let output = bench.run(&[command, "bed.toml", "--json"]);
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let (run, absorb) = (json("run"), json("absorb"));
    let all = &absorb["sump"]["bounds_with_the_rest"];
    for (ours, theirs) in [
        ("low_m", "bound_low_m"),
        ("high_m", "bound_high_m"),
        ("dead_siphons_m", "dead_siphons_m"),
    ] {
        assert!(all[ours].is_number());
        assert_eq!(all[ours], run["sump"][theirs], "{ours}");
    }
    assert_ne!(all["low_m"], absorb["sump"]["bounds"]["low_m"]);
    let (out, _) = bench.expect(0, &["absorb", "bed.toml"]);
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    // 0.217 m without, and what `run` prints.
    assert!(
        flat.contains("low bound at 0.210 m (7.5 mm lower)"),
        "{out}"
    );
    // A scenario with nothing of the kind has no such line.
    let bench = Bench::new(&shipped("one-bed-lying-drum.toml"));
    let (out, _) = bench.expect(0, &["absorb", "bed.toml"]);
    assert!(!out.contains("With the rest"), "{out}");
}

// One name for two levels once said "drowned" here and "pass" there.
#[test]
fn the_fall_of_run_and_the_height_over_the_overflow_are_told_apart() {
    let bench = Bench::new(WORKS);
    let _ = bench.expect(0, &["new", "--blank", "shed.toml"]);
    let (out, _) = bench.expect(0, &["absorb", "shed.toml"]);
    let row = out.lines().find(|line| line.contains("Outlet to overflow"));
    let row = row.unwrap_or_else(|| panic!("{out}"));
    let text = fs::read_to_string(bench.path("shed.toml")).unwrap();
    let metres = |key: &str| -> f64 {
        let start = format!("{key} = \"");
        let line = text.lines().find(|line| line.starts_with(&start)).unwrap();
        line[start.len()..]
            .split(' ')
            .next()
            .unwrap()
            .parse()
            .unwrap()
    };
    let over = 1000.0 * (metres("outlet") - metres("overflow-level"));
    let side = if over < 0.0 { "under" } else { "over" };
    assert!(
        row.contains(&format!("{:.0} mm {side}", over.abs())),
        "{row}"
    );
    assert!(!out.contains("drowned") && !out.contains("Fall,"), "{out}");
    let flat = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("\"fall\" of \"run\" measures each run to the water")
            && flat.contains("0.460 m here"),
        "{out}"
    );
}

// It spoke of a hole in the sump's wall, and advised a fill, where a fish tank goes over.
#[test]
fn a_fish_tank_that_may_go_over_its_wall_is_not_told_as_a_hole() {
    let bench = Bench::new(&shipped("whole-loop.toml"));
    for (bore, status, begins) in [
        ("19 mm", 0, "The sump takes it only as long as"),
        ("15 mm", 1, "settle that first"),
    ] {
        let changed = format!("tank.overflow-bore = {bore}");
        let (out, _) = bench.expect(
            status,
            &["absorb", "bed.toml", "--with", &changed, "--force"],
        );
        let told = out.split_whitespace().collect::<Vec<_>>().join(" ");
        let head = told.split("If the power fails").next().unwrap();
        assert!(head.contains(begins), "{head}");
        assert!(head.contains("the fish tank may overflow"), "{head}");
        assert!(!head.contains("hole") && !head.contains("fill"), "{head}");
    }
}
