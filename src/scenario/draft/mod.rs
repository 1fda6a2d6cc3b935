//! A scenario from a handful of facts: sized, simulated, changed until nothing fails, and
//! written with the reason for each size.

mod facts;
mod least;
mod reasons;
mod sump;
mod tank;
mod text;

pub use facts::{FactError, Room, bed_fact, pump_fact, room_fact, units_typed};
pub use sump::sump_fact;
pub use tank::tank_fact;

use super::{Keep, Scenario, parse, written};
use crate::model::{Bed, Change, System};
use crate::numerics::in_order::InOrder;
use crate::simulation::SimulationError;
use crate::study::draft::{Facts, Sizes, candidates, tuned};
use crate::study::mend::{Judged, MOST_EFFORT, MOST_TRIED, Plan, Wish, mend};
use thiserror::Error;

/// Name that messages give the text before it is a file.
const NAME: &str = "the new scenario";

/// Narrower siphons clog and do not start alike twice: common practice, no source `[m]`; they
/// are taken where a wider one would fail, or warn so many times.
const NARROW: f64 = 0.019;
const NARROW_IS_BAD: usize = 10;

/// Why there is no draft.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum DraftError {
    /// No set of sizes can be read or simulated.
    #[error("no sizes were found for these facts")]
    Nothing,
    /// The simulation gave up.
    #[error(transparent)]
    Simulation(#[from] SimulationError),
}

/// A new scenario, and what it does.
#[derive(Debug, Clone)]
pub struct Draft {
    /// Its text.
    pub text: String,
    /// Its system.
    pub system: System,
    /// What that does.
    pub judged: Judged,
    /// The flood that there is over the one that the gravel could take, of the bed with least.
    pub flooded: f64,
    /// What of the facts stands in the way, in words; empty where it works.
    pub troubles: Vec<String>,
}

/// Less of the possible flood is no flood that anybody wants: our own judgement, not a source.
const LEAST_FLOODED: f64 = 0.6;

impl Draft {
    /// Whether nothing fails, most of the gravel is flooded, and it is what was asked for.
    pub fn works(&self) -> bool {
        self.judged.failing().is_empty()
            && self.flooded >= LEAST_FLOODED
            && self.troubles.is_empty()
    }
}

/// One set of sizes as a scenario.
struct Try {
    /// Height of the flood that the gravel could take `[m]`.
    wanted: f64,
    sizes: Sizes,
    scenario: Scenario,
    judged: Judged,
}

impl Try {
    /// `None` where these sizes are no scenario.
    fn new(mut sizes: Sizes, title: &str) -> Result<Option<Self>, SimulationError> {
        let wanted = sizes.lip - sizes.slots.2;
        let Ok(read) = parse(&text::text(&sizes, title), NAME) else {
            return Ok(None);
        };
        let set = tuned(&read.system, sizes.units)?;
        sizes.take(&set);
        let Ok(scenario) = parse(&text::text(&sizes, title), NAME) else {
            return Ok(None);
        };
        let judged = Judged::new(&scenario.system)?;
        Ok(Some(Self {
            wanted,
            sizes,
            scenario,
            judged,
        }))
    }

    /// The worse, the higher: failing checks, then warnings.
    fn badness(&self) -> usize {
        let warned = self.judged.judging().1.checks.iter();
        let warned = warned.filter(|check| check.status == crate::assessment::Status::Warn);
        let narrow = usize::from(self.sizes.pipe.bore < NARROW);
        100 * self.judged.failing().len() + warned.count() + NARROW_IS_BAD * narrow
    }
}

/// How much is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Effort {
    /// All there is.
    Full,
    /// Whether some fact works at all: the likeliest sizes as they are.
    Quick,
}

impl Effort {
    /// Sets of sizes that are tried.
    const fn sized(self) -> usize {
        match self {
            Self::Full => usize::MAX,
            Self::Quick => 2,
        }
    }

    /// Of them, how many are changed when none passes as it is.
    const fn mended(self) -> usize {
        match self {
            Self::Full => 3,
            Self::Quick => 0,
        }
    }
}

