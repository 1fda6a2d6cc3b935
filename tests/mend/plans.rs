//! What a plan says of its steps, and that none is larger than it has to be.

use crate::garden::{Draw, WrongSize, broken, judged, passes, working};
use crate::{SEEDS, changes_of, plan_of};
use ebbwright::assessment::{CheckId, Status, Subject};
use ebbwright::model::{BedPart, Change, Duration, Level, Quantity, System, Vessel};
use ebbwright::study::mend::{Judged, Plan, Step};

/// Plans of broken gardens that work, with the gardens.
fn mended() -> impl Iterator<Item = (System, Plan)> {
    SEEDS.filter_map(|seed| {
        let system = broken(seed).garden.system()?;
        let plan = plan_of(&system);
        plan.works().then_some((system, plan))
    })
}

fn with(system: &System, steps: &[Step]) -> System {
    let changes: Vec<Change> = steps.iter().flat_map(|step| step.changes.clone()).collect();
    Change::apply_all(&changes, system).unwrap()
}

fn doubts(judged: &Judged) -> usize {
    let checks = judged.assessment.checks.iter();
    checks.filter(|check| check.status == Status::Warn).count()
}

#[test]
fn every_step_says_what_it_mends_or_what_fails_without_it() {
    for (_, plan) in mended() {
        for step in &plan.steps {
            let mends = step.effects.iter().any(|effect| effect.mended);
            assert!(mends || !step.needed_for.is_empty(), "{step:#?}");
        }
    }
}

#[test]
fn what_makes_it_surer_keeps_it_passing_with_fewer_doubts_step_by_step() {
    let mut seen = 0;
    for (_, plan) in mended() {
        let mut before = doubts(&plan.after);
        for n in 1..=plan.surer.len() {
            let judged = Judged::new(&with(&plan.mended, &plan.surer[..n])).unwrap();
            assert!(judged.failing().is_empty(), "{:#?}", plan.surer);
            let after = doubts(&judged);
            assert!(
                after < before,
                "{before} doubts, then {after}: {:#?}",
                plan.surer
            );
            before = after;
            seen += 1;
        }
    }
    assert!(seen > 0, "no plan had a doubt that a step settles");
}

#[test]
fn no_standpipe_is_cut_a_centimetre_more_than_it_has_to_be() {
    let mut seen = 0;
    for (system, plan) in mended() {
        let cut = |change: &&Change| match change {
            Change::Set {
                what: what @ Quantity::Bed(_, BedPart::StandpipeLength),
                to,
            } => what.value(&system).is_some_and(|now| now - to > 0.012),
            _ => false,
        };
        let changes = changes_of(&plan, None);
        if !changes.iter().any(|change| cut(&change)) {
            continue;
        }
        let longer: Vec<Change> = changes
            .iter()
            .map(|change| match change {
                Change::Set { what, to } if cut(&change) => Change::set(*what, to + 0.010),
                other => other.clone(),
            })
            .collect();
        let then = Judged::new(&Change::apply_all(&longer, &system).unwrap()).unwrap();
        let worse = !then.failing().is_empty() || doubts(&then) > doubts(&plan.after);
        assert!(worse, "{changes:#?}");
        seen += 1;
    }
    assert!(seen > 0, "no plan cut a standpipe");
}

#[test]
fn no_vessel_is_joined_that_a_smaller_number_would_do_without() {
    let mut draw = Draw::new(5);
    let mut garden = working(&mut draw);
    WrongSize::SmallSump.put_into(&mut garden, &mut draw);
    let system = garden.system().unwrap();
    assert!(!passes(&system));
    let plan = plan_of(&system);
    assert!(plan.works());
    let count = plan
        .steps
        .iter()
        .flat_map(|step| &step.changes)
        .find_map(|one| match one {
            Change::Join { count } => Some(*count),
            _ => None,
        });
    let Some(count) = count.filter(|count| *count > 2) else {
        return;
    };
    let fewer: Vec<Change> = changes_of(&plan, None)
        .into_iter()
        .map(|one| match one {
            Change::Join { .. } => Change::Join { count: count - 1 },
            other => other,
        })
        .collect();
    let fewer = Change::apply_all(&fewer, &system).unwrap();
    let top = fewer.sump.overflow_level - fewer.sump.floor;
    for n in 1..20 {
        let level = fewer.sump.floor + top * f64::from(n) / 20.0;
        let fill = Change::set(Quantity::Level(Vessel::Sump, Level::Start), level);
        let filled = Change::apply_all(&[fill], &fewer);
        assert!(
            !filled.is_ok_and(|system| passes(&system)),
            "{} vessels do, filled to {level} m",
            count - 1
        );
    }
}

// A run of six minutes tells nothing of beds that fill in thirteen: to turn their valves then
// was advice that nothing had shown to be needed.
#[test]
fn a_run_too_short_to_tell_is_made_longer_and_nothing_else_is_touched() {
    let mut system = working(&mut Draw::new(7)).system().unwrap();
    system.duration = Duration::Fixed(240.0);
    let plan = plan_of(&system);
    assert!(plan.works(), "{:#?}", plan.steps);
    let changes = changes_of(&plan, None);
    let longer = |one: &Change| {
        matches!(
            one,
            Change::Set {
                what: Quantity::Hours,
                ..
            }
        )
    };
    assert!(
        changes.len() == 1 && changes.iter().all(longer),
        "{changes:#?}"
    );
}

// Gravel that nothing has reached yet stays dry by no merit of its standpipe.
#[test]
fn a_bed_that_never_fills_is_judged_by_where_its_water_will_stand() {
    let mut garden = working(&mut Draw::new(7));
    for bed in &mut garden.beds {
        bed.lip += 0.04;
    }
    let dry = |system: &System| {
        let (_, found) = judged(system).unwrap();
        let mut checks = found.checks.into_iter();
        checks
            .find(|check| check.id == CheckId::DryLayer && check.subject == Subject::Bed(0))
            .unwrap()
    };
    let fed = garden.system().unwrap();
    assert_ne!(dry(&fed).status, Status::Pass);
    let mut starved = fed.clone();
    starved.sump.start_level = starved.pump.least_level() + 0.005;
    let check = dry(&starved);
    assert_ne!(check.status, Status::Pass, "{check:#?}");
    assert!((check.value - dry(&fed).value).abs() < 0.02, "{check:#?}");
}
