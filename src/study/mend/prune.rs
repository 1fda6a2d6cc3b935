//! From a list that works to the smallest: every step tried without, then the effect of each.

use super::judge::{Failing, Judged};
use super::moves::{Ask, Move, fill};
use super::search::{Found, badness};
use super::sizes::{down, grain};
use super::{Effect, Plan, Step, Wish, slim, surer};
use crate::assessment::{CheckId, Subject};
use crate::model::{BedPart, BranchPart, Change, Level, Pipe, Quantity, System, Trouble, Vessel};
use crate::simulation::SimulationError;

/// The plan of what was found.
pub(super) fn plan(
    system: &System,
    before: Judged,
    found: Found,
    wish: Wish,
) -> Result<Plan, SimulationError> {
    let mut trials = Trials {
        system,
        wish,
        tried: found.tried,
    };
    let mut steps = found.moves;
    if !steps.is_empty() {
        steps = trials.needed_steps(&steps);
        trials.cut_less(&mut steps);
        trials.even_out(&mut steps);
        trials.slim(&mut steps);
        // What one step gives away another may no longer have to make up for.
        steps = trials.needed_steps(&steps);
    }
    let surer = if wish.surer {
        trials.surer(&mut steps)
    } else {
        Vec::new()
    };
    described(before, steps, surer, trials)
}

/// What is left to mend with some changes made.
struct Left {
    badness: f64,
    doubts: usize,
}

impl Left {
    fn of(judged: &Judged) -> Self {
        Self {
            badness: badness(&judged.failing()),
            doubts: judged.warnings(),
        }
    }

    fn no_more_than(&self, other: &Self) -> bool {
        self.badness <= other.badness && self.doubts <= other.doubts
    }
}

/// Lists of changes tried on the whole system.
struct Trials<'a> {
    system: &'a System,
    wish: Wish<'a>,
    tried: usize,
}

