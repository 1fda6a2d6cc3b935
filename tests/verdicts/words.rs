//! What checks, notes and cautions say, and when.

use crate::fixes::{find, judge, with_line};
use crate::support::{self, LITRE_PER_MINUTE};
use crate::told::{Assessment, Check};
use ebbwright::assessment::{CheckId, Status, Verdict};
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::units::UnitSystem::{self, Metric, Us};

fn systems() -> Vec<System> {
    let mut list: Vec<System> = [
        (4.0, 0.5),
        (9.0, 0.3),
        (11.0, 0.5),
        (30.0, 0.5),
        (60.0, 0.5),
        (12.0, 0.9),
    ]
    .into_iter()
    .map(|(flow, drop)| support::one_bed(flow, drop))
    .collect();
    list.push(with_line(3, 0.030, 0.02));
    list.push(with_line(2, 0.069, 0.02));
    let mut pumped = support::pumped_beds(2);
    pumped.duration = Duration::Fixed(4.0 * 3600.0);
    list.push(pumped);
    list.push(dry());
    list
}

fn dry() -> System {
    let mut system = support::one_bed(10.5, 0.5);
    system.sump.shape = VesselShape::Box {
        length: 0.8,
        width: 0.5,
        depth: 0.6,
    };
    system.sump.start_level = 0.2;
    system
}

fn texts(assessment: &Assessment) -> Vec<String> {
    let of = |check: &Check| [check.because.clone(), check.first_fix.clone()];
    assessment
        .checks
        .iter()
        .flat_map(of)
        .chain(assessment.notes.iter().cloned())
        .chain(assessment.cautions.iter().cloned())
        .filter(|text| !text.is_empty())
        .collect()
}

fn says(assessment: &Assessment, words: &str) -> bool {
    texts(assessment).iter().any(|text| text.contains(words))
}

#[test]
fn every_check_has_its_figures_and_reasons() {
    for system in systems() {
        let assessment = judge(&system, Metric);
        let worst = assessment
            .checks
            .iter()
            .map(|check| check.status)
            .max()
            .unwrap();
        assert_eq!(assessment.verdict, worst);
        assert!(assessment.checks.is_sorted_by_key(|check| check.id));
        for check in &assessment.checks {
            assert!(!check.value.is_nan() && !check.limit.is_nan(), "{check:?}");
            assert!(
                !check.because.is_empty() && !check.basis.is_empty(),
                "{check:?}"
            );
            assert_eq!(
                check.first_fix.is_empty(),
                check.status == Status::Pass,
                "{check:?}"
            );
            let size = (check.value - check.limit).abs();
            if size.is_finite() && check.id != CheckId::Period {
                assert!(
                    (check.margin.abs() - size).abs() <= 1e-12 * size.max(1.0),
                    "{check:?}"
                );
            }
            if check.margin < -1e-9 && check.id != CheckId::FloorLoad {
                assert_ne!(check.status, Status::Pass, "{check:?}");
            }
        }
    }
}

#[test]
fn texts_are_sentences_in_the_units_asked_for() {
    let foreign = |units: UnitSystem| match units {
        Metric => ["gal", "psi", "lb/ft2", " ft "],
        Us => [" mm", "L/min", "kPa", "kN/m2"],
    };
    for system in systems() {
        for units in [Metric, Us] {
            for text in texts(&judge(&system, units)) {
                assert!(text.ends_with('.'), "{text}");
                assert!(
                    text.starts_with(|c: char| c.is_uppercase() || c == '"'),
                    "{text}"
                );
                assert!(!text.contains("  ") && !text.contains(".."), "{text}");
                assert!(
                    !text.contains("not known") && !text.contains("NaN"),
                    "{text}"
                );
                assert!(
                    !text
                        .to_lowercase()
                        .split(|c: char| !c.is_alphabetic())
                        .any(|w| w == "safe")
                );
                if text.contains("30 mA") || text.contains("Food") || text.contains("Fish") {
                    continue;
                }
                for unit in foreign(units) {
                    assert!(!text.contains(unit), "{unit} in: {text}");
                }
            }
        }
    }
}

#[test]
fn figures_do_not_depend_on_the_units_of_the_text() {
    let system = with_line(2, 0.035, 0.02);
    let (metric, us) = (judge(&system, Metric), judge(&system, Us));
    for (a, b) in metric.checks.iter().zip(&us.checks) {
        assert_eq!(
            (a.id, a.status, a.value, a.limit),
            (b.id, b.status, b.value, b.limit)
        );
    }
    assert_eq!(metric.sump, us.sump);
}

