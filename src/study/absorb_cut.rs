//! The power fails: what comes down, and how high the sump then stands.
//!
//! With the pump off water only comes down, so the sump ends at its highest and
//! volumes alone tell where: a running siphon empties its bed to the break level, a
//! spilling bed falls to its lip, a filling one keeps its water, pipes drain back
//! unless a check valve holds them. A bed that is priming counts as running: whether it
//! would still get there is in doubt, and the other answer leaves more water above.

use crate::model::{Bed, BedStorage, Inlet, System};
use crate::simulation::{EventKind, Run, SiphonMode};
use crate::study::absorb_vessel::{level_of, volume_at};

/// Moments whose outcome differs by less than this are equally bad [m3].
const ALIKE: f64 = 1e-5;
/// Of those, the one with most water still above counts; less more is none [m3].
const NO_MORE: f64 = 1e-6;

/// A power cut at the worst moment of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerCut {
    /// When [s].
    pub time: f64,
    /// Sump level at that moment [m].
    pub sump_before: f64,
    /// Beds whose siphon runs or primes then, in file order.
    pub running: Vec<usize>,
    /// Water that comes down from the beds [m3].
    pub from_beds: f64,
    /// Water that drains back from the supply pipes [m3].
    pub from_pipes: f64,
    /// Water in the sump at the end, could it hold all [m3].
    pub volume: f64,
    /// Its level at the end, at most its overflow [m].
    pub level: f64,
    /// Water over the overflow [m3].
    pub spilled: f64,
}

/// Every bed at its highest of the run drains at once with the pump off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Together {
    /// Sump level with all of them full [m].
    pub before: f64,
    /// Water that comes down from the beds [m3].
    pub from_beds: f64,
    /// Water that drains back from the supply pipes [m3].
    pub from_pipes: f64,
    /// Sump level at the end, at most its overflow [m].
    pub level: f64,
    /// Water over the overflow [m3].
    pub spilled: f64,
}

/// The moment of `run` at which a power cut leaves the sump highest; of equals the one
/// with most water still above, then the earliest. `None` without series.
///
/// Tried is every sample of the series, events included, from the first break of the
/// last bed on: before it the beds are still on their way from the state they were
/// given. Where none breaks, the whole run. Between samples the outcome moves only with
/// what fills in that time. Nominal coefficients; the bounds hold over their bands.
pub fn worst_cut(system: &System, run: &Run) -> Option<PowerCut> {
    let storages: Vec<BedStorage> = system.beds.iter().map(BedStorage::new).collect();
    let from = running_in(run);
    let left = drained_levels(run);
    let mut moments: Vec<(usize, f64, f64)> = Vec::new();
    for k in 0..run.recording.time.len() {
        if *run.recording.time.get(k)? >= from {
            let after = after_cut(system, run, &storages, &left, k)?;
            let before = volume_at(system, *run.recording.sump_level.get(k)?);
            moments.push((k, after, after - before));
        }
    }
    let most = moments.iter().map(|moment| moment.1).fold(f64::NEG_INFINITY, f64::max);
    let (k, drained, from_beds) = moments
        .into_iter()
        .filter(|moment| moment.1 >= most - ALIKE)
        .reduce(|worst, moment| if moment.2 > worst.2 + NO_MORE { moment } else { worst })?;
    let from_pipes = pipes_back(system);
    let volume = drained + from_pipes;
    Some(PowerCut {
        time: *run.recording.time.get(k)?,
        sump_before: *run.recording.sump_level.get(k)?,
        running: (0..system.beds.len()).filter(|&i| runs(run, i, k)).collect(),
        from_beds,
        from_pipes,
        volume,
        level: level_of(system, volume).min(system.sump.overflow_level),
        spilled: (volume - volume_at(system, system.sump.overflow_level)).max(0.0),
    })
}

/// When every bed that ever breaks has broken once [s].
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

