//! The power fails: what comes down, and how high the sump then stands.
//!
//! With the pump off water only comes down, so the sump ends at its highest and
//! volumes alone tell where: a running siphon empties its bed to the break level, a
//! spilling bed falls to its lip, a filling one keeps its water, pipes run back unless a
//! check valve holds them, a tank falls to its overflow. A bed that is priming counts as
//! running: whether it would still get there is in doubt, and the other answer leaves
//! more water above. The moment found is then simulated.

use crate::hydraulics::back_siphon::{SupplyPiece, drain_back};
use crate::model::{
    BedStorage, Branch, Disturbance, Duration, Incident, IncidentTime, Inlet, System, TankFeed,
};
use crate::network::supply::SupplyTree;
use crate::numerics::effort;
use crate::simulation::{AFTERMATH, EventKind, Run, Sampling, SiphonMode, simulate};
use crate::study::absorb::MOST_EFFORT;

/// Moments whose outcome differs by less than this are equally bad `[m3]`.
const ALIKE: f64 = 1e-5;
/// Of those, the one with most water still above counts; less more is none `[m3]`.
const NO_MORE: f64 = 1e-6;

/// A power cut at the worst moment of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerCut {
    /// When `[s]`.
    pub time: f64,
    /// Sump level at that moment `[m]`.
    pub sump_before: f64,
    /// Beds whose siphon runs or primes then, in file order.
    pub running: Vec<usize>,
    /// Water that comes down from beds and tank `[m3]`.
    pub from_beds: f64,
    /// Water that drains back from the supply pipes `[m3]`.
    pub from_pipes: f64,
    /// Water in the sump at the end, could it hold all `[m3]`.
    pub volume: f64,
    /// Its level at the end, at most its overflow `[m]`.
    pub level: f64,
    /// Water over the overflow `[m3]`.
    pub spilled: f64,
    /// Highest level of a run with that cut `[m]`; `None` when the simulation gave up.
    pub simulated: Option<f64>,
}

/// Every bed at its highest of the run drains at once with the pump off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Together {
    /// Sump level with all of them full `[m]`.
    pub before: f64,
    /// Water that comes down from the beds `[m3]`.
    pub from_beds: f64,
    /// Water that drains back from the supply pipes `[m3]`.
    pub from_pipes: f64,
    /// Sump level at the end, at most its overflow `[m]`.
    pub level: f64,
    /// Water over the overflow `[m3]`.
    pub spilled: f64,
}

/// What a cut at one sample leads to.
#[derive(Debug, Clone, Copy)]
struct Moment {
    /// Sample of the series.
    k: usize,
    /// Water that comes down from beds and tank, and from the pipes `[m3]`.
    from_beds: f64,
    from_pipes: f64,
    /// Water in the sump at the end, could it hold all `[m3]`.
    volume: f64,
    /// Whether a bed is priming.
    doubtful: bool,
}

/// The moment of `run` at which a power cut leaves the sump highest; of equals one with
/// no bed priming, then that with most water still above, then the earliest. `None`
/// without series.
///
/// Tried is every sample of the series, events included, from the first break of the
/// last bed on: before it the beds are still on their way from the state they were
/// given. Where none breaks, the whole run. Between samples the outcome moves only with
/// what fills in that time. Nominal coefficients; the bounds hold over their bands.
pub fn worst_cut(system: &System, run: &Run) -> Option<PowerCut> {
    let aftermath = Aftermath::new(system, run);
    let from = running_in(run);
    let moments: Vec<Moment> = (0..run.recording.time.len())
        .filter(|&k| run.recording.time[k] >= from)
        .filter_map(|k| aftermath.of(k))
        .collect();
    let worst = worst_of(moments.iter())?;
    let simulated = [
        Some(worst),
        worst_of(moments.iter().filter(|moment| !moment.doubtful)),
    ]
    .into_iter()
    .flatten()
    .filter_map(|moment| simulated_cut(system, run.recording.time[moment.k]))
    .reduce(f64::max);
    let overflow = system.sump.volume_at(system.sump.overflow_level);
    Some(PowerCut {
        time: run.recording.time[worst.k],
        sump_before: run.recording.sump_level[worst.k],
        running: (0..system.beds.len())
            .filter(|&i| {
                matches!(
                    run.recording.beds[i].mode[worst.k],
                    SiphonMode::FullBore | SiphonMode::Priming
                )
            })
            .collect(),
        from_beds: worst.from_beds,
        from_pipes: worst.from_pipes,
        volume: worst.volume,
        level: system
            .sump
            .level_of(worst.volume)
            .min(system.sump.overflow_level),
        spilled: (worst.volume - overflow).max(0.0),
        simulated,
    })
}

