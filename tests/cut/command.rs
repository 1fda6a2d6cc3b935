//! `ebbwright cut` from end to end.

use std::fs;

use serde_json::Value;

use crate::bench::{Bench, WORKS, files};
use crate::sentences::without_words;

/// The bed of the tests with too little water to start.
fn dribbles() -> String {
    WORKS.replace("\"9 L/min\"", "\"3 L/min\"")
}

fn document(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn a_bed_with_a_length_ends_with_0_and_gets_its_files() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &["cut", "bed.toml"]);
    assert_eq!(err, "");
    assert!(
        out.contains("PASS  Cut the standpipe of north to 2"),
        "{out}"
    );
    assert!(
        out.contains("Pages to print and tables are in bed-cut\n"),
        "{out}"
    );
    let expected = [
        "cut.json",
        "cut.md",
        "report.html",
        "siphon-1-north.png",
        "siphon-1-north.svg",
    ];
    assert_eq!(bench.names("bed-cut"), expected);
    let page = fs::read_to_string(bench.path("bed-cut/cut.md")).unwrap();
    assert!(page.contains("](siphon-1-north.svg)"), "{page}");
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let page = fs::read_to_string(bench.path("bed-cut/report.html")).unwrap();
    assert!(page.contains("data-key=\"beds[0].cut.millimetre.length_m\""));
    assert!(page.contains("aria-label=\"Siphon of north in section\">\n<svg"));
}

/// A green word over a siphon that may never stop is read with the saw in the hand.
#[test]
fn lengths_with_which_a_siphon_may_not_stop_are_no_pass() {
    let bench = Bench::new(include_str!("../../scenarios/little-to-spare.toml"));
    let (out, _) = bench.expect(0, &["cut", "bed.toml"]);
    assert!(
        out.contains("WARN  Cut the standpipe of north to 2"),
        "{out}"
    );
    assert!(out.contains("Glue nothing yet"), "{out}");
    assert!(
        out.contains("Starts, stops:    it will start, it may or may not stop"),
        "{out}"
    );
    let (sure, _) = Bench::new(WORKS).expect(0, &["cut", "bed.toml"]);
    assert!(!sure.contains("Glue nothing yet"), "{sure}");
}

/// Pipes cut by a green word while the sump spills are cut for nothing.
#[test]
fn lengths_with_which_the_system_fails_are_no_pass() {
    let bench = Bench::new(include_str!("../../scenarios/sump-overflows.toml"));
    let (out, _) = bench.expect(0, &["cut", "bed.toml"]);
    let headline = out.split("\n\n").nth(1).unwrap_or_default();
    let headline = headline.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(headline.starts_with("WARN Cut nothing yet: "), "{out}");
    // No length is ordered beside that.
    assert!(!headline.contains("Cut the standpipe"), "{out}");
    assert!(
        headline.contains("As things are it would be cut, the standpipe of left"),
        "{out}"
    );
}

/// The job itself: write the answer into the file, run it, find the wanted layer.
#[test]
fn the_lengths_written_into_the_scenario_pass_the_check() {
    let bench = Bench::new(WORKS);
    let (out, _) = bench.expect(0, &["cut", "bed.toml", "--json"]);
    let bed = &document(&out)["beds"][0];
    for (which, at_most) in [
        ("computed", 5e-4),
        ("millimetre", 1.6e-3),
        ("sixteenth_inch", 2.2e-3),
    ] {
        let length = bed["cut"][which]["length_m"].as_f64().unwrap();
        let longer = length - 0.225;
        let text = WORKS
            .replace(
                "length = \"225 mm\"",
                &format!("length = \"{:.6} mm\"", length * 1e3),
            )
            .replace(
                "length = \"0.9 m\"",
                &format!("length = \"{:.6} m\"", 0.9 + longer),
            );
        let text = match bed["cut"][which]["clearance_m"].as_f64() {
            Some(clearance) => text.replace(
                "clearance = \"25 mm\"",
                &format!("clearance = \"{:.6} mm\"", clearance * 1e3),
            ),
            None => text,
        };
        fs::write(bench.path("cut.toml"), text).unwrap();
        let found = bench.run(&["run", "cut.toml", "--json"]);
        let run = document(std::str::from_utf8(&found.stdout).unwrap());
        let checks = run["checks"].as_array().unwrap();
        let check = checks
            .iter()
            .find(|check| check["id"] == "dry-layer")
            .unwrap();
        let left = check["value"].as_f64().unwrap();
        // A nanometre for figures cut off at six decimals.
        assert!(
            (0.05 - 1e-9..0.05 + at_most).contains(&left),
            "{which}: {left}"
        );
        let stated = bed["cut"][which]["dry_layer_m"].as_f64().unwrap();
        assert!((left - stated).abs() < 1e-8, "{which}: {left} and {stated}");
        assert_eq!(check["status"], "pass");
    }
}

