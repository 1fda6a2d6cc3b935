//! What the model says to each measurement.

use crate::model::{Bed, CoefficientValues, Coefficients, Duration, System};
use crate::simulation::{
    BedOutcome, Cycle, Regime, Run, RunEnd, Sampling, SimulationError, Stepping, simulate_by,
};
use crate::siphon::SiphonLaw;
use crate::study::absorb::undisturbed;
use crate::study::measure::{Measurable, Seen, sheet};
use crate::study::window::Receiver;
use crate::units::{DAY, HOUR};
use std::fmt;

/// Longest run of a single bed, which ends when its cycle repeats itself `[s]`.
const ONE_BED: f64 = 48.0 * HOUR;
/// First and longest run of several beds, whose cycles need not repeat `[s]`.
const SEVERAL_BEDS: [f64; 2] = [6.0 * HOUR, DAY];
/// Cycles that each of several beds must complete in the first run.
const CYCLES_WANTED: usize = 3;

/// Why the model has no value for a measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoValue {
    /// The water does not reach the lip.
    #[error("in the model the bed never fills to its lip")]
    NeverFills,
    /// The siphon does not start.
    #[error("in the model the siphon never starts")]
    NeverStarts,
    /// The siphon does not break.
    #[error("in the model the siphon never breaks")]
    NeverBreaks,
    /// The bed goes over its wall.
    #[error("in the model the bed overflows")]
    Overflows,
    /// The bed cycles; nothing stands.
    #[error("in the model the bed does not stand still")]
    StandsNever,
    /// Not one whole cycle in the time simulated.
    #[error("in the model the bed completes no cycle within a day")]
    TooSlow,
    /// An air leak keeps the siphon from priming at any inflow.
    #[error("in the model air leaks in faster than the siphon can carry it out")]
    NeverPrimes,
}

/// The model's value for one measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Index of the bed.
    pub bed: usize,
    /// What.
    pub what: Measurable,
    /// Its value, SI, or why there is none.
    pub value: Result<f64, NoValue>,
}

/// What the model says of a system: one simulation, asked for anything measurable.
pub struct Outlook {
    run: Run,
    floors: Vec<f64>,
    timer: bool,
    edges: Vec<Edges>,
}

/// Window of a bed's siphon and its inflow at the moments that matter `[m3/s]`.
#[derive(Debug, Clone)]
struct Edges {
    starts_at: Option<f64>,
    breaks_up_to: f64,
    /// Highest level that the outlet looks at when the bed comes to its break level `[m]`.
    tail: f64,
    bed: Bed,
    law: SiphonLaw,
}

impl fmt::Debug for Outlook {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Outlook")
            .field("edges", &self.edges)
            .finish_non_exhaustive()
    }
}

/// Simulates `system` with `values` as far as measurements need it, incidents, float valve
/// and losses to the air left out: until a single bed's cycle repeats itself, several beds
/// until each has cycled a few times, at most a day.
///
/// # Errors
/// [`SimulationError`] when the simulation gives up.
pub fn outlook(system: &System, values: &CoefficientValues) -> Result<Outlook, SimulationError> {
    outlook_by(system, values, Stepping::default())
}

/// The same with other steps.
///
/// # Errors
/// As [`outlook`].
pub(in crate::study) fn outlook_by(
    system: &System,
    values: &CoefficientValues,
    stepping: Stepping,
) -> Result<Outlook, SimulationError> {
    let mut plain = undisturbed(system);
    plain.coefficients = Coefficients::known(values);
    let run = if plain.beds.len() == 1 {
        plain.duration = Duration::UntilSettled { at_most: ONE_BED };
        simulate_by(&plain, values, Sampling::None, stepping)?
    } else {
        plain.duration = Duration::Fixed(SEVERAL_BEDS[0]);
        let first = simulate_by(&plain, values, Sampling::None, stepping)?;
        let waits =
            |bed: &BedOutcome| bed.tends_to == Regime::Cycles && bed.cycles.len() < CYCLES_WANTED;
        if first.beds.iter().any(waits) {
            plain.duration = Duration::Fixed(SEVERAL_BEDS[1]);
            simulate_by(&plain, values, Sampling::None, stepping)?
        } else {
            first
        }
    };
    let receiver = Receiver::new(&plain, &run);
    let edges = plain
        .beds
        .iter()
        .enumerate()
        .map(|(i, bed)| {
            let law = receiver.law(i);
            // The higher tail is the one that lets it run on or stall soonest.
            let tail = receiver.tails(i, bed).1;
            Edges {
                starts_at: law
                    .priming_time()
                    .filter(|_| law.start_level(0.0) < bed.rim_level())
                    .map(|_| law.start_flow()),
                breaks_up_to: law.run_on_flow(tail).min(law.stall_flow(tail)),
                tail,
                bed: bed.clone(),
                law: law.clone(),
            }
        })
        .collect();
    Ok(Outlook {
        floors: plain.beds.iter().map(|bed| bed.floor).collect(),
        timer: plain.pump.schedule.is_some(),
        run,
        edges,
    })
}

/// The model's values for `asked`, pairs of a bed's index and what is measured there.
///
/// # Errors
/// [`SimulationError`] when the simulation gives up.
pub fn predict(
    system: &System,
    values: &CoefficientValues,
    asked: &[(usize, Measurable)],
) -> Result<Vec<Forecast>, SimulationError> {
    let outlook = outlook(system, values)?;
    Ok(asked
        .iter()
        .map(|&(bed, what)| Forecast {
            bed,
            what,
            value: outlook.value(bed, what),
        })
        .collect())
}

