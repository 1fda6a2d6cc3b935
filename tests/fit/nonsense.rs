//! Every measurement that cannot be true is named, with what to check.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::model::System;
use ebbwright::scenario::{parse_measured, starter};
use ebbwright::study::measure::*;
use ebbwright::units::UnitSystem;

const LPM: f64 = LITRE_PER_MINUTE;

/// What is found on a bed of 1.2 m x 1.0 m, lip 225 mm, slots 25 mm, wall 350 mm.
fn found(figures: &[(Measurable, f64)]) -> Vec<Nonsense> {
    found_on(&one_bed(8.0, 0.5), figures, None)
}

fn found_on(system: &System, figures: &[(Measurable, f64)], seen: Option<Seen>) -> Vec<Nonsense> {
    let measured = Measured {
        figures: figures
            .iter()
            .map(|&(what, value)| Measurement::new(0, what, value, None))
            .collect(),
        seen: seen.map(|seen| (0, seen)).into_iter().collect(),
        facts: Vec::new(),
    };
    examine(system, &measured)
}

/// Exactly one figure disagrees, it is `what`, and its message says so.
fn names(found: &[Nonsense], what: Measurable, words: &[&str]) {
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].what, what, "{found:?}");
    let text = found[0].sentence(&one_bed(8.0, 0.5), UnitSystem::Metric);
    assert!(
        text.starts_with(&format!("{} of \"north\", ", what.words())),
        "{text}"
    );
    for word in words {
        assert!(text.contains(word), "{word} in: {text}");
    }
    assert!(found[0].check().ends_with('.'));
}

#[test]
fn figures_of_a_real_cycle_are_accepted_and_so_is_nothing() {
    let system = one_bed(8.0, 0.5);
    let seen = outlook(&system, &system.coefficients.nominal()).unwrap();
    let figures: Vec<(Measurable, f64)> = Measurable::ALL
        .into_iter()
        .filter_map(|what| Some((what, seen.value(0, what).ok()?)))
        .collect();
    assert_eq!(figures.len(), 13);
    assert_eq!(found(&figures), []);
    assert_eq!(found(&[]), []);
}

#[test]
fn levels_outside_the_bed_are_named() {
    names(
        &found(&[(Measurable::Highest, 0.40)]),
        Measurable::Highest,
        &["400 mm", "wall, 350 mm"],
    );
    names(
        &found(&[(Measurable::Highest, 0.20), (Measurable::Drain, 180.0)]),
        Measurable::Highest,
        &["200 mm", "below the lip, 225 mm"],
    );
    names(
        &found(&[(Measurable::Left, 0.26)]),
        Measurable::Left,
        &["above the lip"],
    );
    names(
        &found(&[(Measurable::Left, 0.26), (Measurable::Highest, 0.23)]),
        Measurable::Left,
        &["above the highest level, 230 mm"],
    );
    let mut tall = one_bed(8.0, 0.5);
    tall.beds[0].siphon.bell.slots.height += 0.05;
    let low = found_on(&tall, &[(Measurable::Left, 0.02)], None);
    names(
        &low,
        Measurable::Left,
        &["20 mm", "crown of the bell's slots, 75 mm"],
    );
    let stands = found_on(
        &one_bed(8.0, 0.5),
        &[(Measurable::Standing, 0.23)],
        Some(Seen::Cycles),
    );
    names(&stands, Measurable::Standing, &["cycles"]);
}

