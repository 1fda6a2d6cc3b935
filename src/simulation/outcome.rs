//! The figures of a finished run.

use crate::model::Band;
use crate::simulation::{Event, EventKind, Recording, SiphonMode};

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
    /// Simulated time `[s]`.
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
    /// The vessel that the fish live in, if that is told: the tank, else the sump.
    pub tank: Option<TankOutcome>,
    /// Float valve, if there is one.
    pub top_off: Option<TopOffOutcome>,
    /// What the supply pipes did when the pump stopped.
    pub supply: SupplyOutcome,
    /// The incidents that happened, in time order.
    pub incidents: Vec<IncidentOutcome>,
    /// Water that appeared or vanished by rounding `[m3]`.
    pub residual: f64,
    /// Water in the system at t = 0, supply pipes included `[m3]`.
    pub water_at_start: f64,
    /// Beds that reached break within a minute of one another, in time order; the first
    /// thousand.
    pub coincidences: Vec<Coincidence>,
    /// How many times two beds did.
    pub meetings: usize,
    /// Events in time order: all, or of more than a million all but most of those that recur in
    /// the middle of the run.
    pub events: Vec<Event>,
    /// How many there were.
    pub event_count: usize,
    /// Series.
    pub recording: Recording,
    /// Work done.
    pub work: Work,
}

impl Run {
    /// Whether the siphon of bed `i` broke, whatever the reason.
    pub fn broke(&self, i: usize) -> bool {
        let mut events = self.events.iter();
        events.any(|event| event.kind == EventKind::Broke(i))
    }
}

/// Why a run ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RunEnd {
    /// The asked time was reached.
    TimeReached,
    /// Successive cycles agree.
    Settled {
        /// When the third agreeing cycle ended `[s]`.
        at: f64,
    },
    /// Nothing moves any more: the bed stands and neither fills nor empties.
    Standing {
        /// Since when `[s]`.
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
    /// The run ended before a cycle was complete, and nothing tells that none will be.
    Unfinished,
}

/// A stretch of one regime.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegimeSpan {
    /// From `[s]`.
    pub from: f64,
    /// To `[s]`.
    pub to: f64,
    /// What.
    pub regime: Regime,
}

/// Figures of one bed. Levels are the bed's, as elevations `[m]`.
#[derive(Debug, Clone)]
pub struct BedOutcome {
    /// Nominal regime at the end of the run.
    pub regime: Regime,
    /// Regime when the power was cut for good; `regime` where it was not.
    pub regime_powered: Regime,
    /// Inflow from the first break on, up to then `[m3/s]`.
    pub inflow_powered: Spread,
    /// What it comes to with power, as far as can be told: `regime_powered`, but for a bed
    /// without a complete cycle, which cycles if it has been over its lip and else never fills.
    pub tends_to: Regime,
    /// All regimes in time order.
    pub regimes: Vec<RegimeSpan>,
    /// Complete cycles, break to break: all, or of more than two thousand some, evenly spread,
    /// with the last and with those that have the lowest and highest figures of all.
    pub cycles: Vec<Cycle>,
    /// How many there were.
    pub cycle_count: usize,
    /// Highest level from the first break on (from t = 0 without one) `[m]`.
    pub peak_level: f64,
    /// Highest level before the first break `[m]`.
    pub first_peak_level: f64,
    /// Level at which it breaks, nominal `[m]`.
    pub break_level: f64,
    /// Inflow from the first break on `[m3/s]`.
    pub inflow: Spread,
    /// Least inflow while the bed stood between lip and start and the pump fed it, whole
    /// run `[m3/s]`.
    pub inflow_least_at_start: Option<f64>,
    /// Greatest inflow when the level came to the break level, whole run, the bed fed
    /// without a pause since its siphon ran full `[m3/s]`.
    pub inflow_most_at_break: Option<f64>,
    /// Least and greatest inflow while the pump fed the bed, whole run `[m3/s]`; `None`
    /// where it never did.
    pub inflow_pumped: Option<(f64, f64)>,
    /// Siphon flow when it first ran full, mean over cycles `[m3/s]`.
    pub siphon_flow_at_start: Option<f64>,
    /// Siphon flow just before the break, mean over cycles `[m3/s]`.
    pub siphon_flow_at_break: Option<f64>,
    /// Lowest absolute pressure under the cap `[Pa]`; the atmosphere's if it never ran full.
    pub crown_pressure_min: f64,
    /// Water over the wall `[m3]`.
    pub overflowed: f64,
    /// What came back up its drain.
    pub came_up: Option<CameUp>,
    /// What its siphon did at the end.
    pub last_mode: SiphonMode,
    /// Its level at the end, elevation `[m]`.
    pub last_level: f64,
    /// Its level at its last break, elevation `[m]`; `None`: it never broke.
    pub left_level: Option<f64>,
}

impl BedOutcome {
    /// Highest level in the run, first filling included `[m]`.
    pub fn highest_water(&self) -> f64 {
        self.peak_level.max(self.first_peak_level)
    }

    /// Mean of a figure over its cycles; `None` without any.
    pub fn mean(&self, of: impl Fn(&Cycle) -> f64) -> Option<f64> {
        let sum: f64 = self.cycles.iter().map(of).sum();
        (!self.cycles.is_empty()).then(|| sum / self.cycles.len() as f64)
    }
}

/// Water that the drain line pushed up into a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CameUp {
    /// Time during which it came `[s]`.
    pub time: f64,
    /// Largest flow `[m3/s]`.
    pub peak_flow: f64,
    /// Bed whose siphon ran largest then; `None` where the sump pushed.
    pub from: Option<usize>,
}