/// Water that the sump gets to hold after a cut at sample `k`, supply pipes apart [m3].
fn after_cut(
    system: &System,
    run: &Run,
    storages: &[BedStorage],
    drained: &[f64],
    k: usize,
) -> Option<f64> {
    let mut volume = volume_at(system, *run.recording.sump_level.get(k)?);
    for (i, bed) in system.beds.iter().enumerate() {
        let series = run.recording.beds.get(i)?;
        let level = *series.level.get(k)?;
        let left = match series.mode.get(k)? {
            SiphonMode::FullBore | SiphonMode::Priming => *drained.get(i)?,
            SiphonMode::Spilling => bed.siphon.standpipe.lip,
            SiphonMode::Filling | SiphonMode::RunningOn => level,
        };
        let left = left.min(inlet_end(system, bed)).min(level);
        volume += storages[i].volume(level) - storages[i].volume(left);
    }
    Some(volume)
}

/// Level to which the siphon of each bed empties it [m]: its break level, or the lowest
/// of the run where a drowned outlet lets it go lower.
fn drained_levels(run: &Run) -> Vec<f64> {
    let from = running_in(run);
    let first = run.recording.time.partition_point(|&time| time < from);
    let lowest = |i: usize| {
        let levels = run.recording.beds.get(i).and_then(|bed| bed.level.get(first..));
        levels.into_iter().flatten().copied().fold(f64::INFINITY, f64::min)
    };
    run.beds.iter().enumerate().map(|(i, bed)| bed.break_level.min(lowest(i))).collect()
}

fn runs(run: &Run, i: usize, k: usize) -> bool {
    let mode = run.recording.beds.get(i).and_then(|bed| bed.mode.get(k));
    matches!(mode, Some(SiphonMode::FullBore | SiphonMode::Priming))
}

/// Level down to which a bed runs back through its own inlet [m]; infinite where it cannot.
fn inlet_end(system: &System, bed: &Bed) -> f64 {
    match &bed.inlet {
        Inlet::Piped(branch) if !system.pump.check_valve => branch.level.max(bed.floor),
        _ => f64::INFINITY,
    }
}

/// Water of the beds over the ends of their inlets, all at the levels given [m3].
pub(super) fn back_siphoned(system: &System, level: impl Fn(usize) -> f64) -> f64 {
    let over = |(i, bed): (usize, &Bed)| match &bed.inlet {
        Inlet::Piped(branch) => {
            let storage = BedStorage::new(bed);
            (storage.volume(level(i)) - storage.volume(branch.level.max(bed.floor))).max(0.0)
        }
        _ => 0.0,
    };
    system.beds.iter().enumerate().map(over).sum()
}

/// Water that the supply pipes give back when the pump stops [m3].
fn pipes_back(system: &System) -> f64 {
    if system.pump.check_valve {
        return 0.0;
    }
    let supply = &system.supply;
    let branches = system.beds.iter().filter_map(|bed| match &bed.inlet {
        Inlet::Piped(branch) => Some(branch.run.volume()),
        _ => None,
    });
    let bypass = supply.bypass.iter().map(|branch| branch.run.volume());
    supply.trunk.volume() + branches.sum::<f64>() + bypass.sum::<f64>()
}

/// Every bed of `run` at its highest, then all of them drained to their break levels.
pub(super) fn all_together(system: &System, run: &Run) -> Option<Together> {
    let storages: Vec<BedStorage> = system.beds.iter().map(BedStorage::new).collect();
    let held = |k: usize| -> Option<f64> {
        let mut water = volume_at(system, *run.recording.sump_level.get(k)?);
        for (storage, series) in storages.iter().zip(&run.recording.beds) {
            water += storage.volume(*series.level.get(k)?);
        }
        Some(water)
    };
    let water = (0..run.recording.time.len()).filter_map(held).reduce(f64::max)?;
    let (mut full, mut drained) = (0.0, 0.0);
    let levels = drained_levels(run);
    for (i, ((bed, outcome), storage)) in
        system.beds.iter().zip(&run.beds).zip(&storages).enumerate()
    {
        let peak = outcome.peak_level.max(outcome.first_peak_level);
        let left = levels[i].min(inlet_end(system, bed)).min(peak);
        full += storage.volume(peak);
        drained += storage.volume(left);
    }
    let pipes = pipes_back(system);
    let volume = water - drained + pipes;
    Some(Together {
        before: level_of(system, water - full),
        from_beds: full - drained,
        from_pipes: pipes,
        level: level_of(system, volume).min(system.sump.overflow_level),
        spilled: (volume - volume_at(system, system.sump.overflow_level)).max(0.0),
    })
}
