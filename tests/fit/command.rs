//! `ebbwright fit` as a program.

use std::fs;

use serde_json::Value;

use crate::bare;
use crate::bench::{Bench, files};

const FIT: [&str; 8] = [
    "fit",
    "bed.toml",
    "--inflow",
    "8.6 L/min",
    "--fill",
    "11 min +- 10 s",
    "--drain",
    "4 min",
];

fn with(more: &[&'static str]) -> Vec<&'static str> {
    FIT.iter().chain(more).copied().collect()
}

#[test]
fn the_folder_gets_page_document_and_picture_and_the_text_fits_a_terminal() {
    let bench = Bench::new(&bare());
    let (out, err) = bench.expect(0, &FIT);
    assert_eq!(err, "");
    for part in [
        "Invented bed for a test\n\n\"north\" needs ",
        "3 measurements: ",
        "What the measurements say",
        "Measured against simulated",
        "Which measurement fixed what",
        "What to measure next",
        "For your scenario",
        "    [coefficients]\n",
        "Page and picture are in bed-fit\n",
    ] {
        assert!(out.contains(part), "{part} in {out}");
    }
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    assert_eq!(
        bench.names("bed-fit"),
        ["fit.json", "fit.md", "fit.png", "fit.svg", "report.html"]
    );
    let page = fs::read_to_string(bench.path("bed-fit/report.html")).unwrap();
    assert!(
        page.contains("data-key=\"unknowns[0].value\"") && page.contains("<svg"),
        "{page}"
    );
    let page = fs::read_to_string(bench.path("bed-fit/fit.md")).unwrap();
    assert!(
        page.contains("](fit.svg)") && page.contains("```toml\n[coefficients]\n"),
        "{page}"
    );
}

#[test]
fn the_document_is_si_and_the_same_input_gives_the_same_bytes() {
    let bench = Bench::new(&bare());
    let (out, _) = bench.expect(0, &with(&["--json"]));
    let found: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(found["measurements"][1]["what"], "fill");
    assert_eq!(found["measurements"][1]["value"], 660.0);
    assert_eq!(found["measurements"][1]["sigma"], 10.0);
    assert_eq!(found["unknowns"][0]["name"], "drainable void");
    assert!(!bench.path("bed-fit").exists());
    let _ = bench.expect(0, &with(&["--out", "a"]));
    let output = bench
        .command(&with(&["--out", "b"]))
        .env("RAYON_NUM_THREADS", "1")
        .output()
        .unwrap();
    assert!(output.status.success());
    assert_eq!(files(&bench.path("a")), files(&bench.path("b")));
    let (us, _) = bench.expect(0, &with(&["--units", "us", "--out", "c"]));
    assert!(us.contains("gal"), "{us}");
}

#[test]
fn measurements_come_from_a_file_too_but_not_twice() {
    let bench = Bench::new(&bare());
    let file = "[[bed]]\nname = \"north\"\ninflow = \"8.6 L/min\"\nfill = \"11 min +- 10 s\"\ndrain = \"4 min\"\n";
    fs::write(bench.path("m.toml"), file).unwrap();
    let (options, _) = bench.expect(0, &with(&["--json"]));
    let (from_file, _) = bench.expect(0, &["fit", "bed.toml", "--measured", "m.toml", "--json"]);
    assert_eq!(options, from_file);
    let (_, err) = bench.expect(
        2,
        &["fit", "bed.toml", "--measured", "m.toml", "--fill", "9 min"],
    );
    assert!(err.contains("both as --fill and in the file"), "{err}");
}

#[test]
fn nonsense_and_slips_are_refused_with_what_to_do() {
    let bench = Bench::new(&bare());
    for (arguments, hints) in [
        (
            vec!["--inflow", "60 L/min", "--fill", "15 min"],
            vec![
                "error: fill time of \"north\", 15 min",
                "void would be over 1",
                "Time the bucket again",
            ],
        ),
        (
            vec!["--left", "300 mm"],
            vec!["level left of \"north\"", "above the lip, 225 mm"],
        ),
        (vec!["--fill", "14"], vec!["14 has no unit", "14 min"]),
        (
            vec!["--fill", "14 min +- 0 s"],
            vec!["spread '0 s' is not above zero"],
        ),
        (
            vec!["--bed", "nort", "--fill", "14 min"],
            vec!["no bed \"nort\"", "did you mean \"north\"?"],
        ),
        (
            vec!["--measured", "none.toml"],
            vec!["none.toml: there is no such file", "[[bed]]"],
        ),
        (vec!["--seen", "sleeps"], vec!["never-starts"]),
    ] {
        let mut all = vec!["fit", "bed.toml"];
        all.extend(arguments);
        let (out, err) = bench.expect(2, &all);
        assert_eq!(out, "");
        for hint in hints {
            assert!(err.contains(hint), "{hint} in {err}");
        }
        assert!(!bench.path("bed-fit").exists());
    }
}

#[test]
fn with_nothing_measured_it_says_what_to_measure_first() {
    let bench = Bench::new(&bare());
    let (out, _) = bench.expect(0, &["fit", "bed.toml"]);
    assert!(
        out.contains("Nothing was measured, so nothing was learnt. Measure the "),
        "{out}"
    );
    assert!(!out.contains("For your scenario"), "{out}");
}
