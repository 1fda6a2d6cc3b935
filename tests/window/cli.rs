//! `ebbwright window` as a program.

use std::fs;

use serde_json::Value;

use crate::bench::{Bench, WORKS, files};

const QUICK: [&str; 4] = ["window", "bed.toml", "--points", "8"];

fn with(more: &[&'static str]) -> Vec<&'static str> {
    QUICK.iter().chain(more).copied().collect()
}

#[test]
fn the_folder_gets_page_tables_and_pictures() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &QUICK);
    assert!(out.starts_with("Invented bed for a test\n\n"), "{out}");
    for part in [
        "Starts above:",
        "Runs on above:",
        "Stalls above:",
        "Best inflow:",
        "Setting the valves",
        "What widens the window of \"north\", most first",
        "Page, tables and pictures are in bed-window\n",
    ] {
        assert!(out.contains(part), "{part} in {out}");
    }
    assert_eq!(err, "");
    assert_eq!(
        bench.names("bed-window"),
        [
            "inflow.png",
            "inflow.svg",
            "map.csv",
            "map.png",
            "map.svg",
            "report.html",
            "window.json",
            "window.md"
        ]
    );
    let page = fs::read_to_string(bench.path("bed-window/window.md")).unwrap();
    assert!(page.starts_with("# Invented bed for a test\n"), "{page}");
    assert!(page.contains("![") && page.contains("](map.svg)") && page.contains("](inflow.svg)"));
}

#[test]
fn the_table_of_the_map_has_a_line_for_every_point_and_agrees_with_the_document() {
    let bench = Bench::new(WORKS);
    let _ = bench.expect(0, &QUICK);
    let text = fs::read_to_string(bench.path("bed-window/window.json")).unwrap();
    let found: Value = serde_json::from_str(&text).unwrap();
    let map = &found["map"];
    assert_eq!(
        (&map["x"]["quantity"], &map["y"]["quantity"]),
        (&"inflow".into(), &"bore".into())
    );
    let letters: std::collections::BTreeMap<&str, &str> = map["legend"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| {
            let text = |key: &str| entry[key].as_str().unwrap();
            (text("letter"), text("means"))
        })
        .collect();
    let mut table = csv::Reader::from_path(bench.path("bed-window/map.csv")).unwrap();
    assert_eq!(
        table.headers().unwrap().iter().collect::<Vec<_>>(),
        [
            "inflow_m3_s",
            "bore_m",
            "nominal",
            "starts_latest",
            "breaks_hardest",
            "in_doubt",
            "why_none"
        ]
    );
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 64);
    for (k, row) in rows.iter().enumerate() {
        let near = |text: &str, value: &Value| {
            (text.parse::<f64>().unwrap() / value.as_f64().unwrap() - 1.0).abs() < 1e-8
        };
        assert!(near(&row[0], &map["x"]["values"][k % 8]));
        assert!(near(&row[1], &map["y"]["values"][k / 8]));
        for (cell, key) in [(2, "nominal"), (3, "starts_latest"), (4, "breaks_hardest")] {
            let line = map[key][k / 8].as_str().unwrap();
            let letter = &line[k % 8..=k % 8];
            let word = if row[6].is_empty() {
                &row[cell]
            } else {
                "cannot be built"
            };
            assert_eq!(letters[letter], word, "{k}");
        }
    }
}

#[test]
fn json_is_one_document_with_figures_that_hang_together() {
    // With its outlet out of the sump's water the bed is inside a certain window.
    let text = WORKS.replace("outlet = \"0.35 m\"", "outlet = \"0.45 m\"");
    assert_ne!(text, WORKS);
    let bench = Bench::new(&text);
    let (out, err) = bench.expect(0, &["window", "bed.toml", "--json", "--no-map"]);
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(err, "");
    // Without --out nothing is written.
    assert_eq!(bench.names("."), ["bed.toml"]);
    assert_eq!((&found["schema"], &found["map"]), (&2.into(), &Value::Null));
    let bed = &found["beds"][0];
    let number = |value: &Value| value.as_f64().unwrap();
    let nine = 9e-3 / 60.0;
    assert!((number(&bed["inflow_m3_s"]["mean"]) / nine - 1.0).abs() < 1e-9);
    let start = &bed["start_flow_m3_s"];
    // Fs (pi/4) D^2 sqrt(g D) at 21 mm, worked by hand: 2.83, 4.24 L/min; the sealed leg's
    // 0.29 m/s x (pi/4) D^2 = 6.03 L/min.
    for (end, wanted) in [("low", 2.829), ("nominal", 4.243), ("high", 6.027)] {
        assert!(
            (number(&start[end]) * 60_000.0 - wanted).abs() < 0.002,
            "{end}"
        );
    }
    let margin = &bed["margin_to_start_m3_s"];
    assert!((number(&margin["nominal"]) - (nine - number(&start["nominal"]))).abs() < 1e-12);
    assert_eq!(
        (&bed["will_start"], &bed["will_break"]),
        (&"will".into(), &"will".into())
    );
    let best = number(&bed["best_inflow_m3_s"]);
    let certain = &bed["certain_m3_s"];
    let middle = 0.5 * (number(&certain["low"]) + number(&certain["high"]));
    assert!((best - middle).abs() < 1e-12);
    assert_eq!(bed["levers"].as_array().unwrap().len(), 6);
}

