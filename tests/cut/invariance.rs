//! What must not change the answer, and what must.

use ebbwright::answer::CutReport;
use ebbwright::model::{Disturbance, Incident, IncidentTime};
use ebbwright::scenario::Fittings;
use ebbwright::study::cut::{CutError, Cuts, MOST_DRY_LAYER, Wish, cut};
use ebbwright::units::UnitSystem;
use serde_json::Value;

use crate::sentences::without_words;
use crate::support::{one_bed, pumped_beds};
use crate::{WANTED, ask, cut_to, run};

fn json(system: &ebbwright::model::System, cuts: &Cuts, units: UnitSystem) -> String {
    let answer = CutReport {
        system,
        built: system,
        cuts,
        fittings: &Fittings::default(),
        guessed: &[],
        planned: false,
        advice: None,
        units,
    };
    let document = answer.document("bed.toml");
    // The results say what their table of keys announces.
    assert_eq!(document.faults(), [""; 0]);
    document.json().unwrap()
}

fn without_sentences(text: &str) -> Value {
    let mut found: Value = serde_json::from_str(text).unwrap();
    without_words(&mut found);
    found
}

#[test]
fn units_change_sentences_and_no_figure() {
    let mut two = pumped_beds(2);
    two.duration = ebbwright::model::Duration::Fixed(4.0 * 3600.0);
    for system in [one_bed(10.0, 0.6), one_bed(5.0, 0.5), two] {
        let wish = Wish {
            dry_layer: WANTED,
            only: None,
        };
        let answer = |units| json(&system, &cut(&system, &wish, &mut |_| {}).unwrap(), units);
        let (metric, us) = (answer(UnitSystem::Metric), answer(UnitSystem::Us));
        assert_eq!(without_sentences(&metric), without_sentences(&us));
        // And the same question gives the same bytes.
        assert_eq!(metric, answer(UnitSystem::Metric));
    }
}

#[test]
fn where_the_room_has_its_floor_does_not_matter() {
    let system = one_bed(10.0, 0.6);
    let mut raised = system.clone();
    let up = 0.5;
    for bed in &mut raised.beds {
        bed.floor += up;
        bed.siphon.drain.outlet += up;
    }
    raised.sump.floor += up;
    raised.sump.start_level += up;
    raised.sump.overflow_level += up;
    raised.pump.intake_level += up;
    let length = |system| {
        ask(system, WANTED).beds[0]
            .answer
            .as_ref()
            .unwrap()
            .exact
            .length
    };
    assert!((length(&system) - length(&raised)).abs() < 1e-8);
}

#[test]
fn the_length_the_scenario_happens_to_have_does_not_matter() {
    let mut lengths = Vec::new();
    for present in [0.08, 0.15, 0.225, 0.29] {
        let mut system = one_bed(10.0, 0.6);
        cut_to(&mut system.beds[0], present);
        lengths.push(
            ask(&system, WANTED).beds[0]
                .answer
                .as_ref()
                .unwrap()
                .exact
                .length,
        );
    }
    let (low, high) = lengths
        .iter()
        .fold((1.0_f64, 0.0_f64), |(l, h), x| (l.min(*x), h.max(*x)));
    assert!(high - low < 3e-5, "{lengths:?}");
}

#[test]
fn a_thicker_layer_takes_its_thickness_off_the_pipe() {
    let system = one_bed(10.0, 0.6);
    let length = |wanted| {
        ask(&system, wanted).beds[0]
            .answer
            .as_ref()
            .unwrap()
            .exact
            .length
    };
    // Straight walls and the same area at every height: millimetre for millimetre.
    assert!((length(0.040) - length(0.060) - 0.020).abs() < 5e-5);
}

#[test]
fn only_the_asked_bed_is_cut() {
    let mut system = pumped_beds(3);
    system.duration = ebbwright::model::Duration::Fixed(3.0 * 3600.0);
    let wish = Wish {
        dry_layer: WANTED,
        only: Some(1),
    };
    let cuts = cut(&system, &wish, &mut |_| {}).unwrap();
    assert_eq!(cuts.beds.len(), 1);
    assert_eq!(cuts.beds[0].bed, 1);
    for (i, (before, after)) in system.beds.iter().zip(&cuts.system.beds).enumerate() {
        let moved = before.lip_level() != after.lip_level();
        assert_eq!(moved, i == 1, "bed {i}");
    }
}

#[test]
fn incidents_are_left_out() {
    let system = one_bed(10.0, 0.6);
    let mut troubled = system.clone();
    let what = Disturbance::SiphonBlocked(0);
    troubled.incidents.push(Incident {
        at: IncidentTime::At(3600.0),
        what,
    });
    let length = |system| {
        ask(system, WANTED).beds[0]
            .answer
            .as_ref()
            .unwrap()
            .exact
            .length
    };
    assert_eq!(length(&system), length(&troubled));
}

#[test]
fn the_present_pipe_is_that_of_a_plain_run() {
    let system = one_bed(10.0, 0.6);
    let cuts = ask(&system, WANTED);
    let outcome = &run(&system).beds[0];
    let peak = outcome.peak_level.max(outcome.first_peak_level) - system.beds[0].floor;
    assert_eq!(cuts.beds[0].present.peak, peak);
    assert!((cuts.beds[0].present.length - 0.225).abs() < 1e-12);
}

#[test]
fn wishes_that_make_no_sense_are_refused() {
    let system = one_bed(10.0, 0.6);
    for dry_layer in [-0.001, MOST_DRY_LAYER + 0.001, f64::NAN, f64::INFINITY] {
        let wish = Wish {
            dry_layer,
            only: None,
        };
        let failed = cut(&system, &wish, &mut |_| {});
        assert!(
            matches!(failed, Err(CutError::DryLayer { .. })),
            "{dry_layer}"
        );
    }
    let wish = Wish {
        dry_layer: WANTED,
        only: Some(1),
    };
    let failed = cut(&system, &wish, &mut |_| {});
    assert_eq!(
        failed.err(),
        Some(CutError::NoSuchBed { index: 1, beds: 1 })
    );
}

#[test]
fn every_simulation_is_told() {
    let system = one_bed(10.0, 0.6);
    let mut heard = Vec::new();
    let wish = Wish {
        dry_layer: WANTED,
        only: None,
    };
    let cuts = cut(&system, &wish, &mut |count| heard.push(count)).unwrap();
    assert_eq!(heard, (1..=cuts.simulations).collect::<Vec<_>>());
}