#[test]
fn a_dribbling_bed_fails_its_start_and_names_what_stood_in() {
    let assessment = judge(&support::one_bed(4.0, 0.5), Metric);
    assert_eq!(assessment.beds[0].will_start, Verdict::WillNot);
    assert_eq!(
        find(&assessment, CheckId::Starts, "north").status,
        Status::Fail
    );
    assert!(says(&assessment, "never came to its break level"));
    let cycling = judge(&support::one_bed(11.0, 0.5), Metric);
    assert_eq!(cycling.beds[0].will_start, Verdict::Will);
    assert_eq!(cycling.beds[0].will_break, Verdict::Will);
    assert!(!says(&cycling, "never came to its break level"));
}

#[test]
fn a_bed_that_had_no_time_to_fill_asks_for_more_time() {
    let mut system = support::one_bed(11.0, 0.5);
    system.duration = Duration::Fixed(300.0);
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Starts, "north");
    assert_eq!(check.status, Status::Warn);
    // 11 L/min fill 0.48 m2 x 0.2 m = 96 L in 8 min 44 s.
    assert!(
        check.first_fix.contains("Simulate at least 9 min"),
        "{}",
        check.first_fix
    );
    assert!(
        find(&assessment, CheckId::Period, "north")
            .because
            .contains("from volumes and flows")
    );
}

#[test]
fn a_dry_pump_is_told_how_long_and_how_much() {
    let assessment = judge(&dry(), Metric);
    let check = find(&assessment, CheckId::PumpCover, "pump");
    assert_eq!(check.status, Status::Fail);
    assert!(check.because.contains("drew air for"), "{}", check.because);
    assert!(check.value < check.limit);
}

#[test]
fn a_line_that_holds_a_siphon_is_named_and_widened() {
    let mut system = with_line(1, 0.020, 0.02);
    system.pump.source = PumpSource::Steady(11.0 * LITRE_PER_MINUTE);
    let line = system.drain_line.as_mut().unwrap();
    line.outlet = 0.62;
    line.run.k = 12.0;
    let assessment = judge(&system, Metric);
    assert!(assessment.beds[0].will_break != Verdict::Will);
    let check = find(&assessment, CheckId::DrainLine, "drain line");
    assert_ne!(check.status, Status::Pass);
    assert!(
        check.because.contains("above the break level of \"north\""),
        "{}",
        check.because
    );
}

#[test]
fn notes_come_only_where_they_apply() {
    let plain = judge(&support::one_bed(11.0, 0.5), Metric);
    for words in [
        "no vent",
        "estimate,",
        "Not simulated",
        "grain size of",
        "own pace",
        "air tube",
    ] {
        assert!(!says(&plain, words), "{words}");
    }
    assert!(says(&plain, "No grain size is given"));
    assert!(says(&plain, "Wyly & Eaton"));

    let mut shared = with_line(2, 0.069, 0.02);
    assert!(!says(&judge(&shared, Metric), "no vent"));
    shared.drain_line.as_mut().unwrap().vented = false;
    // The south bed joins nearer the outlet and falls further: it is the larger.
    shared.beds[1].siphon.drain.outlet -= 0.02;
    let assessment = judge(&shared, Metric);
    assert!(says(&assessment, "no vent: while \"south\" runs"));
    assert!(says(
        &assessment,
        "Beds flood at their own pace: \"north\" every"
    ));

    let mut much = support::one_bed(11.0, 0.5);
    much.beds[0].media.grain = Some(0.012);
    much.pump.schedule = Some(Schedule {
        on: 900.0,
        off: 900.0,
    });
    much.evaporation = 1e-8;
    much.top_off = Some(TopOff {
        level: 0.2,
        flow: 1e-5,
        bore: 0.008,
        reservoir: None,
    });
    much.incidents = vec![Incident {
        at: IncidentTime::At(60.0),
        what: Disturbance::PumpStops,
    }];
    let assessment = judge(&much, Metric);
    // All of it is simulated: no remark may say otherwise.
    for words in ["grain size", "ot simulated", "not used"] {
        assert!(!says(&assessment, words), "{words}");
    }

    let mut boxed = support::pumped_beds(1);
    boxed.duration = Duration::Fixed(3600.0);
    boxed.pump.source =
        PumpSource::Curve(PumpCurve::from_box_figures(2.4, 2500.0 / 3.6e6).unwrap());
    assert!(says(&judge(&boxed, Metric), "an estimate"));
}

