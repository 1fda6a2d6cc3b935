//! What was really measured, beside what is predicted. Each `*.toml` in this folder is an open
//! record (`ebbwright schema --readings`): its sizes are read, every reading is predicted with
//! the band that the soft coefficients leave, and one outside fails. Nothing is tuned to them,
//! and nothing here is invented but what says so, which is only read.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod straight_tube;

use std::fs;
use std::path::{Path, PathBuf};

use ebbwright::scenario::{parse_measured, recorded_sizes};
use ebbwright::study::fit::{applied, priors};
use ebbwright::study::measure::{Cutter, outlook};

/// Draws from the bands that a prediction is spread over.
const DRAWS: usize = 40;

/// Numbers between nought and one (Numerical Recipes' 64-bit congruential constants, from memory).
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        for _ in 0..3 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
        }
        ((self.0 >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
    }
}

fn records() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/measured");
    let mut all: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .collect();
    all.sort();
    all
}

/// What a record says that its sizes do not allow, after printing every reading beside its
/// prediction; an invented one is judged too when `all`.
fn outside(path: &Path, text: &str, all: bool) -> Vec<String> {
    let name = path.file_name().unwrap().to_string_lossy().into_owned();
    let sizes =
        recorded_sizes(text, &name).unwrap_or_else(|e| panic!("{name}: {}", e.render(false)));
    let system = sizes
        .unwrap_or_else(|| panic!("{name} has no [sizes]"))
        .system;
    let measured = parse_measured(text, &name, &system)
        .unwrap_or_else(|e| panic!("{name}: {}", e.render(false)));
    let invented = text
        .lines()
        .any(|line| line.split('#').next().unwrap().trim() == "invented = true");
    if invented && !all {
        println!("{name}: invented, an example of the format; not compared");
        return Vec::new();
    }
    let beds: Vec<usize> = (0..system.beds.len()).collect();
    let priors = priors(&system, &beds);
    let nominal = outlook(&system, &system.coefficients.nominal()).unwrap();
    let mut dice = Dice(1);
    let draws: Vec<_> = (0..DRAWS)
        .map(|_| {
            // The ends of every band are two deviations off; evenly, so that they are reached.
            let u: Vec<f64> = priors.iter().map(|_| 4.0 * dice.unit() - 2.0).collect();
            let (system, values) = applied(&system, &priors, &u);
            outlook(&system, &values).unwrap()
        })
        .collect();
    let mut wrong = Vec::new();
    for figure in &measured.figures {
        let all = draws.iter().chain([&nominal]);
        let values: Vec<f64> = all
            .filter_map(|seen| seen.value(figure.bed, figure.what).ok())
            .collect();
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let what = format!("{name}: {} of bed {}", figure.what.words(), figure.bed + 1);
        let predicted = nominal.value(figure.bed, figure.what);
        println!(
            "{what}: predicted {predicted:?} ({low:.6} to {high:.6}), read {:.6} +- {:.6}",
            figure.value, figure.sigma
        );
        let off = 2.0 * figure.sigma;
        if !(low - off..=high + off).contains(&figure.value) {
            wrong.push(format!(
                "{what}: read {}, predicted {low} to {high} (SI)",
                figure.value
            ));
        }
    }
    for bed in beds {
        let own: Vec<_> = measured
            .facts
            .iter()
            .filter(|fact| fact.bed == bed)
            .copied()
            .collect();
        let cut = Cutter::new(&system, bed).unwrap().cut(&own);
        for (k, fact) in own.iter().enumerate() {
            let agrees = !cut.calls_wrong(k);
            println!(
                "{name}: bed {} {} {:.3} L/min, within the bands: {agrees}",
                bed + 1,
                fact.kind.words(),
                fact.flow * 6e4
            );
            if !agrees {
                wrong.push(format!("{name}: {} {} m3/s", fact.kind.words(), fact.flow));
            }
        }
    }
    wrong
}

#[test]
fn every_record_lies_within_the_bands() {
    let mut wrong = Vec::new();
    for path in records() {
        wrong.extend(outside(&path, &fs::read_to_string(&path).unwrap(), false));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

// A test that cannot fail is a defect: the invented example agrees where it is compared, and a
// reading of it that is far off is named.
#[test]
fn a_reading_outside_its_band_is_named() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/measured/invented.toml");
    let text = fs::read_to_string(&path).unwrap();
    assert_eq!(outside(&path, &text, true), Vec::<String>::new());
    for (honest, false_one, named) in [
        (
            "fall = \"",
            "fall = \"9 min +- 1 s\" # \"",
            "fall between the marks",
        ),
        (
            "dribbled-at = [",
            "dribbled-at = [\"14 L/min\", ",
            "dribbled at",
        ),
    ] {
        assert!(text.contains(honest), "{honest}");
        let found = outside(&path, &text.replacen(honest, false_one, 1), true);
        assert!(found.len() == 1 && found[0].contains(named), "{found:?}");
    }
}
