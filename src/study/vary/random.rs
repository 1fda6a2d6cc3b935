//! Every uncertain input at once: how likely each check passes, and which inputs matter.

use crate::assessment::{CheckId, CheckUnit, Status, assess};
use crate::model::System;
use crate::numerics::effort;
use crate::numerics::in_order::InOrder;
use crate::numerics::map_all::map_all;
use crate::simulation::{Sampling, SimulationError, Stepping, resolve_worst, simulate_by};
use crate::study::vary::design::latin_hypercube;
use crate::study::vary::draw::{Input, inputs};
use crate::study::vary::drawn::drawn;
use crate::study::vary::statistics::{Share, correlation_noise, rank_correlation};
use crate::study::vary::tolerances::{Tolerances, TolerancesError};

/// Fewest and most draws.
pub const FEWEST_DRAWS: u32 = 10;
/// Most draws.
pub const MOST_DRAWS: u32 = 1_000_000;

/// Effort that all draws together may take: half an hour of one core or so.
pub(super) const MOST_EFFORT: u64 = 60_000_000_000;
/// Effort that one draw may take at least, however many there are; a day of four beds takes a
/// tenth.
pub(super) const LEAST_EFFORT: u64 = 2_000_000;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RandomError {
    /// Too few or too many.
    #[error("draws must be {FEWEST_DRAWS} to {MOST_DRAWS}, not {0}")]
    Draws(u32),
    /// Tolerances without sense.
    #[error(transparent)]
    Tolerances(#[from] TolerancesError),
    /// The scenario's worst moment of an incident could not be placed.
    #[error(transparent)]
    Simulation(#[from] SimulationError),
}

/// A check of one bed or part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckName {
    /// Which.
    pub id: CheckId,
    /// Bed or part.
    pub subject: String,
}

/// One check of one draw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// Result.
    pub status: Status,
    /// Distance to the limit, positive on the good side, SI.
    pub margin: f64,
}

/// One draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Draw {
    /// Value of every input.
    pub values: Vec<f64>,
    /// One for each check of [`Random::checks`], `None` where the check does not
    /// apply; or why nothing was simulated.
    pub outcome: Result<Vec<Option<Outcome>>, String>,
}

/// What the draws say of one check.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckChance {
    /// Which.
    pub name: CheckName,
    /// Unit of its margin.
    pub unit: CheckUnit,
    /// Passes, warnings not counted.
    pub passes: Share,
    /// Fails.
    pub fails: Share,
    /// Margin that 5, 50 and 95 of 100 draws stay below, SI.
    pub margins: [f64; 3],
    /// Rank correlation of its margin with each input, in the order of the inputs.
    pub influence: Vec<f64>,
    /// What an unrelated input stays below in 95 of 100 studies.
    pub noise: f64,
    /// What all unrelated inputs of a study stay below in 95 of 100 studies.
    pub noise_of_all: f64,
}

/// The whole study.
#[derive(Debug, Clone, PartialEq)]
pub struct Random {
    /// Seed of the draws.
    pub seed: u64,
    /// Tolerances.
    pub tolerances: Tolerances,
    /// What varies.
    pub inputs: Vec<Input>,
    /// Every check that some draw has, in the order of the design.
    pub checks: Vec<CheckChance>,
    /// No check fails.
    pub none_fails: Share,
    /// Every check passes, without a warning.
    pub all_pass: Share,
    /// Draw by draw.
    pub draws: Vec<Draw>,
}

type Judged = Vec<(CheckName, CheckUnit, Outcome)>;

/// Draws `count` systems within `tolerances` of `system`, simulates and judges
/// each like `run` does, on all cores; `done` is called after
/// each. The result depends on the seed and not on the threads.
///
/// Every draw's coefficients count as exactly known in its checks, and its
/// lengths as built: where the tape varies, the checks' own allowance for errors
/// of levelling is left out, or it would count twice. A draw whose parts do not
/// fit or that cannot be simulated counts in no share; it is told.
///
/// # Errors
/// [`RandomError`].
pub fn random(
    system: &System,
    tolerances: &Tolerances,
    count: u32,
    seed: u64,
    done: &(dyn Fn() + Sync),
) -> Result<Random, RandomError> {
    if !(FEWEST_DRAWS..=MOST_DRAWS).contains(&count) {
        return Err(RandomError::Draws(count));
    }
    tolerances.check()?;
    let (mut base, _) = resolve_worst(system)?;
    let inputs = inputs(&base, tolerances);
    if inputs.is_empty() {
        return Err(TolerancesError::Nothing.into());
    }
    if tolerances.tape > 0.0 {
        base.thresholds.levelling_error = 0.0;
    }
    let each = LEAST_EFFORT.max(MOST_EFFORT / u64::from(count));
    let judged: Vec<(Vec<f64>, Result<Judged, String>)> =
        map_all(latin_hypercube(count, inputs.len(), seed), |point| {
            let values: Vec<f64> = inputs
                .iter()
                .zip(point)
                .map(|(input, position)| input.value(position))
                .collect();
            let outcome = effort::within(each, || judge(&base, &inputs, &values));
            done();
            (values, outcome)
        });
    Ok(Random::new(seed, *tolerances, inputs, judged))
}

