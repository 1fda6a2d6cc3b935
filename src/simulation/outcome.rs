//! The figures of a finished run.

use crate::simulation::{Event, Recording, SiphonMode};

/// Mean and extremes of a quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Mean.
    pub mean: f64,
    /// Smallest.
    pub min: f64,
    /// Largest.
    pub max: f64,
}

/// A finished run.
#[derive(Debug, Clone)]
pub struct Run {
    /// Simulated time [s].
    pub duration: f64,
    /// Why it ended.
    pub ended: RunEnd,
    /// One per bed, in file order.
    pub beds: Vec<BedOutcome>,
    /// Sump.
    pub sump: SumpOutcome,
    /// Pump.
    pub pump: PumpOutcome,
    /// Shared drain line, if there is one.
    pub line: Option<LineOutcome>,
    /// Water that appeared or vanished by rounding [m3].
    pub residual: f64,
    /// Water in the system at t = 0 [m3].
    pub water_at_start: f64,
    /// Beds that reached break within a minute of one another, in time order.
    pub coincidences: Vec<Coincidence>,
    /// Every event, in time order.
    pub events: Vec<Event>,
    /// Series.
    pub recording: Recording,
    /// Work done.
    pub work: Work,
}

/// Why a run ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunEnd {
    /// The asked time was reached.
    TimeReached,
    /// Successive cycles agree.
    Settled {
        /// When the third agreeing cycle ended [s].
        at: f64,
    },
    /// Nothing moves any more: the bed stands and neither fills nor empties.
    Standing {
        /// Since when [s].
        since: f64,
    },
}

/// What a bed does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Regime {
    /// Floods, starts, empties and breaks.
    Cycles,
    /// Stands just over the lip and spills for ever.
    Dribbles,
    /// Runs full and settles above its break level.
    Stalls,
    /// Reaches the break level and runs on, swallowing air.
    RunsOn,
    /// Water goes over the wall.
    Overflows,
    /// Never reaches the lip.
    NeverFills,
}

/// A stretch of one regime.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegimeSpan {
    /// From [s].
    pub from: f64,
    /// To [s].
    pub to: f64,
    /// What.
    pub regime: Regime,
}

/// Figures of one bed. Levels are the bed's, as elevations [m].
#[derive(Debug, Clone)]
pub struct BedOutcome {
    /// Nominal regime at the end of the run.
    pub regime: Regime,
    /// All regimes in time order.
    pub regimes: Vec<RegimeSpan>,
    /// Complete cycles, break to break.
    pub cycles: Vec<Cycle>,
    /// Highest level from the first break on (from t = 0 without one) [m].
    pub peak_level: f64,
    /// Highest level before the first break [m].
    pub first_peak_level: f64,
    /// Level at which it breaks, nominal [m].
    pub break_level: f64,
    /// Inflow from the first break on [m3/s].
    pub inflow: Spread,
    /// Least inflow while the bed stood between lip and start, whole run [m3/s].
    pub inflow_least_at_start: Option<f64>,
    /// Greatest inflow when the level came to the break level, whole run [m3/s].
    pub inflow_most_at_break: Option<f64>,
    /// Siphon flow when it first ran full, mean over cycles [m3/s].
    pub siphon_flow_at_start: Option<f64>,
    /// Siphon flow just before the break, mean over cycles [m3/s].
    pub siphon_flow_at_break: Option<f64>,
    /// Lowest absolute pressure under the cap [Pa]; the atmosphere's if it never ran full.
    pub crown_pressure_min: f64,
    /// Water over the wall [m3].
    pub overflowed: f64,
    /// What its siphon did at the end.
    pub last_mode: SiphonMode,
}

/// One cycle, break to break.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Break that begins it [s].
    pub began: f64,
    /// Break to start of priming [s].
    pub fill: f64,
    /// Start of priming to full bore [s].
    pub prime: f64,
    /// Full bore to break [s].
    pub drain: f64,
    /// Highest level [m].
    pub peak_level: f64,
    /// Water that came in [m3].
    pub water: f64,
    /// Sump level at the break that ends it [m].
    pub sump_level: f64,
}

impl Cycle {
    /// Break to break [s].
    pub fn period(&self) -> f64 {
        self.fill + self.prime + self.drain
    }
}

/// Figures of the sump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SumpOutcome {
    /// Level over the whole run, elevation [m].
    pub level: Spread,
    /// Time during which the pump drew air [s].
    pub ran_dry: f64,
    /// Water over its overflow [m3].
    pub overflowed: f64,
}

/// Figures of the pump while it ran.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpOutcome {
    /// Flow [m3/s].
    pub flow: Spread,
    /// Head, mean weighted by flow [m]; `None` where a measured flow leaves it unknown.
    pub head: Option<Spread>,
    /// Energy a day [kWh]; `None` when neither power nor efficiency is given.
    pub energy_kwh_day: Option<f64>,
}

/// Figures of the shared drain line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineOutcome {
    /// Largest flow at its lower end [m3/s].
    pub peak_flow: f64,
    /// Most it carries by gravity, at y/D = 0.938 [m3/s].
    pub capacity: f64,
    /// What it carries half full [m3/s].
    pub half_full: f64,
    /// Largest depth over diameter [-].
    pub peak_fill: f64,
    /// Time during which it was under pressure somewhere [s].
    pub surcharged: f64,
    /// Highest hydraulic grade at its upper end [m].
    pub peak_grade: f64,
    /// Bed whose siphon ran largest at the peak.
    pub largest_bed: usize,
}

/// Two beds that broke close together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coincidence {
    /// The earlier break [s].
    pub time: f64,
    /// First bed.
    pub first: usize,
    /// Second bed.
    pub second: usize,
}

/// Work done by a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Work {
    /// Accepted integration steps.
    pub steps: u64,
    /// Evaluations of the right-hand side.
    pub evaluations: u64,
    /// Located events.
    pub events: u64,
}