fn worst_of<'a>(moments: impl Iterator<Item = &'a Moment> + Clone) -> Option<Moment> {
    let most = moments
        .clone()
        .map(|moment| moment.volume)
        .fold(f64::NEG_INFINITY, f64::max);
    moments
        .filter(|moment| moment.volume >= most - ALIKE)
        .copied()
        .reduce(|worst, moment| {
            let surer = worst.doubtful && !moment.doubtful;
            let alike = worst.doubtful == moment.doubtful;
            let better = surer || alike && moment.from_beds > worst.from_beds + NO_MORE;
            if better { moment } else { worst }
        })
}

/// Highest sump level after a power cut at `time` `[s]` of the run of `system` `[m]`.
fn simulated_cut(system: &System, time: f64) -> Option<f64> {
    let mut cut = system.clone();
    cut.incidents.push(Incident {
        at: IncidentTime::At(time),
        what: Disturbance::PumpStops,
    });
    cut.duration = Duration::Fixed(time + AFTERMATH);
    let index = cut.incidents.len() - 1;
    let run = effort::within(MOST_EFFORT, || simulate(&cut, Sampling::None)).ok()?;
    run.incidents
        .iter()
        .find(|incident| incident.index == index)
        .map(|incident| incident.highest)
}

/// When every bed that ever breaks has broken once `[s]`.
fn running_in(run: &Run) -> f64 {
    let mut seen: Vec<usize> = Vec::new();
    let mut last = 0.0;
    for event in &run.events {
        if let EventKind::Broke(i) = event.kind
            && !seen.contains(&i)
        {
            seen.push(i);
            last = event.time;
        }
    }
    last
}

/// What a cut leads to, worked out from the series of a run.
struct Aftermath<'a> {
    system: &'a System,
    run: &'a Run,
    storages: Vec<BedStorage>,
    drained: Vec<f64>,
    pieces: Vec<SupplyPiece>,
}

impl<'a> Aftermath<'a> {
    fn new(system: &'a System, run: &'a Run) -> Self {
        Self {
            system,
            run,
            storages: system.beds.iter().map(BedStorage::new).collect(),
            drained: drained_levels(run),
            pieces: pieces(system),
        }
    }

    /// A cut at sample `k`; `None` without series.
    fn of(&self, k: usize) -> Option<Moment> {
        let series = &self.run.recording;
        let sump_level = *series.sump_level.get(k)?;
        let (mut from_beds, mut doubtful) = (0.0, false);
        for (i, bed) in self.system.beds.iter().enumerate() {
            let own = series.beds.get(i)?;
            let (level, mode) = (*own.level.get(k)?, *own.mode.get(k)?);
            doubtful |= mode == SiphonMode::Priming;
            let left = match mode {
                SiphonMode::FullBore | SiphonMode::Priming => self.drained[i],
                SiphonMode::Spilling => bed.lip_level(),
                SiphonMode::Filling | SiphonMode::RunningOn => level,
            };
            let left = left.min(runs_back_to(self.system, i)).min(level);
            from_beds += self.storages[i].volume(level) - self.storages[i].volume(left);
        }
        from_beds += self.tank_gives(k);
        // Pipes are full while water moves in them.
        let pumps = *series.pump_flow.get(k)? > 0.0;
        let from_pipes = if pumps {
            pipes_back(self.system, &self.pieces, sump_level)
        } else {
            0.0
        };
        let volume = self.system.sump.volume_at(sump_level) + from_beds + from_pipes;
        Some(Moment {
            k,
            from_beds,
            from_pipes,
            volume,
            doubtful,
        })
    }

    /// Water that a fish tank beside the sump gives until it stands still `[m3]`.
    fn tank_gives(&self, k: usize) -> f64 {
        let (Some(tank), Some(&level)) = (&self.system.tank, self.run.recording.tank_level.get(k))
        else {
            return 0.0;
        };
        let back = match &tank.fed_by {
            TankFeed::PumpBranch(branch) if !self.system.pump.check_valve => air_inlet(branch),
            _ => f64::INFINITY,
        };
        let left = tank.overflow_level.min(back).max(tank.floor).min(level);
        tank.volume_at(level) - tank.volume_at(left)
    }
}

