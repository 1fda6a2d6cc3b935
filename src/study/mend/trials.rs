//! Lists of steps tried on the whole system: which are needed, and what would be less of the same.

use super::judge::{Judged, lasting};
use super::moves::Move;
use super::order::{grouped, in_order_of_work, needed};
use super::search::badness;
use super::sizes::{down, grain, level_grain};
use super::spent::Spent;
use super::{Step, Wish, slim, surer};
use crate::assessment::{CheckId, Status, Subject};
use crate::model::{BedPart, BranchPart, Change, Level, Quantity, System, Vessel};
use crate::numerics::effort;
use crate::units::DAY;

/// A standpipe this much longer is worth another trial `[m]`: the width of a careful cut.
const WORTH_A_CUT: f64 = 5e-3;

/// What is left to mend with some changes made.
struct Left {
    badness: f64,
    doubts: usize,
    /// Of the pump's cover.
    cover: Status,
    /// Of the sump's highest water.
    high: Status,
}

impl Left {
    fn of(judged: &Judged) -> Self {
        Self {
            badness: badness(&judged.failing()),
            doubts: judged.warnings(),
            cover: judged.worst(CheckId::PumpCover),
            high: judged.worst(CheckId::SumpHigh),
        }
    }

    fn no_more_than(&self, other: &Self) -> bool {
        self.badness <= other.badness && self.doubts <= other.doubts
    }
}

/// Lists of changes tried on the whole system.
pub(super) struct Trials<'a> {
    pub(super) system: &'a System,
    pub(super) wish: Wish<'a>,
    pub(super) spent: Spent,
}

