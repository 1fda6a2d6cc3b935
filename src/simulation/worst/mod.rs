//! The moment of the cycle at which an incident does most to the sump.

mod bound;
mod search;

use crate::model::{Disturbance, Duration, Incident, IncidentTime, System};
use crate::simulation::engine::{Stepping, simulate, with_engine};
use crate::simulation::worst::search::{Found, Goal, Search};
use crate::simulation::{Sampling, SimulationError};
use crate::units::HOUR;

/// How long after an incident the sump is watched for its lowest and highest level `[s]`.
///
/// Long enough for a full siphon to empty its bed and for a bed to run down to its
/// lip; a slow loss, such as a vessel that the air dries out, goes on after it.
pub const AFTERMATH: f64 = 4.0 * HOUR;

/// A run from the start meets events this much earlier or later at most `[s]`.
const SIDE: f64 = 0.1;

/// An extreme sump level, and the moment of the incident that leads to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SumpExtreme {
    /// When the incident happens `[s]`.
    pub at: f64,
    /// Sump level that follows within [`AFTERMATH`], elevation `[m]`.
    pub level: f64,
}

/// What an incident can do to the sump, whenever in the cycle it happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstMoments {
    /// Start of the time that was searched `[s]`.
    pub from: f64,
    /// End of the time that was searched `[s]`.
    pub to: f64,
    /// The moment that raises the sump highest.
    pub highest: SumpExtreme,
    /// The moment that leaves it lowest.
    pub lowest: SumpExtreme,
}

/// The moments at which incident `index` of `system` raises the sump highest and
/// leaves it lowest, whatever time the system gives it.
///
/// Searched is the last settled cycle with at least one period of the timer, or,
/// where nothing settles, everything from the first break of the last bed on.
/// Incidents at given times happen as given; others without a time are left out.
/// Tried are moments beside every event and between, then the jumps and peaks
/// among them; what follows each is simulated for [`AFTERMATH`].
///
/// # Errors
/// [`SimulationError::NoIncident`]; else those of a run.
pub fn worst_moments(system: &System, index: usize) -> Result<WorstMoments, SimulationError> {
    let found = search(system, index, &[Goal::Highest, Goal::Lowest])?;
    let extreme = |goal| {
        found
            .extreme(goal)
            .ok_or(SimulationError::NoTime { seconds: 0.0 })
    };
    Ok(WorstMoments {
        from: found.from,
        to: found.to,
        highest: extreme(Goal::Highest)?,
        lowest: extreme(Goal::Lowest)?,
    })
}

/// Looks only for the extremes that `goals` name.
fn search(system: &System, index: usize, goals: &[Goal]) -> Result<Found, SimulationError> {
    let what = system
        .incidents
        .get(index)
        .ok_or(SimulationError::NoIncident { index })?
        .what;
    let base = System {
        incidents: system
            .incidents
            .iter()
            .enumerate()
            .filter(|(i, incident)| *i != index && incident.at != IncidentTime::Worst)
            .map(|(_, incident)| incident.clone())
            .collect(),
        ..system.clone()
    };
    let values = system.coefficients.nominal();
    let task = Search { what, goals };
    with_engine(&base, &values, Stepping::default(), None, task)
}

/// The moment at which incident `index` of `system` does worst `[s]`, and the system
/// with the incident at that moment, to be simulated.
///
/// Worst is the highest sump level when the pump stops and the lowest when it starts
/// again; for other incidents, whichever comes nearer to the sump's overflow or to
/// the level at which the pump draws air. Other incidents that still wait for their
/// worst moment keep waiting. A run of fixed duration is lengthened to show what
/// follows.
///
/// # Errors
/// As [`worst_moments`].
pub fn worst_moment(system: &System, index: usize) -> Result<(f64, System), SimulationError> {
    let what = system.incidents.get(index).map(|incident| incident.what);
    let goals: &[Goal] = match what {
        Some(Disturbance::PumpStops) => &[Goal::Highest],
        Some(Disturbance::PumpStarts) => &[Goal::Lowest],
        _ => &[Goal::Highest, Goal::Lowest],
    };
    let found = search(system, index, goals)?;
    let dry = system.pump.least_level();
    let left = |goal: Goal| {
        let level = found.extreme(goal)?.level;
        Some(match goal {
            Goal::Highest => system.sump.overflow_level - level,
            Goal::Lowest => level - dry,
        })
    };
    let worse = goals.iter().copied().min_by(|&a, &b| {
        let [a, b] = [a, b].map(|goal| left(goal).unwrap_or(f64::INFINITY));
        a.total_cmp(&b)
    });
    let at = worse
        .and_then(|goal| found.extreme(goal))
        .ok_or(SimulationError::NoTime { seconds: 0.0 })?
        .at;
    let mut resolved = system.clone();
    if let Some(incident) = resolved.incidents.get_mut(index) {
        *incident = Incident {
            at: IncidentTime::At(at),
            ..incident.clone()
        };
    }
    if let Duration::Fixed(seconds) = &mut resolved.duration {
        *seconds = seconds.max(at + AFTERMATH);
    }
    Ok((at, resolved))
}

