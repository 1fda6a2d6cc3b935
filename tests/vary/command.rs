//! `ebbwright vary` from end to end.

use serde_json::Value;

use crate::bench::{Bench, WORKS, files};

fn document(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn draws_give_a_page_a_picture_and_a_table() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &["vary", "bed.toml", "--random", "40"]);
    assert_eq!(err, "");
    assert!(out.contains("Of 40 draws"), "{out}");
    let expected = [
        "chances.png",
        "chances.svg",
        "draws.csv",
        "report.html",
        "vary.json",
        "vary.md",
    ];
    assert_eq!(bench.names("bed-vary"), expected);
    let table = std::fs::read_to_string(bench.path("bed-vary/draws.csv")).unwrap();
    assert_eq!(table.lines().count(), 41);
    for line in out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let found = document(&std::fs::read_to_string(bench.path("bed-vary/vary.json")).unwrap());
    assert_eq!(found["draws"], 40);
    for check in found["checks"].as_array().unwrap() {
        let inputs = check["rank_correlations"].as_array().unwrap().len();
        assert_eq!(inputs, found["inputs"].as_array().unwrap().len());
    }
}

#[test]
fn a_sweep_gives_a_page_a_picture_and_a_table() {
    let bench = Bench::new(WORKS);
    for (what, rows) in [("void=0.3..0.5", 9), ("void=0.3..0.5,drop", 81)] {
        let arguments = ["vary", "bed.toml", "--sweep", what, "--points", "9"];
        let (out, err) = bench.expect(0, &arguments);
        assert_eq!(err, "");
        for line in out.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        let expected = [
            "report.html",
            "sweep.csv",
            "sweep.png",
            "sweep.svg",
            "vary.json",
            "vary.md",
        ];
        assert_eq!(bench.names("bed-vary"), expected);
        let table = std::fs::read_to_string(bench.path("bed-vary/sweep.csv")).unwrap();
        assert_eq!(table.lines().count(), rows + 1);
    }
}

#[test]
fn the_same_seed_gives_the_same_bytes_whatever_the_threads() {
    let bench = Bench::new(WORKS);
    let run = |threads: &str, seed: &str, out: &str| {
        let arguments = [
            "vary", "bed.toml", "--random", "30", "--seed", seed, "--out", out,
        ];
        let mut command = bench.command(&arguments);
        let done = command.env("RAYON_NUM_THREADS", threads).output().unwrap();
        assert!(done.status.success());
        files(&bench.path(out))
    };
    let one = run("1", "7", "one");
    assert!(one == run("4", "7", "four"), "threads change the files");
    assert!(one != run("4", "8", "other"), "the seed changes nothing");
}

#[test]
fn misuse_is_told_before_anything_is_simulated() {
    let bench = Bench::new(WORKS);
    for (arguments, hint) in [
        (&["--random", "3"][..], "10"),
        (&["--tape", "3"], "unit"),
        (&["--pump", "10"], "percentage"),
        (&["--void", "2"], "void"),
        (&["--bore", "25 mm"], "percentage"),
        (&["--bore", "30 %"], "bores must be 0 to 20 %"),
        (&["--sweep", "colour"], "these can"),
        (
            &["--sweep", "void", "--random", "50"],
            "cannot be used with",
        ),
        (&["--sweep", "void", "--bed", "nroth"], "did you mean"),
        (
            &[
                "--tape",
                "0 mm",
                "--bore",
                "0 %",
                "--void",
                "0",
                "--pump",
                "0 %",
                "--nominal",
            ],
            "nothing varies",
        ),
    ] {
        let mut all = vec!["vary", "bed.toml"];
        all.extend(arguments);
        let (out, err) = bench.expect(2, &all);
        assert_eq!(out, "");
        assert!(err.contains(hint), "{arguments:?}: {err}");
        assert!(!bench.path("bed-vary").exists());
    }
}