impl Trials<'_> {
    fn with(&mut self, changes: &[Change]) -> Option<(System, Judged)> {
        if self.spent.is_all() {
            return None;
        }
        let changed = Change::apply_all(changes, self.system).ok()?;
        let for_a_day = lasting(&changed, DAY);
        let left = self.spent.left();
        let judged = effort::within(left, || self.spent.judged(&for_a_day)).ok()?;
        Some((changed, judged))
    }

    /// What is left to mend with these; `None` where that cannot be told.
    fn left(&mut self, changes: &[Change]) -> Option<Left> {
        let (_, judged) = self.with(changes)?;
        Some(Left::of(&judged))
    }

    /// Whether these leave no more to mend than `all`.
    fn is_as_good(&mut self, steps: &[Move], all: &Left) -> bool {
        let left = self.left(&steps.concat());
        left.is_some_and(|left| left.no_more_than(all))
    }

    /// Each step as small as it may be: fewer vessels, less height, narrower pipe.
    pub(super) fn slim(&mut self, steps: &mut Vec<Move>) {
        let Some(all) = self.left(&steps.concat()) else {
            return;
        };
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
    pub(super) fn needed_steps(&mut self, steps: &[Move]) -> Vec<Move> {
        let changes = steps.concat();
        let Some(all) = self.left(&changes) else {
            return steps.to_vec();
        };
        let system = self.system;
        let changes = needed(changes, system, |some| {
            let left = self.left(some);
            left.is_some_and(|left| left.badness <= all.badness)
        });
        grouped(in_order_of_work(changes, system))
    }

    /// Whether something fails without any one of `steps`.
    fn each_is_needed(&mut self, steps: &[Move]) -> bool {
        (0..steps.len()).all(|n| {
            let others = steps.iter().enumerate().filter(|(i, _)| *i != n);
            let others: Vec<Change> = others.flat_map(|(_, step)| step.clone()).collect();
            self.left(&others).is_none_or(|left| left.badness > 0.0)
        })
    }

    /// Standpipes as long as the other steps let them be: what is sawn off is gone, and a cut that
    /// was found before a wider line or less water may be more than is needed. All together first,
    /// then each for itself: what one bed has to spare another may not.
    pub(super) fn cut_less(&mut self, steps: &mut Vec<Move>) {
        let Some((_, judged)) = self.with(&steps.concat()) else {
            return;
        };
        let all = Left::of(&judged);
        let grain = grain(self.wish.sizes);
        let all_that_is_spare = lengthened(steps, self.system, |i, gone| {
            Some(down(to_spare(&judged, i)?.min(gone), grain))
        });
        if let Some(trial) = all_that_is_spare
            && self.is_as_good(&trial, &all)
        {
            *steps = trial;
            return;
        }
        for bed in 0..self.system.beds.len() {
            self.cut_one_less(bed, steps, &judged, &all);
        }
    }

    /// The standpipe of one bed as long as it may be, to within what a cut is worth.
    fn cut_one_less(&mut self, bed: usize, steps: &mut Vec<Move>, judged: &Judged, all: &Left) {
        let grain = grain(self.wish.sizes);
        let cut = steps.iter().flatten().find_map(|change| match change {
            Change::Set { what, to } if *what == standpipe(bed) => {
                Some(what.value(self.system)? - to)
            }
            _ => None,
        });
        let (Some(gone), Some(spare)) = (cut, to_spare(judged, bed)) else {
            return;
        };
        // One step past what there is: all of it alone has not been tried.
        let (mut enough, mut too_much) = (0.0, down(spare.min(gone), grain) + grain);
        let start = steps.clone();
        while too_much - enough > WORTH_A_CUT {
            let by = down(0.5 * (enough + too_much), grain);
            let trial = lengthened(&start, self.system, |i, _| (i == bed).then_some(by));
            match trial {
                Some(trial) if self.is_as_good(&trial, all) => {
                    enough = by;
                    *steps = trial;
                }
                _ => too_much = by,
            }
        }
    }

    /// What is done to beds alike is the same for all of them, where that does as well: one
    /// length to cut instead of four that differ by a hair.
    pub(super) fn even_out(&mut self, steps: &mut Vec<Move>) {
        let Some(all) = self.left(&steps.concat()) else {
            return;
        };
        for n in 0..steps.len() {
            let Some(ways) = steps.get(n).map(|step| evened(step, self.system)) else {
                continue;
            };
            for alike in ways {
                let mut trial = steps.clone();
                if let Some(place) = trial.get_mut(n) {
                    *place = alike;
                }
                if self.is_as_good(&trial, &all) {
                    *steps = trial;
                    break;
                }
            }
        }
    }

    /// What would settle doubts that are left. Where that only sets anew what `steps` set, they
    /// take its value: nothing is to be done twice.
    pub(super) fn surer(&mut self, steps: &mut Vec<Move>) -> Vec<Step> {
        // Each costs a search of its own.
        let mut rounds = 0..1;
        loop {
            let Some((system, judged)) = self.with(&steps.concat()) else {
                return Vec::new();
            };
            if !judged.failing().is_empty() {
                return Vec::new();
            }
            let found = surer::surer(&system, &judged, self.wish, &mut self.spent);
            let set_anew = found
                .iter()
                .find_map(|one| set_instead(steps, &one.changes));
            let (Some(trial), Some(_)) = (set_anew, rounds.next()) else {
                return found;
            };
            let as_good = self.is_as_good(&trial, &Left::of(&judged));
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
        self.filled(&trial, (&system, judged), all)
    }

    /// `trial` with so much water in its sump that it does as well as `all`: halved between too
    /// little, which bares the pump, and too much, which comes up.
    fn filled(
        &mut self,
        trial: &[Move],
        (system, judged): (&System, Judged),
        all: &Left,
    ) -> Option<Vec<Move>> {
        let grain = level_grain(self.wish.sizes);
        let floor = system.sump.floor;
        let (mut low, mut high) = (system.pump.least_level(), system.sump.overflow_level);
        let (mut level, mut left) = (system.sump.start_level, Left::of(&judged));
        loop {
            match (left.cover > all.cover, left.high > all.high) {
                (true, true) => return None,
                (false, true) => high = level,
                // Also where it is neither: the higher the water stands, the more the pump gives.
                (_, false) => low = level,
            }
            level = floor + down(0.5 * (low + high) - floor, grain);
            if level <= low + 1e-9 || level >= high - 1e-9 {
                return None;
            }
            let water = Change::set(START, level);
            if !(self.wish.allowed)(system, &water) {
                return None;
            }
            let mut refilled = trial.to_vec();
            let is_fill = |step: &&mut Move| step.iter().all(fills);
            match refilled.iter_mut().find(is_fill) {
                Some(step) => *step = vec![water],
                None => refilled.push(vec![water]),
            }
            left = self.left(&refilled.concat())?;
            if left.no_more_than(all) {
                return Some(refilled);
            }
        }
    }
}

/// The length of one bed's standpipe.
const fn standpipe(bed: usize) -> Quantity {
    Quantity::Bed(bed, BedPart::StandpipeLength)
}

/// How much longer the standpipe of bed `i` could be by what is dry above its water `[m]`.
fn to_spare(judged: &Judged, i: usize) -> Option<f64> {
    let margin = |id| judged.check(id, Subject::Bed(i)).map(|check| check.margin);
    let dry = margin(CheckId::DryLayer)?;
    Some(dry.min(margin(CheckId::Rim).unwrap_or(dry)))
}

/// `steps` with less sawn off: `back(bed, what is sawn off)` gives how much longer `[m]`; `None`
/// where that is nothing.
fn lengthened(
    steps: &[Move],
    system: &System,
    back: impl Fn(usize, f64) -> Option<f64>,
) -> Option<Vec<Move>> {
    let mut trial = steps.to_vec();
    let mut longer = false;
    for change in trial.iter_mut().flatten() {
        if let Change::Set { what, to } = change
            && let Quantity::Bed(i, BedPart::StandpipeLength) = *what
            && let Some(now) = what.value(system)
            && let Some(more) = back(i, now - *to).filter(|more| *more > 1e-9 && *to < now)
        {
            *to += more;
            longer = true;
        }
    }
    longer.then_some(trial)
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

/// The water in the sump before the pump starts.
const START: Quantity = Quantity::Level(Vessel::Sump, Level::Start);

/// Whether it sets the water of the sump.
fn fills(change: &Change) -> bool {
    matches!(change, Change::Set { what, .. } if *what == START)
}
