//! What is set on the spot: valves, water, and standpipes cut to the dry layer.

use super::tank::opened;
use crate::assessment::{CheckId, Subject};
use crate::model::{Inlet, System, Valve};
use crate::simulation::SimulationError;
use crate::study::absorb::fill_range;
use crate::study::mend::Judged;
use crate::units::UnitSystem;
use crate::units::amounts::length_step;

/// Rounds of simulating and setting.
/// Valves, water and lips move one another, so once is not enough.
const ROUNDS: usize = 3;
/// Where in its range the sump is filled to: water is lost, so off the low end.
const AIM: f64 = 0.6;
/// Dry gravel kept over what the check wants `[m]`, and the most a standpipe gains in a round.
const DRY_SPARE: f64 = 0.003;
const LONGEST_STEP: f64 = 0.03;
/// Shortest standpipe over the opening that breaks its siphon `[m]`.
const LIP_OVER_OPENING: f64 = 0.02;

/// Sets valves, shares, water and standpipes of `system`, all beds together, by simulation.
///
/// # Errors
/// [`SimulationError`] where it cannot be simulated.
pub fn tuned(system: &System, units: UnitSystem) -> Result<System, SimulationError> {
    let mut now = system.clone();
    let mut judged = Judged::trial(&now)?;
    for _ in 0..ROUNDS {
        let next = set(&now, &judged, units);
        if !next.misfits().is_empty() {
            break;
        }
        now = next;
        judged = Judged::trial(&now)?;
    }
    Ok(now)
}

fn set(system: &System, judged: &Judged, units: UnitSystem) -> System {
    let (run, found) = judged.judging();
    let mut next = opened(system, run, found).system;
    for bed in &mut next.beds {
        match &mut bed.inlet {
            Inlet::Piped(branch) => round(branch.valve.as_mut()),
            // Rounded down: shares must not add up to more than the pump gives.
            Inlet::Share(share) => *share = (1e3 * *share).floor() / 1e3,
            Inlet::Measured(_) => {}
        }
    }
    if let Some(bypass) = &mut next.supply.bypass {
        round(bypass.valve.as_mut());
    }
    if let Some((least, most)) = fill_range(system, run).range() {
        let sump = &mut next.sump;
        // Nobody fills a sump to a single millimetre.
        let step = 5.0 * length_step(units);
        let fill = least + AIM * (most - least) - sump.floor;
        sump.start_level = sump.floor + (fill / step + 1e-9).floor() * step;
    }
    let spare = dry_spare(judged);
    if spare.is_finite() {
        let step = length_step(units);
        for bed in &mut next.beds {
            let siphon = &mut bed.siphon;
            let least = siphon.bell.opening_height() + LIP_OVER_OPENING;
            let lip = siphon.standpipe.lip_height + spare.min(LONGEST_STEP);
            // Rounding must not take it under the least; one that is shorter already stays.
            let lip = ((lip / step + 1e-9).floor() * step).max(least.min(lip));
            siphon.set_standpipe(lip);
        }
    }
    next
}

/// Whole per cent, since that is what a handle can be set to.
fn round(valve: Option<&mut Valve>) {
    if let Some(valve) = valve {
        valve.opening = (1e2 * valve.opening).round().clamp(1.0, 100.0) / 1e2;
    }
}

/// Dry gravel beyond what is wanted, of the bed that has least `[m]`.
fn dry_spare(judged: &Judged) -> f64 {
    let checks = judged.judging().1.checks.iter();
    let dry = checks
        .filter(|check| check.id == CheckId::DryLayer && matches!(check.subject, Subject::Bed(_)));
    dry.map(|check| check.margin - DRY_SPARE)
        .fold(f64::INFINITY, f64::min)
}
