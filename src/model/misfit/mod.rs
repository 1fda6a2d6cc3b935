//! What cannot be built, or cannot work at any flow: the one list of such rules.
//!
//! The scenario reader turns a [`Misfit`] into file, line and key, the builder refuses
//! with it, and the studies name it where a change leads there. What is merely a bad
//! design is left to the checks of a run, which can say by how much and what to change.

mod rules;
mod system;
mod words;

pub(crate) use rules::{MOST_STARTS, Rules, manner, within};

use crate::hydraulics::vessel::VesselError;
use crate::units::table::Quantity;

/// A rule that a system breaks, with the values that break it. Lengths and
/// elevations in `[m]`, areas in `[m2]`, flows in `[m3/s]`.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
#[allow(
    missing_docs,
    reason = "the words of each variant say what it is, its fields what it holds"
)]
pub enum Misfit {
    // Single values.
    Impossible {
        what: &'static str,
        value: f64,
    },

    // Bed.
    NoBed,
    DuplicateName {
        name: String,
    },
    RimBelowFloor {
        rim: f64,
        floor: f64,
    },
    RimAboveShape {
        rim: f64,
        top: f64,
    },
    RimAboveCeiling {
        rim: f64,
        ceiling: f64,
    },
    MediaAboveRim {
        depth: f64,
        wall: f64,
    },
    BedStartLevel {
        level: f64,
        floor: f64,
        rim: f64,
    },
    GuardInsideBell {
        guard: f64,
        bell: f64,
    },
    WiderThanBed {
        what: &'static str,
        diameter: f64,
        width: f64,
    },
    GuardOpenings {
        openings: f64,
        wall: f64,
    },

    // Standpipe and bell.
    OutsideWithinBore {
        outside: f64,
        bore: f64,
    },
    FlareBelowBore {
        flare: f64,
        bore: f64,
    },
    LipWiderThanBell {
        lip: f64,
        bell: f64,
    },
    BellInsideStandpipe {
        bell: f64,
        standpipe: f64,
    },
    LipAboveRim {
        lip: f64,
        rim: f64,
    },
    SlotsAboveLip {
        crown: f64,
        lip: f64,
    },
    AirTubeAboveLip {
        mouth: f64,
        lip: f64,
    },
    SlotsRoundBell {
        slots: f64,
        girth: f64,
    },
    AirTubeInBell {
        tube: f64,
        bell: f64,
    },

    // Drain.
    OutletAboveBreak {
        outlet: f64,
        break_level: f64,
    },
    OutletAboveFloor {
        outlet: f64,
        floor: f64,
    },
    OutletBelowSump {
        outlet: f64,
        sump_floor: f64,
    },
    OutletBelowLine {
        outlet: f64,
        invert: f64,
    },
    JunctionBeyondLine {
        at: f64,
        length: f64,
    },
    NoLine,
    LineBelowSump {
        outlet: f64,
        sump_floor: f64,
    },

    // Vessels.
    Shape(VesselError),
    OverflowBelowFloor {
        overflow: f64,
        floor: f64,
    },
    OverflowAboveTop {
        overflow: f64,
        top: f64,
    },
    OverflowAboveCeiling {
        overflow: f64,
        ceiling: f64,
    },
    StartLevel {
        level: f64,
        floor: f64,
        overflow: f64,
    },
    IntakeOutsideSump {
        intake: f64,
        floor: f64,
        overflow: f64,
    },
    CoverAboveOverflow {
        needed: f64,
        overflow: f64,
    },
    TopOffLevel {
        level: f64,
        floor: f64,
        overflow: f64,
    },
    NoSurface {
        level: f64,
    },

    // Pump, supply, inlets.
    EfficiencyWithoutCurve,
    /// More starts of the pump than one run can follow.
    TimerStarts {
        starts: f64,
        most: f64,
    },
    ShareWithoutSteadyFlow,
    MixedInlets {
        first: String,
        one: &'static str,
        second: String,
        other: &'static str,
    },
    SharesAboveOne {
        sum: f64,
    },
    FlowsAbovePump {
        sum: f64,
        pump: f64,
    },
    InletBelowFloor {
        level: f64,
        floor: f64,
    },
    InletAboveCeiling {
        level: f64,
        ceiling: f64,
    },
    BedsCutOff,
    PumpedInflow,

    // The rest.
    NoPart {
        what: &'static str,
    },
    NoSuchBed {
        index: usize,
    },
    BandOrder {
        low: f64,
        nominal: f64,
        high: f64,
    },
    LimitOrder {
        less: &'static str,
        low: f64,
        more: &'static str,
        high: f64,
        /// What both measure; `None`: a ratio.
        quantity: Option<Quantity>,
    },
}
