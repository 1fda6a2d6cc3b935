//! Time stepping with located events.

mod outcome;
mod recording;

pub use outcome::{
    BedOutcome, Coincidence, Cycle, LineOutcome, PumpOutcome, Regime, RegimeSpan, Run, RunEnd,
    Spread, SumpOutcome, Work,
};
pub use recording::{BedSeries, Event, Recording, Sampling};

/// What a siphon does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SiphonMode {
    /// Below the lip; nothing flows.
    Filling,
    /// Over the lip, pipe not full.
    Spilling,
    /// Carrying the cap's air away.
    Priming,
    /// Pipe full.
    FullBore,
    /// At the break level, air and water together.
    RunningOn,
}

/// What can happen. Numbers are indices of beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum EventKind {
    /// The level reached the lip.
    LipReached(usize),
    /// The level fell below the lip again.
    LipLeft(usize),
    /// Lip flow reached the start flow; priming begins.
    PrimingBegan(usize),
    /// Lip flow fell back; priming given up.
    PrimingLost(usize),
    /// The pipe runs full.
    FullBoreBegan(usize),
    /// The siphon broke.
    Broke(usize),
    /// At the break level it runs on instead of breaking.
    RunOnBegan(usize),
    /// Water began to go over the bed's wall.
    BedOverflowBegan(usize),
    /// Water stopped going over the bed's wall.
    BedOverflowEnded(usize),
    /// The bed's water covered or uncovered the end of its inlet.
    InletCovered(usize),
    /// The pump drew air.
    PumpRanDry,
    /// The pump has water again.
    PumpRecovered,
    /// The timer switched the pump on.
    PumpSwitchedOn,
    /// The timer switched the pump off.
    PumpSwitchedOff,
    /// The sump began to spill.
    SumpOverflowBegan,
    /// The sump stopped spilling.
    SumpOverflowEnded,
    /// The drain line came under pressure.
    LineSurcharged,
    /// The drain line runs part full again.
    LineRelieved,
}
