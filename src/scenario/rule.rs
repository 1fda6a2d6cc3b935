//! Rules that tie several values together.
//!
//! Only what cannot be built or cannot work at any flow is refused here. What
//! is merely a bad design is left to the checks of a run, which can say by how
//! much and what to change.

use std::fmt;

use thiserror::Error;

use crate::hydraulics::pump_curve::PumpCurveError;
use crate::hydraulics::vessel::VesselError;
use crate::units::UnitSystem;
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
    // Bed.
    #[error("two beds are named \"{name}\"")]
    DuplicateName { name: String },
    #[error("the rim at {rim} is not above the bed floor at {floor}")]
    RimBelowFloor { rim: Figure, floor: Figure },
    #[error("the rim at {rim} is above the top of the shape at {top}")]
    RimAboveShape { rim: Figure, top: Figure },
    #[error("the rim at {rim} is not below the ceiling at {ceiling}")]
    RimAboveCeiling { rim: Figure, ceiling: Figure },
    #[error("{depth} of media do not fit under the rim, {wall} above the bed floor")]
    MediaAboveRim { depth: Figure, wall: Figure },
    #[error("the start level {level} is not between the bed floor at {floor} and the rim at {rim}")]
    BedStartLevel {
        level: Figure,
        floor: Figure,
        rim: Figure,
    },
    #[error("the guard, {guard} wide inside, does not go over the bell, {bell} wide outside")]
    GuardInsideBell { guard: Figure, bell: Figure },
    #[error("{what}, {diameter} wide, does not fit in the bed, {width} wide")]
    WiderThanBed {
        what: &'static str,
        diameter: Figure,
        width: Figure,
    },
    #[error(
        "the openings of {openings} are more than the whole wall of the guard in the media, {wall}"
    )]
    GuardOpenings { openings: Figure, wall: Figure },

    // Standpipe and bell.
    #[error("the outside diameter {outside} is not larger than the bore {bore}")]
    OutsideWithinBore { outside: Figure, bore: Figure },
    #[error("the flared lip of {flare} is narrower than the bore of {bore}")]
    FlareBelowBore { flare: Figure, bore: Figure },
    #[error("the lip, {lip} wide, does not fit in the bell's bore of {bell}")]
    LipWiderThanBell { lip: Figure, bell: Figure },
    #[error("the bell's bore of {bell} does not go over the standpipe, {standpipe} wide outside")]
    BellInsideStandpipe { bell: Figure, standpipe: Figure },
    #[error(
        "the lip at {lip} is not below the rim at {rim}: the bed spills before the siphon starts"
    )]
    LipAboveRim { lip: Figure, rim: Figure },
    #[error(
        "the crown of the slots, {crown} above the bed floor, is not below the lip, {lip} above it"
    )]
    SlotsAboveLip { crown: Figure, lip: Figure },
    #[error(
        "the mouth of the air tube, {mouth} above the bed floor, is not below the lip, {lip} above it"
    )]
    AirTubeAboveLip { mouth: Figure, lip: Figure },
    #[error("slots of {slots} together do not fit round a bell of {girth}")]
    SlotsRoundBell { slots: Figure, girth: Figure },
    #[error("the air tube's bore of {tube} does not fit in the bell's bore of {bell}")]
    AirTubeInBell { tube: Figure, bell: Figure },

    // Drain.
    #[error(
        "the outlet at {outlet} is not below the break level at {break_level}: nothing draws the bed down"
    )]
    OutletAboveBreak { outlet: Figure, break_level: Figure },
    #[error("the outlet at {outlet} is not below the bed floor at {floor}")]
    OutletAboveFloor { outlet: Figure, floor: Figure },
    #[error("the outlet at {outlet} is below the sump's bottom at {sump_floor}")]
    OutletBelowSump { outlet: Figure, sump_floor: Figure },
    #[error("the outlet at {outlet} is below the drain line's invert at its junction, {invert}")]
    OutletBelowLine { outlet: Figure, invert: Figure },
    #[error("the junction is {at} up a line that is {length} long")]
    JunctionBeyondLine { at: Figure, length: Figure },
    #[error("there is no [drain-line] in this file")]
    NoLine,
    #[error("a place along the line has no meaning for a siphon that drains into the sump")]
    JunctionWithoutLine,
    #[error("the line's outlet at {outlet} is below the sump's bottom at {sump_floor}")]
    LineBelowSump { outlet: Figure, sump_floor: Figure },
    #[error("the developed length {length} is shorter than the drop from lip to outlet, {drop}")]
    LengthBelowDrop { length: Figure, drop: Figure },
    #[error("no siphon drains into the line")]
    UnusedLine,

    // Vessels.
    #[error("{0}")]
    Shape(VesselError),
    #[error("the first depth of the table is {depth}, not 0, the bottom")]
    TableStart { depth: Figure },
    #[error("depth {row} of the table, {depth}, is not above the one before it")]
    TableOrder { row: usize, depth: Figure },
    #[error("the table has {depths} depths and {areas} areas; each depth needs its area")]
    TableSize { depths: usize, areas: usize },
    #[error("the overflow at {overflow} is not above the bottom at {floor}")]
    OverflowBelowFloor { overflow: Figure, floor: Figure },
    #[error("the overflow at {overflow} is above the top of the shape at {top}")]
    OverflowAboveTop { overflow: Figure, top: Figure },
    #[error("the overflow at {overflow} is not below the ceiling at {ceiling}")]
    OverflowAboveCeiling { overflow: Figure, ceiling: Figure },
    #[error(
        "the start level {level} is not between the bottom at {floor} and the overflow at {overflow}"
    )]
    StartLevel {
        level: Figure,
        floor: Figure,
        overflow: Figure,
    },
    #[error(
        "the intake at {intake} is not between the sump's bottom at {floor} and its overflow at {overflow}"
    )]
    IntakeOutsideSump {
        intake: Figure,
        floor: Figure,
        overflow: Figure,
    },
    #[error("the pump needs water up to {needed}, but the sump overflows at {overflow}")]
    CoverAboveOverflow { needed: Figure, overflow: Figure },
    #[error(
        "the float valve's level {level} is not between the sump's bottom at {floor} and its overflow at {overflow}"
    )]
    TopOffLevel {
        level: Figure,
        floor: Figure,
        overflow: Figure,
    },

    // Pump, supply, inlets.
    #[error("{0}")]
    PumpCurve(PumpCurveError),
    #[error("an efficiency needs a pump curve, to know the head")]
    EfficiencyWithoutCurve,
    #[error("nothing says how much the pump gives")]
    NoPumpSource,
    #[error("no [supply] leads from the pump to the inlets")]
    NoSupply,
    #[error("this bed has no inlet")]
    NoInlet,
    #[error("a share needs a pump with steady-flow, not a curve")]
    ShareWithoutSteadyFlow,
    #[error(
        "bed \"{first}\" is fed by {one}, bed \"{second}\" by {other}; all must be fed in the same way"
    )]
    MixedInlets {
        first: String,
        one: &'static str,
        second: String,
        other: &'static str,
    },
    #[error("the shares add up to {}, more than 1", significant(*.sum, 6))]
    SharesAboveOne { sum: f64 },
    #[error("the beds take {sum} together, more than the pump's steady flow of {pump}")]
    FlowsAbovePump { sum: Figure, pump: Figure },
    #[error("the inlet at {level} is below the bed floor at {floor}")]
    InletBelowFloor { level: Figure, floor: Figure },
    #[error("the outlet at {level} is not below the ceiling at {ceiling}")]
    InletAboveCeiling { level: Figure, ceiling: Figure },
    #[error(
        "the pump's whole flow goes into the tank, and the tank does not overflow to the beds: nothing feeds them"
    )]
    BedsCutOff,
    #[error("nothing flows through the bypass: the beds are not fed by pipes from the manifold")]
    UnusedBypass,
    #[error("\"{nominal}\" is not a size of {series}")]
    UnknownSize {
        nominal: String,
        series: &'static str,
    },

    // The rest.
    #[error("nothing flows into the settler")]
    UnusedSettler,
    #[error("the settler has no water surface at its overflow, {level}")]
    NoSurface { level: Figure },
    #[error("there is no bed \"{name}\"")]
    UnknownBed { name: String },
    #[error("the event at {} h comes after the run has ended, at {} h", significant(*.at, 6), significant(*.end, 6))]
    EventAfterEnd { at: f64, end: f64 },
    #[error("low, nominal and high are not in rising order: {}, {}, {}", significant(*.low, 6), significant(*.nominal, 6), significant(*.high, 6))]
    BandOrder { low: f64, nominal: f64, high: f64 },
    #[error("{less} is {low}, more than {more} of {high}")]
    LimitOrder {
        less: &'static str,
        low: String,
        more: &'static str,
        high: String,
    },
}
