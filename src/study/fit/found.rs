//! What a fit found.

use super::owner::{Shift, Trial};
use super::unknown::{Prior, Unknown, applied};
use crate::model::{Band, Coefficient, CoefficientValues, System};
use crate::study::measure::{Cut, Fact, Measurable, Measurement, NoValue, Seen};

/// What a fit found.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Every unknown, headline ones first within beds, pump, then coefficients.
    pub estimates: Vec<Estimate>,
    /// Every measurement beside the model.
    pub compared: Vec<Compared>,
    /// What beds were seen or implied to do.
    pub seen: Vec<(usize, Seen)>,
    /// At which flows siphons started, dribbled, broke or ran on, as told.
    pub facts: Vec<Fact>,
    /// What these facts leave of the bands, before any figure is fitted.
    pub cut: Cut,
    /// Start and break of every bed, as written and with what is known now.
    pub shifts: Vec<Shift>,
    /// Flows to try next, most telling first.
    pub trials: Vec<Trial>,
    /// The measurement at odds with the others, by its index in `compared`.
    pub at_odds: Option<usize>,
    /// What to measure next, most telling first; at most five.
    pub next: Vec<Next>,
    /// The system with every unknown at its estimate.
    pub system: System,
    /// The soft coefficients at their estimates.
    pub values: CoefficientValues,
    /// Independent draws from the posterior that would tell as much as those made; `None`
    /// where the spreads are those of the straightened problem: with nothing measured, or
    /// several beds.
    pub effective: Option<f64>,
}

/// One unknown after the fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// What.
    pub prior: Prior,
    /// Its place in units of the prior's deviation.
    pub offset: f64,
    /// Half the width of `one` in the same units: 1 is as wide as before.
    pub spread: f64,
    /// Where it lies with 68.3 % and with 95.4 %, in the same units as `offset`, which is
    /// within both.
    pub one: (f64, f64),
    /// See `one`.
    pub two: (f64, f64),
    /// Deviation over the prior's in the straightened problem, with which
    /// [`Next::spreads`] compare.
    pub straight: f64,
    /// Share of each measurement in what was learnt, in the order of `compared`; sums to 1
    /// unless nothing was.
    pub shares: Vec<f64>,
    /// Whether facts cut its band and no figure says more.
    pub only_cut: bool,
}

/// How well an unknown is known after the fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// Spread below half the prior's.
    Determined,
    /// Between.
    Narrowed,
    /// Facts cut its band, and no figure says more: it may be anywhere in what is left.
    Cut,
    /// About as wide as before: the measurements do not tell.
    Open,
}

impl Estimate {
    /// Best value.
    pub fn value(&self) -> f64 {
        self.prior.scale.value(self.offset)
    }

    /// Value so many of its own deviations away: at -1 and 1 the ends of `one`, at -2 and 2
    /// those of `two`, straight between.
    pub fn at(&self, deviations: f64) -> f64 {
        let (one, two) = if deviations < 0.0 {
            (self.one.0, self.two.0)
        } else {
            (self.one.1, self.two.1)
        };
        let size = deviations.abs();
        let offset = if size <= 1.0 {
            self.offset + size * (one - self.offset)
        } else {
            one + (size - 1.0) * (two - one)
        };
        self.prior.scale.value(offset)
    }

    /// Whether it is where it was before the fit, and as wide.
    pub fn is_unmoved(&self) -> bool {
        self.offset.abs() < UNMOVED && self.spread > 1.0 - UNMOVED
    }

    /// How well it is known.
    pub fn known(&self) -> Known {
        if self.only_cut {
            Known::Cut
        } else if self.spread < FIXED {
            Known::Determined
        } else if self.spread < OPEN {
            Known::Narrowed
        } else {
            Known::Open
        }
    }
}

/// A measurement beside the model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// The measurement.
    pub measurement: Measurement,
    /// The scenario as written.
    pub before: Result<f64, NoValue>,
    /// The model with the estimates.
    pub after: f64,
    /// `after` less measured, over its deviation.
    pub pull: f64,
}

/// A measurement not taken yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// Index of the bed.
    pub bed: usize,
    /// What to measure.
    pub what: Measurable,
    /// What the model expects there.
    pub expected: f64,
    /// Its usual deviation.
    pub sigma: f64,
    /// Spread of every unknown over its prior's with it in the straightened problem, in the order of the estimates.
    pub spreads: Vec<f64>,
    /// Mean share of the headline unknowns' spreads that it takes away.
    pub gain: f64,
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Nothing inside the bands makes the model do what was measured.
    #[error("{why}, wherever the unknowns are within their bands, so the model has no {}", .what.words())]
    NeverSo {
        /// Index of the bed.
        bed: usize,
        /// What was measured.
        what: Measurable,
        /// What the model does instead.
        why: NoValue,
    },
    /// The simulation gives up on the scenario itself.
    #[error("the scenario cannot be simulated; `ebbwright run` says why")]
    NoSimulation,
    /// It costs more than it may.
    #[error(
        "a fit simulates thousands of systems, and of this one that would take too long; fit one \
         bed after the other, leave out beds that have no part in what was measured, or look for \
         a drain line that is far too thin or blocked"
    )]
    TooMuch,
}

impl Fit {
    /// The bands that the fit puts in place of the scenario's: of what figures narrowed two
    /// deviations either way, of what facts cut just what they left.
    pub fn bands(&self) -> Vec<(Coefficient, Band)> {
        let soft = self
            .estimates
            .iter()
            .filter_map(|one| match one.prior.unknown {
                Unknown::Soft(which) if one.only_cut || !one.is_unmoved() => {
                    Some((which, self.band(which, one)))
                }
                _ => None,
            });
        soft.collect()
    }

    fn band(&self, which: Coefficient, one: &Estimate) -> Band {
        let cut = self.cut.of(which).filter(|cut| cut.is_cut());
        match cut {
            Some(cut) if one.only_cut => cut.after,
            _ => {
                let allowed = one.prior.scale.allowed();
                let (least, most) = cut.map_or(allowed, |cut| (cut.after.low, cut.after.high));
                let value = |deviations| one.at(deviations).clamp(least, most);
                Band::new(value(-2.0), value(0.0), value(2.0))
            }
        }
    }

    /// `written`, the scenario's system, with what the fit moved at its estimate and the bands
    /// of [`bands`](Self::bands); what nothing was learnt of stays as it is.
    pub fn learnt(&self, written: &System) -> System {
        let moved = self.estimates.iter().filter(|one| !one.is_unmoved());
        let (priors, u): (Vec<Prior>, Vec<f64>) = moved.map(|one| (one.prior, one.offset)).unzip();
        let (mut system, _) = applied(written, &priors, &u);
        for (which, band) in self.bands() {
            system.coefficients.give(which, band);
        }
        system
    }
}

/// Spread over the prior's above which nothing was learnt.
const OPEN: f64 = 0.9;

/// Spread over the prior's below which an unknown is determined.
const FIXED: f64 = 0.5;

/// Estimates this close to the scenario's, and as wide, change nothing.
const UNMOVED: f64 = 0.005;
