//! Water that runs into the sump all the time.

use crate::support::{LITRE_PER_MINUTE, one_bed};
use ebbwright::assessment::assess;
use ebbwright::model::{Duration, Source, System, TopOff};
use ebbwright::simulation::{EventKind, Sampling, simulate};
use ebbwright::siphon::SiphonLaw;

const DAY: f64 = 86_400.0;
const LITRE_PER_DAY: f64 = 1e-3 / DAY;
/// Area of the sump of the test systems [m2].
const SUMP: f64 = 1.2 * 0.8;

/// A bed that stands over its lip, so that only air and sources move the sump.
fn still(days: f64, evaporation: f64, flows: &[f64]) -> System {
    let mut system = one_bed(4.0, 0.3);
    let values = system.coefficients.nominal();
    let law = SiphonLaw::new(&system.beds[0], &system.water, &values);
    system.beds[0].start_depth =
        Some(law.lip() + law.standing_head(4.0 * LITRE_PER_MINUTE) - system.beds[0].floor);
    system.duration = Duration::Fixed(days * DAY);
    system.evaporation = evaporation * LITRE_PER_DAY;
    let named = flows.iter().map(|flow| Source {
        name: format!("{flow} L a day"),
        flow: flow * LITRE_PER_DAY,
        dissolved: None,
    });
    system.sources = named.collect();
    system
}

// Closed form: (sources - air) t / A, either way round.
#[test]
fn sources_raise_the_sump_by_what_the_air_leaves_of_them() {
    for (evaporation, flows) in [
        (0.0, vec![20.0]),
        (30.0, vec![10.0, 5.0]),
        (6.0, vec![26.0]),
    ] {
        let run = simulate(&still(2.0, evaporation, &flows), Sampling::Every(3600.0)).unwrap();
        let net = flows.iter().sum::<f64>() - evaporation;
        let level = *run.recording.sump_level.last().unwrap();
        let expected = 0.40 + net * 1e-3 * 2.0 / SUMP;
        assert!((level - expected).abs() < 1e-6, "{level} {expected}");
        assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
    }
}

#[test]
fn a_source_that_outruns_the_air_spills_and_the_bound_knows() {
    let system = still(10.0, 5.0, &[60.0]);
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(
        run.events
            .iter()
            .any(|event| event.kind == EventKind::SumpOverflowBegan)
    );
    // 550 L come, and 0.18 m of sump are free.
    let spilled = 0.550 - 0.18 * SUMP;
    assert!(
        (run.sump.overflowed - spilled).abs() < 1e-6,
        "{}",
        run.sump.overflowed
    );
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
    let found = assess(&system, &run);
    assert!(found.sump.high >= 0.58);
    // Shorter than it takes to fill: the bound still covers what the run does.
    let system = still(1.0, 5.0, &[60.0]);
    let run = simulate(&system, Sampling::None).unwrap();
    let found = assess(&system, &run);
    assert!(found.sump.high >= run.sump.level.max - 1e-9);
    let without = assess(&still(1.0, 5.0, &[5.0]), &run);
    let rise = found.sump.high - without.sump.high;
    assert!((rise - 0.055 / SUMP).abs() < 1e-6, "{rise}");
}

#[test]
fn a_valve_adds_only_what_the_source_leaves_to_it() {
    let mut system = still(4.0, 50.0, &[20.0]);
    system.top_off = Some(TopOff {
        level: 0.399,
        flow: 0.5 * LITRE_PER_MINUTE,
        bore: 0.006,
        reservoir: None,
    });
    let run = simulate(&system, Sampling::None).unwrap();
    let found = run.top_off.unwrap();
    assert!(
        (found.added_per_day - 0.030).abs() < 1e-4,
        "{}",
        found.added_per_day
    );
    assert!((found.evaporated - 0.200).abs() < 1e-9);
    assert!(found.gained < 0.0);
}
