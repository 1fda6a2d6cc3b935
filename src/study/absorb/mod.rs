//! Whether the sump takes what beds and pipes can do to it, which sump would,
//! and what the same drum does upright and on its side.
//!
//! Bounds come from volumes alone. Another vessel is judged with everything over
//! it moved as far as its overflow moves, so that every outlet keeps its height
//! over the overflow: what is compared is the vessel, not a drowned outlet.

use crate::assessment::{BedReach, SumpBounds, SumpVolumes, sump_volumes};
use crate::hydraulics::circular::full_area;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{BedStorage, DrainTarget, System};
use crate::numerics::effort;
use crate::simulation::{Run, Sampling, simulate};

mod drum;
mod fill;
mod power_cut;
mod vessel;

pub use drum::{COMMON_DRUM, Drum, Stance};
pub(in crate::study) use fill::fill_range;
pub use fill::{FillRange, freeboard_level};
pub use power_cut::{PowerCut, Together};

use drum::{drum_of, stood};
use power_cut::{all_together, back_siphoned, worst_cut};
use vessel::{candidate, drums_needed, smallest_vessel};

/// Effort that each run beside the system's own may take; where it is not enough the answer goes
/// without that run. With it 32 beds on a line of 2 mm end after two minutes of processor.
const MOST_EFFORT: u64 = 240_000_000;

/// Seconds between samples of the runs in which a power cut is sought, events apart.
const SAMPLE_EVERY: f64 = 10.0;

/// Everything `absorb` finds. Levels are elevations `[m]`, volumes `[m3]`.
#[derive(Debug, Clone)]
pub struct Absorb {
    /// Bounds and the volumes behind them, the sump as it is.
    pub volumes: SumpVolumes,
    /// Bounds with a check valve at the pump, and without one.
    pub with_check_valve: SumpBounds,
    /// The same without.
    pub without_check_valve: SumpBounds,
    /// Free volume of the sump as it is.
    pub free: FreeVolume,
    /// Start levels at which the sump as it is keeps both bounds.
    pub fill: FillRange,
    /// The power fails at the worst moment of the run; `None` without series.
    pub power_cut: Option<PowerCut>,
    /// Every bed at its highest of the run drains at once, pump off; `None` without series.
    pub together: Option<Together>,
    /// What comes back when the pump stops.
    pub drain_back: DrainBack,
    /// Smallest box, upright drum and lying drum that keep both bounds.
    pub smallest: [Smallest; 3],
    /// The drum that stands and lies below.
    pub drum: Drum,
    /// The sump as it is unless it is that drum, then the drum upright and on its side.
    pub standings: Vec<Standing>,
}

/// Volume that the sump must have free over and under its start level, and has `[m3]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FreeVolume {
    /// From the start level up to the high bound.
    pub needed_above: f64,
    /// From the start level up to the freeboard under the overflow.
    pub available_above: f64,
    /// From the start level down to the low bound, losses over the overflow included.
    pub needed_below: f64,
    /// From the start level down to the pump's cover.
    pub available_below: f64,
}

impl FreeVolume {
    /// What is to spare over the start level `[m3]`; negative: lacking.
    pub const fn spare_above(&self) -> f64 {
        self.available_above - self.needed_above
    }

    /// The same under it.
    pub const fn spare_below(&self) -> f64 {
        self.available_below - self.needed_below
    }
}

/// Water that comes back to the sump when the pump stops `[m3]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrainBack {
    /// Riser, manifold, branches and bypass, without a check valve.
    pub without_check_valve: f64,
    /// With one.
    pub with_check_valve: f64,
    /// Bed water over the ends of submerged inlets at most, that runs back through them.
    pub back_siphon: f64,
}

/// A kind of vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VesselKind {
    /// With upright walls and the footprint of the sump as it is.
    Box,
    /// A drum on its end.
    Upright,
    /// A drum on its side.
    Lying,
}

/// The smallest vessel of a kind that keeps both bounds.
#[derive(Debug, Clone, PartialEq)]
pub struct Smallest {
    /// Its kind.
    pub kind: VesselKind,
    /// The vessel to the millimetre; `None`: none up to 6 m.
    pub found: Option<Found>,
}

/// A vessel found by search.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Inside measures.
    pub shape: VesselShape,
    /// Start levels between which it keeps both bounds.
    pub fill: FillRange,
    /// How far its overflow is over the one of the sump as it is `[m]`.
    pub shift: f64,
}

