//! What a fit finds, against sums by hand, and what it says when there is little to find.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::model::*;
use ebbwright::numerics::effort;
use ebbwright::scenario::parse;
use ebbwright::study::fit::{Estimate, Fit, FitError, Known, Unknown, fit};
use ebbwright::study::measure::{Measurable, Measured, Measurement, NoValue, Seen, outlook};

fn measured(figures: &[(Measurable, f64, f64)]) -> Measured {
    Measured {
        figures: figures
            .iter()
            .map(|&(what, value, sigma)| Measurement::new(0, what, value, Some(sigma)))
            .collect(),
        seen: Vec::new(),
        facts: Vec::new(),
    }
}

fn of(found: &Fit, unknown: Unknown) -> &Estimate {
    let all = &found.estimates;
    all.iter().find(|one| one.prior.unknown == unknown).unwrap()
}

// By hand: between 25 mm, where the siphon breaks, and 225 mm, its lip, a bed of 1.2 m x
// 1.0 m holds 0.240 m3 times its void. At 12 L/min over 8 min 96 L come in: a void of 0.40,
// less what runs over the lip and into the head above it, some per cent of either sign.
#[test]
fn void_follows_from_inflow_times_fill_time_over_area_and_height() {
    let mut system = one_bed(12.0, 0.5);
    system.beds[0].media.void = 0.33;
    // Started early and primed at once, and without any dip at the slots, little else is left.
    system.coefficients[Coefficient::StartFroude] = Band::exact(0.05);
    system.coefficients[Coefficient::PrimingCarry] = Band::exact(1.0);
    system.coefficients[Coefficient::SlotDip] = Band::exact(0.0);
    let flow = 12.0 * LITRE_PER_MINUTE;
    for fill in [440.0, 480.0, 520.0] {
        let found = fit(
            &system,
            &measured(&[
                (Measurable::Inflow, flow, 0.001 * flow),
                (Measurable::Fill, fill, 0.5),
            ]),
        )
        .unwrap();
        let void = of(&found, Unknown::Void(0));
        let by_hand = flow * fill / (1.2 * 1.0 * 0.2);
        // By hand without the head over the lip and the rise while it primes, 6 mm of 200.
        assert!(
            (void.value() / by_hand - 1.0).abs() < 0.04,
            "{} {by_hand}",
            void.value()
        );
        assert!(void.spread < 0.1, "{}", void.spread);
    }
}

// The textbook's drain of a prismatic vessel through Q = c sqrt(H) against an inflow Qi:
// t = (2 A / c^2) [c (sqrt H1 - sqrt H2) + Qi ln((c sqrt H1 - Qi) / (c sqrt H2 - Qi))].
#[test]
fn total_loss_follows_from_the_textbook_drain_time() {
    let mut system = one_bed(9.0, 0.6);
    system.coefficients[Coefficient::StartFroude] = Band::exact(0.45);
    system.coefficients[Coefficient::SlotDip] = Band::exact(0.0);
    let nominal = outlook(&system, &system.coefficients.nominal()).unwrap();
    let highest = nominal.value(0, Measurable::Highest).unwrap();
    let flow = 9.0 * LITRE_PER_MINUTE;
    let bore = std::f64::consts::FRAC_PI_4 * 0.0266_f64.powi(2);
    let drain = |k: f64| {
        let c = bore * (2.0 * 9.80665 / (1.0 + k)).sqrt();
        let (a, b) = ((highest + 0.6).sqrt(), (0.025_f64 + 0.6).sqrt());
        let area = 0.40 * 1.2 * 1.0;
        2.0 * area / (c * c) * (c * (a - b) + flow * ((c * a - flow) / (c * b - flow)).ln())
    };
    for k in [3.0, 4.0, 5.0] {
        let mut known = system.clone();
        known.beds[0].siphon.drain.losses = DrainLosses::Total { k: 4.0 };
        let found = fit(
            &known,
            &measured(&[
                (Measurable::Inflow, flow, 0.001 * flow),
                (Measurable::Highest, highest, 0.0005),
                (
                    Measurable::Fill,
                    nominal.value(0, Measurable::Fill).unwrap(),
                    0.5,
                ),
                (Measurable::Drain, drain(k), 0.2),
            ]),
        )
        .unwrap();
        let loss = of(&found, Unknown::TotalLoss(0));
        assert!(
            (loss.value() - k).abs() < 0.02 * (1.0 + k),
            "{} {k}",
            loss.value()
        );
        assert_eq!(loss.known(), Known::Determined);
    }
}

