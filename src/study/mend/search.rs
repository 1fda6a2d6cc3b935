//! Best-first over lists of moves; deterministic, children tried on all cores.

use super::Wish;
use super::judge::{Failing, Judged};
use super::moves::{Ask, Move, all, settling};
use super::spent::Spent;
use crate::model::{BedPart, Change, Quantity, System, Trouble};
use crate::numerics::effort;
use crate::numerics::in_order::InOrder;
use crate::numerics::map_all::map_all;
use std::collections::BTreeSet;

/// Moves in one list at most.
const DEEPEST: usize = 7;
/// Systems simulated after a first list that works, to find one with less trouble.
const AFTER_SUCCESS: usize = 60;
/// Joint solvers that follow one move at most.
const FOLLOW_UPS: usize = 3;
/// Moves tried before it is looked at what they cost.
const AT_ONCE: usize = 16;
/// Share of the effort that is left which finding moves may take: one part in so many.
const FOR_MOVES: u64 = 8;

/// What a failing check costs, beside each failing bed and the share of its gap.
/// More than any single step, so that mending goes before sparing trouble; our own judgement.
const A_CHECK: f64 = 24.0;
const A_SUBJECT: f64 = 4.0;
const A_GAP: f64 = 8.0;
/// A start or break in doubt.
const A_DOUBT: f64 = 0.4;

/// All of the flood given up.
const A_FLOOD: f64 = 40.0;
/// Usual height of the peak over the lip `[m]`; only weighs plans against each other.
const PEAK_OVER_LIP: f64 = 0.025;

/// The cost of a trouble: our own judgement, not a source.
pub(super) const fn cost_of(trouble: Trouble) -> f64 {
    match trouble {
        Trouble::Turn => 1.0,
        Trouble::Refill => 1.2,
        Trouble::Shovel => 1.8,
        Trouble::CutOrDrill => 2.0,
        Trouble::Replumb => 4.0,
        Trouble::Buy => 8.0,
        Trouble::Rebuild => 14.0,
    }
}

/// A list of moves and what the system does with them.
#[derive(Clone)]
pub(super) struct State {
    pub(super) moves: Vec<Move>,
    pub(super) system: System,
    pub(super) judged: Judged,
    pub(super) failing: Vec<Failing>,
    trouble: f64,
    score: f64,
}

impl State {
    fn new(moves: Vec<Move>, system: System, judged: Judged, trouble: f64) -> Self {
        let failing = judged.failing();
        let score = badness(&failing) + A_DOUBT * judged.doubts() + trouble;
        Self {
            moves,
            system,
            judged,
            failing,
            trouble,
            score,
        }
    }

    fn works(&self) -> bool {
        self.failing.is_empty()
    }
}

/// How much is wrong: nothing where nothing fails.
pub(super) fn badness(failing: &[Failing]) -> f64 {
    let checks: BTreeSet<_> = failing.iter().map(|one| one.id).collect();
    let subjects: f64 = failing.iter().map(|one| A_SUBJECT + A_GAP * one.gap).sum();
    A_CHECK * checks.len() as f64 + subjects
}

/// Share of the useful flood that is given up, of the bed that gives up most: gravel that stays
/// dry for good is a loss, but for the dry layer that has to be.
fn flood_lost(before: &System, after: &System) -> f64 {
    let height = |system: &System, i: usize| {
        let of = |part| Quantity::Bed(i, part).value(system);
        let useful = of(BedPart::MediaDepth)? - system.thresholds.dry_layer - PEAK_OVER_LIP;
        Some(of(BedPart::StandpipeLength)?.min(useful))
    };
    (0..before.beds.len())
        .filter_map(|i| Some(1.0 - height(after, i)? / height(before, i)?))
        .fold(0.0, f64::max)
}

/// What changes cost together. One step on several like beds is little more than on one.
fn trouble_of(changes: &[Change], system: &System) -> f64 {
    const A_LIKE: f64 = 0.15;
    let mut costs: Vec<f64> = changes
        .iter()
        .map(|change| cost_of(change.trouble(system)))
        .collect();
    costs.order_by(|a, b| b.total_cmp(a));
    costs
        .iter()
        .enumerate()
        .map(|(n, cost)| if n == 0 { *cost } else { A_LIKE * cost })
        .sum()
}

pub(super) struct Search<'a> {
    wish: Wish<'a>,
    tell: &'a (dyn Fn(usize) + Sync),
    open: Vec<State>,
    seen: BTreeSet<String>,
    best: State,
    spent: Spent,
    /// Systems simulated at which it ends.
    last: usize,
}

/// The best list found.
pub(super) struct Found {
    pub(super) moves: Vec<Move>,
    pub(super) spent: Spent,
}

