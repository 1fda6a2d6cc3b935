//! Units of the answer: those of the scenario unless others are asked for.

use crate::bench::{Bench, WORKS};

#[test]
fn an_answer_is_in_the_units_of_its_scenario() {
    let bench = Bench::new(ebbwright::scenario::starter_us());
    let (own, err) = bench.expect(0, &["run", "bed.toml", "--out", "folder-1"]);
    assert_eq!(err, "");
    assert!(own.contains(" in") && own.contains("gal"), "{own}");
    let (us, _) = bench.expect(
        0,
        &["run", "bed.toml", "--out", "folder-2", "--units", "us"],
    );
    assert_eq!(own.replace("folder-1", "folder-2"), us);
    let (metric, _) = bench.expect(
        0,
        &["run", "bed.toml", "--out", "folder-3", "--units", "metric"],
    );
    assert!(
        metric.contains(" mm") && !metric.contains("gal"),
        "{metric}"
    );
    let bench = Bench::new(WORKS);
    let (own, _) = bench.expect(0, &["run", "bed.toml"]);
    assert!(own.contains(" mm") && !own.contains("gal"), "{own}");
}

#[test]
fn imperial_is_understood_and_explained() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(0, &["run", "bed.toml", "--units", "imperial"]);
    assert!(out.contains("gal"), "{out}");
    assert!(
        err.contains("US gallons") && err.contains("impgal"),
        "{err}"
    );
}

// "kg/m3", "38 to 50 mm" and "1 mm more" stood in answers in inches.
#[test]
fn an_answer_in_us_units_says_nothing_in_metric_ones() {
    let scenario = include_str!("../../scenarios/whole-loop.toml");
    let metric = [
        "mm",
        "cm",
        "m",
        "L",
        "kg",
        "L/min",
        "L/h",
        "kg/m3",
        "kN/m2",
        "m/s",
        "millimetres",
        "litres",
    ];
    for command in ["run", "cut", "absorb"] {
        let bench = Bench::new(scenario);
        let arguments = [command, "bed.toml", "--units", "us", "--out", "folder"];
        let done = bench.command(&arguments).output().unwrap();
        let mut text = String::from_utf8(done.stdout).unwrap();
        let pages = std::fs::read_dir(bench.path("folder"))
            .into_iter()
            .flatten();
        for page in pages.map(|page| page.unwrap().path()) {
            if page.extension().is_some_and(|end| end == "md") {
                text += &std::fs::read_to_string(page).unwrap();
            }
        }
        let foreign: Vec<&str> = text
            .lines()
            // Soft coefficients stand as a file has them.
            .filter(|line| !line.starts_with("| `"))
            .filter(|line| {
                let mut words = line.split([' ', ',', ';', ':', '(', ')', '"', '.']);
                words.any(|word| metric.contains(&word))
            })
            .collect();
        assert_eq!(foreign, [""; 0], "{command}");
        assert!(text.contains(" in"), "{command}: {text}");
    }
}