impl Trials<'_> {
    fn with(&mut self, changes: &[Change]) -> Option<(System, Judged)> {
        self.tried += 1;
        let changed = Change::apply_all(changes, self.system).ok()?;
        let judged = Judged::over_a_day(&changed).ok()?;
        Some((changed, judged))
    }

    fn left(&mut self, changes: &[Change]) -> Left {
        let nothing_known = Left {
            badness: f64::INFINITY,
            doubts: usize::MAX,
        };
        let found = self.with(changes);
        found.map_or(nothing_known, |(_, judged)| Left::of(&judged))
    }

    /// Each step as small as it may be: fewer vessels, less height, narrower pipe.
    fn slim(&mut self, steps: &mut Vec<Move>) {
        let all = self.left(&steps.concat());
        for n in 0..steps.len() {
            let Some(step) = steps.get(n).cloned() else {
                continue;
            };
            for smaller in slim::smaller(&step, self.system, self.wish.sizes) {
                let mut trial = steps.clone();
                if let Some(place) = trial.get_mut(n) {
                    *place = smaller;
                }
                if let Some(enough) = self.enough(trial, &all) {
                    *steps = enough;
                    break;
                }
            }
        }
    }

    /// What is needed of `steps`, in the order of the work.
    fn needed_steps(&mut self, steps: &[Move]) -> Vec<Move> {
        let changes = steps.concat();
        let all = self.left(&changes);
        let system = self.system;
        let changes = needed(changes, system, |some| {
            self.left(some).badness <= all.badness
        });
        grouped(in_order_of_work(changes, system))
    }

    /// Whether something fails without any one of `steps`.
    fn each_is_needed(&mut self, steps: &[Move]) -> bool {
        (0..steps.len()).all(|n| {
            let others = steps.iter().enumerate().filter(|(i, _)| *i != n);
            let others: Vec<Change> = others.flat_map(|(_, step)| step.clone()).collect();
            self.left(&others).badness > 0.0
        })
    }

    /// Standpipes as long as the other steps let them be: what is sawn off is gone, and a cut that
    /// was found before a wider line or less water may be more than is needed.
    fn cut_less(&mut self, steps: &mut Vec<Move>) {
        let Some((_, judged)) = self.with(&steps.concat()) else {
            return;
        };
        let all = Left::of(&judged);
        let margin = |i: usize, id| judged.check(id, Subject::Bed(i)).map(|check| check.margin);
        let spare = |i: usize| {
            let dry = margin(i, CheckId::DryLayer)?;
            Some(dry.min(margin(i, CheckId::Rim).unwrap_or(dry)))
        };
        for share in [1.0, 0.5] {
            let mut trial = steps.clone();
            let mut longer = false;
            for change in trial.iter_mut().flatten() {
                if let Change::Set { what, to } = change
                    && let Quantity::Bed(i, BedPart::StandpipeLength) = *what
                    && let (Some(now), Some(more)) = (what.value(self.system), spare(i))
                    && *to < now
                {
                    let grain = grain(self.wish.sizes);
                    let back = down(share * more.min(now - *to), grain);
                    *to += back.max(0.0);
                    longer |= back > 0.5 * grain;
                }
            }
            if longer && self.left(&trial.concat()).no_more_than(&all) {
                *steps = trial;
                return;
            }
        }
    }

    /// What is done to beds alike is the same for all of them, where that does as well: one
    /// length to cut instead of four that differ by a hair.
    fn even_out(&mut self, steps: &mut Vec<Move>) {
        let all = self.left(&steps.concat());
        for n in 0..steps.len() {
            let Some(ways) = steps.get(n).map(|step| evened(step, self.system)) else {
                continue;
            };
            for alike in ways {
                let mut trial = steps.clone();
                if let Some(place) = trial.get_mut(n) {
                    *place = alike;
                }
                if self.left(&trial.concat()).no_more_than(&all) {
                    *steps = trial;
                    break;
                }
            }
        }
    }

    /// What would settle doubts that are left. Where that only sets anew what `steps` set, they
    /// take its value: nothing is to be done twice.
    fn surer(&mut self, steps: &mut Vec<Move>) -> Vec<Step> {
        // Each costs a search of its own.
        let mut rounds = 0..1;
        loop {
            let Some((system, judged)) = self.with(&steps.concat()) else {
                return Vec::new();
            };
            if !judged.failing().is_empty() {
                return Vec::new();
            }
            let found = surer::surer(&system, &judged, self.wish, &mut self.tried);
            let set_anew = found
                .iter()
                .find_map(|one| set_instead(steps, &one.changes));
            let (Some(trial), Some(_)) = (set_anew, rounds.next()) else {
                return found;
            };
            let as_good = self.left(&trial.concat()).no_more_than(&Left::of(&judged));
            if !as_good || !self.each_is_needed(&trial) {
                return found;
            }
            *steps = trial;
        }
    }

    /// `trial` if it does as well as `all`, where it has to with water for its own sump.
    fn enough(&mut self, trial: Vec<Move>, all: &Left) -> Option<Vec<Move>> {
        let (system, judged) = self.with(&trial.concat())?;
        if Left::of(&judged).no_more_than(all) {
            return Some(trial);
        }
        let other_vessel =
            |one: &Change| matches!(one, Change::Join { .. } | Change::Replace { .. });
        if !trial.iter().flatten().any(other_vessel) {
            return None;
        }
        let failing = judged.failing();
        let ask = Ask {
            system: &system,
            judged: &judged,
            failing: &failing,
            units: self.wish.sizes,
        };
        let allowed = |water: &Move| {
            let mut changes = water.iter();
            changes.all(|change| (self.wish.allowed)(&system, change))
        };
        let waters: Vec<Move> = fill(&ask).into_iter().filter(allowed).collect();
        waters.into_iter().find_map(|water| {
            let mut refilled = trial.clone();
            let is_fill = |step: &&mut Move| step.iter().all(fills);
            match refilled.iter_mut().find(is_fill) {
                Some(step) => *step = water,
                None => refilled.push(water),
            }
            self.left(&refilled.concat())
                .no_more_than(all)
                .then_some(refilled)
        })
    }
}

