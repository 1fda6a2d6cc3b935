//! A list of changes as hands do them: in the order of the work, alike ones together, none for nothing.

use super::moves::Move;
use crate::model::{Change, Pipe, Quantity, System, Trouble};
use crate::numerics::in_order::InOrder;

/// `changes` as hands do them: what is built and bought first, then pipes, then the saw, then
/// gravel, and at last float, water and valves; as they were where that order would give another system.
pub(super) fn in_order_of_work(changes: Vec<Change>, system: &System) -> Vec<Change> {
    let mut sorted = changes.clone();
    sorted.order_by_key(|change| match (change, change.trouble(system)) {
        (_, Trouble::Rebuild) => 0,
        (_, Trouble::Buy) => 1,
        (_, Trouble::Replumb) => 2,
        (_, Trouble::CutOrDrill) => 3,
        (_, Trouble::Shovel) => 4,
        (
            Change::Set {
                what: Quantity::TopOff(_),
                ..
            },
            Trouble::Turn,
        ) => 5,
        (_, Trouble::Refill) => 6,
        (_, Trouble::Turn) => 7,
    });
    let same = match (
        Change::apply_all(&changes, system),
        Change::apply_all(&sorted, system),
    ) {
        (Ok(one), Ok(other)) => format!("{one:?}") == format!("{other:?}"),
        _ => false,
    };
    if same { sorted } else { changes }
}

/// `changes` without those that are not needed: the most troublesome is tried first.
pub(super) fn needed(
    changes: Vec<Change>,
    system: &System,
    mut works: impl FnMut(&[Change]) -> bool,
) -> Vec<Change> {
    let mut order: Vec<usize> = (0..changes.len()).collect();
    order.order_by_key(|&i| std::cmp::Reverse(changes.get(i).map(|one| one.trouble(system))));
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
pub(super) fn grouped(changes: Vec<Change>) -> Vec<Move> {
    let mut steps: Vec<Move> = Vec::new();
    for change in changes {
        match steps.last_mut() {
            Some(step) if step.iter().all(|one| alike(one, &change)) => step.push(change),
            _ => steps.push(vec![change]),
        }
    }
    for step in &mut steps {
        step.order_by_key(of_bed);
    }
    steps
}

/// Which bed a change is about, where it is one.
const fn of_bed(change: &Change) -> Option<usize> {
    match change {
        Change::Set {
            what: Quantity::Bed(i, _),
            ..
        }
        | Change::RaiseBed { bed: i, .. }
        | Change::PipeSize { bed: i, .. }
        | Change::BellSize { bed: i, .. }
        | Change::AirTube { bed: i, .. } => Some(*i),
        _ => None,
    }
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