#[test]
fn with_nothing_measured_the_estimates_are_the_priors_and_it_says_where_to_begin() {
    let found = fit(&one_bed(8.0, 0.5), &Measured::default()).unwrap();
    for one in &found.estimates {
        assert_eq!((one.offset, one.spread), (0.0, 1.0), "{one:?}");
        assert_eq!(one.known(), Known::Open);
        assert!((one.value() - one.prior.scale.band().nominal).abs() < 1e-12);
    }
    let first = &found.next[0];
    assert!(
        first.gain > 0.05 && first.spreads.iter().any(|s| *s < 0.7),
        "{first:?}"
    );
    assert!(
        found
            .next
            .windows(2)
            .all(|pair| pair[0].gain >= pair[1].gain)
    );
}

#[test]
fn a_measurement_fixes_what_it_depends_on_and_the_promise_made_for_it_holds() {
    let system = one_bed(8.0, 0.5);
    let flow = 5.4 * LITRE_PER_MINUTE;
    let before = fit(&system, &Measured::default()).unwrap();
    let promised = before
        .next
        .iter()
        .find(|next| next.what == Measurable::StartsAt)
        .unwrap();
    let sigma = promised.sigma;
    let found = fit(
        &system,
        &measured(&[(Measurable::StartsAt, promised.expected, sigma)]),
    )
    .unwrap();
    for (one, spread) in found.estimates.iter().zip(&promised.spreads) {
        assert!((one.straight - spread).abs() < 0.01, "{one:?} {spread}");
        // Hundreds of draws know a spread to some per cent.
        assert!((one.spread - spread).abs() < 0.08, "{one:?} {spread}");
    }
    let start = of(&found, Unknown::Soft(Coefficient::StartFroude));
    assert_eq!(start.known(), Known::Determined);
    assert!(start.shares[0] > 0.999);
    assert_eq!(of(&found, Unknown::Void(0)).known(), Known::Open);
    // By hand: Fs = Q / (A sqrt(g D)), drawn a little towards the prior.
    let area = std::f64::consts::FRAC_PI_4 * 0.0266_f64.powi(2);
    let by_hand = flow / (area * (9.80665 * 0.0266_f64).sqrt());
    let moved = fit(
        &system,
        &measured(&[(Measurable::StartsAt, flow, 0.01 * flow)]),
    )
    .unwrap();
    let start = of(&moved, Unknown::Soft(Coefficient::StartFroude)).value();
    assert!((start / by_hand - 1.0).abs() < 0.01, "{start} {by_hand}");
}

#[test]
fn a_watch_alone_moves_the_start_to_the_right_side_of_the_inflow() {
    let system = one_bed(8.0, 0.5);
    let seen = |seen| Measured {
        figures: Vec::new(),
        seen: vec![(0, seen)],
        facts: Vec::new(),
    };
    let found = fit(&system, &seen(Seen::NeverStarted)).unwrap();
    let look = outlook(&found.system, &found.values).unwrap();
    let ratio =
        look.value(0, Measurable::Inflow).unwrap() / look.value(0, Measurable::StartsAt).unwrap();
    assert!(ratio < 1.03, "{ratio}");
    // Far above its start flow there is nothing to learn from a bed that cycles.
    let cycles = fit(&one_bed(12.0, 0.8), &seen(Seen::Cycles)).unwrap();
    assert!(
        of(&cycles, Unknown::Soft(Coefficient::StartFroude))
            .offset
            .abs()
            < 0.1
    );
}

#[test]
fn a_figure_at_odds_is_named_and_one_that_no_band_allows_is_refused() {
    let system = one_bed(8.0, 0.5);
    let seen = outlook(&system, &system.coefficients.nominal()).unwrap();
    let value = |what| seen.value(0, what).unwrap();
    let mut figures = vec![
        (Measurable::Inflow, value(Measurable::Inflow), 5e-6),
        (Measurable::Fill, value(Measurable::Fill), 9.0),
        (Measurable::Highest, value(Measurable::Highest), 0.003),
        (Measurable::SumpSwing, value(Measurable::SumpSwing), 0.004),
    ];
    assert_eq!(fit(&system, &measured(&figures)).unwrap().at_odds, None);
    figures[2].1 += 0.03;
    let found = fit(&system, &measured(&figures)).unwrap();
    assert_eq!(found.at_odds, Some(2));

    let error = fit(
        &one_bed(0.5, 0.5),
        &measured(&[(Measurable::Drain, 200.0, 3.0)]),
    )
    .unwrap_err();
    let why = NoValue::NeverStarts;
    let (bed, what) = (0, Measurable::Drain);
    assert_eq!(error, FitError::NeverSo { bed, what, why });
}

