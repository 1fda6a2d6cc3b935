//! The smallest list of changes with which the whole system was simulated and passes.
//!
//! A bounded best-first search. A state is the system after some changes; it is simulated and
//! judged whole. Its moves come from what fails in it: amounts from the closures, and joint
//! solvers for what the beds share (valves, water, pump, sump). At the end every step is tried
//! without, and goes if it was not needed.

mod judge;
mod moves;
mod order;
mod prune;
mod search;
mod sizes;
mod slim;
mod spent;
mod surer;
mod trials;

pub use judge::{Disturbed, Failing, Judged};

use crate::assessment::{Check, CheckId, CheckUnit, Status, Subject};
use crate::model::{Change, System, Trouble};
use crate::simulation::SimulationError;
use crate::units::UnitSystem;
use spent::Spent;

/// What is asked of [`mend`].
#[derive(Clone, Copy)]
pub struct Wish<'a> {
    /// Whether a change of this system may be made: what is glued, buried or bought stays.
    pub allowed: &'a (dyn Fn(&System, &Change) -> bool + Sync),
    /// Whose shops and rulers: sizes sold and steps of a length.
    pub sizes: UnitSystem,
    /// Systems to simulate at most.
    pub most_tried: usize,
    /// What the search may cost, counted by [`effort`](crate::numerics::effort).
    pub most_effort: u64,
    /// Whether steps are sought that only settle doubts.
    pub surer: bool,
}

impl Wish<'_> {
    /// Everything may be changed.
    pub const fn anything(sizes: UnitSystem) -> Wish<'static> {
        Wish {
            allowed: &|_, _| true,
            sizes,
            most_tried: MOST_TRIED,
            most_effort: MOST_EFFORT,
            surer: true,
        }
    }
}

/// Systems that a plan may cost: a few seconds.
pub const MOST_TRIED: usize = 480;

/// Effort after which nothing more is tried: four beds on one line cost a tenth of it, and
/// systems that cost so much, of many beds or of parts that pulse, make an owner wait for minutes.
pub const MOST_EFFORT: u64 = 250_000_000;

/// A list of changes, simulated with all of them.
#[derive(Debug, Clone)]
pub struct Plan {
    /// What was done, in the order in which it is to be done.
    pub steps: Vec<Step>,
    /// What would settle doubts that are left with all steps, each with those before it: not
    /// needed for anything to pass.
    pub surer: Vec<Step>,
    /// The system as it was.
    pub before: Judged,
    /// The system with all steps.
    pub after: Judged,
    /// The system with all steps.
    pub mended: System,
    /// Systems simulated in the search.
    pub tried: usize,
}

impl Plan {
    /// Whether nothing fails with it.
    pub fn works(&self) -> bool {
        self.after.failing().is_empty()
    }
}

/// Whether a check asks for at least its limit.
fn wants_more(check: &Check) -> bool {
    (check.value > check.limit) == (check.margin > 0.0)
}

/// One step of a plan: what is done at once, and what that does.
#[derive(Debug, Clone)]
pub struct Step {
    /// The changes, in their order.
    pub changes: Vec<Change>,
    /// The greatest trouble among them.
    pub trouble: Trouble,
    /// What failed before this step.
    pub before: Vec<Failing>,
    /// What still fails, or begins to, after it.
    pub after: Vec<Failing>,
    /// What it does to the figures of what failed before it.
    pub effects: Vec<Effect>,
    /// Where it by itself mends nothing that was wrong at first: figures with all other steps, and
    /// with it too.
    pub needed_for: Vec<Effect>,
    /// Of such a step what fails with all others and without it, also where no figure says it.
    pub fails_without: Vec<Failing>,
}

/// A figure before and after a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// The check that holds it.
    pub id: CheckId,
    /// Of what.
    pub subject: Subject,
    /// What was found before `[SI]`.
    pub before: f64,
    /// What is found after `[SI]`.
    pub after: f64,
    /// The limit before and after: a change of the siphon moves that `[SI]`.
    pub limits: (f64, f64),
    /// Whether each limit is the least that is wanted, not the most.
    pub at_least: (bool, bool),
    /// Unit of all.
    pub unit: CheckUnit,
    /// Whether it passes or only warns after the step.
    pub mended: bool,
}

impl Effect {
    fn new(before: &Check, after: &Check) -> Self {
        Self {
            id: before.id,
            subject: before.subject,
            before: before.value,
            after: after.value,
            limits: (before.limit, after.limit),
            at_least: (wants_more(before), wants_more(after)),
            unit: before.unit,
            mended: after.status != Status::Fail,
        }
    }

    /// Whether the value comes nearer to its limit, or the limit to it, by more than a reader sees.
    fn eases(&self) -> bool {
        let nearer = |from: f64, to: f64| to - from > READS_ALIKE * from.abs().max(to.abs());
        let (was, is) = (self.before, self.after);
        let (old, new) = self.limits;
        match self.at_least.1 {
            true => nearer(was, is) || nearer(new, old),
            false => nearer(is, was) || nearer(old, new),
        }
    }
}

/// Share by which figures of three digits may differ that read alike `[-]`.
const READS_ALIKE: f64 = 0.005;

/// What becomes of the figures of everything in `failing`, where it moves.
fn effects_of(failing: &[Failing], before: &Judged, after: &Judged) -> Vec<Effect> {
    let pairs = failing.iter().filter_map(|one| {
        let then = after.check(one.id, one.subject)?;
        Some(Effect::new(before.check(one.id, one.subject)?, then))
    });
    pairs
        .filter(|effect| effect.before != effect.after || effect.limits.0 != effect.limits.1)
        .collect()
}

/// Looks for the plan; `tell` hears how many systems have been simulated.
///
/// # Errors
/// [`SimulationError`] where the system as it is cannot be simulated.
pub fn mend(
    system: &System,
    wish: Wish,
    tell: &(dyn Fn(usize) + Sync),
) -> Result<Plan, SimulationError> {
    let mut spent = Spent::nothing(wish.most_effort);
    let before = spent.judged(system)?;
    let found = search::Search::new(system, &before, (wish, spent), tell).best();
    prune::plan(system, before, found, wish)
}