/// `system` with every incident that waits for its worst moment put there, in file
/// order, and the places of those incidents in [`System::incidents`].
///
/// Each is searched with those before it at their moments and those after it left
/// out; see [`worst_moment`].
///
/// # Errors
/// As [`worst_moments`].
pub fn resolve_worst(system: &System) -> Result<(System, Vec<usize>), SimulationError> {
    let mut resolved = system.clone();
    let mut placed = Vec::new();
    for (index, incident) in system.incidents.iter().enumerate() {
        if incident.at == IncidentTime::Worst {
            resolved = beside(worst_moment(&resolved, index)?.1, index)?;
            placed.push(index);
        }
    }
    Ok((resolved, placed))
}

/// `system` with incident `index` moved to the side of its moment that does worse.
///
/// The worst moment often lies at an event. A run from the start meets that event a
/// little earlier or later than the search did, and the incident on its other side.
fn beside(system: System, index: usize) -> Result<System, SimulationError> {
    let Some(&Incident {
        at: IncidentTime::At(at),
        what,
    }) = system.incidents.get(index)
    else {
        return Ok(system);
    };
    let dry = system.pump.least_level();
    let mut worst = (f64::INFINITY, at);
    for moment in [at, at - SIDE, at + SIDE] {
        let mut trial = system.clone();
        trial.incidents[index].at = IncidentTime::At(moment.max(0.0));
        if let Duration::Fixed(seconds) = &mut trial.duration {
            *seconds = seconds.min(moment.max(0.0) + AFTERMATH);
        }
        // Those that still wait come after this one, so its place stays.
        trial
            .incidents
            .retain(|incident| incident.at != IncidentTime::Worst);
        let run = simulate(&trial, Sampling::None)?;
        let Some(after) = run
            .incidents
            .iter()
            .find(|incident| incident.index == index)
        else {
            continue;
        };
        let (over, under) = (
            system.sump.overflow_level - after.highest,
            after.lowest - dry,
        );
        let left = match what {
            Disturbance::PumpStops => over,
            Disturbance::PumpStarts => under,
            _ => over.min(under),
        };
        if left < worst.0 {
            worst = (left, moment.max(0.0));
        }
    }
    let mut moved = system;
    moved.incidents[index].at = IncidentTime::At(worst.1);
    Ok(moved)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::numerics::effort;
    use crate::scenario::{parse, starter};

    fn with(what: Disturbance) -> System {
        let mut system = parse(starter(), "starter.toml").unwrap().system;
        let at = IncidentTime::Worst;
        system.incidents = vec![Incident { at, what }];
        system
    }

    // Effort is counted, not timed: each search begins with the run without its incident, and two
    // for one goal each try all moments twice.
    #[test]
    fn a_moment_is_tried_once_for_both_goals() {
        let system = with(Disturbance::SiphonBlocked(0));
        let cost = |goals: &[Goal]| effort::of(|| search(&system, 0, goals).unwrap()).1;
        let [highest, lowest] = [Goal::Highest, Goal::Lowest].map(|goal| cost(&[goal]));
        let both = cost(&[Goal::Highest, Goal::Lowest]);
        let quiet = System {
            incidents: Vec::new(),
            ..system.clone()
        };
        let once = effort::of(|| simulate(&quiet, Sampling::None).unwrap()).1;
        let apart = highest + lowest - once;
        let moments = (highest - once) / 4;
        assert!(both + moments < apart, "{once} {highest} {lowest} {both}");
    }

    // What volumes rule out for the highest level may well leave the lowest.
    #[test]
    fn the_lowest_level_is_the_same_whatever_was_looked_for_before() {
        let system = with(Disturbance::PumpStops);
        let lowest = |goals: &[Goal]| {
            let found = search(&system, 0, goals).unwrap();
            found.extreme(Goal::Lowest).unwrap().level
        };
        let (alone, after) = (
            lowest(&[Goal::Lowest]),
            lowest(&[Goal::Highest, Goal::Lowest]),
        );
        assert!((alone - after).abs() < 1e-9, "{alone} {after}");
    }
}
