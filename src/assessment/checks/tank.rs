//! Turnover of the fish's water.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::facts::Facts;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::simulation::{EventKind, Run, TankOutcome};

/// Tank volumes an hour wanted; common practice, no source.
const TURNOVER: f64 = 1.0;
/// Fewer than this fail; half of it, set here.
const TURNOVER_LEAST: f64 = 0.5;
/// Time of a run in which the pump could pump `[s]`.
struct Running {
    /// Without the time that incidents stopped it.
    powered: f64,
    /// And without the timer's rests and the time it drew air.
    pumping: f64,
}

impl Running {
    fn new(run: &Run) -> Self {
        let (mut stopped, mut resting, mut dry) = (false, false, false);
        let (mut powered, mut pumping, mut since) = (0.0, 0.0, 0.0);
        let ends = run
            .events
            .iter()
            .map(|event| (event.time, Some(event.kind)));
        for (time, kind) in ends.chain([(run.duration, None)]) {
            if !stopped {
                powered += time - since;
                if !resting && !dry {
                    pumping += time - since;
                }
            }
            since = time;
            match kind {
                Some(EventKind::PumpStopped) => stopped = true,
                Some(EventKind::PumpStarted) => stopped = false,
                Some(EventKind::PumpSwitchedOff) => resting = true,
                Some(EventKind::PumpSwitchedOn) => resting = false,
                Some(EventKind::PumpRanDry) => dry = true,
                Some(EventKind::PumpRecovered) => dry = false,
                _ => {}
            }
        }
        Self { powered, pumping }
    }
}

/// The tank's mean flow over `part` of the run's time `[m3/s]`; nothing came in the rest.
fn over(tank: &TankOutcome, run: &Run, part: f64) -> f64 {
    if part > 0.0 {
        tank.inflow.max(0.0) * run.duration / part
    } else {
        0.0
    }
}

/// Tank volumes an hour, where there are fish; power cuts left out.
pub(super) fn turnover(facts: &Facts) -> Option<Check> {
    let (parts, run) = (&facts.parts, facts.parts.run);
    let units = parts.units;
    let tank = run.tank.as_ref()?;
    let (subject, water) = match &parts.system.tank {
        Some(vessel) => {
            let depth = vessel.overflow_level - vessel.floor;
            ("fish tank", vessel.shape.volume(depth))
        }
        None => ("sump", parts.sump_volume(tank.level.mean)),
    };
    let inflow = over(tank, run, Running::new(run).powered);
    let value = 3600.0 * inflow / water;
    let status = graded(value, TURNOVER, TURNOVER_LEAST);
    let needed = amounts::flow(units, TURNOVER * water / 3600.0, Side::Up);
    let rests = if parts.system.pump.schedule.is_some() {
        "let the timer rest less, open its valve further or take a larger pump"
    } else {
        "open its valve further or take a larger pump"
    };
    Some(Check {
        id: CheckId::Turnover,
        subject: subject.to_owned(),
        status,
        value,
        limit: TURNOVER,
        margin: value - TURNOVER,
        unit: CheckUnit::PerHour,
        because: format!(
            "On average {} go through {} of water, {}, the timer's rests counted and power cuts \
             not; once an hour is common, and half of that fails here.",
            units.flow(inflow),
            units.volume(water),
            units.per_hour(value)
        ),
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            format!("Bring its mean inflow to {}: {rests}.", units.flow(needed))
        },
        basis: COMMON_PRACTICE,
    })
}

/// Flow through the tank while the pump pumps `[m3/s]`.
pub(super) fn flow_while_pumping(facts: &Facts) -> Option<f64> {
    let run = facts.parts.run;
    Some(over(run.tank.as_ref()?, run, Running::new(run).pumping))
}