/// One vessel under the same beds.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Which.
    pub stance: Stance,
    /// Whether it is the sump as it is.
    pub is_present: bool,
    /// The system with it, at the fill that was judged, everything over it moved by `shift`.
    pub system: System,
    /// How far everything over the sump moves up `[m]`; negative: down.
    pub shift: f64,
    /// Water between pump cover and freeboard `[m3]`; negative when they cross.
    pub usable: f64,
    /// Water that moves between the bounds `[m3]`.
    pub needed: f64,
    /// Start levels between which both bounds hold.
    pub fill: FillRange,
    /// Bounds at the fill that was judged.
    pub volumes: SumpVolumes,
    /// Whether both bounds hold at some fill.
    pub passes: bool,
    /// What a run over this vessel did; `None` when the simulation gave up.
    pub simulated: Option<Simulated>,
    /// Least ceiling to rim after the move `[m]`; `None` without a ceiling.
    pub growing_height: Option<f64>,
    /// Drums like this one, joined at the bottom, that would pass; `None`: not even twenty,
    /// or no drum.
    pub drums: Option<u32>,
}

impl Standing {
    /// Usable water less what is needed `[m3]`; negative: so much is lacking.
    pub const fn spare(&self) -> f64 {
        self.usable - self.needed
    }
}

/// Figures of a run over another vessel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Simulated {
    /// Lowest level `[m]`.
    pub low: f64,
    /// Highest level `[m]`.
    pub high: f64,
    /// After a power cut at the worst moment `[m]`.
    pub after_cut: Option<f64>,
}

/// The gravity run that ends nearest over the sump's overflow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NearestRun {
    /// The bed whose outlet it is; `None`: the drain line's.
    pub bed: Option<usize>,
    /// Elevation of its end `[m]`.
    pub level: f64,
}

/// The system without float valve, sources, losses to the air and incidents: what beds and pipes
/// do to the sump by themselves.
pub fn undisturbed(system: &System) -> System {
    System {
        top_off: None,
        evaporation: 0.0,
        sources: Vec::new(),
        incidents: Vec::new(),
        ..system.clone()
    }
}

/// Answers for `system`, left [`undisturbed`], from `run`, its nominal run with series.
///
/// Valid for every system that the scenario reader accepts; without series in `run`
/// there is no power cut. Runs the simulator once for every vessel compared.
pub fn absorb(system: &System, run: &Run) -> Absorb {
    let volumes = sump_volumes(system, run);
    let with_valve = |check_valve: bool| {
        let mut changed = system.clone();
        changed.pump.check_valve = check_valve;
        sump_volumes(&changed, run)
    };
    let (without, with) = (with_valve(false), with_valve(true));
    let drum = drum_of(&system.sump.shape);
    Absorb {
        free: free_volume(system, &volumes),
        fill: fill_range(system, run),
        power_cut: worst_cut(system, run),
        together: all_together(system, run),
        drain_back: DrainBack {
            without_check_valve: without.supply,
            with_check_valve: 0.0,
            back_siphon: back_siphoned(system, |i| without.beds[i].highest),
        },
        with_check_valve: with.bounds,
        without_check_valve: without.bounds,
        smallest: [VesselKind::Box, VesselKind::Upright, VesselKind::Lying]
            .map(|kind| smallest(system, run, kind, drum)),
        drum,
        standings: standings(system, run, drum),
        volumes,
    }
}

/// The run of pipe that ends lowest over the sump.
pub fn nearest_run(system: &System) -> Option<NearestRun> {
    let beds = system.beds.iter().enumerate();
    let own = beds
        .filter(|(_, bed)| matches!(bed.siphon.drain.into, DrainTarget::Sump))
        .map(|(i, bed)| NearestRun {
            bed: Some(i),
            level: bed.siphon.drain.outlet,
        });
    let line = system.drain_line.iter().map(|line| NearestRun {
        bed: None,
        level: line.outlet,
    });
    own.chain(line).min_by(|a, b| a.level.total_cmp(&b.level))
}

/// Water between the pump's cover and the freeboard under the overflow `[m3]`.
pub fn usable_volume(system: &System) -> f64 {
    system.sump.volume_at(freeboard_level(system))
        - system.sump.volume_at(system.pump.least_level())
}

/// Water that each bed holds between its lowest and its highest level, summed `[m3]`.
pub fn bed_swing(system: &System, beds: &[BedReach]) -> f64 {
    let swing = |(bed, reach): (&crate::model::Bed, &BedReach)| {
        let storage = BedStorage::new(bed);
        storage.volume(reach.highest) - storage.volume(reach.lowest)
    };
    system.beds.iter().zip(beds).map(swing).sum()
}