/// Drafts a scenario; `tell` hears how many systems have been simulated.
///
/// # Errors
/// [`DraftError`] where no set of sizes is a scenario at all.
pub fn draft(
    facts: &Facts,
    title: &str,
    tell: &(dyn Fn(usize) + Sync),
) -> Result<Draft, DraftError> {
    let Some(mut found) = best(facts, title, Effort::Full, tell)? else {
        // Nothing at all can stand under it: what could, under a higher one.
        let higher = least::higher_ceiling(facts).ok_or(DraftError::Nothing)?;
        let mut found = best(&higher, title, Effort::Full, tell)?.ok_or(DraftError::Nothing)?;
        found.troubles = least::told_of_ceiling(facts, &higher);
        return Ok(found);
    };
    if !found.works() {
        found.troubles = least::told(facts, &found);
    }
    Ok(found)
}

/// The best draft found; `None` where no set of sizes is a scenario.
fn best(
    facts: &Facts,
    title: &str,
    effort: Effort,
    tell: &(dyn Fn(usize) + Sync),
) -> Result<Option<Draft>, DraftError> {
    let mut tries = Vec::new();
    let sized = candidates(facts).into_iter().take(effort.sized());
    for (n, sizes) in sized.enumerate() {
        if let Some(one) = Try::new(sizes, title)? {
            let flawless = one.badness() == 0;
            tries.push(one);
            if flawless {
                break;
            }
        }
        tell(n + 1);
    }
    // Stable: of equals the likeliest stays first.
    tries.order_by_key(Try::badness);
    let mut best: Option<(Try, Option<Plan>)> = None;
    if tries
        .first()
        .is_some_and(|one| one.judged.failing().is_empty())
    {
        tries.truncate(1);
        best = tries.pop().map(|one| (one, None));
    }
    for one in tries.into_iter().take(effort.mended()) {
        let plan = mended(&one, tell)?;
        let left = |plan: &Option<Plan>| plan.as_ref().map_or(0, |p| p.after.failing().len());
        let (works, plan) = (plan.works(), Some(plan));
        if best
            .as_ref()
            .is_none_or(|(_, known)| left(&plan) < left(known))
        {
            best = Some((one, plan));
        }
        if works {
            break;
        }
    }
    let found = best.map(|(found, plan)| finished(facts, found, plan));
    found.transpose()
}

/// The plan of what to change in a set of sizes; what is the owner's stays.
fn mended(one: &Try, tell: &(dyn Fn(usize) + Sync)) -> Result<Plan, SimulationError> {
    let keep = Keep::new(&one.scenario.keep, &one.scenario.system);
    let may = |system: &System, change: &Change| {
        let forbidden = keep.forbids(std::slice::from_ref(change), system);
        forbidden.is_ok_and(|path| path.is_none())
    };
    let wish = Wish {
        allowed: &may,
        sizes: one.sizes.units,
        most_tried: MOST_TRIED,
        most_effort: MOST_EFFORT,
        surer: false,
    };
    mend(&one.scenario.system, wish, tell)
}

/// The scenario with its changes and reasons.
fn finished(facts: &Facts, found: Try, plan: Option<Plan>) -> Result<Draft, DraftError> {
    let mut scenario = found.scenario;
    let mut judged = found.judged;
    if let Some(plan) = plan {
        let steps = plan.steps.iter();
        let changes: Vec<Change> = steps.flat_map(|step| step.changes.clone()).collect();
        let after = written(&scenario, &changes, &[]);
        if let Some(after) = after.ok().and_then(|after| parse(&after.text, NAME).ok()) {
            scenario = after;
            judged = Judged::new(&scenario.system)?;
        }
    }
    let lip = |bed: &Bed| bed.siphon.standpipe.lip_height - bed.siphon.bell.opening_height();
    let least = scenario.system.beds.iter().map(lip);
    let flooded = least.fold(f64::INFINITY, f64::min) / found.wanted;
    let text = reasons::told(
        scenario.text(),
        facts,
        &found.sizes,
        &scenario.system,
        &judged,
    );
    Ok(Draft {
        text,
        system: scenario.system,
        judged,
        flooded,
        troubles: Vec::new(),
    })
}