#[test]
fn one_thread_and_two_give_the_same_bytes() {
    let run = |threads: &str| {
        let bench = Bench::new(WORKS);
        let mut command = bench.command(&QUICK);
        let output = command.env("RAYON_NUM_THREADS", threads).output().unwrap();
        assert!(output.status.success());
        (output.stdout, files(&bench.path("bed-window")))
    };
    assert!(run("1") == run("2"));
}

#[test]
fn axes_ranges_and_units_are_as_asked() {
    let bench = Bench::new(WORKS);
    let axes = "drop=12 in..25 in,void=0.30..0.50";
    let (out, _) = bench.expect(
        0,
        &with(&["--map", axes, "--units", "us", "--bed", "north", "--json"]),
    );
    let found: Value = serde_json::from_str(&out).unwrap();
    let x = &found["map"]["x"];
    assert_eq!(x["quantity"], "drop");
    assert!((x["from"].as_f64().unwrap() - 0.3048).abs() < 1e-12);
    assert!((x["values"][7].as_f64().unwrap() - 0.635).abs() < 1e-12);
    let (out, _) = bench.expect(0, &["window", "bed.toml", "--no-map", "--units", "us"]);
    assert!(out.contains("gal/min") && !out.contains("L/min"), "{out}");
    assert!(!bench.names("bed-window").contains(&"map.csv".to_owned()));
}

#[test]
fn an_inflow_that_cannot_work_ends_with_1() {
    let text = WORKS.replace("9 L/min", "1.5 L/min");
    assert_ne!(text, WORKS);
    let bench = Bench::new(&text);
    let (out, _) = bench.expect(1, &["window", "bed.toml", "--no-map"]);
    assert!(
        out.contains("With today's inflow \"north\" cannot work"),
        "{out}"
    );
    assert!(out.contains("The pump is short"), "{out}");
}

#[test]
fn misuse_ends_with_2_and_says_how_to_write_it() {
    let bench = Bench::new(WORKS);
    for (more, hint) in [
        (["--map", "inflow"], "comma"),
        (["--map", "inflow,inflow"], "different"),
        (["--map", "inflw,bore"], "did you mean inflow"),
        (
            ["--map", "inflow=2 L/min..900000 L/min,bore"],
            "range of inflow",
        ),
        (["--points", "1"], "2..=1000"),
        (["--bed", "south"], "Its beds: \"north\""),
    ] {
        let arguments: Vec<&str> = ["window", "bed.toml"].into_iter().chain(more).collect();
        let (out, err) = bench.expect(2, &arguments);
        assert!(err.contains(hint), "{err}");
        assert_eq!(out, "");
    }
    let (_, err) = bench.expect(2, &["window", "nowhere.toml"]);
    assert!(err.contains("nowhere.toml"), "{err}");
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn nothing_is_written_when_a_file_is_in_the_way() {
    let bench = Bench::new(WORKS);
    fs::create_dir_all(bench.path("out/map.csv")).unwrap();
    let (_, err) = bench.expect(2, &with(&["--out", "out"]));
    assert!(err.contains("map.csv"), "{err}");
    assert_eq!(bench.names("out"), ["map.csv"]);
}

/// Stopped in the middle of a long map it leaves nothing behind.
#[cfg(unix)]
#[test]
fn an_interrupted_map_leaves_nothing() {
    let bench = Bench::new(WORKS);
    let mut running = bench
        .command(&["window", "bed.toml", "--points", "1000"])
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    // A million points take minutes; this ends it somewhere on the way.
    std::thread::sleep(std::time::Duration::from_millis(300));
    running.kill().unwrap();
    let _ = running.wait().unwrap();
    assert_eq!(bench.names("."), ["bed.toml"]);
}