/// One cycle, break to break.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Break that begins it `[s]`.
    pub began: f64,
    /// Break to start of priming `[s]`.
    pub fill: f64,
    /// The part of that in which water went over the lip and did not prime the siphon `[s]`.
    pub trickle: f64,
    /// Start of priming to full bore `[s]`.
    pub prime: f64,
    /// Full bore to break `[s]`.
    pub drain: f64,
    /// Highest level `[m]`.
    pub peak_level: f64,
    /// Water that came in `[m3]`.
    pub water: f64,
    /// Sump level at the break that ends it `[m]`.
    pub sump_level: f64,
    /// Lowest and highest sump level over it `[m]`.
    pub sump_range: (f64, f64),
    /// Bed's level above its guard's at the break that ends it `[m]`: zero where no
    /// grain size is given.
    pub left_depth: f64,
    /// Water that this leaves behind above the break level `[m3]`.
    pub left_volume: f64,
}

impl Cycle {
    /// Break to break `[s]`.
    pub fn period(&self) -> f64 {
        self.fill + self.prime + self.drain
    }
}

/// Figures of the sump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SumpOutcome {
    /// Level over the whole run, elevation `[m]`.
    pub level: Spread,
    /// Highest level while the pump had power, its timer's pauses counted; without any power
    /// the whole run's `[m]`.
    pub highest_powered: f64,
    /// Time during which the pump drew air `[s]`.
    pub ran_dry: f64,
    /// Water over its overflow `[m3]`.
    pub overflowed: f64,
}

/// Figures of the vessel that the fish live in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TankOutcome {
    /// Level over the whole run, elevation `[m]`.
    pub level: Spread,
    /// Mean inflow over the whole run `[m3/s]`; of a sump, the pump's mean flow.
    pub inflow: f64,
    /// Times a mean inflow replaces its water in an hour `[1/h]`: of a tank, that up to
    /// its overflow; of a sump, that up to its mean level.
    pub turnover_per_hour: f64,
    /// Lowest level that a leak in the supply or a stuck pump can bring it to `[m]`: its
    /// overflow; lower with an inlet under water, down to the inlet's end or its
    /// anti-siphon hole, for a check valve at the pump does not hold what leaks above it;
    /// of a sump, where its pump draws air; never over the lowest of the run. A leak of the
    /// vessel itself is not counted.
    pub lowest_possible: f64,
    /// Water over its wall, or over the sump's overflow `[m3]`.
    pub overflowed: f64,
}

/// Figures of the float valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TopOffOutcome {
    /// Water added `[m3]`.
    pub added: f64,
    /// Water added a day [m3/day]: over the last whole day of a run of two days or
    /// more, else the run's mean.
    pub added_per_day: f64,
    /// Water lost to the air `[m3]`.
    pub evaporated: f64,
    /// Water added that the air did not take `[m3]`: the ratchet, part of which may
    /// have gone over the overflow.
    pub gained: f64,
    /// Most that was gained between two breaks of the bed that breaks first `[m3]`.
    pub most_gained_per_cycle: f64,
    /// When its reservoir was spent `[s]`.
    pub reservoir_spent: Option<f64>,
}

/// What the supply pipes did when the pump stopped.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SupplyOutcome {
    /// How often the pump stopped, by its timer or an incident.
    pub stops: u32,
    /// Most water that ran out of the pipes into the sump at one stop `[m3]`.
    pub drained_back: f64,
    /// Water that ran back out of vessels through inlets under water, whole run `[m3]`.
    pub siphoned_back: f64,
}

/// What followed an incident.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IncidentOutcome {
    /// Its place among the system's incidents.
    pub index: usize,
    /// When it happened `[s]`.
    pub time: f64,
    /// Lowest sump level from then to the end of the run `[m]`.
    pub lowest: f64,
    /// Highest sump level from then to the end of the run `[m]`.
    pub highest: f64,
}

/// Figures of the pump while it ran.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpOutcome {
    /// Flow `[m3/s]`.
    pub flow: Spread,
    /// Head, mean weighted by flow `[m]`; `None` where a measured flow leaves it unknown.
    pub head: Option<Spread>,
    /// Energy a day `[kWh]`; `None` when neither power nor efficiency is given.
    pub energy_kwh_day: Option<f64>,
    /// Time in which incidents had not stopped it `[s]`.
    pub powered: f64,
    /// Of that, the time in which it neither rested by its timer nor drew air `[s]`.
    pub pumping: f64,
}

/// Figures of the shared drain line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineOutcome {
    /// Largest flow at its lower end `[m3/s]`.
    pub peak_flow: f64,
    /// Most it carries by gravity, at y/D = 0.938 `[m3/s]`.
    pub capacity: f64,
    /// What it carries half full `[m3/s]`.
    pub half_full: f64,
    /// Largest depth over diameter, just above the junction where it is largest `[-]`.
    pub peak_fill: f64,
    /// The same over the bands of Manning's n and the entry factor, the flows those of the run `[-]`.
    pub fill: Band,
    /// A bed that joins where it stood fullest.
    pub fullest_bed: usize,
    /// Time during which it was under pressure at a junction or took more than its capacity `[s]`.
    pub surcharged: f64,
    /// Highest hydraulic grade at its upper end `[m]`.
    pub peak_grade: f64,
    /// Bed whose siphon ran largest at the peak.
    pub largest_bed: usize,
}

/// Two beds that broke close together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coincidence {
    /// The earlier break `[s]`.
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
