//! Lowest and highest sump level that volumes allow.
//!
//! Water is conserved, so the sump holds what the beds and pipes do not. The
//! bounds take every bed at the level that is worst for the sump, all at once,
//! whether or not it ever happens: they do not depend on timing, nor on where
//! the soft coefficients lie within their bands. Water in supply pipes, running
//! siphons and the drain line is counted against the sump for the low bound and
//! for it in the high one, although the simulation leaves it out. Incidents of the
//! scenario count as happening at their worst. Only what the air takes and sources bring goes
//! with time: the bounds count the difference for the time of the run.

use crate::assessment::parts::Parts;
use crate::assessment::reach::{
    Highest, dead_level, highest_break, highest_levels, lowest_level, runs_back,
};
use crate::assessment::status::SumpBounds;
use crate::model::{DrainLosses, DrainTarget, FLOAT_TRAVEL, Inlet, Outlet, TankFeed};

/// The water of the whole system at its extremes.
#[derive(Debug, Clone)]
pub(super) struct Balance {
    /// Highest level of each bed.
    pub(super) highest: Vec<Highest>,
    /// Water that the sump holds at the low bound before any is lost over its
    /// overflow, what the air takes in the run's time counted `[m3]`; negative when
    /// there is not enough in the system.
    pub(super) low_volume: f64,
    /// Water that comes to the sump at the high bound, nothing added `[m3]`.
    pub(super) high_volume: f64,
    /// The same after float valve and sources have added all that they ever can `[m3]`.
    pub(super) topped_up_volume: f64,
    /// Water that may have gone over the sump's overflow before the low bound `[m3]`.
    pub(super) lost: f64,
    /// Lowest level while the air takes nothing, no water goes over a wall and the
    /// float valve adds nothing `[m]`.
    pub(super) lowest_normal: f64,
    /// Whether the fish tank may go over its wall.
    pub(super) tank_may_spill: bool,
    /// Water in the supply pipes when full `[m3]`.
    pub(super) supply: f64,
    /// The levels.
    pub(super) bounds: SumpBounds,
}

/// Rounds in which a float valve and the beds that it drowns are brought together.
const TOP_UP_ROUNDS: usize = 8;