impl<'a> Search<'a> {
    pub(super) fn new(
        system: &System,
        judged: &Judged,
        (wish, spent): (Wish<'a>, Spent),
        tell: &'a (dyn Fn(usize) + Sync),
    ) -> Self {
        let start = State::new(Vec::new(), system.clone(), judged.clone(), 0.0);
        Self {
            last: wish.most_tried,
            wish,
            tell,
            open: vec![start.clone()],
            seen: BTreeSet::new(),
            best: start,
            spent,
        }
    }

    pub(super) fn best(mut self) -> Found {
        while !self.is_over()
            && let Some(state) = self.next()
        {
            self.expand(&state);
        }
        Found {
            moves: self.best.moves,
            spent: self.spent,
        }
    }

    fn is_over(&self) -> bool {
        self.spent.tried >= self.last || self.spent.is_all()
    }

    /// The open state with the best score that may still lead to less trouble.
    fn next(&mut self) -> Option<State> {
        if self.best.works() {
            let most = self.best.trouble;
            // 1: the least that one more step costs.
            self.open.retain(|state| state.trouble + 1.0 < most);
        }
        let scores = self.open.iter().enumerate();
        let (at, _) = scores.min_by(|a, b| a.1.score.total_cmp(&b.1.score))?;
        Some(self.open.remove(at))
    }

    fn expand(&mut self, state: &State) {
        if state.works() || state.moves.len() >= DEEPEST {
            return;
        }
        let ask = Ask {
            system: &state.system,
            judged: &state.judged,
            failing: &state.failing,
            units: self.wish.sizes,
        };
        let mut fresh: Vec<Move> = effort::within(self.spent.left() / FOR_MOVES, || all(&ask))
            .into_iter()
            .filter(|one| self.is_fresh(state, one))
            .collect();
        // What is less trouble first: what works of it spares trying what is more.
        fresh
            .order_by(|a, b| trouble_of(a, &state.system).total_cmp(&trouble_of(b, &state.system)));
        for some in fresh.chunks(AT_ONCE) {
            if self.is_over() {
                break;
            }
            let each = self.spent.left() / AT_ONCE as u64;
            let tries = Tries {
                wish: self.wish,
                worth: self.worth(),
            };
            let chains = map_all(some, |one| {
                effort::within(each, || tries.followed(state, one))
            });
            for chain in chains {
                self.spent.tried += chain.tried;
                for child in chain.states {
                    self.take(child);
                }
            }
        }
        (self.tell)(self.spent.tried);
    }

    /// The trouble from which on no list can be better than the best one.
    fn worth(&self) -> f64 {
        if self.best.works() {
            self.best.score
        } else {
            f64::INFINITY
        }
    }

    /// Whether it is allowed and was not tried on the same list before.
    fn is_fresh(&mut self, state: &State, one: &Move) -> bool {
        if one.is_empty()
            || !one
                .iter()
                .all(|change| (self.wish.allowed)(&state.system, change))
        {
            return false;
        }
        let mut names: Vec<String> = state
            .moves
            .iter()
            .chain([one])
            .map(|m| format!("{m:?}"))
            .collect();
        // The same moves in another order count as the same list.
        names.order_by(Ord::cmp);
        self.seen.insert(names.join(";"))
    }

    fn take(&mut self, mut child: State) {
        // A trial is short: what is to be the answer has to last.
        if child.works() && (!self.best.works() || child.score < self.best.score) {
            let Ok(judged) = self.spent.judged(&child.system) else {
                return;
            };
            child = State::new(child.moves, child.system, judged, child.trouble);
        }
        let better = match (child.works(), self.best.works()) {
            (true, false) => true,
            (false, true) => false,
            (true, true) => child.score < self.best.score,
            (false, false) => badness(&child.failing) < badness(&self.best.failing),
        };
        if better {
            if child.works() && !self.best.works() {
                self.last = self.last.min(self.spent.tried + AFTER_SUCCESS);
            }
            self.best = child.clone();
        }
        if !child.works() {
            self.open.push(child);
        }
    }
}

/// The states after one move and after the joint solvers that follow it.
struct Chain {
    states: Vec<State>,
    /// Systems simulated for it.
    tried: usize,
}

/// What is asked of every list that is tried.
struct Tries<'a> {
    wish: Wish<'a>,
    /// Lists of as much trouble are not simulated.
    worth: f64,
}

impl Tries<'_> {
    /// `state` with `one` more move, and with the joint solvers that follow it.
    fn followed(&self, state: &State, one: &Move) -> Chain {
        let mut chain = Chain {
            states: Vec::new(),
            tried: 0,
        };
        let Some(mut now) = self.after(state, one, &mut chain.tried) else {
            return chain;
        };
        for _ in 0..FOLLOW_UPS {
            if now.works() || now.moves.len() >= DEEPEST || effort::is_over() {
                break;
            }
            let next = self.best_settled(&now, &mut chain.tried);
            let better = |next: &State| badness(&next.failing) < badness(&now.failing);
            match next.filter(better) {
                Some(next) => chain.states.push(std::mem::replace(&mut now, next)),
                None => break,
            }
        }
        chain.states.push(now);
        chain
    }

    /// The best that a joint solver makes of `now`.
    fn best_settled(&self, now: &State, tried: &mut usize) -> Option<State> {
        let ask = Ask {
            system: &now.system,
            judged: &now.judged,
            failing: &now.failing,
            units: self.wish.sizes,
        };
        settling(&ask)
            .into_iter()
            .take_while(|_| !effort::is_over())
            .filter(|one| {
                let mut changes = one.iter();
                changes.all(|change| (self.wish.allowed)(&now.system, change))
            })
            .filter_map(|one| self.after(now, &one, tried))
            .min_by(|a, b| a.score.total_cmp(&b.score))
    }

    /// `state` with one more move, simulated where it may be worth it.
    fn after(&self, state: &State, one: &Move, tried: &mut usize) -> Option<State> {
        let system = Change::apply_all(one, &state.system).ok()?;
        let lost = flood_lost(&state.system, &system);
        let trouble = state.trouble + trouble_of(one, &state.system) + A_FLOOD * lost;
        if trouble >= self.worth {
            return None;
        }
        let judged = state.judged.trial_of(&system).ok()?;
        *tried += 1;
        let moves = state.moves.iter().cloned().chain([one.clone()]).collect();
        Some(State::new(moves, system, judged, trouble))
    }
}
