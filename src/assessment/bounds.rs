//! Lowest and highest sump level that volumes allow.
//!
//! Water is conserved, so the sump holds what the beds and pipes do not. The
//! bounds take every bed at the level that is worst for the sump, all at once,
//! whether or not it ever happens: they do not depend on timing, nor on where
//! the soft coefficients lie within their bands. Water in supply pipes, running
//! siphons and the drain line is counted against the sump for the low bound and
//! for it in the high one, although the simulation leaves it out.

use crate::assessment::SumpBounds;
use crate::assessment::parts::Parts;
use crate::assessment::reach::{Highest, dead_level, highest_break, highest_levels, lowest_level};
use crate::model::{DrainLosses, DrainTarget, Inlet};
use std::f64::consts::FRAC_PI_4;

/// The water of the whole system at its extremes.
#[derive(Debug, Clone)]
pub(super) struct Balance {
    /// Highest level of each bed.
    pub(super) highest: Vec<Highest>,
    /// Water that the sump holds at the low bound before any is lost `[m3]`;
    /// negative when there is not enough in the system.
    pub(super) low_volume: f64,
    /// Water that comes to the sump at the high bound `[m3]`.
    pub(super) high_volume: f64,
    /// Water that may have gone over the sump's overflow before the low bound `[m3]`.
    pub(super) lost: f64,
    /// Water in the supply pipes when full `[m3]`.
    pub(super) supply: f64,
    /// The levels.
    pub(super) bounds: SumpBounds,
}

impl Balance {
    pub(super) fn new(parts: &Parts) -> Self {
        let n = parts.count();
        let lowest: Vec<f64> = (0..n).map(|i| lowest_level(parts, i)).collect();
        let starts: Vec<Start> = (0..n).map(|i| Start::new(parts, i, &lowest)).collect();
        let at_start = parts.sump_volume(parts.system.sump.start_level);
        let gains = gains(parts, &starts, &lowest, at_start);
        let from_beds: f64 = gains.iter().sum();
        let most_in_sump = at_start + from_beds;
        let supply = supply_volume(parts);

        let sump_cap: Vec<f64> = (0..n)
            .map(|i| {
                let lip = parts.beds()[i].siphon.standpipe.lip;
                let storage = &parts.storages[i];
                let held = storage.volume(lip) - storage.volume(starts[i].high);
                capped(parts, most_in_sump - gains[i] - held)
            })
            .collect();
        let start_levels: Vec<f64> = starts.iter().map(|start| start.high).collect();
        let highest = highest_levels(parts, &start_levels, &sump_cap);

        let drained_back = if parts.system.pump.check_valve {
            0.0
        } else {
            supply
        };
        let high_volume = most_in_sump + drained_back;
        let lost = (high_volume - parts.sump_volume(parts.system.sump.overflow_level)).max(0.0);
        let taken = |level: &dyn Fn(usize) -> f64| -> f64 {
            (0..n)
                .map(|i| {
                    let storage = &parts.storages[i];
                    storage.volume(level(i)) - storage.volume(starts[i].low)
                })
                .sum()
        };
        let in_siphons: f64 = (0..n).map(|i| siphon_volume(parts, i)).sum();
        let line = parts
            .system
            .drain_line
            .as_ref()
            .map_or(0.0, |line| line.run.volume());
        let pipes = supply + line + in_siphons;
        let low_volume = at_start - taken(&|i| highest[i].level) - pipes;

        let dead = dead_levels(parts, at_start);
        let dead_volume = at_start - taken(&|i| dead[i]) - supply;
        let mut low = parts.sump_level(low_volume - lost);
        if highest.iter().any(|bed| bed.may_spill) {
            // Water over a bed's wall is gone, and the pump goes on until it draws air.
            low = low
                .min(parts.dry_level())
                .min(parts.system.sump.start_level);
        }
        let bounds = SumpBounds {
            low: low.max(parts.system.sump.floor),
            high: parts.sump_level(high_volume),
            dead_siphons: parts.sump_level(dead_volume - lost),
        };
        Self {
            highest,
            low_volume,
            high_volume,
            lost,
            supply,
            bounds,
        }
    }

    /// Highest level the sump can really stand at: its overflow lets no more in `[m]`.
    pub(super) fn high_water(&self, parts: &Parts) -> f64 {
        self.bounds.high.min(parts.system.sump.overflow_level)
    }
}