impl Balance {
    pub(super) fn new(parts: &Parts) -> Self {
        let n = parts.count();
        let system = parts.system;
        let lowest: Vec<f64> = (0..n).map(|i| lowest_level(parts, i)).collect();
        let starts: Vec<Start> = (0..n).map(|i| Start::new(parts, i, &lowest)).collect();
        let at_start = parts.sump_volume(system.sump.start_level);
        let tank = TankSwing::new(parts);
        let supply = supply_volume(parts);
        let drained_back = if system.pump.check_valve { 0.0 } else { supply };
        let in_siphons: f64 = (0..n).map(|i| siphon_volume(parts, i)).sum();
        let line = system
            .drain_line
            .as_ref()
            .map_or(0.0, |line| line.run.volume());
        let pipes = supply + line + in_siphons;
        let taken = |level: &dyn Fn(usize) -> f64| -> f64 {
            (0..n)
                .map(|i| {
                    let storage = &parts.storages[i];
                    storage.volume(level(i)) - storage.volume(starts[i].low)
                })
                .sum()
        };

        // What a float valve adds stands at the outlets of the beds, which then rise
        // higher and leave it more room: until nothing moves, else up to the overflow.
        // What sources bring beyond the air comes on top of it, for the time of the run.
        let sourced = (-system.net_loss()).max(0.0) * parts.run.duration;
        let mut added = sourced;
        let mut rounds = 0;
        let found = loop {
            let brimful = rounds == TOP_UP_ROUNDS;
            let gains = gains(parts, &starts, &lowest, at_start + tank.gain + added);
            let most_in_sump = at_start + tank.gain + gains.iter().sum::<f64>();
            let sump_cap: Vec<f64> = (0..n)
                .map(|i| {
                    if brimful {
                        return system.sump.overflow_level;
                    }
                    let lip = parts.beds()[i].lip_level();
                    let storage = &parts.storages[i];
                    // While it stands at its lip the sump lacks what it then holds.
                    let held = storage.volume(lip) - storage.volume(starts[i].high);
                    capped(parts, most_in_sump + added - gains[i] - held)
                })
                .collect();
            let start_levels: Vec<f64> = starts.iter().map(|start| start.high).collect();
            let highest = highest_levels(parts, &start_levels, &sump_cap);
            let high_volume = most_in_sump + drained_back;
            let raw = at_start - taken(&|i| highest[i].level) - tank.rise - pipes;
            let more = sourced + top_up(parts, high_volume - raw, high_volume);
            if brimful || more <= added {
                break Extremes {
                    highest,
                    high_volume,
                    raw,
                    added: more.max(added),
                };
            }
            added = more;
            rounds += 1;
        };
        let Extremes {
            highest,
            high_volume,
            raw,
            added,
        } = found;
        let full = parts.sump_volume(system.sump.overflow_level);
        let lost = (high_volume - full).max(0.0);
        let evaporated = system.net_loss().max(0.0) * parts.run.duration;
        let low_volume = kept_up(parts, raw, raw - evaporated, high_volume - raw, lost);
        let dead = dead_levels(parts, at_start);
        let dead_volume = at_start - taken(&|i| dead[i]) - supply - tank.rise - evaporated;

        let mut low = parts.sump_level(low_volume - lost);
        if tank.may_spill || highest.iter().any(|bed| bed.may_spill) {
            // Water over a wall is gone, and the pump goes on until it draws air.
            let level = parts.dry_level().min(system.sump.start_level);
            low = low.min(parts.sump_level(parts.sump_volume(level) - evaporated));
        }
        let topped_up_volume = high_volume + added;
        let bounds = SumpBounds {
            low: low.max(system.sump.floor),
            high: parts.sump_level(topped_up_volume),
            dead_siphons: parts.sump_level(dead_volume - lost),
        };
        Self {
            highest,
            low_volume,
            high_volume,
            topped_up_volume,
            lost,
            lowest_normal: parts.sump_level(raw - lost).max(system.sump.floor),
            tank_may_spill: tank.may_spill,
            supply,
            bounds,
        }
    }

    /// Highest level the sump can really stand at: its overflow lets no more in `[m]`.
    pub(super) fn high_water(&self, parts: &Parts) -> f64 {
        self.bounds.high.min(parts.system.sump.overflow_level)
    }
}

/// What the rounds with the float valve settle.
struct Extremes {
    highest: Vec<Highest>,
    high_volume: f64,
    /// Water in the sump at the low bound while nothing is lost or added `[m3]`.
    raw: f64,
    /// What the float valve adds at most `[m3]`.
    added: f64,
}

/// What a float valve can add at most when the sump takes up `swing` between its
/// bounds `[m3]`: it fills to its level with every bed at its highest.
fn top_up(parts: &Parts, swing: f64, high_volume: f64) -> f64 {
    parts.system.top_off.as_ref().map_or(0.0, |valve| {
        let more = parts.sump_volume(valve.level) + swing - high_volume;
        more.clamp(0.0, valve.reservoir.unwrap_or(f64::INFINITY))
    })
}

/// Water at the low bound with a float valve that makes up for what the air takes `[m3]`.
///
/// A valve stronger than the air lets the water of the system fall only while the
/// sump stands above the level at which it is fully open; so there is never less
/// than that and what every bed keeps at its lowest.
fn kept_up(parts: &Parts, raw: f64, dried: f64, swing: f64, lost: f64) -> f64 {
    match &parts.system.top_off {
        Some(valve) if valve.reservoir.is_none() && valve.flow > parts.system.net_loss() => {
            let open = parts.sump_volume(valve.level - FLOAT_TRAVEL);
            dried.max(raw.min(open - swing + lost))
        }
        _ => dried,
    }
}

/// Water of the fish tank beyond what it held at t = 0 `[m3]`.
struct TankSwing {
    /// More at its highest.
    rise: f64,
    /// Less at its lowest.
    gain: f64,
    /// Whether water may go over its wall.
    may_spill: bool,
}