impl Outlook {
    /// What bed `bed` does at the end of the simulation.
    pub fn regime(&self, bed: usize) -> Regime {
        self.run
            .beds
            .get(bed)
            .map_or(Regime::NeverFills, |bed| bed.tends_to)
    }

    /// What somebody who watches bed `bed` sees; `None` where it never fills or overflows.
    pub fn seen(&self, bed: usize) -> Option<Seen> {
        match self.regime(bed) {
            Regime::Cycles => Some(Seen::Cycles),
            Regime::Dribbles => Some(Seen::NeverStarted),
            Regime::Stalls | Regime::RunsOn => Some(Seen::NeverBroke),
            Regime::NeverFills | Regime::Overflows | Regime::Unfinished => None,
        }
    }

    /// What the outlet of bed `bed` looks at when it comes to its break level `[m]`; nought
    /// for a bed that is not there.
    pub(in crate::study) fn tail(&self, bed: usize) -> f64 {
        self.edges.get(bed).map_or(0.0, |edges| edges.tail)
    }

    /// The simulation itself, without samples.
    pub fn run(&self) -> &Run {
        &self.run
    }

    /// The model's value of `what` on bed `bed`, SI.
    ///
    /// # Errors
    /// [`NoValue`] where the bed does not do what is measured; a bed that is not there
    /// never fills.
    pub fn value(&self, bed: usize, what: Measurable) -> Result<f64, NoValue> {
        let (Some(outcome), Some(edges)) = (self.run.beds.get(bed), self.edges.get(bed)) else {
            return Err(NoValue::NeverFills);
        };
        let floor = self.floors[bed];
        match what {
            // A bucket is held while the pump runs.
            Measurable::Inflow if self.timer => Ok(outcome.inflow.max),
            Measurable::Inflow => Ok(outcome.inflow.mean),
            Measurable::StartsAt => edges.starts_at.ok_or(NoValue::NeverPrimes),
            Measurable::BreaksUpTo => Ok(edges.breaks_up_to),
            Measurable::Rise => {
                let inflow = self.value(bed, Measurable::Inflow)?;
                if inflow <= 0.0 {
                    return Err(NoValue::NeverFills);
                }
                Ok(sheet::between_marks(&edges.bed) / inflow)
            }
            Measurable::Fall => Ok(sheet::fall_time(&edges.bed, &edges.law, edges.tail)),
            Measurable::PrimingGain => {
                sheet::priming_gain(&edges.bed, &edges.law).ok_or(NoValue::NeverPrimes)
            }
            Measurable::DribbleHead => Ok(sheet::dribble_head(&edges.law)),
            Measurable::Fill => self.over_cycles(bed, |cycle| cycle.fill + cycle.prime),
            Measurable::Drain => self.over_cycles(bed, |cycle| cycle.drain),
            Measurable::Period => self.over_cycles(bed, |cycle| cycle.period()),
            Measurable::Highest => match outcome.tends_to {
                Regime::Cycles => self.over_cycles(bed, |cycle| cycle.peak_level - floor),
                Regime::NeverFills => Err(NoValue::NeverFills),
                _ => Ok(outcome.peak_level - floor),
            },
            Measurable::Left => self.cycling(bed).and_then(|()| self.left(bed)),
            Measurable::Standing => match outcome.tends_to {
                Regime::Cycles => Err(NoValue::StandsNever),
                Regime::NeverFills => Err(NoValue::NeverFills),
                _ => Ok(outcome.last_level - floor),
            },
            Measurable::SumpSwing => self.cycling(bed).and_then(|()| self.sump_swing(bed)),
        }
    }

    /// Whether bed `bed` cycles, else why not.
    fn cycling(&self, bed: usize) -> Result<(), NoValue> {
        match self.regime(bed) {
            Regime::Cycles => Ok(()),
            Regime::NeverFills => Err(NoValue::NeverFills),
            Regime::Dribbles => Err(NoValue::NeverStarts),
            Regime::Stalls | Regime::RunsOn => Err(NoValue::NeverBreaks),
            Regime::Overflows => Err(NoValue::Overflows),
            Regime::Unfinished => Err(NoValue::TooSlow),
        }
    }

    /// The cycles that count: the last of a settled run, else all but the first.
    fn cycles(&self, bed: usize) -> &[Cycle] {
        let all = &self.run.beds[bed].cycles;
        let from = match self.run.ended {
            RunEnd::Settled { .. } => all.len().saturating_sub(1),
            _ if all.len() > 1 => 1,
            _ => 0,
        };
        &all[from..]
    }

    fn over_cycles(&self, bed: usize, figure: impl Fn(&Cycle) -> f64) -> Result<f64, NoValue> {
        self.cycling(bed)?;
        let cycles = self.cycles(bed);
        if cycles.is_empty() {
            return Err(NoValue::TooSlow);
        }
        Ok(cycles.iter().map(figure).sum::<f64>() / cycles.len() as f64)
    }

    /// Level of the bed at its last break; with gravel resistance it is above the guard's.
    fn left(&self, bed: usize) -> Result<f64, NoValue> {
        let left = self.run.beds[bed].left_level.ok_or(NoValue::TooSlow)?;
        Ok(left - self.floors[bed])
    }

    /// Highest less lowest sump level over the cycles that count.
    fn sump_swing(&self, bed: usize) -> Result<f64, NoValue> {
        let ranges = self.cycles(bed).iter().map(|cycle| cycle.sump_range);
        let range = ranges.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        range.map(|(low, high)| high - low).ok_or(NoValue::TooSlow)
    }
}