#[test]
fn a_thin_air_tube_is_told_its_bore() {
    let mut system = support::one_bed(11.0, 0.5);
    system.beds[0].siphon.bell.air_tube = Some(AirTube {
        bore: 0.002,
        mouth_height: 0.035,
    });
    let assessment = judge(&system, Metric);
    let said = assessment
        .notes
        .iter()
        .find(|n| n.contains("air tube"))
        .unwrap();
    let bore = crate::mend::amount(
        said,
        "a tube of at least ",
        ebbwright::units::table::Quantity::Length,
    );
    system.beds[0].siphon.bell.air_tube = Some(AirTube {
        bore,
        mouth_height: 0.035,
    });
    let wide = judge(&system, Metric);
    assert!(!says(&wide, "lets in less air"));
    system.beds[0].siphon.bell.air_tube = Some(AirTube {
        bore: 0.9 * bore,
        mouth_height: 0.035,
    });
    assert!(says(&judge(&system, Metric), "lets in less air"));
}

#[test]
fn a_wide_bell_over_a_small_bed_is_warned_of() {
    let mut system = support::one_bed(11.0, 0.5);
    assert!(!says(&judge(&system, Metric), "drown the slots again"));
    system.beds[0].shape = VesselShape::Box {
        length: 0.5,
        width: 0.3,
        depth: 0.35,
    };
    system.beds[0].siphon.bell.bore = 0.11;
    assert!(says(&judge(&system, Metric), "drown the slots again"));
}

#[test]
fn cautions_come_only_where_they_apply() {
    let plain = judge(&support::one_bed(11.0, 0.5), Metric);
    assert!(plain.cautions.iter().any(|c| c.contains("30 mA")));
    assert!(plain.cautions.last().unwrap().contains("local codes"));
    assert!(
        !plain
            .cautions
            .iter()
            .any(|c| c.contains("air gap") || c.contains("Fish"))
    );
    assert!(plain.cautions.iter().any(|c| c.contains("Weight")));

    let mut system = support::one_bed(11.0, 0.5);
    system.top_off = Some(TopOff {
        level: 0.2,
        flow: 1e-5,
        bore: 0.020,
        reservoir: None,
    });
    // Twice the bore: 40 mm (food-code rule, at least 25 mm).
    assert!(
        judge(&system, Metric)
            .cautions
            .iter()
            .any(|c| c.contains("at least 40 mm"))
    );
    system.top_off = Some(TopOff {
        level: 0.2,
        flow: 1e-5,
        bore: 0.008,
        reservoir: None,
    });
    assert!(
        judge(&system, Metric)
            .cautions
            .iter()
            .any(|c| c.contains("at least 25 mm"))
    );
    system.top_off = Some(TopOff {
        level: 0.2,
        flow: 1e-5,
        bore: 0.008,
        reservoir: Some(0.1),
    });
    assert!(
        !judge(&system, Metric)
            .cautions
            .iter()
            .any(|c| c.contains("air gap"))
    );
    system.tank = Some(Tank {
        shape: VesselShape::UprightCylinder {
            diameter: 0.9,
            depth: 0.7,
        },
        floor: 0.0,
        start_level: 0.5,
        overflow_level: 0.6,
        overflow_bore: 0.04,
        fed_by: TankFeed::WholePump,
        overflows_to: TankOutlet::Beds,
    });
    assert!(
        judge(&system, Metric)
            .cautions
            .iter()
            .any(|c| c.contains("Fish"))
    );

    let mut light = support::one_bed(11.0, 0.5);
    light.beds[0].media.depth = 0.06;
    light.sump.start_level = 0.1;
    light.thresholds.dry_layer = -0.2;
    light.sump.overflow_level = 0.13;
    light.duration = Duration::Fixed(60.0);
    assert!(
        !judge(&light, Metric)
            .cautions
            .iter()
            .any(|c| c.contains("Weight"))
    );
}