/// Level to which the siphon of each bed empties it `[m]`: its break level, or the lowest
/// of the run where a drowned outlet lets it go lower.
fn drained_levels(run: &Run) -> Vec<f64> {
    let from = running_in(run);
    let first = run.recording.time.partition_point(|&time| time < from);
    let lowest = |i: usize| {
        let levels = run
            .recording
            .beds
            .get(i)
            .and_then(|bed| bed.level.get(first..));
        levels
            .into_iter()
            .flatten()
            .copied()
            .fold(f64::INFINITY, f64::min)
    };
    run.beds
        .iter()
        .enumerate()
        .map(|(i, bed)| bed.break_level.min(lowest(i)))
        .collect()
}

/// Where air enters a branch that runs back `[m]`: its end or its anti-siphon hole.
fn air_inlet(branch: &Branch) -> f64 {
    branch
        .anti_siphon_hole
        .map_or(branch.level, |hole| hole.max(branch.level))
}

/// Level down to which bed `i` runs back through its own inlet `[m]`; infinite where it
/// cannot.
fn runs_back_to(system: &System, i: usize) -> f64 {
    match &system.beds[i].inlet {
        Inlet::Piped(branch) if !system.pump.check_valve => {
            air_inlet(branch).max(system.beds[i].floor)
        }
        _ => f64::INFINITY,
    }
}

/// Water of the beds over the ends of their inlets, all at the levels given `[m3]`.
pub(super) fn back_siphoned(system: &System, level: impl Fn(usize) -> f64) -> f64 {
    let over = |(i, bed): (usize, &crate::model::Bed)| match &bed.inlet {
        Inlet::Piped(branch) => {
            let storage = BedStorage::new(bed);
            (storage.volume(level(i)) - storage.volume(air_inlet(branch).max(bed.floor))).max(0.0)
        }
        _ => 0.0,
    };
    system.beds.iter().enumerate().map(over).sum()
}

/// The supply as the engine takes it.
fn pieces(system: &System) -> Vec<SupplyPiece> {
    SupplyTree::new(system).pieces(system.pump.intake_level, system.lowest_rim())
}

/// Water that the supply pipes give back when the pump stops over a sump at `level` `[m3]`.
fn pipes_back(system: &System, pieces: &[SupplyPiece], level: f64) -> f64 {
    if system.pump.check_valve {
        0.0
    } else {
        drain_back(pieces, level)
    }
}

/// Every bed of `run` at its highest, then all of them drained to their break levels.
pub(super) fn all_together(system: &System, run: &Run) -> Option<Together> {
    let aftermath = Aftermath::new(system, run);
    let storages = &aftermath.storages;
    let held = |k: usize| -> Option<f64> {
        let mut water = system.sump.volume_at(*run.recording.sump_level.get(k)?);
        for (storage, series) in storages.iter().zip(&run.recording.beds) {
            water += storage.volume(*series.level.get(k)?);
        }
        Some(water)
    };
    // While the pump rests, what its pipes held is in the sump: it would count twice.
    let flow = &run.recording.pump_flow;
    let pumped = |k: usize| flow.get(k).is_some_and(|q| *q > 0.0);
    let water = (0..run.recording.time.len())
        .filter(|&k| k == 0 || system.pump.check_valve || (pumped(k - 1) && pumped(k)))
        .filter_map(held)
        .reduce(f64::max)?;
    let (mut full, mut drained) = (0.0, 0.0);
    for (i, outcome) in run.beds.iter().enumerate() {
        let peak = outcome.highest_water();
        let left = aftermath.drained[i].min(runs_back_to(system, i)).min(peak);
        full += storages[i].volume(peak);
        drained += storages[i].volume(left);
    }
    let before = system.sump.level_of(water - full);
    let from_pipes = pipes_back(system, &aftermath.pieces, before);
    let volume = water - drained + from_pipes;
    Some(Together {
        before,
        from_beds: full - drained,
        from_pipes,
        level: system.sump.level_of(volume).min(system.sump.overflow_level),
        spilled: (volume - system.sump.volume_at(system.sump.overflow_level)).max(0.0),
    })
}
