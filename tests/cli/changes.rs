//! `--with`, `--write` and `--keep`, on every command that reads a scenario.

use std::fs;

use crate::bench::{Bench, WORKS};

/// Commands with what they need beside the scenario.
const READING: [&[&str]; 7] = [
    &["run", "bed.toml", "--json"],
    &["cut", "bed.toml", "--json"],
    &["absorb", "bed.toml", "--json"],
    &["window", "bed.toml", "--json", "--no-map"],
    &["vary", "bed.toml", "--json", "--random", "10"],
    &["fit", "bed.toml", "--json", "--fill", "12 min"],
    &["why", "bed.toml", "--json", "--symptom", "runs-on"],
];

#[test]
fn every_command_answers_for_the_changed_scenario_as_for_one_written_so() {
    let bench = Bench::new(WORKS);
    let written = WORKS.replace("start-level = \"0.40 m\"", "start-level = \"0.41 m\"");
    assert_ne!(written, WORKS);
    fs::create_dir(bench.path("other")).unwrap();
    fs::write(bench.path("other/bed.toml"), written).unwrap();
    for arguments in READING {
        let with = ["--with", "sump.start-level = 0.41 m"];
        let changed = bench.run(&[arguments, &with].concat());
        let mut by_hand = arguments.to_vec();
        by_hand[1] = "other/bed.toml";
        let by_hand = bench.run(&by_hand);
        assert_eq!(
            changed.status.code(),
            by_hand.status.code(),
            "{arguments:?}"
        );
        assert!(!changed.stdout.is_empty(), "{arguments:?}: {changed:?}");
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
        assert_eq!(
            text(&changed.stdout),
            text(&by_hand.stdout),
            "{arguments:?}"
        );
    }
    assert_eq!(bench.names("."), ["bed.toml", "other"]);
}

#[test]
fn the_changed_scenario_is_written_where_it_was_asked_for_and_nowhere_else() {
    let bench = Bench::new(WORKS);
    let run = |write: &[&str], status| {
        let with = [
            "run",
            "bed.toml",
            "--json",
            "--with",
            "bed.north.floor = 0.96 m",
        ];
        bench.expect(status, &[&with, write].concat())
    };
    let _ = run(&[], 0);
    assert_eq!(fs::read_to_string(bench.path("bed.toml")).unwrap(), WORKS);
    let (_, err) = run(&["--write", "new.toml"], 0);
    assert!(err.contains("new.toml"), "{err}");
    // The siphon's pipe goes from the lip, which is higher now, to an outlet that stayed.
    let wanted = WORKS
        .replace("\nfloor = \"0.95 m\"", "\nfloor = \"0.96 m\"")
        .replace("\nlength = \"0.9 m\"", "\nlength = \"910.0 mm\"");
    assert_eq!(fs::read_to_string(bench.path("new.toml")).unwrap(), wanted);
    // A file of somebody else's stays; the scenario itself is replaced when it is named.
    fs::write(bench.path("mine.toml"), "mine").unwrap();
    let (_, err) = run(&["--write", "mine.toml"], 2);
    assert!(
        err.contains("mine.toml") && err.contains("--force"),
        "{err}"
    );
    assert_eq!(fs::read_to_string(bench.path("mine.toml")).unwrap(), "mine");
    let _ = run(&["--write", "./bed.toml"], 0);
    assert_eq!(fs::read_to_string(bench.path("bed.toml")).unwrap(), wanted);
}

#[test]
fn what_cannot_be_changed_is_refused_with_what_to_write() {
    let bench = Bench::new(WORKS);
    for (with, keep, words) in [
        ("bed.south.floor = 1 m", "sump", "north"),
        (
            "bed.north.standpipe.length = 200 mm",
            "bed.*.standpipe",
            "is kept",
        ),
        ("sump.flor = 1 m", "bed", "did you mean floor?"),
        ("sump.floor = 1", "bed", "no unit"),
        ("sump.floor 1 m", "bed", "KEY = VALUE"),
    ] {
        let arguments = ["run", "bed.toml", "--json", "--with", with, "--keep", keep];
        let (out, err) = bench.expect(2, &arguments);
        assert!(out.is_empty() && err.contains(words), "{with}: {err}");
    }
    let _ = bench.expect(2, &["run", "bed.toml", "--write", "new.toml"]);
    assert_eq!(bench.names("."), ["bed.toml"]);
}

#[test]
fn the_report_says_what_was_changed() {
    let bench = Bench::new(WORKS);
    let _ = bench.expect(
        0,
        &["run", "bed.toml", "--with", "sump.start-level = 0.41 m"],
    );
    let page = fs::read_to_string(bench.path("bed-results/report.md")).unwrap();
    assert!(
        page.contains("bed.toml with sump.start-level = \"0.41 m\""),
        "{page}"
    );
}
