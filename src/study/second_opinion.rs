//! The same system once more with the other integrator.

#[cfg(feature = "ode_solvers")]
use crate::model::System;
#[cfg(feature = "ode_solvers")]
use crate::numerics::integrate::Stepper;
#[cfg(feature = "ode_solvers")]
use crate::simulation::{BedOutcome, Run, Sampling, Stepping, simulate_by};

/// Periods that differ by no more than this share agree.
const PERIOD_AGREEMENT: f64 = 1e-4;
/// Levels that differ by no more than this agree `[m]`.
const LEVEL_AGREEMENT: f64 = 1e-4;

/// A figure by the first and by the second integrator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// By the crate's own stepper, which every other figure comes from.
    pub first: f64,
    /// By the other.
    pub second: f64,
}

impl Pair {
    /// Second less first.
    pub fn difference(self) -> f64 {
        self.second - self.first
    }
}

/// What both say of one bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BedPair {
    /// Mean period of the complete cycles `[s]`; `None` unless both found some.
    pub period: Option<Pair>,
    /// Peak level, elevation `[m]`.
    pub peak: Pair,
    /// Whether both find the same regime.
    pub same_regime: bool,
}

/// What both integrators say.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// One per bed, in file order.
    pub beds: Vec<BedPair>,
    /// Lowest sump level, elevation `[m]`.
    pub sump_lowest: Pair,
    /// Highest sump level, elevation `[m]`.
    pub sump_highest: Pair,
}

impl Comparison {
    /// Whether they agree: regimes, periods to 1e-4 of them, levels to 0.1 mm.
    pub fn agrees(&self) -> bool {
        let levels = [self.sump_lowest, self.sump_highest];
        let close = |pair: Pair| pair.difference().abs() <= LEVEL_AGREEMENT;
        levels.into_iter().all(close)
            && self.beds.iter().all(|bed| {
                let period = bed.period.is_none_or(|pair| {
                    pair.difference().abs() <= PERIOD_AGREEMENT * pair.first.abs()
                });
                bed.same_regime && period && close(bed.peak)
            })
    }
}

/// What became of the second opinion.
#[derive(Debug, Clone, PartialEq)]
pub enum SecondOpinion {
    /// Both answered.
    Compared(Comparison),
    /// The second integrator gave up, and why; the first answer stands.
    Refused(String),
}

/// Runs `system` again with the crate `ode_solvers`, at the same tolerance and with the same
/// modes and events, and holds it beside `run`.
///
/// Agreement speaks for the integration alone: both share the model.
#[cfg(feature = "ode_solvers")]
pub fn second_opinion(system: &System, run: &Run) -> SecondOpinion {
    let stepping = Stepping {
        stepper: Stepper::OdeSolvers,
        ..Stepping::default()
    };
    let values = system.coefficients.nominal();
    match simulate_by(system, &values, Sampling::None, stepping) {
        Ok(second) => SecondOpinion::Compared(compare(run, &second)),
        Err(error) => SecondOpinion::Refused(error.to_string()),
    }
}

#[cfg(feature = "ode_solvers")]
fn compare(first: &Run, second: &Run) -> Comparison {
    let pair = |value: fn(&Run) -> f64| Pair {
        first: value(first),
        second: value(second),
    };
    let beds = first.beds.iter().zip(&second.beds);
    Comparison {
        beds: beds
            .map(|(a, b)| BedPair {
                period: mean_period(a)
                    .zip(mean_period(b))
                    .map(|(first, second)| Pair { first, second }),
                peak: Pair {
                    first: a.peak_level,
                    second: b.peak_level,
                },
                same_regime: a.regime == b.regime,
            })
            .collect(),
        sump_lowest: pair(|run| run.sump.level.min),
        sump_highest: pair(|run| run.sump.level.max),
    }
}

#[cfg(feature = "ode_solvers")]
fn mean_period(bed: &BedOutcome) -> Option<f64> {
    let count = bed.cycles.len();
    (count > 0).then(|| bed.cycles.iter().map(|c| c.period()).sum::<f64>() / count as f64)
}
