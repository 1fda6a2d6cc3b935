//! From a list that works to the smallest: every step tried without, then the effect of each.

use super::judge::Judged;
use super::moves::Move;
use super::search::Found;
use super::spent::Spent;
use super::trials::Trials;
use super::{Effect, Plan, Step, Wish, effects_of};
use crate::model::{Change, System, Trouble};
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
        spent: found.spent,
    };
    let mut steps = found.moves;
    if !steps.is_empty() {
        // First what is needed at all: every step that is left costs trials of its own below.
        steps = trials.needed_steps(&steps);
        trials.cut_less(&mut steps);
        // After the cuts, which would pull apart again what was made even.
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

fn described(
    before: Judged,
    steps: Vec<Move>,
    surer: Vec<Step>,
    mut trials: Trials,
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
        let after = trials.spent.judged(&then)?;
        let failing = judged.failing();
        let trouble = step.iter().map(|one| one.trouble(&now)).max();
        told.push(Step {
            trouble: trouble.unwrap_or(Trouble::Turn),
            effects: effects_of(&failing, &judged, &after),
            before: failing,
            after: after.failing(),
            changes: std::mem::take(&mut step),
            needed_for: Vec::new(),
            fails_without: Vec::new(),
        });
        (now, judged) = (then, after);
    }
    say_what_each_is_for(&mut told, (system, &before), &judged, &mut trials.spent);
    Ok(Plan {
        steps: told,
        surer,
        before,
        after: judged,
        mended: now,
        tried: trials.spent.tried,
    })
}

/// Of a step that by itself mends nothing which was wrong at first, what would be wrong without it.
fn say_what_each_is_for(
    steps: &mut [Step],
    (system, before): (&System, &Judged),
    with_all: &Judged,
    spent: &mut Spent,
) {
    let at_first = before.failing();
    // What an earlier step has spoilt is no reason of one's own, nor is a figure that reads the same or worse.
    let wrong = |one: &Effect| at_first.iter().any(|it| it.is_of(one.id, one.subject));
    let is_reason = |one: &Effect| one.mended && one.eases() && wrong(one);
    for n in 0..steps.len() {
        if steps
            .get(n)
            .is_none_or(|step| step.effects.iter().any(is_reason))
        {
            continue;
        }
        let others = steps.iter().enumerate().filter(|(i, _)| *i != n);
        let others: Vec<Change> = others.flat_map(|(_, step)| step.changes.clone()).collect();
        let without = Change::apply_all(&others, system).ok();
        let Some(without) = without.and_then(|without| spent.judged(&without).ok()) else {
            continue;
        };
        if let Some(step) = steps.get_mut(n) {
            // What fails with all steps, too, is no reason.
            let still = with_all.failing();
            let mut fails = without.failing();
            fails.retain(|one| !still.iter().any(|it| it.is_of(one.id, one.subject)));
            step.needed_for = effects_of(&fails, &without, with_all);
            step.needed_for.retain(Effect::eases);
            step.fails_without = fails;
        }
    }
}
