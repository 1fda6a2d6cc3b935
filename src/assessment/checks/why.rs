//! Why a check came out as it did: values, no words.
//!
//! Each reason stands beside its check in `checks`; its words, in the units of a reader,
//! in `report::check_words`. Figures are SI; beds are places in the system's list.

pub use crate::assessment::checks::breaks::{BreakSeen, BreaksWhy, PastIt};
pub use crate::assessment::checks::crown::CrownWhy;
pub use crate::assessment::checks::cycle::PeriodWhy;
pub use crate::assessment::checks::drain::{CameUp, DrainLineWhy, MayComeUp};
pub use crate::assessment::checks::entry::SumpEntryWhy;
pub use crate::assessment::checks::fall::{FallWhy, LineFallWhy, Receiver};
pub use crate::assessment::checks::floor::LoadWhy;
pub use crate::assessment::checks::garden::{
    DensityWhy, DissolvedWhy, FeedWhy, OxygenWhy, ReachWhy,
};
pub use crate::assessment::checks::headroom::HeadroomWhy;
pub use crate::assessment::checks::inflow_ratio::InflowRatioWhy;
pub use crate::assessment::checks::levels::DryLayerWhy;
pub use crate::assessment::checks::line_slope::LineSlopeWhy;
pub use crate::assessment::checks::low_rim::LowRimWhy;
pub use crate::assessment::checks::rim::{Blocked, BlockedWay, RimWhy};
pub use crate::assessment::checks::settler::{LoadingWhy, RetentionWhy, WantedSettler};
pub use crate::assessment::checks::starts::{Meanwhile, StartReason, StartsWhy};
pub use crate::assessment::checks::sump::{PumpCoverWhy, SumpHighWhy, SumpSeen};
pub use crate::assessment::checks::tank::TurnoverWhy;
pub use crate::assessment::checks::tank_fall::{FallEnd, TankFallWhy};
pub use crate::assessment::checks::tank_level::{DepthNeeded, HeldBy, SumpDepthWhy, TankDepthWhy};
pub use crate::assessment::checks::top_off::TopOffWhy;
pub use crate::assessment::ways_in::{Comes, OpenHole};

/// Why, one variant for each thing that is checked.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// Dry gravel over the highest water.
    DryLayer(DryLayerWhy),
    /// Wall over a dead siphon's water.
    Rim(RimWhy),
    /// Inflow against the start flow.
    Starts(StartsWhy),
    /// Inflow against run-on and stall.
    Breaks(BreaksWhy),
    /// Inflow over siphon flow.
    InflowRatio(InflowRatioWhy),
    /// Pressure under the cap.
    Crown(CrownWhy),
    /// Time from break to break.
    Period(PeriodWhy),
    /// Fall of a bed's drain.
    Fall(FallWhy),
    /// Fall of the drain line's end.
    LineFall(LineFallWhy),
    /// Fall from fish tank or settler.
    TankFall(TankFallWhy),
    /// Pipes that come into the sump under its rim.
    SumpEntry(SumpEntryWhy),
    /// Growing height.
    Headroom(HeadroomWhy),
    /// Weight of a bed over its own plan.
    BedLoad(LoadWhy),
    /// Weight of the sump over its own plan.
    SumpLoad(LoadWhy),
    /// Cover of the pump's intake.
    PumpCover(PumpCoverWhy),
    /// Room under the sump's overflow.
    SumpHigh(SumpHighWhy),
    /// Flow in the drain line.
    DrainLine(DrainLineWhy),
    /// Slope of the drain line.
    LineSlope(LineSlopeWhy),
    /// Level of the float valve.
    TopOff(TopOffWhy),
    /// Lowest water of a fish tank.
    TankDepth(TankDepthWhy),
    /// Lowest water of a sump with fish.
    SumpDepth(SumpDepthWhy),
    /// Turnover of the fish's water.
    Turnover(TurnoverWhy),
    /// The size that a settler wants.
    WantedSettler(WantedSettler),
    /// Loading of a settler's surface.
    SettlerLoading(LoadingWhy),
    /// Time that a settler holds the water.
    SettlerRetention(RetentionWhy),
    /// Fish in their water.
    Density(DensityWhy),
    /// Feed for the beds.
    Feed(FeedWhy),
    /// Oxygen after a stop.
    Oxygen(OxygenWhy),
    /// What evaporation leaves behind.
    Dissolved(DissolvedWhy),
    /// Reach over a bed.
    Reach(ReachWhy),
}
