//! No simulated level beats a stated bound.

use crate::properties::{Faults, Property};
use crate::trial::Trial;

/// Levels are located to about this [m].
const ROUNDING: f64 = 1e-6;

pub fn held(trial: &Trial, found: &mut Faults) {
    let Trial {
        system,
        run,
        volumes,
        ..
    } = trial;
    let (level, bounds) = (run.sump.level, trial.assessment.sump);
    let sump = &system.sump;
    if level.min < bounds.low - ROUNDING || level.max > bounds.high + ROUNDING {
        found.push((
            Property::SumpBounds,
            format!(
                "sump {:.6} to {:.6} m, bounds {:.6} to {:.6} m",
                level.min, level.max, bounds.low, bounds.high
            ),
        ));
    }
    if level.min < sump.floor - ROUNDING || level.max > sump.overflow_level + ROUNDING {
        found.push((
            Property::SumpBounds,
            format!(
                "sump {:.6} to {:.6} m, vessel {:.6} to {:.6} m",
                level.min, level.max, sump.floor, sump.overflow_level
            ),
        ));
    }
    for (i, bed) in system.beds.iter().enumerate() {
        let (outcome, reach) = (&run.beds[i], volumes.beds[i]);
        let peak = outcome.peak_level.max(outcome.first_peak_level);
        if peak > reach.highest + ROUNDING || peak > bed.rim_level() + ROUNDING {
            found.push((
                Property::BedBounds,
                format!(
                    "{}: peak {peak:.6} m over its highest {:.6} m (rim {:.6} m, lip {:.6} m)",
                    bed.name,
                    reach.highest,
                    bed.rim_level(),
                    bed.lip_level()
                ),
            ));
        }
        if outcome.overflowed > 1e-9 && !reach.may_spill {
            found.push((
                Property::BedBounds,
                format!(
                    "{}: {:.3e} m3 over a wall that nothing was to pass",
                    bed.name, outcome.overflowed
                ),
            ));
        }
        let lowest = reach.lowest.min(
            trial.run.recording.beds[i]
                .level
                .first()
                .copied()
                .unwrap_or(f64::INFINITY),
        );
        let least = trial.run.recording.beds[i]
            .level
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min);
        if least < lowest - ROUNDING || least < bed.floor - ROUNDING {
            found.push((
                Property::BedBounds,
                format!(
                    "{}: down to {least:.6} m, under its lowest {lowest:.6} m",
                    bed.name
                ),
            ));
        }
    }
    if let (Some(tank), Some(outcome)) = (&system.tank, &run.tank) {
        let rim = tank.floor + tank.shape.depth();
        let level = outcome.level;
        if level.min < outcome.lowest_possible - ROUNDING
            || level.min < tank.floor - ROUNDING
            || level.max > rim + ROUNDING
        {
            found.push((
                Property::TankBounds,
                format!(
                    "tank {:.6} to {:.6} m, lowest possible {:.6} m, vessel {:.6} to {rim:.6} m",
                    level.min, level.max, outcome.lowest_possible, tank.floor
                ),
            ));
        }
    }
}
