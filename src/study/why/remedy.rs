//! What to do about an outcome, put through the simulation.

use crate::assessment::assess;
use crate::model::{Inlet, System};
use crate::simulation::{Regime, Sampling, simulate};
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
    let best = |system: &System| {
        let run = simulate(system, Sampling::None).ok()?;
        let assessment = assess(system, &run);
        let found = windows(system, &run, &assessment);
        let flow = found.beds.get(bed)?.best.flow;
        Some(most.map_or(flow, |most| flow.min(most)))
    };
    let flow = best(system)?;
    let mut changed = system.clone();
    changed.beds[bed].inlet = Inlet::Measured(flow);
    let after = look(&changed)?;
    let first = Remedy {
        steps: vec![Step::SetInflow(flow)],
        after,
    };
    if first.after.beds[bed].regime == Regime::Cycles {
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
    let helps = |remedy: Remedy| {
        let cycles = remedy.after.beds[bed].regime == Regime::Cycles;
        (cycles || most.is_none()).then_some(remedy)
    };
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
