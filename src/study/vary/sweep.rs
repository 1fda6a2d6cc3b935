//! One or two quantities of a bed over a range, each point the whole system simulated.

use crate::assessment::Subject;
use crate::assessment::{CheckId, Status, assess};
use crate::model::System;
use crate::numerics::effort;
use crate::numerics::map_all::map_all;
use crate::simulation::{Regime, Run, Sampling, SimulationError, resolve_worst, simulate};
use crate::study::map::quantity::built;
use crate::study::map::{MOST_POINTS, MapAxis};
use crate::study::vary::random::{LEAST_EFFORT, MOST_EFFORT};

/// Why there is no sweep.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SweepError {
    /// No such bed.
    #[error("there is no bed number {0}")]
    NoBed(usize),
    /// A range that does not rise, or leaves what makes sense at all.
    #[error("the range of {key} must rise within {least} to {most} (SI units)")]
    Range {
        /// The quantity.
        key: &'static str,
        /// Least value allowed.
        least: f64,
        /// Greatest value allowed.
        most: f64,
    },
    /// Both axes are the same.
    #[error("both quantities are {0}; name two different ones")]
    Same(&'static str),
    /// Too few or too many points.
    #[error("a sweep needs 2 to {MOST_POINTS} points for each quantity, not {0}")]
    Points(usize),
    /// The scenario's worst moment of an incident could not be placed.
    #[error(transparent)]
    Simulation(#[from] SimulationError),
}

/// What the swept bed does at one point.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Its regime.
    pub regime: Regime,
    /// Mean time from break to break `[s]`; `None` without a whole cycle.
    pub period: Option<f64>,
    /// Highest water above its floor, first filling included `[m]`.
    pub peak: f64,
    /// Value of the check `dry-layer` `[m]`.
    pub dry_layer: f64,
    /// Mean inflow `[m3/s]`.
    pub inflow: f64,
    /// Lowest and highest level of the sump, elevations `[m]`.
    pub sump: (f64, f64),
    /// Worst status of all checks of the system.
    pub verdict: Status,
    /// The checks that fail, `key: subject`.
    pub failing: Vec<String>,
}

/// One point.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepPoint {
    /// Value of each axis, in the order of the axes.
    pub values: Vec<f64>,
    /// What was found, or why nothing was.
    pub reading: Result<Reading, String>,
}

/// A finished sweep.
#[derive(Debug, Clone, PartialEq)]
pub struct Sweep {
    /// Index of the bed.
    pub bed: usize,
    /// One or two axes.
    pub axes: Vec<MapAxis>,
    /// Points along each.
    pub points: usize,
    /// The first axis runs fastest.
    pub cells: Vec<SweepPoint>,
}

/// Sweeps bed `i` of `system` over `x` and, if given, `y`, `points` along each;
/// `done` is called after each point. The result does not depend on the number
/// of threads.
///
/// Every point is a run of the whole system as described, with its duration, all
/// its beds and incidents, and nominal coefficients.
///
/// # Errors
/// [`SweepError`].
pub fn sweep(
    system: &System,
    i: usize,
    x: MapAxis,
    y: Option<MapAxis>,
    points: usize,
    done: &(dyn Fn() + Sync),
) -> Result<Sweep, SweepError> {
    if i >= system.beds.len() {
        return Err(SweepError::NoBed(i));
    }
    if !(2..=MOST_POINTS).contains(&points) {
        return Err(SweepError::Points(points));
    }
    let axes: Vec<MapAxis> = [Some(x), y].into_iter().flatten().collect();
    if let [x, y] = axes.as_slice()
        && x.quantity == y.quantity
    {
        return Err(SweepError::Same(x.quantity.key()));
    }
    for axis in &axes {
        let (least, most) = axis.quantity.allowed();
        if !(least <= axis.from && axis.from < axis.to && axis.to <= most) {
            return Err(SweepError::Range {
                key: axis.quantity.key(),
                least,
                most,
            });
        }
    }
    // Placed once, so that events come at the same moments at all points.
    let (base, _) = resolve_worst(system)?;
    let count = if axes.len() == 2 {
        points * points
    } else {
        points
    };
    let each = LEAST_EFFORT.max(MOST_EFFORT / count as u64);
    let cells = map_all(0..count, |k| {
        let places = [k % points, k / points];
        let values: Vec<f64> = axes
            .iter()
            .zip(places)
            .map(|(axis, place)| axis.value(place, points))
            .collect();
        let reading = effort::within(each, || read(&base, i, &axes, &values));
        done();
        SweepPoint { values, reading }
    });
    Ok(Sweep {
        bed: i,
        axes,
        points,
        cells,
    })
}

fn read(base: &System, i: usize, axes: &[MapAxis], values: &[f64]) -> Result<Reading, String> {
    let values = axes
        .iter()
        .map(|axis| axis.quantity)
        .zip(values.iter().copied());
    let system = built(base, i, values).map_err(|why| why.to_string())?;
    let run = simulate(&system, Sampling::None).map_err(|why| why.to_string())?;
    Ok(Reading::new(&system, &run, i))
}

impl Reading {
    /// What a finished `run` of `system` says of bed `i`.
    pub fn new(system: &System, run: &Run, i: usize) -> Self {
        let (bed, outcome) = (&system.beds[i], &run.beds[i]);
        let assessment = assess(system, run);
        let dry = assessment.check(CheckId::DryLayer, Subject::Bed(i));
        let cycles = &outcome.cycles;
        let total: f64 = cycles
            .iter()
            .map(|cycle| cycle.fill + cycle.prime + cycle.drain)
            .sum();
        let peak = outcome.highest_water();
        Self {
            regime: outcome.regime,
            period: (!cycles.is_empty())
                .then(|| total / crate::study::vary::statistics::as_f64(cycles.len())),
            peak: peak - bed.floor,
            dry_layer: dry.map_or(bed.gravel_over(peak), |check| check.value),
            inflow: outcome.inflow.mean,
            sump: (run.sump.level.min, run.sump.level.max),
            verdict: assessment.verdict,
            failing: assessment
                .checks
                .iter()
                .filter(|check| check.status == Status::Fail)
                .map(|check| format!("{}: {}", check.id.key(), check.subject.name(system)))
                .collect(),
        }
    }
}
