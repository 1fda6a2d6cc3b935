//! What to do about an outcome, put through the simulation.

use crate::assessment::{Adviser, Aim, CheckId, Status, Subject, assess};
use crate::model::{Inlet, System};
use crate::simulation::{Regime, Run, Sampling, simulate};
use crate::study::why::question::Outcome;
use crate::study::why::sight::Sight;
use crate::study::widen::{Opening, levers};
use crate::study::window::windows;
use crate::units::UnitSystem;

/// A change and what the system does after it, nominal coefficients.
#[derive(Debug, Clone)]
pub struct Remedy {
    /// What is changed beside removing the cause.
    pub steps: Vec<Step>,
    /// What the system then does.
    pub after: Sight,
}

/// A change of the design.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Set the bed's inflow to this `[m3/s]`.
    SetInflow(f64),
    /// Lower the outlet, and the pipe with it, by this `[m]`.
    LowerOutlet(f64),
}

/// Removes the cause, and where the bed does not cycle even then changes the design: the
/// inflow farthest from trouble, at most `most`, then the drop that opens a certain window.
pub(super) fn remedy(
    system: &System,
    bed: usize,
    outcome: Outcome,
    longest: f64,
    most: Option<f64>,
) -> Option<Remedy> {
    let nominal = system.coefficients.nominal();
    let look = |system: &System| {
        Sight::of(system, &nominal, longest)
            .ok()
            .map(|(sight, _)| sight)
    };
    let repaired = look(system)?;
    if repaired.beds[bed].regime == Regime::Cycles && matches!(outcome, Outcome::Cause(_)) {
        return Some(Remedy {
            steps: Vec::new(),
            after: repaired,
        });
    }
    let run = simulate(system, Sampling::None).ok()?;
    let bounded = |flow: f64| most.map_or(flow, |most| flow.min(most));
    let best = |system: &System| {
        let run = simulate(system, Sampling::None).ok()?;
        let assessment = assess(system, &run);
        let found = windows(system, &run, &assessment);
        Some(bounded(found.beds.get(bed)?.best.flow))
    };
    let set_to = |flow: f64| {
        let mut changed = system.clone();
        changed.beds[bed].inlet = Inlet::Measured(flow);
        Some(Remedy {
            steps: vec![Step::SetInflow(flow)],
            after: look(&changed)?,
        })
    };
    let cycles = |remedy: &Remedy| remedy.after.beds[bed].regime == Regime::Cycles;
    // The flow that a plan sets too, so that there is one flow to set.
    let planned = planned_inflow(system, &run, bed).map(bounded);
    if let Some(remedy) = planned.and_then(set_to).filter(cycles) {
        return Some(remedy);
    }
    let first = set_to(best(system)?)?;
    if cycles(&first) {
        return Some(first);
    }
    let lower = levers(system, &run, bed, UnitSystem::Metric)
        .openings
        .into_iter()
        .find_map(|opening| match opening {
            Opening::LowerOutlet(by) => Some(by),
            _ => None,
        });
    // Less water that does not help either is no advice.
    let helps = |remedy: Remedy| (cycles(&remedy) || most.is_none()).then_some(remedy);
    let Some(by) = lower else { return helps(first) };
    let mut lowered = system.clone();
    lowered.beds[bed].siphon.lower_outlet(by);
    let flow = best(&lowered)?;
    lowered.beds[bed].inlet = Inlet::Measured(flow);
    helps(Remedy {
        steps: vec![Step::LowerOutlet(by), Step::SetInflow(flow)],
        after: look(&lowered)?,
    })
}

/// The inflow at which the check of the bed's start, else that of its break, passes `[m3/s]`.
fn planned_inflow(system: &System, run: &Run, bed: usize) -> Option<f64> {
    let assessment = assess(system, run);
    let adviser = Adviser::new(system, run, UnitSystem::Metric);
    [CheckId::Starts, CheckId::Breaks]
        .into_iter()
        .find_map(|id| {
            let mut checks = assessment.checks.iter();
            let check = checks.find(|one| {
                one.id == id && one.subject == Subject::Bed(bed) && one.status != Status::Pass
            })?;
            adviser.fixes(check).iter().find_map(|fix| match fix.aim {
                Some(Aim::InflowAtLeast { to, .. } | Aim::InflowAtMost { to, .. }) => Some(to),
                _ => None,
            })
        })
}
