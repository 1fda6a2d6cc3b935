//! `ebbwright run`: exit status, output, and what the files say.

use std::fs;

use serde_json::Value;

use crate::bench::{Bench, WORKS, fails, files};
use crate::sentences::without_words;

#[test]
fn a_working_bed_ends_with_0_and_tells_where_the_files_are() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &["run", "bed.toml"]);
    assert!(out.starts_with("Invented bed for a test\n\n"), "{out}");
    assert!(
        out.contains("Report, plots and tables are in bed-results\n"),
        "{out}"
    );
    assert!(!out.contains("FAIL"), "{out}");
    assert_eq!(err, "");
    let names = bench.names("bed-results");
    for name in ["report.md", "report.html", "levels.csv", "result.json"] {
        assert!(
            names.iter().any(|found| found == name),
            "{name} in {names:?}"
        );
    }
    let of = |end: &str| names.iter().filter(|name| name.ends_with(end)).count();
    assert!(of(".svg") >= 5, "{names:?}");
    assert_eq!(of(".svg"), of(".png"));
    assert!(bench.path("bed-results/made-by-ebbwright.json").is_file());
    assert_eq!(names.len(), 4 + of(".svg") + of(".png"), "{names:?}");
}

#[test]
fn a_failed_check_ends_with_1_and_says_what_to_change() {
    let bench = Bench::new(&fails());
    let (out, _) = bench.expect(1, &["run", "bed.toml"]);
    assert!(out.contains("FAIL  Dry gravel"), "{out}");
    assert!(
        out.contains("What to do\n 1. ") && out.contains("\n  Simulated with"),
        "{out}"
    );
    let (full, _) = bench.expect(1, &["run", "bed.toml", "--full"]);
    assert!(full.contains("FAIL  dry-layer"), "{full}");
    let (json, _) = bench.expect(1, &["run", "bed.toml", "--json"]);
    let found: Value = serde_json::from_str(&json).unwrap();
    assert_eq!(found["verdict"], "fail");
}

#[test]
fn json_is_one_document_and_nothing_else() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &["run", "bed.toml", "--json"]);
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(found["schema"], 2);
    assert_eq!(found["command"], "run");
    assert_eq!(found["title"], "Invented bed for a test");
    assert_eq!(found["beds"][0]["name"], "north");
    assert_eq!(err, "");
    // Without --out nothing is written.
    assert_eq!(bench.names("."), ["bed.toml"]);
    let (again, _) = bench.expect(0, &["run", "bed.toml", "--json", "--out", "results"]);
    assert_eq!(again, out);
    assert_eq!(
        fs::read_to_string(bench.path("results/result.json")).unwrap(),
        out
    );
}