impl TankSwing {
    fn new(parts: &Parts) -> Self {
        let (Some(tank), Some(top)) = (&parts.system.tank, parts.most_inflow.tank) else {
            return Self {
                rise: 0.0,
                gain: 0.0,
                may_spill: false,
            };
        };
        let volume = |level: f64| tank.volume_at(level);
        let start = volume(tank.start_level);
        // Its own inlet under water lets it run back down to where that ends.
        let lowest = match &tank.fed_by {
            TankFeed::PumpBranch(branch) => branch.level.clamp(tank.floor, tank.overflow_level),
            TankFeed::WholePump => tank.overflow_level,
        };
        Self {
            rise: (volume(top.level) - start).max(0.0),
            gain: (start - volume(lowest)).max(0.0),
            may_spill: top.may_spill,
        }
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
        match parts.beds()[i].start_level() {
            Some(level) => Self {
                low: level,
                high: level,
                at_break: false,
            },
            None => {
                let tail = parts.outlets[i].max(parts.system.sump.start_level);
                let crown = parts.beds()[i].crown_level();
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
    // back to that very level, wherever it is: it gives nothing but what an inlet
    // below that level lets run back.
    let back = |i: usize| match &parts.beds()[i].inlet {
        Inlet::Piped(branch) if branch.level < starts[i].high && runs_back(parts) => {
            let storage = &parts.storages[i];
            storage.volume(starts[i].high) - storage.volume(branch.level.max(lowest[i]))
        }
        _ => 0.0,
    };
    loop {
        let high = capped(parts, at_start + gains.iter().sum::<f64>());
        let idle = (0..parts.count()).find(|&i| {
            gains[i] > back(i)
                && starts[i].at_break
                && matches!(parts.beds()[i].siphon.drain.into, DrainTarget::Sump)
                && parts.outlets[i] >= high
        });
        match idle {
            Some(i) => gains[i] = back(i),
            None => return gains,
        }
    }
}

/// Sump level at `volume`, never above its overflow `[m]`.
fn capped(parts: &Parts, volume: f64) -> f64 {
    parts
        .sump_level(volume)
        .min(parts.system.sump.overflow_level)
}

/// Water in trunk, branches, those to fish tank and settler too, and bypass `[m3]`.
fn supply_volume(parts: &Parts) -> f64 {
    let supply = &parts.system.supply;
    let tank = match parts.system.tank.as_ref().map(|tank| &tank.fed_by) {
        Some(TankFeed::PumpBranch(branch)) => branch.run.volume(),
        _ => 0.0,
    };
    let branches: f64 = parts
        .beds()
        .iter()
        .map(|bed| match &bed.inlet {
            Inlet::Piped(branch) => branch.run.volume(),
            _ => 0.0,
        })
        .sum();
    let returning = [Outlet::Bypass, Outlet::Settler]
        .into_iter()
        .filter_map(|to| Some(parts.system.branch_to(to)?.run.volume()));
    supply.trunk.volume() + branches + tank + returning.sum::<f64>()
}

/// Water in the crown and the pipe of bed `i` while its siphon runs full `[m3]`.
fn siphon_volume(parts: &Parts, i: usize) -> f64 {
    let bed = &parts.beds()[i];
    let siphon = &bed.siphon;
    let (pipe, bell) = (&siphon.standpipe, &siphon.bell);
    let length = match siphon.drain.losses {
        DrainLosses::Computed { length, .. } => length,
        DrainLosses::Total { .. } => bed.lip_level() - siphon.drain.outlet,
    };
    let crown = bell.crown_volume();
    crown + pipe.area() * length.max(0.0)
}

/// Levels of all beds with every siphon dead and every pipe passing all of the
/// bed's greatest inflow over its lip `[m]`.
fn dead_levels(parts: &Parts, at_start: f64) -> Vec<f64> {
    let sump = capped(parts, at_start);
    let n = parts.count();
    let mut grades = vec![f64::NEG_INFINITY; n];
    if let Some(line) = &parts.rough_line {
        line.grades(&parts.most_inflow.beds, sump, &mut grades);
    }
    (0..n)
        .map(|i| {
            let tail = if parts.on_line(i) { grades[i] } else { sump };
            let level = dead_level(parts, i, parts.greatest_inflow(i), tail - parts.outlets[i]);
            level.min(parts.beds()[i].rim_level())
        })
        .collect()
}
