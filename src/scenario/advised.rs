//! The plan for a scenario, as its file says it.

use thiserror::Error;

use super::typed::{InTurn, Keep, WriteError, allows, written, written_in_turn};
use super::typed_edit::EditPath;
use super::{Scenario, parse};
use crate::model::{Change, System};
use crate::simulation::SimulationError;
use crate::study::mend::{MOST_EFFORT, Plan, Wish, mend};
use crate::study::valves::as_read;
use crate::units::UnitSystem;

/// A plan for a scenario, and how its file says it.
#[derive(Debug, Clone)]
pub struct Advised {
    /// The plan.
    pub plan: Plan,
    /// For each step, its changes as `--with` takes them.
    pub edits: Vec<Vec<String>>,
    /// The same for each step that only settles a doubt.
    pub surer: Vec<Vec<String>>,
    /// What was to stay.
    pub kept: Vec<String>,
    /// The scenario with all steps.
    pub text: String,
}

impl Advised {
    /// `written`: each step of the plan, those that only settle a doubt last.
    fn new(scenario: &Scenario, plan: Plan, written: Vec<InTurn>, kept: &[EditPath]) -> Self {
        let last = plan.steps.len().checked_sub(1);
        let text = last.and_then(|last| written.get(last));
        let text = text.map_or(scenario.text(), |step| &step.text).to_owned();
        let mut edits: Vec<Vec<String>> = written.into_iter().map(|step| step.edits).collect();
        Self {
            surer: edits.split_off(plan.steps.len().min(edits.len())),
            edits,
            text,
            kept: kept.iter().map(ToString::to_string).collect(),
            plan,
        }
    }
}

/// Why there is no plan.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum AdviceError {
    /// The system cannot be simulated.
    #[error(transparent)]
    Simulation(#[from] SimulationError),
    /// A step cannot be written into the file.
    #[error(transparent)]
    Written(#[from] WriteError),
}

/// How often a plan is looked for anew without what the file refuses of the one before.
const ROUNDS: usize = 4;

/// How a plan is looked for.
#[derive(Debug, Clone, Copy)]
pub struct Seek<'a> {
    /// What is to stay, what the file keeps among it.
    pub kept: &'a [EditPath],
    /// Whose sizes are on sale.
    pub sizes: UnitSystem,
    /// About how many systems are simulated at most.
    pub most_tried: usize,
}

/// The plan for `system`, which is that of `scenario` or has other limits; `told` hears how many
/// systems have been simulated.
///
/// # Errors
/// [`AdviceError`] where the system cannot be simulated or a step has no place in the file.
pub fn advised(
    scenario: &Scenario,
    system: &System,
    seek: Seek<'_>,
    told: &(dyn Fn(usize) + Sync),
) -> Result<Advised, AdviceError> {
    let keep = Keep::new(seek.kept, system);
    // Parts of steps that the file did not take, for how they would stand to one another.
    let mut refused: Vec<Change> = Vec::new();
    for _ in 0..ROUNDS {
        let may = |system: &System, change: &Change| {
            let forbidden = keep.forbids(std::slice::from_ref(change), system);
            // What the file cannot say is no advice: a bed without inflow, for one.
            allows(change, system)
                && !refused.contains(change)
                && forbidden.is_ok_and(|path| path.is_none())
        };
        let plan = mend(system, wish(seek, &may), told)?;
        match written_in_turn(scenario, all_steps(&plan), seek.kept) {
            Err((n, WriteError::Scenario(_) | WriteError::Misfit(_))) => {
                refused.extend(all_steps(&plan).nth(n).into_iter().flatten().cloned());
            }
            Err((_, error)) => return Err(error.into()),
            Ok(written) => return Ok(Advised::new(scenario, plan, written, seek.kept)),
        }
    }
    // Rather no step than one that the file does not take.
    let plan = mend(system, wish(seek, &|_, _| false), told)?;
    Ok(Advised::new(scenario, plan, Vec::new(), seek.kept))
}

/// The plan for the system of `scenario` with the inflows that were read, bed and flow `[m3/s]`, which
/// the file does not say; `None` where it cannot say them.
///
/// # Errors
/// As [`advised`].
pub fn advised_as_read(
    scenario: &Scenario,
    read: &[(usize, f64)],
    seek: Seek<'_>,
    told: &(dyn Fn(usize) + Sync),
) -> Result<Option<Advised>, AdviceError> {
    // What the file keeps, no plan touches; what was read is so all the same.
    let mut free = scenario.clone();
    free.keep.clear();
    let as_it_stands = as_read(&scenario.system, read)
        .ok()
        .and_then(|found| written(&free, &found.changes, &[]).ok())
        .and_then(|found| parse(&found.text, &scenario.source.name).ok());
    let found = as_it_stands.map(|stands| advised(&stands, &stands.system, seek, told));
    found.transpose()
}

fn wish<'a>(seek: Seek<'_>, allowed: &'a (dyn Fn(&System, &Change) -> bool + Sync)) -> Wish<'a> {
    Wish {
        allowed,
        sizes: seek.sizes,
        most_tried: seek.most_tried,
        most_effort: MOST_EFFORT,
        surer: true,
    }
}

fn all_steps(plan: &Plan) -> impl Iterator<Item = &[Change]> {
    let steps = plan.steps.iter().map(|step| &*step.changes);
    steps.chain(plan.surer.iter().map(|step| &*step.changes))
}