// By hand: between 25 and 250 mm the bed of 1.2 m x 1.0 m holds 270 L without gravel;
// 12 L/min over 30 min are 360 L, and 1 L/min over 5 min are 5 L, less than 5 % of 240 L.
#[test]
fn a_fill_that_needs_a_void_over_one_or_next_to_none_is_named() {
    let level = [(Measurable::Highest, 0.25), (Measurable::Left, 0.025)];
    let with = |inflow: f64, fill: f64| {
        let mut figures = level.to_vec();
        figures.extend([
            (Measurable::Inflow, inflow * LPM),
            (Measurable::Fill, fill * 60.0),
        ]);
        found(&figures)
    };
    names(
        &with(12.0, 30.0),
        Measurable::Fill,
        &["360 L", "270 L", "void would be over 1"],
    );
    names(&with(1.0, 5.0), Measurable::Fill, &["5 L", "12 L"]);
    assert_eq!(with(8.0, 14.0), []);
}

// By hand: a void of 0.15 over 1.2 m2 and 0.2 m is 36 L; through 26.6 mm without any loss
// under at most 0.85 m, 4.08 m/s, 2.27 L/s pass: 15.9 s.
#[test]
fn a_drain_faster_than_a_free_pipe_or_slower_than_any_siphon_is_named() {
    names(
        &found(&[(Measurable::Drain, 5.0)]),
        Measurable::Drain,
        &["5 s", "without any loss"],
    );
    match found(&[(Measurable::Drain, 5.0)])[0].kind {
        NonsenseKind::DrainTooFast { least } => assert!((least - 15.9).abs() < 0.1, "{least}"),
        other => panic!("{other:?}"),
    }
    assert_eq!(found(&[(Measurable::Drain, 20.0)]), []);
    let slow = found(&[
        (Measurable::Inflow, 1.0 * LPM),
        (Measurable::Fill, 45.0 * 60.0),
        (Measurable::Drain, 120.0 * 60.0),
    ]);
    names(&slow, Measurable::Drain, &["discharge of 1.4 L/min"]);
}

#[test]
fn times_and_inflows_that_contradict_each_other_are_named() {
    let times = [
        (Measurable::Fill, 840.0),
        (Measurable::Drain, 180.0),
        (Measurable::Period, 1200.0),
    ];
    names(&found(&times), Measurable::Period, &["20 min", "17 min"]);
    let inflow = |starts: f64, stops: f64| {
        found(&[
            (Measurable::Inflow, 8.0 * LPM),
            (Measurable::Drain, 180.0),
            (Measurable::StartsAt, starts * LPM),
            (Measurable::BreaksUpTo, stops * LPM),
        ])
    };
    assert_eq!(inflow(6.0, 12.0), []);
    names(
        &inflow(13.0, 16.0),
        Measurable::Inflow,
        &["13", "just starts", "cycles"],
    );
    names(
        &inflow(3.0, 5.0),
        Measurable::Inflow,
        &["5", "stops breaking"],
    );
    names(
        &found(&[
            (Measurable::StartsAt, 9.0 * LPM),
            (Measurable::BreaksUpTo, 5.0 * LPM),
        ]),
        Measurable::BreaksUpTo,
        &["never cycle"],
    );
}

#[test]
fn a_figure_of_a_cycle_from_a_bed_that_never_starts_is_named() {
    for what in [Measurable::Fill, Measurable::Period, Measurable::Drain] {
        let found = found_on(
            &one_bed(8.0, 0.5),
            &[(what, 300.0)],
            Some(Seen::NeverStarted),
        );
        names(&found, what, &["never starts"]);
    }
    let swing = found_on(
        &one_bed(8.0, 0.5),
        &[(Measurable::SumpSwing, 0.1)],
        Some(Seen::NeverBroke),
    );
    names(&swing, Measurable::SumpSwing, &["never stops"]);
}

#[test]
fn a_sump_that_swings_by_more_than_all_beds_hold_is_named() {
    // The bed holds 420 L without gravel, the sump 384 L at its start.
    names(
        &found(&[(Measurable::SumpSwing, 0.9)]),
        Measurable::SumpSwing,
        &["420 L"],
    );
    assert_eq!(found(&[(Measurable::SumpSwing, 0.15)]), []);
}

