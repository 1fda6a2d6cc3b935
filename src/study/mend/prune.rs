//! From a list that works to the smallest: every step tried without, then the effect of each.

use super::judge::{Failing, Judged};
use super::moves::Move;
use super::search::{Found, badness};
use super::{Effect, Plan, Step};
use crate::model::{Change, Pipe, Quantity, System, Trouble};
use crate::simulation::SimulationError;

/// The plan of what was found.
pub(super) fn plan(system: &System, before: Judged, found: Found) -> Result<Plan, SimulationError> {
    let mut tried = found.tried;
    let mut changes: Vec<Change> = found.moves.concat();
    let mut left = |changes: &[Change]| {
        tried += 1;
        let changed = Change::apply_all(changes, system).ok();
        let judged = changed.and_then(|changed| Judged::new(&changed).ok());
        judged.map_or(f64::INFINITY, |judged| badness(&judged.failing()))
    };
    if !changes.is_empty() {
        let all = left(&changes);
        changes = needed(changes, system, |some| left(some) <= all);
    }
    let steps = grouped(changes);
    described(system, before, steps, tried)
}

/// `changes` without those that are not needed: the most troublesome is tried first.
fn needed(
    changes: Vec<Change>,
    system: &System,
    mut works: impl FnMut(&[Change]) -> bool,
) -> Vec<Change> {
    let mut order: Vec<usize> = (0..changes.len()).collect();
    order.sort_by_key(|&i| std::cmp::Reverse(changes.get(i).map(|one| one.trouble(system))));
    let mut gone = vec![false; changes.len()];
    for i in order {
        if let Some(flag) = gone.get_mut(i) {
            *flag = true;
        }
        let rest: Vec<Change> = left(&changes, &gone);
        if !works(&rest)
            && let Some(flag) = gone.get_mut(i)
        {
            *flag = false;
        }
    }
    left(&changes, &gone)
}

fn left(changes: &[Change], gone: &[bool]) -> Vec<Change> {
    let pairs = changes.iter().zip(gone);
    pairs
        .filter(|(_, gone)| !**gone)
        .map(|(one, _)| one.clone())
        .collect()
}

/// Changes of one kind that follow each other are one step: the same is done to like beds.
fn grouped(changes: Vec<Change>) -> Vec<Move> {
    let mut steps: Vec<Move> = Vec::new();
    for change in changes {
        match steps.last_mut() {
            Some(step) if step.iter().all(|one| alike(one, &change)) => step.push(change),
            _ => steps.push(vec![change]),
        }
    }
    steps
}

/// Whether two changes do the same to two beds or branches.
fn alike(a: &Change, b: &Change) -> bool {
    match (a, b) {
        (Change::Set { what: a, .. }, Change::Set { what: b, .. }) => match (a, b) {
            (Quantity::Bed(_, a), Quantity::Bed(_, b)) => a == b,
            (Quantity::Branch(_, a), Quantity::Branch(_, b)) => a == b,
            (Quantity::Pipe(Pipe::Branch(_), a), Quantity::Pipe(Pipe::Branch(_), b)) => a == b,
            _ => false,
        },
        _ => std::mem::discriminant(a) == std::mem::discriminant(b),
    }
}

fn effects_of(failing: &[Failing], before: &Judged, after: &Judged) -> Vec<Effect> {
    let pairs = failing.iter().filter_map(|one| {
        let then = after.check(one.id, one.subject)?;
        Some(Effect::new(before.check(one.id, one.subject)?, then))
    });
    pairs
        .filter(|effect| effect.before != effect.after || effect.limits.0 != effect.limits.1)
        .collect()
}

fn described(
    system: &System,
    before: Judged,
    steps: Vec<Move>,
    tried: usize,
) -> Result<Plan, SimulationError> {
    let mut now = system.clone();
    let mut judged = before.clone();
    let mut told = Vec::new();
    let mut step = Move::new();
    for changes in steps {
        let mut then = now.clone();
        step.extend(changes);
        for change in &step {
            // What cannot be built yet is one step with the one after it.
            let _ = change.apply_to(&mut then);
        }
        if !then.misfits().is_empty() {
            continue;
        }
        let after = Judged::new(&then)?;
        let failing = judged.failing();
        let trouble = step.iter().map(|one| one.trouble(&now)).max();
        told.push(Step {
            trouble: trouble.unwrap_or(Trouble::Turn),
            effects: effects_of(&failing, &judged, &after),
            before: failing,
            after: after.failing(),
            changes: std::mem::take(&mut step),
        });
        (now, judged) = (then, after);
    }
    Ok(Plan {
        steps: told,
        before,
        after: judged,
        mended: now,
        tried,
    })
}