/// Range of a bed's level at t = 0 `[m]`.
#[derive(Debug, Clone, Copy)]
struct Start {
    low: f64,
    high: f64,
    /// Not given: its break level, whatever that turns out to be.
    at_break: bool,
}

impl Start {
    fn new(parts: &Parts, i: usize, lowest: &[f64]) -> Self {
        match parts.beds()[i].start_level {
            Some(level) => Self {
                low: level,
                high: level,
                at_break: false,
            },
            None => {
                let tail = parts.outlets[i].max(parts.system.sump.start_level);
                let crown = parts.beds()[i].siphon.bell.slots.crown;
                let low = if lowest[i] > crown { lowest[i] } else { crown };
                Self {
                    low,
                    high: highest_break(parts, i, tail),
                    at_break: true,
                }
            }
        }
    }
}

/// Most water that each bed can give to the sump over what it held at t = 0 `[m3]`.
fn gains(parts: &Parts, starts: &[Start], lowest: &[f64], at_start: f64) -> Vec<f64> {
    let mut gains: Vec<f64> = (0..parts.count())
        .map(|i| {
            let storage = &parts.storages[i];
            (storage.volume(starts[i].high) - storage.volume(lowest[i])).max(0.0)
        })
        .collect();
    // A bed that begins at its break level and whose tail never changes comes
    // back to that very level, wherever it is: it gives nothing.
    loop {
        let high = capped(parts, at_start + gains.iter().sum::<f64>());
        let idle = (0..parts.count()).find(|&i| {
            gains[i] > 0.0
                && starts[i].at_break
                && matches!(parts.beds()[i].siphon.drain.into, DrainTarget::Sump)
                && parts.outlets[i] >= high
                && !inlet_below(parts, i, lowest)
        });
        match idle {
            Some(i) => gains[i] = 0.0,
            None => return gains,
        }
    }
}

/// Whether the inlet of bed `i` sets its lowest level.
fn inlet_below(parts: &Parts, i: usize, lowest: &[f64]) -> bool {
    matches!(&parts.beds()[i].inlet, Inlet::Piped(_))
        && lowest[i] < parts.beds()[i].siphon.bell.slots.crown
}

/// Sump level at `volume`, never above its overflow `[m]`.
fn capped(parts: &Parts, volume: f64) -> f64 {
    parts
        .sump_level(volume)
        .min(parts.system.sump.overflow_level)
}

/// Water in trunk, branches and bypass `[m3]`.
fn supply_volume(parts: &Parts) -> f64 {
    let supply = &parts.system.supply;
    let branches: f64 = parts
        .beds()
        .iter()
        .map(|bed| match &bed.inlet {
            Inlet::Piped(branch) => branch.run.volume(),
            _ => 0.0,
        })
        .sum();
    let bypass = supply
        .bypass
        .as_ref()
        .map_or(0.0, |branch| branch.run.volume());
    supply.trunk.volume() + branches + bypass
}

/// Water in the crown and the pipe of bed `i` while its siphon runs full `[m3]`.
fn siphon_volume(parts: &Parts, i: usize) -> f64 {
    let siphon = &parts.beds()[i].siphon;
    let (pipe, bell) = (&siphon.standpipe, &siphon.bell);
    let length = match siphon.drain.losses {
        DrainLosses::Computed { length, .. } => length,
        DrainLosses::Total { .. } => pipe.lip - siphon.drain.outlet,
    };
    let crown = FRAC_PI_4 * bell.bore * bell.bore * bell.clearance;
    crown + FRAC_PI_4 * pipe.bore * pipe.bore * length.max(0.0)
}

/// Levels of all beds with every siphon dead and every pipe passing all of the
/// bed's greatest inflow over its lip `[m]`.
fn dead_levels(parts: &Parts, at_start: f64) -> Vec<f64> {
    let sump = capped(parts, at_start);
    let n = parts.count();
    let mut grades = vec![f64::NEG_INFINITY; n];
    if let Some(line) = &parts.rough_line {
        line.grades(&parts.greatest_inflow, sump, &mut grades);
    }
    (0..n)
        .map(|i| {
            let tail = if parts.on_line(i) { grades[i] } else { sump };
            let level = dead_level(parts, i, parts.greatest_inflow[i], tail - parts.outlets[i]);
            level.min(parts.beds()[i].rim)
        })
        .collect()
}
