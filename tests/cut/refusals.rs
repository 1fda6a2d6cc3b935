//! Every reason why there is no length, and what its amount is worth.

use ebbwright::answer::{refusal_because, refusal_hint};
use ebbwright::assessment::{CheckId, Status, assess};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{AirTube, Duration, System};
use ebbwright::numerics::effort;
use ebbwright::simulation::Regime;
use ebbwright::study::cut::{Opening, Refusal};
use ebbwright::units::UnitSystem;

use crate::support::{bed, one_bed, pumped_beds, system};
use crate::{WANTED, ask, cut_to, run};

fn refusal(system: &System) -> Refusal {
    let cuts = ask(system, WANTED);
    let refusal = cuts.beds[0]
        .answer
        .as_ref()
        .expect_err("has an answer")
        .clone();
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        assert!(
            refusal_because(system, &refusal, units)
                .to_string()
                .ends_with('.'),
            "{}",
            refusal_because(system, &refusal, units)
        );
        let hint = refusal_hint(system, &refusal, units).to_string();
        assert!(hint.is_empty() || hint.ends_with('.'), "{hint}");
    }
    refusal
}

fn has_answer(system: &System) -> bool {
    ask(system, WANTED).beds[0].answer.is_ok()
}

/// A refusal for what the bed does instead of cycling, with a run that says so.
fn not_cycling(system: &System, expected: Regime) -> (f64, String, Option<f64>) {
    let found = refusal(system);
    let because = refusal_because(system, &found, UnitSystem::Metric);
    let Refusal::NotCycling {
        regime,
        length,
        shorter,
        ..
    } = found
    else {
        panic!("{:?}", refusal(system));
    };
    assert_eq!(regime, expected);
    let mut at = system.clone();
    cut_to(&mut at.beds[0], length);
    assert_eq!(run(&at).beds[0].regime, expected);
    (length, because.to_string(), shorter)
}

#[test]
fn too_little_inflow_dribbles_at_any_length() {
    let system = one_bed(5.0, 0.5);
    let (length, because, shorter) = not_cycling(&system, Regime::Dribbles);
    assert!(because.contains("5.0 L/min"), "{because}");
    assert_eq!(shorter, None);
    assert_eq!(refusal(&system).key(), "dribbles");
    for share in [0.3, 0.6, 0.9] {
        let mut at = system.clone();
        cut_to(&mut at.beds[0], share * length);
        assert_eq!(run(&at).beds[0].regime, Regime::Dribbles);
    }
}

#[test]
fn more_than_the_pipe_takes_stalls_or_overflows() {
    let system = one_bed(60.0, 0.5);
    let (_, because, _) = not_cycling(&system, Regime::Stalls);
    assert!(!because.is_empty());
    let (_, _, shorter) = not_cycling(&one_bed(90.0, 0.5), Regime::Overflows);
    assert_eq!(shorter, None);
}

/// A longer standpipe makes a longer leg to keep sealed: somewhere below it breaks.
#[test]
fn a_bed_that_runs_on_is_told_where_it_would_break() {
    let system = narrow(11.0);
    let (length, because, shorter) = not_cycling(&system, Regime::RunsOn);
    assert!(because.contains("runs on"), "{because}");
    let shorter = shorter.unwrap();
    assert!(shorter < length);
    for (length, regime) in [(shorter, Regime::Cycles), (shorter + 0.002, Regime::RunsOn)] {
        let mut at = system.clone();
        cut_to(&mut at.beds[0], length);
        assert_eq!(run(&at).beds[0].regime, regime, "{length}");
    }
}

/// A small, long pipe and gravel to the top of the wall.
fn narrow(litres: f64) -> System {
    let mut system = one_bed(litres, 1.5);
    let bed = &mut system.beds[0];
    // Long, though it falls little.
    bed.siphon.drain.outlet = bed.floor - 0.4;
    bed.siphon.standpipe.bore = 0.018;
    bed.siphon.standpipe.lip_diameter = 0.018;
    bed.siphon.standpipe.outside = 0.024;
    bed.media.depth = 0.35;
    system
}