fn judge(base: &System, inputs: &[Input], values: &[f64]) -> Result<Judged, String> {
    let (system, soft) = drawn(base, inputs, values).map_err(|why| why.to_string())?;
    // A draw is counted, not told: its margins hold to a hundredth of a millimetre and 3e-5 of a period.
    let run = simulate_by(&system, &soft, Sampling::None, Stepping::rough())
        .map_err(|why| why.to_string())?;
    Ok(assess(&system, &run)
        .checks
        .into_iter()
        .filter(|check| !check.informs())
        .map(|check| {
            let name = CheckName {
                id: check.id,
                subject: check.subject.name(&system).to_owned(),
            };
            let outcome = Outcome {
                status: check.status,
                margin: check.margin,
            };
            (name, check.unit, outcome)
        })
        .collect())
}

impl Random {
    fn new(
        seed: u64,
        tolerances: Tolerances,
        inputs: Vec<Input>,
        judged: Vec<(Vec<f64>, Result<Judged, String>)>,
    ) -> Self {
        let mut names: Vec<(CheckName, CheckUnit)> = Vec::new();
        for (name, unit, _) in judged
            .iter()
            .filter_map(|(_, found)| found.as_ref().ok())
            .flatten()
        {
            if !names.iter().any(|(known, _)| known == name) {
                names.push((name.clone(), *unit));
            }
        }
        // Stable: beds and parts keep the order in which the checks tell them.
        names.order_by_key(|(name, _)| name.id);
        let draws: Vec<Draw> = judged
            .into_iter()
            .map(|(values, found)| Draw {
                values,
                outcome: found.map(|found| {
                    names
                        .iter()
                        .map(|(name, _)| {
                            let own = found.iter().find(|(known, _, _)| known == name);
                            own.map(|(_, _, outcome)| *outcome)
                        })
                        .collect()
                }),
            })
            .collect();
        let simulated: Vec<(&[f64], &[Option<Outcome>])> = draws
            .iter()
            .filter_map(|draw| {
                let outcomes = draw.outcome.as_deref().ok()?;
                Some((draw.values.as_slice(), outcomes))
            })
            .collect();
        let count = |holds: &dyn Fn(&Outcome) -> bool| {
            let hits = simulated
                .iter()
                .filter(|(_, outcomes)| outcomes.iter().flatten().all(holds))
                .count();
            Share::new(hits, simulated.len())
        };
        let none_fails = count(&|outcome| outcome.status != Status::Fail);
        let all_pass = count(&|outcome| outcome.status == Status::Pass);
        let checks = names
            .into_iter()
            .enumerate()
            .map(|(k, (name, unit))| {
                let own: Vec<(&[f64], Outcome)> = simulated
                    .iter()
                    .filter_map(|(values, outcomes)| Some((*values, outcomes[k]?)))
                    .collect();
                chance(name, unit, inputs.len(), &own)
            })
            .collect();
        Self {
            seed,
            tolerances,
            inputs,
            checks,
            none_fails,
            all_pass,
            draws,
        }
    }

    /// Draws without an answer, and why the first of them has none.
    pub fn unanswered(&self) -> (usize, Option<&str>) {
        let mut reasons = self
            .draws
            .iter()
            .filter_map(|draw| draw.outcome.as_ref().err());
        let first = reasons.next();
        let count = usize::from(first.is_some()) + reasons.count();
        (count, first.map(String::as_str))
    }
}

fn chance(
    name: CheckName,
    unit: CheckUnit,
    inputs: usize,
    own: &[(&[f64], Outcome)],
) -> CheckChance {
    let of = own.len();
    let count = |status| {
        own.iter()
            .filter(|(_, outcome)| outcome.status == status)
            .count()
    };
    let mut margins: Vec<f64> = own.iter().map(|(_, outcome)| outcome.margin).collect();
    margins.order_by(f64::total_cmp);
    let influence = (0..inputs)
        .map(|k| {
            let pairs: Vec<(f64, f64)> = own
                .iter()
                .map(|(values, outcome)| (values[k], outcome.margin))
                .collect();
            rank_correlation(&pairs)
        })
        .collect();
    let at = |hundredths: usize| {
        let index = (of * hundredths / 100).min(of.saturating_sub(1));
        margins.get(index).copied().unwrap_or(f64::NAN)
    };
    CheckChance {
        name,
        unit,
        passes: Share::new(count(Status::Pass), of),
        fails: Share::new(count(Status::Fail), of),
        margins: [at(5), at(50), at(95)],
        influence,
        noise: correlation_noise(of, 1),
        noise_of_all: correlation_noise(of, inputs),
    }
}
