//! The second opinion, on whole systems.

use crate::whole_runs::systems;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::study::second_opinion::{SecondOpinion, second_opinion};

#[test]
fn the_second_integrator_confirms_every_kind_of_system() {
    for (name, system) in systems() {
        let run = simulate(&system, Sampling::None).unwrap();
        let SecondOpinion::Compared(comparison) = second_opinion(&system, &run) else {
            panic!("{name}: refused");
        };
        assert!(comparison.agrees(), "{name}: {comparison:?}");
        assert_eq!(comparison.beds.len(), system.beds.len());
        for (pair, bed) in comparison.beds.iter().zip(&run.beds) {
            assert_eq!(pair.peak.first, bed.peak_level, "{name}");
            assert_eq!(pair.period.is_some(), !bed.cycles.is_empty(), "{name}");
        }
        assert_eq!(comparison.sump_lowest.first, run.sump.level.min);
    }
}

#[test]
fn an_answer_that_is_off_is_not_confirmed() {
    let (_, system) = systems().swap_remove(0);
    let run = simulate(&system, Sampling::None).unwrap();
    let mut off = run.clone();
    off.beds[0].peak_level += 2e-4;
    let SecondOpinion::Compared(comparison) = second_opinion(&system, &off) else {
        panic!("refused");
    };
    assert!(!comparison.agrees());
    assert!((comparison.beds[0].peak.difference() + 2e-4).abs() < 1e-6);
}

#[test]
fn a_second_integrator_that_gives_up_says_so() {
    let (_, mut system) = systems().swap_remove(0);
    let run = simulate(&system, Sampling::None).unwrap();
    system.duration = ebbwright::model::Duration::Fixed(0.0);
    let SecondOpinion::Refused(why) = second_opinion(&system, &run) else {
        panic!("not refused");
    };
    assert!(why.contains("positive number of seconds"), "{why}");
}
