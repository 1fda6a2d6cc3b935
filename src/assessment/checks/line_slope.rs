//! How steep the shared drain line lies.

use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::model::{Change, DrainLine, Quantity};
use crate::units::amounts::{self, Side};

/// Bore up to which a pipe counts as 2 1/2 in or less `[m]`: Schedule 40 has 62.7 mm, 75 mm waste
/// pipe 69 mm.
const SMALL_LINE: f64 = 0.070;

/// Least slope of a small line and of a wider one `[-]`.
const SMALL_SLOPE: f64 = 0.02;

const WIDE_SLOPE: f64 = 0.01;

/// Room kept between a siphon's outlet and the invert of a re-laid line `[m]`.
pub(super) const OVER_INVERT: f64 = 0.005;

/// How steep the drain line lies.
#[derive(Debug, Clone, PartialEq)]
pub struct LineSlopeWhy {
    /// Its bore `[m]`.
    pub bore: f64,
    /// Its slope `[-]`.
    pub slope: f64,
    /// Slope that is usual for that size `[-]`.
    pub usual: f64,
}

pub(super) fn least_slope(line: &DrainLine) -> f64 {
    if line.run.bore <= SMALL_LINE {
        SMALL_SLOPE
    } else {
        WIDE_SLOPE
    }
}

/// Slope of the line against plumbing practice.
pub(super) fn line_slope(facts: &Facts) -> Option<Check> {
    let line = facts.parts.system.drain_line.as_ref()?;
    let limit = least_slope(line);
    // A quarter inch per foot is written as 2.08 %, one eighth as 1.04 %.
    let status = if line.slope >= limit - 1e-6 {
        Status::Pass
    } else {
        Status::Warn
    };
    Some(Check {
        id: CheckId::DrainLine,
        subject: Subject::LineSlope,
        status,
        value: line.slope,
        limit,
        margin: line.slope - limit,
        unit: CheckUnit::Ratio,
        why: Why::LineSlope(LineSlopeWhy {
            bore: line.run.bore,
            slope: line.slope,
            usual: limit,
        }),
        basis: "plumbing practice: 1/4 in per foot to 2 1/2 in, 1/8 in per foot above (IPC table \
                704.1, read in a city code)",
    })
}

/// The line's upper end raised to the usual slope; its lower end stays.
pub(super) fn slope_fixes(facts: &Facts, why: &LineSlopeWhy) -> Vec<Fix> {
    let Some(line) = &facts.parts.system.drain_line else {
        return Vec::new();
    };
    let rise = (why.usual - why.slope) * line.run.length;
    let rise = amounts::length(facts.parts.tape, rise, Side::Up);
    let slope = why.slope + rise / line.run.length;
    vec![Fix::of([Change::set(Quantity::LineSlope, slope)])]
}