fn free_volume(system: &System, volumes: &SumpVolumes) -> FreeVolume {
    let start = system.sump.volume_at(system.sump.start_level);
    FreeVolume {
        needed_above: volumes.high - start,
        available_above: system.sump.volume_at(freeboard_level(system)) - start,
        needed_below: start - (volumes.low - volumes.lost),
        available_below: start - system.sump.volume_at(system.pump.least_level()),
    }
}

/// Length and width of a box on the footprint of a vessel `[m]`: its own, the outline of a
/// lying drum from above, else a square of the same area.
fn footprint(shape: &VesselShape) -> (f64, f64) {
    match *shape {
        VesselShape::Box { length, width, .. } | VesselShape::HalfDrum { length, width, .. } => {
            (length, width)
        }
        VesselShape::Tapered {
            bottom_length,
            bottom_width,
            ..
        } => (bottom_length, bottom_width),
        VesselShape::LyingCylinder { diameter, length } => (length, diameter),
        VesselShape::UprightCylinder { diameter, .. } => {
            let side = full_area(diameter).sqrt();
            (side, side)
        }
        VesselShape::Table { .. } => {
            let side = (shape.full_volume() / shape.depth()).sqrt();
            (side, side)
        }
    }
}

fn smallest(system: &System, run: &Run, kind: VesselKind, drum: Drum) -> Smallest {
    let (length, width) = footprint(&system.sump.joined());
    let slender = drum.length / drum.diameter;
    let make = |size: f64| match kind {
        VesselKind::Box => VesselShape::Box {
            length,
            width,
            depth: size,
        },
        VesselKind::Upright => VesselShape::UprightCylinder {
            diameter: size,
            depth: slender * size,
        },
        VesselKind::Lying => VesselShape::LyingCylinder {
            diameter: size,
            length: slender * size,
        },
    };
    let found = smallest_vessel(system, run, make).map(|shape| {
        let (changed, shift) = candidate(system, shape.clone(), 1);
        Found {
            fill: fill_range(&changed, run),
            shape,
            shift,
        }
    });
    Smallest { kind, found }
}

fn standings(system: &System, run: &Run, drum: Drum) -> Vec<Standing> {
    let own = &system.sump.shape;
    let mut shapes = Vec::new();
    if !drum.is_present {
        shapes.push((Stance::AsItIs, own.clone()));
    }
    for stance in [Stance::Upright, Stance::Lying] {
        shapes.push((stance, stood(drum, stance)));
    }
    shapes
        .into_iter()
        .map(|(stance, shape)| {
            let is_present = shape == *own;
            let drums = (stance != Stance::AsItIs)
                .then(|| drums_needed(system, run, drum, stance))
                .flatten();
            // A drum turned over is one of as many as there are now.
            let count = match (stance, drum.is_present) {
                (Stance::AsItIs, _) | (_, true) => system.sump.count,
                (_, false) => 1,
            };
            let (changed, shift) = candidate(system, shape, count);
            judged(stance, is_present, changed, shift, system, run, drums)
        })
        .collect()
}

fn judged(
    stance: Stance,
    is_present: bool,
    mut changed: System,
    shift: f64,
    system: &System,
    run: &Run,
    drums: Option<u32>,
) -> Standing {
    let fill = fill_range(&changed, run);
    let water_now = system.sump.volume_at(system.sump.start_level);
    changed.sump.start_level = nearest_fill(&changed, &fill, water_now);
    let volumes = sump_volumes(&changed, run);
    let run_with_it = effort::within(MOST_EFFORT, || {
        simulate(&changed, Sampling::Every(SAMPLE_EVERY))
    });
    let simulated = run_with_it.ok().map(|found| Simulated {
        low: found.sump.level.min,
        high: found.sump.level.max,
        after_cut: worst_cut(&changed, &found).map(|cut| cut.level),
    });
    let rim = changed.highest_rim();
    Standing {
        stance,
        is_present,
        shift,
        usable: usable_volume(&changed),
        needed: volumes.high - volumes.low,
        passes: fill.range().is_some(),
        fill,
        volumes,
        simulated,
        growing_height: changed.ceiling.map(|ceiling| ceiling - rim),
        drums,
        system: changed,
    }
}

/// The start level nearest to the water there is now among those that pass; where none
/// does, the one that keeps the pump covered, as far as the overflow allows `[m]`.
fn nearest_fill(system: &System, fill: &FillRange, water_now: f64) -> f64 {
    let now = system
        .sump
        .level_of(water_now)
        .min(system.sump.overflow_level);
    match fill.range() {
        Some((least, most)) => now.clamp(least, most),
        None => fill
            .least
            .map_or(now, |least| least.min(system.sump.overflow_level)),
    }
}
