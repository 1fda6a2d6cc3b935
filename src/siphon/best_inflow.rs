//! The inflow to aim at between start and break.

use crate::model::Band;
use crate::numerics::root::{Until, halve};

/// Flows nearer than this share are one to a bucket `[-]`; ours.
pub const SAME_FLOW: f64 = 0.02;

/// The inflow to aim at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestInflow {
    /// The flow `[m3/s]`.
    pub flow: f64,
    /// How far it can be trusted.
    pub trust: Trust,
}

/// How far the best inflow can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trust {
    /// Starts and breaks whatever the coefficients are: the middle of the certain window.
    Certain,
    /// Starts and breaks with the nominal coefficients; the bands leave doubt.
    Nominal,
    /// With the nominal coefficients no inflow does both; some within the bands do.
    Doubtful,
    /// No inflow does both, whatever the coefficients are within their bands.
    Hopeless,
}

/// The middle of the certain window; without one, the inflow whose smaller
/// margin, in units of the band on that side, is largest.
///
/// A margin is 1 at the certain end of a band, 0 at its nominal and -1 at its
/// favourable end, linear between and beyond.
pub fn best_inflow(start: Band, breaks_below: Band) -> BestInflow {
    if start.high < breaks_below.low {
        let flow = 0.5 * (start.high + breaks_below.low);
        return BestInflow {
            flow,
            trust: Trust::Certain,
        };
    }
    let over_start = |q: f64| {
        margin(
            q - start.nominal,
            start.nominal - start.low,
            start.high - start.nominal,
        )
    };
    let under_break = |q: f64| {
        margin(
            breaks_below.nominal - q,
            breaks_below.high - breaks_below.nominal,
            breaks_below.nominal - breaks_below.low,
        )
    };
    // One margin rises with the inflow and the other falls.
    let ends = (0.0, start.high.max(breaks_below.high));
    // More halvings than a number has digits.
    let (low, high) = halve(ends, Until::Halvings(200), |q| {
        over_start(q) < under_break(q)
    });
    let trust = if start.nominal < breaks_below.nominal {
        Trust::Nominal
    } else if start.low < breaks_below.high {
        Trust::Doubtful
    } else {
        Trust::Hopeless
    };
    BestInflow {
        flow: 0.5 * (low + high),
        trust,
    }
}

/// Distance `inside` the nominal edge over the half band on that side.
fn margin(inside: f64, bad_half: f64, good_half: f64) -> f64 {
    // A band without width judges by the sign alone.
    const NARROWEST: f64 = 1e-12;
    inside
        / if inside < 0.0 {
            bad_half.max(NARROWEST)
        } else {
            good_half.max(NARROWEST)
        }
}
