//! `mend` on random gardens broken by wrong sizes. The unbroken garden passes, so that each can
//! be mended. All gardens are invented; what a plan promises is held against a new simulation.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod effort;
mod garden;
mod plans;
mod table;

use ebbwright::model::{BedPart, Change, Quantity, System};
use ebbwright::study::mend::{Plan, Wish, mend};
use ebbwright::units::UnitSystem;
use garden::{Broken, broken, passes};

/// Seeds of the usual run; `plan_table` takes many more.
const SEEDS: std::ops::Range<u64> = 0..16;

fn plan_of(system: &System) -> Plan {
    mend(system, Wish::anything(UnitSystem::Metric), &|_| {}).unwrap()
}

fn changes_of(plan: &Plan, without: Option<usize>) -> Vec<Change> {
    let steps = plan.steps.iter().enumerate();
    let kept = steps.filter(|(n, _)| Some(*n) != without);
    kept.flat_map(|(_, step)| step.changes.clone()).collect()
}

/// The numbers that a change sets, where it sets numbers one by one.
fn sets(change: &Change) -> Option<Quantity> {
    match change {
        Change::Set { what, .. } => Some(*what),
        _ => None,
    }
}

fn hold(seed: u64, broken: &Broken) -> bool {
    let system = broken.garden.system().unwrap();
    let plan = plan_of(&system);
    let about = || format!("seed {seed}, {:?}\n{}", broken.wrong, broken.garden.text());
    if !plan.works() {
        return false;
    }
    let after = Change::apply_all(&changes_of(&plan, None), &system).unwrap();
    assert!(
        passes(&after),
        "the plan does not keep its word: {}",
        about()
    );
    for n in 0..plan.steps.len() {
        let less = Change::apply_all(&changes_of(&plan, Some(n)), &system);
        let enough = less.is_ok_and(|system| passes(&system));
        assert!(!enough, "step {} is not needed: {}", n + 1, about());
    }
    let set: Vec<Quantity> = changes_of(&plan, None).iter().filter_map(sets).collect();
    for (k, one) in set.iter().enumerate() {
        assert!(!set[..k].contains(one), "{one:?} is set twice: {}", about());
    }
    true
}

#[test]
fn plans_keep_their_word_and_have_no_step_too_many() {
    let mended = SEEDS.filter(|&seed| hold(seed, &broken(seed))).count();
    let all = SEEDS.count();
    assert!(10 * mended >= 9 * all, "{mended} of {all} mended");
}

#[test]
fn what_passes_needs_no_plan() {
    let system = garden::working(&mut garden::Draw::new(7)).system().unwrap();
    let plan = plan_of(&system);
    assert!(plan.works() && plan.steps.is_empty());
}

#[test]
fn what_is_kept_stays() {
    // A standpipe that is too long; it is glued in: more gravel then.
    let mut garden = garden::working(&mut garden::Draw::new(3));
    for bed in &mut garden.beds {
        bed.lip += 0.04;
    }
    let system = garden.system().unwrap();
    assert!(!passes(&system));
    let glued = |_: &System, change: &Change| {
        !matches!(
            change,
            Change::Set {
                what: Quantity::Bed(_, BedPart::StandpipeLength),
                ..
            }
        )
    };
    let wish = Wish {
        allowed: &glued,
        ..Wish::anything(UnitSystem::Metric)
    };
    let plan = mend(&system, wish, &|_| {}).unwrap();
    assert!(plan.works(), "{:?}", plan.steps);
    for (before, after) in system.beds.iter().zip(&plan.mended.beds) {
        let lip = |bed: &ebbwright::model::Bed| bed.siphon.standpipe.lip_height;
        assert_eq!(lip(before), lip(after));
    }
}

#[test]
fn the_same_question_gets_the_same_plan() {
    let system = broken(2).garden.system().unwrap();
    let [one, two] = [plan_of(&system), plan_of(&system)];
    assert_eq!(
        format!("{:?}", changes_of(&one, None)),
        format!("{:?}", changes_of(&two, None))
    );
}