#[test]
fn inflows_above_the_pump_and_figures_out_of_range_are_named() {
    let system = pumped_beds(2);
    let measured = Measured {
        figures: (0..2)
            .map(|bed| Measurement::new(bed, Measurable::Inflow, 40.0 * LPM, None))
            .collect(),
        seen: Vec::new(),
        facts: Vec::new(),
    };
    let found = examine(&system, &measured);
    assert_eq!(found.len(), 1);
    let text = found[0].sentence(&system, UnitSystem::Metric);
    assert!(text.contains("80") && text.contains("pump"), "{text}");
    // A bucket in gallons read as litres, or the like; twice the file's flow is another pump.
    let far = found_on(
        &one_bed(8.0, 0.5),
        &[(Measurable::Inflow, 400.0 * LPM)],
        None,
    );
    names(&far, Measurable::Inflow, &["50 times", "8.0 L/min", "file"]);
    let other_pump = [(Measurable::Inflow, 16.0 * LPM)];
    assert_eq!(found_on(&one_bed(8.0, 0.5), &other_pump, None), []);
    let wild = found_on(&one_bed(8.0, 0.5), &[(Measurable::Drain, 0.01)], None);
    names(&wild, Measurable::Drain, &["outside"]);
}

#[test]
fn a_file_of_measurements_is_read_and_its_faults_point_into_it() {
    let system = ebbwright::scenario::parse(starter(), "starter.toml")
        .unwrap()
        .system;
    let name = &system.beds[0].name;
    let text = format!(
        "[[bed]]\nname = \"{name}\"\ninflow = \"6 L/min +- 5 %\"\nfill = \"14 min 20 s +- 10 s\"\n\
         left = \"1 3/16 in\"\nseen = \"cycles\"\n"
    );
    let measured = parse_measured(&text, "m.toml", &system).unwrap();
    let fill = measured.get(0, Measurable::Fill).unwrap();
    assert_eq!(
        (fill.value, fill.sigma, fill.sigma_given),
        (860.0, 10.0, true)
    );
    let left = measured.get(0, Measurable::Left).unwrap();
    assert_eq!(
        (left.value, left.sigma, left.sigma_given),
        (0.0301625, 0.005, false)
    );
    assert_eq!(measured.seen, [(0, Seen::Cycles)]);

    for (text, hints) in [
        (
            "[[bed]]\nfil = \"14 min\"\n",
            vec!["did you mean fill?", "m.toml:2"],
        ),
        (
            "[[bed]]\nfill = \"14\"\n",
            vec!["has no unit", "14 min", "fill"],
        ),
        ("[[bed]]\nfill = 14\n", vec!["bare number 14"]),
        (
            "[[bed]]\nfill = \"14 L\"\n",
            vec!["measures a volume", "a time belongs here"],
        ),
        (
            "[[bed]]\nfill = \"14 min +- 0 s\"\n",
            vec!["spread '0 s' is not above zero"],
        ),
        (
            "[[bed]]\nfill = \"14 min +- 20 min\"\n",
            vec!["a spread of at most 14 min"],
        ),
        ("[[bed]]\nleft = \"3 m\"\n", vec!["outside 0 m to 2 m"]),
        (
            "[[bed]]\nseen = \"sleeps\"\n",
            vec!["\"cycles\"", "\"never-starts\""],
        ),
        (
            "[[bed]]\nname = \"nowhere\"\n",
            vec!["no bed \"nowhere\"", "beds of the scenario"],
        ),
        (
            "[[bed]]\nfill = \"14 min\"\n[[bed]]\ndrain = \"3 min\"\n",
            vec!["the same bed again"],
        ),
        ("fill = \"14 min\"\n", vec!["fill", "bed"]),
        ("[[bed]\n", vec!["not TOML"]),
    ] {
        let error = parse_measured(text, "m.toml", &system).unwrap_err();
        let message = error.render(false);
        for hint in hints {
            assert!(message.contains(hint), "{hint} in: {message}");
        }
    }
}
