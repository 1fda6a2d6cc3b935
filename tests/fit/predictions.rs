//! What the model says to each measurement, against sums by hand and the plain run.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::model::*;
use ebbwright::simulation::{Regime, Sampling, simulate};
use ebbwright::siphon::SiphonLaw;
use ebbwright::study::measure::{Measurable, NoValue, Seen, outlook, predict};

fn look(system: &System) -> ebbwright::study::measure::Outlook {
    outlook(system, &system.coefficients.nominal()).unwrap()
}

#[test]
fn a_cycling_bed_shows_what_its_run_shows() {
    let system = one_bed(8.0, 0.5);
    let seen = look(&system);
    let run = simulate(&system, Sampling::None).unwrap();
    let cycle = run.beds[0].cycles.last().unwrap();
    let value = |what| seen.value(0, what).unwrap();
    let near = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-4, "{a} {b}");
    near(value(Measurable::Fill), cycle.fill + cycle.prime);
    near(value(Measurable::Drain), cycle.drain);
    near(value(Measurable::Period), cycle.period());
    near(value(Measurable::Highest), cycle.peak_level - 1.0);
    near(value(Measurable::Left), run.beds[0].break_level - 1.0);
    near(value(Measurable::Inflow), 8.0 * LITRE_PER_MINUTE);
    assert_eq!(seen.seen(0), Some(Seen::Cycles));
    assert_eq!(
        seen.value(0, Measurable::Standing),
        Err(NoValue::StandsNever)
    );
    assert_eq!(seen.value(7, Measurable::Drain), Err(NoValue::NeverFills));
}

// By hand: sump of 1.2 m x 0.8 m; what it loses between break and the start of full bore is
// the inflow of that time less what ran over the lip, and that is the bed's gain of water,
// 0.40 of 1.2 m x 1.0 m between level left and level then; the peak of the bed is that level.
#[test]
fn the_sump_swings_by_the_water_that_the_bed_takes() {
    let system = one_bed(8.0, 0.5);
    let seen = look(&system);
    let value = |what| seen.value(0, what).unwrap();
    let rise = value(Measurable::Highest) - value(Measurable::Left);
    let by_hand = 0.40 * 1.2 * 1.0 * rise / (1.2 * 0.8);
    let swing = value(Measurable::SumpSwing);
    assert!((swing / by_hand - 1.0).abs() < 2e-3, "{swing} {by_hand}");
}

#[test]
fn edges_of_the_window_are_where_the_simulation_changes_its_regime() {
    for drop in [0.15, 0.6] {
        let with = |flow: f64| {
            let mut system = one_bed(1.0, drop);
            system.pump.source = PumpSource::Steady(flow);
            look(&system).regime(0)
        };
        let seen = look(&one_bed(8.0, drop));
        let start = seen.value(0, Measurable::StartsAt).unwrap();
        assert_eq!(with(0.99 * start), Regime::Dribbles, "{drop}");
        assert_ne!(with(1.01 * start), Regime::Dribbles, "{drop}");
        let stop = seen.value(0, Measurable::BreaksUpTo).unwrap();
        if stop > 1.02 * start {
            assert_eq!(with(0.99 * stop), Regime::Cycles, "{drop}");
        }
        assert!(matches!(
            with(1.01 * stop),
            Regime::RunsOn | Regime::Stalls | Regime::Dribbles
        ));
    }
}

#[test]
fn a_bed_that_does_not_cycle_says_why_it_has_no_drain_time() {
    let dribbles = look(&one_bed(2.0, 0.5));
    assert_eq!(dribbles.seen(0), Some(Seen::NeverStarted));
    for what in [
        Measurable::Fill,
        Measurable::Drain,
        Measurable::Left,
        Measurable::SumpSwing,
    ] {
        assert_eq!(dribbles.value(0, what), Err(NoValue::NeverStarts));
    }
    // It stands at the lip plus the weir's head, (Q / (Cw pi d))^(2/3).
    let head = (2.0 * LITRE_PER_MINUTE / (1.80 * std::f64::consts::PI * 0.0266)).powf(2.0 / 3.0);
    let standing = dribbles.value(0, Measurable::Standing).unwrap();
    assert!((standing - 0.225 - head).abs() < 2e-4, "{standing} {head}");
    assert!((dribbles.value(0, Measurable::Highest).unwrap() - standing).abs() < 2e-4);

    let runs_on = look(&one_bed(14.0, 0.1));
    assert_eq!(runs_on.seen(0), Some(Seen::NeverBroke));
    assert_eq!(
        runs_on.value(0, Measurable::Drain),
        Err(NoValue::NeverBreaks)
    );
    let system = one_bed(14.0, 0.1);
    let law = SiphonLaw::new(
        &system.beds[0],
        &system.water,
        &system.coefficients.nominal(),
    );
    let standing = runs_on.value(0, Measurable::Standing).unwrap();
    assert!((standing + 1.0 - law.break_level(law.outlet())).abs() < 1e-6);

    let mut leaks = one_bed(8.0, 0.5);
    leaks.beds[0].siphon.bell.air_leak = 1e-3;
    assert_eq!(
        look(&leaks).value(0, Measurable::StartsAt),
        Err(NoValue::NeverPrimes)
    );
}

#[test]
fn several_beds_are_each_asked_and_a_gravel_loss_leaves_more_water() {
    let system = pumped_beds(3);
    let asked: Vec<(usize, Measurable)> = (0..3)
        .flat_map(|bed| [(bed, Measurable::Inflow), (bed, Measurable::Period)])
        .collect();
    let found = predict(&system, &system.coefficients.nominal(), &asked).unwrap();
    assert_eq!(found.len(), 6);
    for pair in found.chunks(2) {
        let (inflow, period) = (pair[0].value.unwrap(), pair[1].value.unwrap());
        // Water that came in over a period: 40 % of 1.2 m2 x about 0.23 m, and what ran over
        // the lip and through the siphon meanwhile.
        assert!(
            inflow * period > 0.09 && inflow * period < 0.25,
            "{inflow} {period}"
        );
    }
    let clean = look(&one_bed(8.0, 0.5)).value(0, Measurable::Left).unwrap();
    let mut gravel = one_bed(8.0, 0.5);
    gravel.beds[0].media.grain = Some(0.006);
    gravel.beds[0].guard = Some(Guard {
        diameter: 0.11,
        slot_area: None,
    });
    let left = look(&gravel).value(0, Measurable::Left).unwrap();
    assert!(left > clean + 0.003, "{left} {clean}");
}