#[test]
fn several_beds_share_the_pump_and_the_coefficients() {
    let system = pumped_beds(2);
    let seen = outlook(&system, &system.coefficients.nominal()).unwrap();
    let figures = (0..2)
        .flat_map(|bed| {
            [Measurable::Inflow, Measurable::Drain].map(|what| {
                let value = seen.value(bed, what).unwrap()
                    * if what == Measurable::Inflow { 0.9 } else { 1.0 };
                Measurement::new(bed, what, value, None)
            })
        })
        .collect();
    let found = fit(
        &system,
        &Measured {
            figures,
            seen: Vec::new(),
            facts: Vec::new(),
        },
    )
    .unwrap();
    let pump = of(&found, Unknown::PumpSpeed);
    assert!(
        pump.value() < 0.99 && pump.known() == Known::Determined,
        "{pump:?}"
    );
    let count = |wanted: fn(&Unknown) -> bool| {
        found
            .estimates
            .iter()
            .filter(|one| wanted(&one.prior.unknown))
            .count()
    };
    assert_eq!(count(|u| matches!(u, Unknown::Void(_))), 2);
    assert_eq!(count(|u| matches!(u, Unknown::PumpSpeed)), 1);
}

/// The lines to paste, put where they say, give the fitted run back.
#[test]
fn the_pasted_lines_give_the_fitted_values_back() {
    let works = crate::bare();
    let scenario = parse(&works, "bed.toml").unwrap();
    let system = &scenario.system;
    let seen = outlook(system, &system.coefficients.nominal()).unwrap();
    let value = |what| seen.value(0, what).unwrap();
    let found = fit(
        system,
        &measured(&[
            (Measurable::Inflow, 0.95 * value(Measurable::Inflow), 5e-6),
            (Measurable::Fill, 1.1 * value(Measurable::Fill), 8.0),
            (Measurable::Drain, 1.1 * value(Measurable::Drain), 4.0),
            (Measurable::Left, value(Measurable::Left) + 0.003, 0.003),
            (
                Measurable::StartsAt,
                1.1 * value(Measurable::StartsAt),
                5e-6,
            ),
        ]),
    )
    .unwrap();
    let paste = ebbwright::answer::paste(system, &found, scenario.pump_speed());
    assert!(
        paste
            .coefficients
            .starts_with("[coefficients]\nstart-froude = ["),
        "{paste:?}"
    );
    let mut text = works.clone();
    for other in &paste.others {
        let (key, _) = other.line.split_once(" = ").unwrap();
        let old = match key {
            "void" => "void = 0.40",
            "total-k" => "fittings = { elbow-90 = 1 }\ninto",
            "inlet" => "inlet = { flow = \"9 L/min\" }",
            "steady-flow" => "steady-flow = \"9 L/min\"",
            other => panic!("{other}"),
        };
        let tail = if key == "total-k" { "\ninto" } else { "" };
        assert!(text.contains(old), "{old}");
        text = text.replace(old, &format!("{}{tail}", other.line));
    }
    assert_eq!(paste.others.len(), 4, "{paste:?}");
    text = text + "\n" + &paste.coefficients;
    let again = parse(&text, "bed.toml").unwrap().system;
    let look = outlook(&again, &again.coefficients.nominal()).unwrap();
    for one in &found.compared {
        let value = look.value(0, one.measurement.what).unwrap();
        assert!((value / one.after - 1.0).abs() < 2e-3, "{one:?} {value}");
    }
}

// Estimates from some of the simulations would be wrong. Counted, not timed.
#[test]
fn a_fit_that_would_take_too_long_is_refused_in_words() {
    let system = one_bed(12.0, 0.5);
    let fill = measured(&[(Measurable::Fill, 480.0, 5.0)]);
    let (found, spent) = effort::of(|| fit(&system, &fill));
    found.unwrap();
    let too_little = effort::within(spent / 8, || fit(&system, &fill)).unwrap_err();
    assert_eq!(too_little, FitError::TooMuch);
    assert!(too_little.to_string().contains("would take too long"));
    effort::within(4 * spent, || fit(&system, &fill)).unwrap();
}