#[test]
fn too_little_water_never_fills() {
    let mut system = one_bed(10.0, 0.6);
    system.sump.shape = VesselShape::Box {
        length: 0.35,
        width: 0.4,
        depth: 0.6,
    };
    let (_, because, _) = not_cycling(&system, Regime::NeverFills);
    assert!(because.contains("drew air"), "{because}");
}

#[test]
fn the_gravel_it_needs_is_what_does() {
    let mut system = one_bed(10.0, 0.6);
    system.beds[0].media.depth = 0.055;
    cut_to(&mut system.beds[0], 0.04);
    let Refusal::MediaTooShallow {
        depth,
        needed,
        wall,
    } = refusal(&system)
    else {
        panic!("{:?}", refusal(&system));
    };
    assert_eq!((depth, wall), (0.055, 0.0));
    for (change, does) in [(0.001, true), (-0.001, false)] {
        let mut deeper = system.clone();
        deeper.beds[0].media.depth = needed + change;
        assert_eq!(has_answer(&deeper), does, "{needed} and {change}");
    }
    // A wall too low for that gravel has to grow with it.
    system.beds[0].rim_height = 0.060;
    let Refusal::MediaTooShallow { needed, wall, .. } = refusal(&system) else {
        panic!("{:?}", refusal(&system));
    };
    assert!((wall - (needed - 0.060)).abs() < 1e-9, "{wall}");
}

#[test]
fn an_opening_above_the_lip_is_named_with_where_it_may_be() {
    let mut slots = one_bed(10.0, 0.6);
    slots.beds[0].media.depth = 0.12;
    slots.beds[0].siphon.bell.slots.height = 0.060;
    let mut tube = one_bed(10.0, 0.6);
    tube.beds[0].media.depth = 0.12;
    tube.beds[0].siphon.bell.air_tube = Some(AirTube {
        bore: 0.010,
        mouth_height: 0.060,
    });
    for (system, expected) in [(slots, Opening::Slots), (tube, Opening::AirTube)] {
        let Refusal::LipBelowOpening {
            lip,
            opening,
            kind,
            opening_at_most,
            more_media,
            ..
        } = refusal(&system)
        else {
            panic!("{:?}", refusal(&system));
        };
        assert_eq!((kind, opening), (expected, 0.060));
        assert!(lip < opening + 0.005 && opening_at_most < opening);
        for (change, does) in [(-0.001, true), (0.001, false)] {
            let mut lower = system.clone();
            let bed = &mut lower.beds[0];
            let height = opening_at_most + change;
            match expected {
                Opening::Slots => {
                    bed.siphon.bell.slots.height = height;
                }
                Opening::AirTube => {
                    bed.siphon.bell.air_tube.as_mut().unwrap().mouth_height = height;
                }
            }
            assert_eq!(has_answer(&lower), does, "{expected:?}: {height}");
        }
        let mut deeper = system.clone();
        deeper.beds[0].media.depth += more_media + 0.001;
        assert!(has_answer(&deeper), "{expected:?}: {more_media} more");
    }
}

#[test]
fn a_rim_too_low_for_a_dead_siphon_is_told_the_length_it_allows() {
    let system = one_bed(28.0, 0.5);
    let Refusal::RimTooLow {
        length,
        freeboard,
        wanted,
        fits,
    } = refusal(&system)
    else {
        panic!("{:?}", refusal(&system));
    };
    assert!(freeboard < wanted);
    let fits = fits.unwrap();
    assert!(fits < length);
    for (change, status) in [(-1e-4, Status::Pass), (1e-3, Status::Fail)] {
        let mut at = system.clone();
        cut_to(&mut at.beds[0], fits + change);
        let checks = assess(&at, &run(&at)).checks;
        let rim = checks
            .iter()
            .find(|check| check.id == CheckId::Rim)
            .unwrap();
        assert_eq!(rim.status, status, "{fits} and {change}");
    }
}