#[test]
fn a_refused_bed_ends_with_1_and_says_why_everywhere() {
    let bench = Bench::new(&dribbles());
    let (out, _) = bench.expect(1, &["cut", "bed.toml"]);
    assert!(
        out.contains("FAIL  No length does for north (dribbles)."),
        "{out}"
    );
    assert!(out.contains("What to do\n"), "{out}");
    let page = fs::read_to_string(bench.path("bed-cut/cut.md")).unwrap();
    let svg = fs::read_to_string(bench.path("bed-cut/siphon-1-north.svg")).unwrap();
    assert!(page.contains("never starts") && svg.contains("Nothing to cut yet"));
    let (json, _) = bench.expect(1, &["cut", "bed.toml", "--json"]);
    let found = document(&json);
    assert_eq!(found["verdict"], "fail");
    assert_eq!(found["beds"][0]["refused"]["reason"], "dribbles");
    assert_eq!(found["beds"][0]["cut"], Value::Null);
}

#[test]
fn json_is_one_document_and_writes_nothing_unasked() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &["cut", "bed.toml", "--json"]);
    assert_eq!(err, "");
    let found = document(&out);
    assert_eq!(
        (&found["schema"], &found["verdict"]),
        (&Value::from(2), &Value::from("pass"))
    );
    assert_eq!(found["wanted_dry_layer_m"], 0.05);
    assert_eq!(bench.names("."), ["bed.toml"]);
    let (again, _) = bench.expect(0, &["cut", "bed.toml", "--json", "--out", "here"]);
    assert_eq!(again, out);
    assert_eq!(
        fs::read_to_string(bench.path("here/cut.json")).unwrap(),
        out
    );
}

#[test]
fn the_asked_layer_counts_in_either_unit() {
    let bench = Bench::new(WORKS);
    let length = |layer: &str| {
        let (out, _) = bench.expect(0, &["cut", "bed.toml", "--json", "--dry-layer", layer]);
        let found = document(&out);
        found["beds"][0]["cut"]["computed"]["length_m"]
            .as_f64()
            .unwrap()
    };
    assert_eq!(length("50.8 mm"), length("2 in"));
    assert!((length("50 mm") - length("60 mm") - 0.010).abs() < 2e-4);
    // The scenario's own limit is the default.
    let with_limit = format!("{WORKS}[checks]\ndry-layer = \"60 mm\"\n");
    let limited = Bench::new(&with_limit);
    let (out, _) = limited.expect(0, &["cut", "bed.toml", "--json"]);
    assert_eq!(document(&out)["wanted_dry_layer_m"], 0.06);
}

#[test]
fn units_change_what_people_read_and_not_the_figures() {
    let bench = Bench::new(WORKS);
    let (metric, _) = bench.expect(0, &["cut", "bed.toml", "--out", "metric"]);
    let (us, _) = bench.expect(0, &["cut", "bed.toml", "--units", "us", "--out", "us"]);
    assert!(metric.contains(" mm") && us.contains(" in"));
    assert!(!us.contains(" mm bore"), "{us}");
    let figures = |folder: &str| {
        let text = fs::read_to_string(bench.path(folder).join("cut.json")).unwrap();
        let mut found = document(&text);
        without_words(&mut found);
        found
    };
    assert_eq!(figures("metric"), figures("us"));
    let svg =
        |folder: &str| fs::read_to_string(bench.path(folder).join("siphon-1-north.svg")).unwrap();
    assert!(svg("metric").contains("bell bore 70 mm") && svg("us").contains("bell bore 2.76 in"));
}

