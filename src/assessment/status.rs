//! What a verdict is made of: grades, subjects, the names of the checks.

use crate::model::{Band, System};
use crate::siphon::InflowWindow;

/// A verdict that can admit doubt: published limits span a factor of two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Even the unfavourable end of the band passes.
    Will,
    /// Inside the band.
    Uncertain,
    /// Even the favourable end fails.
    WillNot,
}

/// Result of a check, in rising order of trouble.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Within its limit.
    Pass,
    /// Near it, or uncertain.
    Warn,
    /// Past it.
    Fail,
}

/// Start and break of one siphon.
#[derive(Debug, Clone, PartialEq)]
pub struct BedVerdict {
    /// Inflow above which it starts `[m3/s]`.
    pub start_flow: Band,
    /// Inflow above which it runs on `[m3/s]`.
    pub run_on_flow: Band,
    /// Inflow above which it never comes down to the break level `[m3/s]`.
    pub stall_flow: Band,
    /// Inflow that its start is judged on: the least at its lip, or what the
    /// pump gave before it drew air `[m3/s]`.
    pub inflow_at_start: f64,
    /// Inflow that its break is judged on: the greatest at its break level, or
    /// what the pump gave before it drew air `[m3/s]`.
    pub inflow_at_break: f64,
    /// Whether it starts at its real inflow.
    pub will_start: Verdict,
    /// Whether it breaks at its real inflow.
    pub will_break: Verdict,
}

impl BedVerdict {
    /// Its flows as a window.
    pub fn window(&self) -> InflowWindow {
        InflowWindow {
            start: self.start_flow,
            run_on: self.run_on_flow,
            stall: self.stall_flow,
        }
    }
}

/// Lowest and highest sump level that volumes allow, elevations `[m]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SumpBounds {
    /// Every bed at its highest peak, pipes, bells and line full.
    pub low: f64,
    /// Every bed drained, pump off, supply drained back; may exceed the overflow.
    pub high: f64,
    /// Every siphon dead, every bed at its unprimed overflow.
    pub dead_siphons: f64,
}

/// Names of the checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CheckId {
    /// Dry media above peak water.
    DryLayer,
    /// Wall above the water when a siphon is dead.
    Rim,
    /// The siphon starts.
    Starts,
    /// The siphon breaks.
    Breaks,
    /// Inflow over siphon flow at break.
    InflowRatio,
    /// Cycles an hour.
    Period,
    /// Cover of the pump's intake.
    PumpCover,
    /// Sump under its overflow.
    SumpHigh,
    /// Drain line carries the siphons.
    DrainLine,
    /// Every gravity run falls.
    Fall,
    /// Pipes that come into the sump under its rim.
    SumpEntry,
    /// Growing height under the ceiling.
    Headroom,
    /// Level of the float valve.
    TopOff,
    /// Lowest water of the fish.
    TankLevel,
    /// Tank volumes an hour.
    Turnover,
    /// Settler loading.
    Settler,
    /// Weight on the floor (information).
    FloorLoad,
    /// Pressure under the cap.
    CrownPressure,
    /// Fish in their water (informs or warns).
    FishDensity,
    /// Feed against what the beds take (informs or warns).
    FishFeed,
    /// Time until the water is low in oxygen after a stop (informs or warns).
    FishOxygen,
    /// Dissolved matter after a season (informs or warns).
    Dissolved,
    /// Reach over a bed (informs or warns).
    Reach,
}

impl CheckId {
    /// Fixed key in JSON and reports.
    pub const fn key(self) -> &'static str {
        match self {
            Self::DryLayer => "dry-layer",
            Self::Rim => "rim",
            Self::Starts => "starts",
            Self::Breaks => "breaks",
            Self::InflowRatio => "inflow-ratio",
            Self::Period => "period",
            Self::PumpCover => "pump-cover",
            Self::SumpHigh => "sump-high",
            Self::DrainLine => "drain-line",
            Self::Fall => "fall",
            Self::SumpEntry => "sump-entry",
            Self::Headroom => "headroom",
            Self::TopOff => "top-off",
            Self::TankLevel => "tank-level",
            Self::Turnover => "turnover",
            Self::Settler => "settler",
            Self::FloorLoad => "floor-load",
            Self::CrownPressure => "crown-pressure",
            Self::FishDensity => "fish-density",
            Self::FishFeed => "fish-feed",
            Self::FishOxygen => "fish-oxygen",
            Self::Dissolved => "dissolved",
            Self::Reach => "reach",
        }
    }
}

/// What a check is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// A bed, by its place in the system's list.
    Bed(usize),
    /// All beds.
    Beds,
    /// The sump.
    Sump,
    /// The pump.
    Pump,
    /// The shared drain line.
    DrainLine,
    /// The slope of the shared drain line.
    LineSlope,
    /// The float valve.
    FloatValve,
    /// The fish tank.
    FishTank,
    /// The settler.
    Settler,
    /// The time that the settler holds the water.
    SettlerStay,
    /// The water of the whole system.
    Water,
}

impl Subject {
    /// The bed's name, or the fixed key of a part.
    pub fn name(self, system: &System) -> &str {
        match self {
            Self::Bed(i) => system.beds.get(i).map_or("?", |bed| &bed.name),
            Self::Beds => "beds",
            Self::Sump => "sump",
            Self::Pump => "pump",
            Self::DrainLine => "drain line",
            Self::LineSlope => "drain line slope",
            Self::FloatValve => "float valve",
            Self::FishTank => "fish tank",
            Self::Settler => "settler",
            Self::SettlerStay => "settler's stay",
            Self::Water => "water",
        }
    }
}

/// Unit of a check's value, limit and margin (SI).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckUnit {
    /// Metre: a length, or a distance.
    Metre,
    /// Metre above the room's datum.
    Elevation,
    /// Cubic metre per second.
    CubicMetrePerSecond,
    /// Second.
    Second,
    /// Pascal.
    Pascal,
    /// Pascal of floor load (N/m2).
    FloorLoad,
    /// Per hour.
    PerHour,
    /// Metre per second (surface loading).
    MetrePerSecond,
    /// Dimensionless.
    Ratio,
    /// Kilogram of fish per cubic metre of water.
    Stocking,
    /// Kilogram of feed per square metre and second.
    AreaFeed,
    /// Kilogram of dissolved matter per cubic metre.
    Dissolved,
}

impl CheckUnit {
    /// Symbol in JSON.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Metre | Self::Elevation => "m",
            Self::CubicMetrePerSecond => "m3/s",
            Self::Second => "s",
            Self::Pascal => "Pa",
            Self::FloorLoad => "N/m2",
            Self::PerHour => "1/h",
            Self::MetrePerSecond => "m/s",
            Self::Ratio => "1",
            Self::Stocking | Self::Dissolved => "kg/m3",
            Self::AreaFeed => "kg/(m2 s)",
        }
    }
}
