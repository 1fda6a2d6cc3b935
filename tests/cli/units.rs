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