/// `changes` as hands do them: what is built and bought first, then pipes, then the saw, and at
/// last float, water and valves; as they were where that order would give another system.
fn in_order_of_work(changes: Vec<Change>, system: &System) -> Vec<Change> {
    let mut sorted = changes.clone();
    sorted.sort_by_key(|change| match (change, change.trouble(system)) {
        (_, Trouble::Rebuild) => 0,
        (_, Trouble::Buy) => 1,
        (_, Trouble::Replumb) => 2,
        (_, Trouble::CutOrDrill) => 3,
        (
            Change::Set {
                what: Quantity::TopOff(_),
                ..
            },
            Trouble::Turn,
        ) => 4,
        (_, Trouble::Refill) => 5,
        (_, Trouble::Turn) => 6,
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

/// Of beds that had the same and get nearly the same, the same for all: the least of it, or the
/// most.
fn evened(step: &Move, system: &System) -> Vec<Move> {
    const NEARLY: f64 = 0.1;
    let set = |change: &Change| match change {
        Change::Set {
            what: what @ Quantity::Bed(..),
            to,
        } => Some((*what, what.value(system)?, *to)),
        _ => None,
    };
    let all: Option<Vec<_>> = step.iter().map(set).collect();
    let Some(all) = all else {
        return Vec::new();
    };
    let had_the_same = all
        .windows(2)
        .all(|pair| matches!(pair, [a, b] if (a.1 - b.1).abs() < 1e-9));
    let least = all.iter().map(|one| one.2).fold(f64::INFINITY, f64::min);
    let most = all
        .iter()
        .map(|one| one.2)
        .fold(f64::NEG_INFINITY, f64::max);
    if !had_the_same || most - least < 1e-9 || most - least > NEARLY * most.abs() {
        return Vec::new();
    }
    let to = |value: f64| all.iter().map(|one| Change::set(one.0, value)).collect();
    vec![to(least), to(most)]
}

/// What a change sets, by name.
fn settings(change: &Change) -> Option<Vec<Quantity>> {
    match change {
        Change::Set { what, .. } => Some(vec![*what]),
        Change::Valves(openings) => {
            let turned = openings.iter();
            let opening = |(outlet, _): &(_, f64)| Quantity::Branch(*outlet, BranchPart::Opening);
            Some(turned.map(opening).collect())
        }
        _ => None,
    }
}

/// `steps` with `later` in the place of those that set the same; `None` where `later` sets
/// anything else.
fn set_instead(steps: &[Move], later: &Move) -> Option<Vec<Move>> {
    let of = |changes: &Move| -> Option<Vec<Quantity>> {
        let each: Option<Vec<_>> = changes.iter().map(settings).collect();
        Some(each?.concat())
    };
    let new = of(later)?;
    let replaces =
        |step: &Move| of(step).is_some_and(|old| old.iter().all(|one| new.contains(one)));
    let replaced: Vec<&Move> = steps.iter().filter(|step| replaces(step)).collect();
    let old: Vec<Quantity> = replaced
        .iter()
        .filter_map(|step| of(step))
        .flatten()
        .collect();
    if replaced.is_empty() || !new.iter().all(|one| old.contains(one)) {
        return None;
    }
    let first = steps.iter().position(replaces)?;
    let mut out: Vec<Move> = Vec::new();
    for (n, step) in steps.iter().enumerate() {
        if n == first {
            out.push(later.clone());
        } else if !replaces(step) {
            out.push(step.clone());
        }
    }
    Some(out)
}

/// Whether it sets the water of the sump.
const fn fills(change: &Change) -> bool {
    matches!(
        change,
        Change::Set {
            what: Quantity::Level(Vessel::Sump, Level::Start),
            ..
        }
    )
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
    for step in &mut steps {
        step.sort_by_key(of_bed);
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

pub(super) fn effects_of(failing: &[Failing], before: &Judged, after: &Judged) -> Vec<Effect> {
    let pairs = failing.iter().filter_map(|one| {
        let then = after.check(one.id, one.subject)?;
        Some(Effect::new(before.check(one.id, one.subject)?, then))
    });
    pairs
        .filter(|effect| effect.before != effect.after || effect.limits.0 != effect.limits.1)
        .collect()
}

fn described(
    before: Judged,
    steps: Vec<Move>,
    surer: Vec<Step>,
    trials: Trials,
) -> Result<Plan, SimulationError> {
    let system = trials.system;
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
            needed_for: Vec::new(),
        });
        (now, judged) = (then, after);
    }
    say_what_each_is_for(&mut told, system, &judged);
    Ok(Plan {
        steps: told,
        surer,
        before,
        after: judged,
        mended: now,
        tried: trials.tried,
    })
}

/// Of a step that mends nothing by itself, what would be wrong without it.
fn say_what_each_is_for(steps: &mut [Step], system: &System, with_all: &Judged) {
    for n in 0..steps.len() {
        if steps
            .get(n)
            .is_none_or(|step| step.effects.iter().any(|one| one.mended))
        {
            continue;
        }
        let others = steps.iter().enumerate().filter(|(i, _)| *i != n);
        let others: Vec<Change> = others.flat_map(|(_, step)| step.changes.clone()).collect();
        let without = Change::apply_all(&others, system).ok();
        let Some(without) = without.and_then(|without| Judged::new(&without).ok()) else {
            continue;
        };
        if let Some(step) = steps.get_mut(n) {
            step.needed_for = effects_of(&without.failing(), &without, with_all);
        }
    }
}