#[test]
fn water_that_stands_too_high_at_the_start_is_told_where_it_may() {
    let mut system = one_bed(10.0, 0.6);
    system.beds[0].start_depth = Some(0.27);
    let Refusal::StartLevelTooHigh { level, most } = refusal(&system) else {
        panic!("{:?}", refusal(&system));
    };
    assert!(
        (level - 0.27).abs() < 1e-9 && (most - 0.245).abs() < 1e-9,
        "{level} {most}"
    );
}

#[test]
fn a_run_too_short_to_break_says_so() {
    let mut system = one_bed(10.0, 0.6);
    // 0.245 m of a 1.2 m2 bed with a void of 0.40 take 118 L, 706 s at 10 L/min
    // less the 12 L below the break level; it empties long after that.
    system.duration = Duration::Fixed(720.0);
    let found = refusal(&system);
    let short = matches!(found, Refusal::TooShortRun { simulated } if simulated == 720.0);
    assert!(short, "{found:?}");
}

#[test]
fn a_bed_without_an_answer_does_not_keep_others_from_theirs() {
    let share = |litres: f64| ebbwright::model::Inlet::Share(litres / 15.0);
    let beds = vec![
        bed("weak", 1.0, 0.6, share(4.0)),
        bed("strong", 1.0, 0.6, share(11.0)),
    ];
    let system = system(
        beds,
        15.0 * crate::support::LITRE_PER_MINUTE,
        Duration::Fixed(4.0 * 3600.0),
    );
    let cuts = ask(&system, WANTED);
    assert_eq!(cuts.beds[0].answer.as_ref().unwrap_err().key(), "dribbles");
    let cut = cuts.beds[1].answer.as_ref().unwrap();
    // Beside the weak bed as it is, not as it was tried.
    assert_eq!(cuts.system.beds[0].lip_level(), system.beds[0].lip_level());
    let mut changed = system.clone();
    cut_to(&mut changed.beds[1], cut.exact.length);
    let left = crate::dry_layer(&changed, &run(&changed), 1);
    assert!((left - WANTED).abs() < 1e-4, "{left}");
}

// Counted, not timed: as much as the present lengths and two more take.
#[test]
fn a_search_that_would_take_too_long_is_given_up_in_words() {
    let system = pumped_beds(2);
    let (_, once) = effort::of(|| run(&system));
    let cuts = effort::within(3 * once, || ask(&system, WANTED));
    for found in &cuts.beds {
        let refusal = found.answer.as_ref().unwrap_err();
        assert!(
            matches!(refusal, Refusal::TooMuch { simulations } if (2..=4).contains(simulations)),
            "{refusal:?}"
        );
        let because = refusal_because(&system, refusal, UnitSystem::Metric).to_string();
        assert!(because.contains("given up after"), "{because}");
        let hint = refusal_hint(&system, refusal, UnitSystem::Metric).to_string();
        assert!(hint.contains("one bed at a time"), "{hint}");
        // What is told of today still holds.
        let today = run(&system).beds[found.bed].highest_water() - system.beds[found.bed].floor;
        assert_eq!(found.present.peak, today);
    }
    for (bed, now) in system.beds.iter().zip(&cuts.system.beds) {
        let lips = [bed, now].map(|bed| bed.siphon.standpipe.lip_height);
        assert_eq!(lips[0], lips[1], "nothing was cut");
    }
    // What no length can mend is still told as such.
    let mut low = system;
    low.beds[1].rim_height = 0.02;
    low.beds[1].media.depth = 0.02;
    let cuts = effort::within(3 * once, || ask(&low, WANTED));
    assert!(!matches!(cuts.beds[1].answer, Err(Refusal::TooMuch { .. })));
}