#[test]
fn the_same_scenario_gives_the_same_bytes() {
    let (one, two) = (Bench::new(&fails()), Bench::new(&fails()));
    let (first, _) = one.expect(1, &["run", "bed.toml"]);
    let (second, _) = two.expect(1, &["run", "bed.toml"]);
    assert_eq!(first, second);
    let (first, second) = (
        files(&one.path("bed-results")),
        files(&two.path("bed-results")),
    );
    assert_eq!(
        first.keys().collect::<Vec<_>>(),
        second.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &first {
        assert!(!bytes.is_empty(), "{name} is empty");
        assert!(second[name] == *bytes, "{name} differs");
    }
    // And again over the files of the first run.
    let _ = one.expect(1, &["run", "bed.toml"]);
    assert!(files(&one.path("bed-results")) == first);
}

#[test]
fn units_change_what_people_read_and_not_the_result() {
    let bench = Bench::new(WORKS);
    let (metric, _) = bench.expect(0, &["run", "bed.toml", "--out", "metric"]);
    let (us, _) = bench.expect(0, &["run", "bed.toml", "--units", "us", "--out", "us"]);
    assert!(
        metric.contains(" L/min") && !metric.contains(" gal/min"),
        "{metric}"
    );
    assert!(us.contains(" gal/min") && !us.contains(" L/min"), "{us}");
    let levels = |folder: &str| fs::read(bench.path(folder).join("levels.csv")).unwrap();
    assert!(levels("metric") == levels("us"));
    let numbers = |folder: &str| {
        let text = fs::read_to_string(bench.path(folder).join("result.json")).unwrap();
        let mut found: Value = serde_json::from_str(&text).unwrap();
        found["plan"] = Value::Null;
        without_words(&mut found);
        found
    };
    assert_eq!(numbers("metric"), numbers("us"));
}

#[test]
fn every_picture_of_the_report_exists() {
    let bench = Bench::new(WORKS);
    let _ = bench.expect(0, &["run", "bed.toml"]);
    let page = fs::read_to_string(bench.path("bed-results/report.md")).unwrap();
    let links: Vec<&str> = page
        .split("](")
        .skip(1)
        .filter_map(|rest| rest.split(')').next())
        .filter(|link| link.ends_with(".svg"))
        .collect();
    assert!(links.len() >= 5, "{links:?}");
    for link in links {
        assert!(bench.path("bed-results").join(link).is_file(), "{link}");
    }
}

#[test]
fn the_table_of_levels_has_as_many_cells_in_every_line() {
    let bench = Bench::new(WORKS);
    let _ = bench.expect(0, &["run", "bed.toml"]);
    let table = fs::read_to_string(bench.path("bed-results/levels.csv")).unwrap();
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let head = reader.headers().unwrap().clone();
    assert_eq!(head.get(0), Some("time_s"));
    let mut last = 0.0;
    let mut lines = 0;
    for record in reader.records() {
        let record = record.unwrap();
        let time: f64 = record[0].parse().unwrap();
        assert!(time >= last, "{time} after {last}");
        last = time;
        lines += 1;
    }
    // Six hours: a sample every ten seconds would be 2160, what straight lines show is left out.
    assert!(lines > 300 && lines < 1080, "{lines} lines");
    assert!((last - 21_600.0).abs() < 1e-3, "ends at {last} s");
}

#[test]
fn nobody_is_told_that_anything_is_without_danger() {
    for scenario in [WORKS, &fails()] {
        let bench = Bench::new(scenario);
        let found = bench.run(&["run", "bed.toml"]);
        let page = fs::read_to_string(bench.path("bed-results/report.md")).unwrap();
        let text = String::from_utf8(found.stdout).unwrap() + &page;
        assert!(!text.to_lowercase().contains("safe"), "{text}");
    }
}

#[test]
fn a_scenario_that_is_not_there_ends_with_2() {
    let bench = Bench::new(WORKS);
    for name in ["nowhere.toml", ".", "bed.toml/below"] {
        let (out, err) = bench.expect(2, &["run", name]);
        assert_eq!(out, "");
        assert!(err.contains(name), "{err}");
    }
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn a_wrong_scenario_ends_with_2_and_points_into_the_file() {
    let bench = Bench::new(&WORKS.replace("bore = \"21 mm\"", "boer = \"21 mm\""));
    let (out, err) = bench.expect(2, &["run", "bed.toml", "--json"]);
    assert_eq!(out, "");
    assert!(err.contains("bed.toml") && err.contains("boer"), "{err}");
    assert!(!err.contains('\u{1b}'), "{err}");
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn every_shipped_scenario_ends_with_the_status_of_its_verdict() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut count = 0;
    for (name, bytes) in files(&folder) {
        if !name.ends_with(".toml") {
            continue;
        }
        let bench = Bench::new(std::str::from_utf8(&bytes).unwrap());
        let found = bench.run(&["run", "bed.toml", "--json"]);
        let json: Value = serde_json::from_slice(&found.stdout)
            .unwrap_or_else(|_| panic!("{name}: {}", String::from_utf8_lossy(&found.stderr)));
        let status = if json["verdict"] == "fail" { 1 } else { 0 };
        assert_eq!(found.status.code(), Some(status), "{name}");
        count += 1;
    }
    assert!(count > 0, "no scenarios in {}", folder.display());
}

#[test]
fn an_event_at_its_worst_moment_is_put_there_and_told() {
    let scenario = fs::read_to_string("scenarios/whole-loop.toml").unwrap();
    let bench = Bench::new(&scenario);
    let (json, _) = bench.expect(0, &["run", "bed.toml", "--json"]);
    let found: Value = serde_json::from_str(&json).unwrap();
    let cut = &found["incidents"][0];
    assert_eq!(cut["what"], "pump-stops");
    let words = found["what_if"]["words"].as_str().unwrap();
    assert!(
        words.contains("pump stops (at the worst moment, "),
        "{words}"
    );

    // A cut at any other moment does not raise the sump higher.
    let highest = cut["highest_sump_level_m"].as_f64().unwrap();
    for minute in [20, 27, 33, 60, 75] {
        let other = scenario.replace("at = \"worst\"", &format!("at = \"{minute} min\""));
        let bench = Bench::new(&other);
        let (json, _) = bench.expect(0, &["run", "bed.toml", "--json"]);
        let found: Value = serde_json::from_str(&json).unwrap();
        let level = found["incidents"][0]["highest_sump_level_m"]
            .as_f64()
            .unwrap();
        assert!(
            level <= highest + 1e-5,
            "{minute} min: {level} above {highest}"
        );
    }
}

#[test]
fn a_second_opinion_is_printed_and_is_in_the_json() {
    let bench = Bench::new(WORKS);
    let (out, _) = bench.expect(0, &["run", "bed.toml", "--second-opinion"]);
    assert!(out.contains("\nSecond opinion\n"), "{out}");
    assert!(out.contains("both integrators agree"), "{out}");
    assert!(out.contains("mm apart"), "{out}");
    let page = fs::read_to_string(bench.path("bed-results/report.md")).unwrap();
    assert!(page.contains("## Second opinion"), "{page}");
    let (json, _) = bench.expect(0, &["run", "bed.toml", "--second-opinion", "--json"]);
    let found: Value = serde_json::from_str(&json).unwrap();
    let second = &found["second_opinion"];
    assert_eq!(second["agrees"], true);
    let bed = &second["beds"][0];
    assert_eq!(bed["name"], "north");
    assert_eq!(
        bed["peak_level_m"]["first"],
        found["beds"][0]["peak_level_m"]
    );
    let off = bed["period_s"]["difference"].as_f64().unwrap().abs();
    assert!(off < 0.01 && off > 0.0, "{off}");
    // Who has not asked gets the document as before.
    let (json, _) = bench.expect(0, &["run", "bed.toml", "--json"]);
    let found: Value = serde_json::from_str(&json).unwrap();
    assert!(found["second_opinion"].is_null());
}

/// One bed dribbles and holds its water; the other floods until the sump is empty.
const STARVES: &str = r#"title = "Two beds that take all the water of a sump (invented)"

[sump]
shape = { box = { length = "100 cm", width = "60 cm", depth = "50 cm" } }
floor = "0 cm"
start-level = "25 cm"
overflow-level = "42 cm"

[pump]
intake-level = "5 cm"
box = { shut-off-head = "2.5 m", open-flow = "2000 L/h" }

[supply]
pipe = { bore = "25 mm", length = "300 cm" }

[every-bed]
floor = "80 cm"
shape = { box = { length = "110 cm", width = "55 cm", depth = "30 cm" } }
media = { depth = "27 cm", void = 0.42 }
inlet = { level = "115 cm", pipe = { bore = "25 mm", length = "30 cm" }, valve = { ball = 0.5 } }

[every-bed.standpipe]
bore = "26 mm"
length = "210 mm"

[every-bed.bell]
bore = "69 mm"
clearance = "25 mm"
slots = { count = 8, width = "10 mm", height = "25 mm" }

[every-bed.drain]
outlet = "45 cm"
length = "56 cm"
fittings = { elbow-90 = 1 }
into = "sump"

[[bed]]
name = "left"
inlet = { valve = { ball = 0.303675725697 } }

[[bed]]
name = "right"
inlet = { valve = { ball = 0.175264547801 } }
"#;

/// One card said "never filled" beside another that told how often it floods.
#[test]
fn a_bed_that_starves_after_some_cycles_is_not_called_never_filled() {
    let bench = Bench::new(STARVES);
    let (out, _) = bench.expect(1, &["run", "bed.toml"]);
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(out.contains("\"left\": at first floods every"), "{out}");
    assert!(out.contains("; then it never fills"), "{out}");
    assert!(out.contains("cannot go on filling bed \"left\""), "{out}");
    assert!(!out.contains("never filled in this run"), "{out}");
    // Of two beds each figure is told: as a range they would read as something uncertain.
    assert!(out.contains("leaves its water 75 and 85 mm under"), "{out}");
}

// "PASS Sump: stands between 5 1/2 in and 19 5/8 in, and it spills at 19 9/16 in."
#[test]
fn a_sump_that_stands_over_an_open_hole_does_not_pass() {
    let cellar = include_str!("../page/cellar.toml");
    let filled = cellar.replace("start-level = \"40 cm\"", "start-level = \"60 cm\"");
    let bench = Bench::new(&filled);
    let (json, _) = bench.expect(1, &["run", "bed.toml", "--json"]);
    let found: Value = serde_json::from_str(&json).unwrap();
    let answers = found["answers"].as_array().expect("answers");
    let sump = answers
        .iter()
        .find(|one| one["question"] == "sump")
        .unwrap();
    assert_eq!(sump["status"], "warn", "{sump}");
    let words = sump["words"].as_str().unwrap_or_default();
    assert!(
        words.contains("stands over the lowest hole for a pipe in its wall, at 0.538 m"),
        "{sump}"
    );
}