#[test]
fn the_same_scenario_gives_the_same_bytes() {
    let (one, two) = (Bench::new(WORKS), Bench::new(WORKS));
    let (first, _) = one.expect(0, &["cut", "bed.toml"]);
    let (second, _) = two.expect(0, &["cut", "bed.toml"]);
    assert_eq!(first, second);
    assert!(files(&one.path("bed-cut")) == files(&two.path("bed-cut")));
    // And again over the files of the first time.
    let _ = one.expect(0, &["cut", "bed.toml"]);
    assert!(files(&one.path("bed-cut")) == files(&two.path("bed-cut")));
}

#[test]
fn misuse_ends_with_2_and_says_what_to_write() {
    let bench = Bench::new(WORKS);
    for (arguments, hint) in [
        (&["--dry-layer", "50"][..], "50 mm"),
        (&["--dry-layer", "5 L/min"], "length"),
        (&["--dry-layer", "2 m"], "allowed"),
        (&["--bed", "nort"], "did you mean \"north\"?"),
        (&["--bed", "x"], "Its beds: \"north\""),
        (&["--bed", "x\u{1b}[2J"], "\\u{1b}"),
    ] {
        let all: Vec<&str> = ["cut", "bed.toml"]
            .iter()
            .chain(arguments)
            .copied()
            .collect();
        let (out, err) = bench.expect(2, &all);
        assert_eq!(out, "");
        assert!(err.contains(hint) && !err.contains('\u{1b}'), "{err}");
    }
    let (_, err) = bench.expect(2, &["cut", "nowhere.toml"]);
    assert!(err.contains("nowhere.toml"), "{err}");
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn one_of_several_beds_can_be_asked_about() {
    let second = WORKS
        .split_once("[[bed]]")
        .map(|(_, bed)| format!("[[bed]]{}", bed.replace("\"north\"", "\"south\"")))
        .unwrap();
    let both = format!("{WORKS}{second}")
        .replace("steady-flow = \"9 L/min\"", "steady-flow = \"18 L/min\"");
    let both = both
        .replace(
            "length = \"0.8 m\", width = \"0.6 m\"",
            "length = \"1.6 m\", width = \"0.9 m\"",
        )
        .replace("hours = 6", "hours = 2");
    let bench = Bench::new(&both);
    let (out, _) = bench.expect(0, &["cut", "bed.toml", "--bed", "south", "--json"]);
    let found = document(&out);
    assert_eq!(found["beds"].as_array().unwrap().len(), 1);
    assert_eq!(found["beds"][0]["name"], "south");
}

#[test]
fn a_folder_that_cannot_be_written_gets_nothing() {
    let bench = Bench::new(WORKS);
    fs::write(bench.path("taken"), "mine").unwrap();
    let (out, err) = bench.expect(2, &["cut", "bed.toml", "--out", "taken"]);
    assert_eq!(out, "");
    assert!(err.contains("taken is a file"), "{err}");
    for taken in [
        "cut.md",
        "cut.json",
        "report.html",
        "siphon-1-north.svg",
        "siphon-1-north.png",
    ] {
        let bench = Bench::new(WORKS);
        fs::create_dir_all(bench.path("results").join(taken)).unwrap();
        let (_, err) = bench.expect(2, &["cut", "bed.toml", "--out", "results"]);
        assert!(err.contains(taken), "{err}");
        assert_eq!(bench.names("results"), [taken]);
    }
}

#[test]
fn help_names_every_option() {
    let bench = Bench::new(WORKS);
    let (out, _) = bench.expect(0, &["cut", "--help"]);
    for option in ["--out", "--json", "--units", "--dry-layer", "--bed"] {
        assert!(out.contains(option), "{out}");
    }
}

#[test]
fn a_longer_pipe_that_brings_a_sure_siphon_into_doubt_says_so() {
    let scenario = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/scenarios/one-bed-lying-drum.toml"
    );
    let bench = Bench::new(&std::fs::read_to_string(scenario).unwrap());
    let text = String::from_utf8(bench.command(&["cut", "bed.toml"]).output().unwrap().stdout)
        .unwrap()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let note =
        "With today's standpipe bed \"north\" would break beyond doubt: 11 mm more pipe cost that.";
    assert!(text.contains(note), "{text}");
    // Asked for the layer it has, it stays as sure as it is.
    let asked = ["cut", "bed.toml", "--dry-layer", "62 mm"];
    let text = String::from_utf8(bench.command(&asked).output().unwrap().stdout).unwrap();
    assert!(!text.contains("beyond doubt"), "{text}");
}
