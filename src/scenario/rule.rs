//! Rules that tie several values together: those of the model, and those that only a
//! file can break, by what it leaves out or says twice.

use std::fmt;

use thiserror::Error;

use crate::hydraulics::pump_curve::PumpCurveError;
use crate::model::Misfit;
use crate::units::UnitSystem;
use crate::units::display::plain;
use crate::units::table::{Quantity, significant};

/// A value that prints in the units of the file it came from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// In SI.
    pub value: f64,
    /// What it measures.
    pub quantity: Quantity,
    /// Units of the file.
    pub system: UnitSystem,
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.quantity.text(self.value, self.system))
    }
}

/// A rule that the file breaks, with the values that break it. Lengths and
/// elevations in `[m]`, areas in `[m2]`, flows in `[m3/s]`; hours in `[h]`.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
#[allow(
    missing_docs,
    reason = "the message of each variant says what it is, its fields what it holds"
)]
pub enum Rule {
    /// A rule of the model, whoever built the system.
    #[error("{}", .misfit.words(*.system))]
    Misfit { misfit: Misfit, system: UnitSystem },

    // Drain.
    #[error("there is no [drain-line] in this file")]
    NoLine,
    #[error("a place along the line has no meaning for a siphon that drains into the sump")]
    JunctionWithoutLine,
    #[error(
        "the length along the pipe, {length}, is shorter than the way straight down from lip to outlet, {drop}"
    )]
    LengthBelowDrop { length: Figure, drop: Figure },
    #[error("a standpipe of {bore} bore is narrower than the law of the start reaches, {least}")]
    BoreBelowLaw { bore: Figure, least: Figure },
    #[error("no siphon drains into the line")]
    UnusedLine,

    // Vessels.
    #[error("the first depth of the table is {depth}, not 0, the bottom")]
    TableStart { depth: Figure },
    #[error("depth {row} of the table, {depth}, is not above the one before it")]
    TableOrder { row: usize, depth: Figure },
    #[error("the table has {depths} depths and {areas} areas; each depth needs its area")]
    TableSize { depths: usize, areas: usize },

    // Pump, supply, inlets.
    #[error("{0}")]
    PumpCurve(PumpCurveError),
    #[error("nothing says how much the pump gives")]
    NoPumpSource,
    #[error("no [supply] leads from the pump to the inlets")]
    NoSupply,
    #[error("this bed has no inlet")]
    NoInlet,
    #[error("nothing flows through this branch: the beds are not fed by pipes from the manifold")]
    UnusedBranch,
    #[error("\"{nominal}\" is not a size of {series}")]
    UnknownSize {
        nominal: String,
        series: &'static str,
    },

    // The rest.
    #[error("there is no water for the fish")]
    NoWaterForFish,
    #[error("nothing flows into the settler")]
    UnusedSettler,
    #[error("\"{}\" is no key of this file", plain(.key))]
    KeptKey { key: String },
    #[error("there is no bed \"{name}\"")]
    UnknownBed { name: String },
    #[error("the event at {} h comes after the run has ended, at {} h", significant(*.at, 6), significant(*.end, 6))]
    EventAfterEnd { at: f64, end: f64 },
}