// By hand: outlet over the sump's highest water; the ceiling at 2.3 m, the rim at 1.35 m.
#[test]
fn the_run_says_how_far_beds_can_come_down() {
    let mut system = support::one_bed(11.0, 0.5);
    let note = |system: &System, units| {
        judge(system, units)
            .notes
            .into_iter()
            .find(|note| note.contains("could all come down by about"))
    };
    let assessment = judge(&system, Metric);
    let high = assessment.sump.high.min(system.sump.overflow_level);
    let room = system.beds[0].siphon.drain.outlet - high;
    let text = note(&system, Metric).unwrap();
    let said = crate::mend::amount(
        &text,
        "come down by about ",
        ebbwright::units::table::Quantity::Length,
    );
    assert!(said <= room && room - said < 0.001, "{said} {room}: {text}");
    assert!(!text.contains("ceiling"));
    system.ceiling = Some(2.3);
    let text = note(&system, Metric).unwrap();
    let after = Metric.length(2.3 - system.beds[0].rim_level() + said);
    assert!(
        text.contains(&format!("would then be {after} instead of 950 mm")),
        "{text}"
    );
    // Lower by that amount, but for the few millimetres by which the bed then starts or breaks
    // otherwise, the fall still passes; lower than that it does not.
    for (by, status) in [(said - 0.010, Status::Pass), (said + 0.010, Status::Warn)] {
        let mut lower = system.clone();
        let bed = &mut lower.beds[0];
        bed.floor -= by;
        bed.siphon.drain.outlet -= by;
        let after = judge(&lower, Metric);
        let fall = find(&after, CheckId::Fall, "north");
        assert_eq!(fall.status, status, "{by} {fall:#?}");
    }
    // An outlet in the water has nothing to give.
    system.beds[0].siphon.drain.outlet = high - 0.01;
    assert_eq!(note(&system, Metric), None);
}

#[test]
fn headroom_is_checked_only_under_a_ceiling() {
    let mut system = support::one_bed(11.0, 0.5);
    let has = |system: &System| {
        judge(system, Metric)
            .checks
            .iter()
            .any(|check| check.id == CheckId::Headroom)
    };
    assert!(!has(&system));
    system.ceiling = Some(2.3);
    assert!(has(&system));
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Headroom, "north");
    assert!((check.value - 0.95).abs() < 1e-12);
    assert_eq!(check.status, Status::Pass);
}

#[test]
fn a_cap_under_too_little_pressure_gets_a_higher_outlet() {
    let mut system = support::one_bed(11.0, 0.7);
    system.thresholds.crown_pressure = 96.0e3;
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::CrownPressure, "north");
    assert_eq!(check.status, Status::Fail, "{check:?}");
    crate::mend::mend(&mut system, check.first());
    let after = judge(&system, Metric);
    assert_eq!(
        find(&after, CheckId::CrownPressure, "north").status,
        Status::Pass
    );
}

#[test]
fn a_drain_shorter_than_straight_down_is_noted() {
    let mut system = support::one_bed(9.0, 0.5);
    let bed = &system.beds[0];
    let drop = bed.lip_level() - bed.siphon.drain.outlet;
    let note = "cannot be: lip to outlet is";
    for (length, noted) in [(drop - 0.002, true), (drop, false)] {
        let siphon = &mut system.beds[0].siphon;
        siphon.drain.losses = DrainLosses::Computed {
            length,
            k: 0.9,
            roughness: 1.5e-6,
        };
        assert_eq!(says(&judge(&system, Metric), note), noted, "{length}");
    }
}

// A card said that a bed "surely starts" beside another that said that it never does: its sump runs dry.
#[test]
fn a_siphon_that_dribbles_for_want_of_sump_water_says_so() {
    let text = include_str!("basement.toml");
    let because = |valve: &str| {
        let text = text.replace("ball = \"60 %\"", &format!("ball = \"{valve}\""));
        let system = ebbwright::scenario::parse(&text, "basement.toml")
            .unwrap()
            .system;
        let assessment = judge(&system, Us);
        find(&assessment, CheckId::Starts, "four").because.clone()
    };
    let dry = "for the sump runs dry and the pump draws air.";
    let enough = because("60 %");
    assert!(
        enough.ends_with(&format!("yet it dribbles in this run, {dry}")),
        "{enough}"
    );
    let doubtful = because("47 %");
    assert!(
        doubtful.ends_with(&format!("In this run it dribbles, {dry}")),
        "{doubtful}"
    );
}
