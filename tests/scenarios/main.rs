//! Every shipped scenario does what its first lines say.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/json_schema.rs"]
mod json_schema;

mod results;
mod statuses;
mod studies;

use ebbwright::assessment::{Status, assess};
use ebbwright::model::Duration;
use ebbwright::scenario;
use ebbwright::simulation::{Regime, Sampling, resolve_worst, simulate, simulate_by};
use ebbwright::study::absorb as study;
use ebbwright::units::UnitSystem;
use std::collections::BTreeSet;
use std::path::PathBuf;

fn files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir("scenarios")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    assert!(files.len() >= 11);
    files
}

/// What the comment `# Expected WHAT: ...` of a scenario says.
fn expected(text: &str, what: &str) -> Vec<String> {
    let start = format!("# Expected {what}: ");
    let line = text
        .lines()
        .find_map(|line| line.strip_prefix(&start))
        .unwrap_or_else(|| panic!("no line '{start}...'"));
    line.split(", ")
        .filter(|word| *word != "none")
        .map(str::to_owned)
        .collect()
}

fn name(regime: Regime) -> &'static str {
    match regime {
        Regime::Cycles => "cycles",
        Regime::Dribbles => "dribbles",
        Regime::Stalls => "stalls",
        Regime::RunsOn => "runs-on",
        Regime::Overflows => "overflows",
        Regime::NeverFills => "never-fills",
        Regime::Unfinished => "unfinished",
    }
}

#[test]
fn every_scenario_does_what_it_announces() {
    for path in files() {
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(
            text.contains("nvented"),
            "{}: say that it is invented",
            path.display()
        );
        let scenario = scenario::read(&path).unwrap();
        assert!(scenario.warnings.is_empty(), "{}", path.display());
        let (system, _) = resolve_worst(&scenario.system).unwrap();
        let run = simulate(&system, Sampling::None).unwrap();
        let verdict = assess(&system, &run);
        let regimes: Vec<&str> = run.beds.iter().map(|bed| name(bed.regime)).collect();
        assert_eq!(expected(&text, "regimes"), regimes, "{}", path.display());
        let failing: BTreeSet<&str> = verdict
            .checks
            .iter()
            .filter(|check| check.status == Status::Fail)
            .map(|check| check.id.key())
            .collect();
        let failing: Vec<&str> = failing.into_iter().collect();
        assert_eq!(
            expected(&text, "failing checks"),
            failing,
            "{}",
            path.display()
        );
        let status = if verdict.verdict == Status::Fail {
            "1"
        } else {
            "0"
        };
        assert_eq!(
            expected(&text, "exit status"),
            [status],
            "{}",
            path.display()
        );
    }
}

#[test]
fn the_scenarios_reach_every_regime() {
    let mut seen = BTreeSet::new();
    for path in files() {
        seen.extend(expected(&std::fs::read_to_string(path).unwrap(), "regimes"));
    }
    let all = [
        "cycles",
        "dribbles",
        "never-fills",
        "overflows",
        "runs-on",
        "stalls",
    ];
    assert_eq!(seen.into_iter().collect::<Vec<_>>(), all);
}

// Ten times tighter steps must not move what the report says: period, peak and
// sump minimum within 0.1 %.
#[test]
fn tighter_steps_change_nothing_that_is_reported() {
    for path in files() {
        let (mut system, _) = resolve_worst(&scenario::read(&path).unwrap().system).unwrap();
        if let Duration::Fixed(time) = &mut system.duration {
            *time = time.min(6.0 * 3600.0);
        }
        let values = system.coefficients.nominal();
        let usual = simulate(&system, Sampling::None).unwrap();
        let mut stepping = ebbwright::simulation::Stepping::default();
        stepping.tolerance.relative *= 0.1;
        stepping.tolerance.absolute *= 0.1;
        let tight = simulate_by(&system, &values, Sampling::None, stepping).unwrap();
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-3 * a.abs().max(b.abs());
        assert!(
            near(usual.sump.level.min, tight.sump.level.min),
            "{}",
            path.display()
        );
        for (a, b) in usual.beds.iter().zip(&tight.beds) {
            assert!(near(a.peak_level, b.peak_level), "{}", path.display());
            if let (Some(a), Some(b)) = (a.cycles.last(), b.cycles.last()) {
                assert!(near(a.period(), b.period()), "{}", path.display());
            }
        }
    }
}

/// Pictures in `plots/` that the README shows: scenario and plot.
const PICTURES: [(&str, &str); 5] = [
    ("one-bed-lying-drum", "section"),
    ("one-bed-lying-drum", "levels"),
    ("four-beds-metric", "flows"),
    ("whole-loop", "section"),
    ("whole-loop", "levels"),
];

// `UPDATE_PLOTS=1 cargo test --test scenarios pictures` draws them anew.
#[test]
fn the_pictures_of_the_readme_are_what_the_tool_draws_today() {
    for (name, wanted) in PICTURES {
        let path = PathBuf::from(format!("scenarios/{name}.toml"));
        let (system, _) = resolve_worst(&scenario::read(&path).unwrap().system).unwrap();
        let run = simulate(&system, Sampling::Every(10.0)).unwrap();
        let verdict = assess(&system, &run);
        let plots =
            ebbwright::plots::draw_all(&system, &run, &verdict, UnitSystem::Metric).unwrap();
        let plot = plots.iter().find(|plot| plot.name == wanted).unwrap();
        keeps(&format!("plots/{name}-{wanted}"), plot);
    }
    let path = PathBuf::from("scenarios/whole-loop.toml");
    let system = study::undisturbed(&scenario::read(&path).unwrap().system);
    let run = simulate(&system, Sampling::Every(10.0)).unwrap();
    let found = study::absorb(&system, &run);
    let plot = ebbwright::plots::draw_volume(&system, &found, UnitSystem::Metric).unwrap();
    keeps("plots/whole-loop-volume", &plot);
}

/// The files of a picture are what it looks like today.
fn keeps(file: &str, plot: &ebbwright::plots::Plot) {
    if std::env::var_os("UPDATE_PLOTS").is_some() {
        std::fs::write(format!("{file}.svg"), &plot.svg).unwrap();
        std::fs::write(format!("{file}.png"), &plot.png).unwrap();
    }
    let kept = std::fs::read_to_string(format!("{file}.svg")).unwrap();
    assert!(
        kept == plot.svg,
        "{file}.svg is stale: run with UPDATE_PLOTS=1 and look at it"
    );
}
