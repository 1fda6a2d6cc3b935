//! Time stepping with located events.

mod engine;
mod error;
mod modes;
mod observer;
mod outcome;
mod plant;
mod recording;
mod regimes;
mod stretch;
mod watch;

pub use engine::{Stepping, simulate, simulate_by, simulate_with};
pub use error::SimulationError;

pub use outcome::{
    BedOutcome, Coincidence, Cycle, LineOutcome, PumpOutcome, Regime, RegimeSpan, Run, RunEnd,
    Spread, SumpOutcome, Work,
};
pub use recording::{BedSeries, Event, Recording, Sampling};

use crate::model::System;

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
    /// The bed's water covered the end of its inlet.
    InletCovered(usize),
    /// The bed's water left the end of its inlet.
    InletUncovered(usize),
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

impl EventKind {
    /// What happened, in words, with the bed's name.
    pub fn in_words(self, system: &System) -> String {
        let bed = |i: usize| system.beds.get(i).map_or("?", |bed| bed.name.as_str());
        match self {
            Self::LipReached(i) => format!("{} reaches its lip", bed(i)),
            Self::LipLeft(i) => format!("{} falls below its lip", bed(i)),
            Self::PrimingBegan(i) => format!("{} begins to prime", bed(i)),
            Self::PrimingLost(i) => format!("{} stops priming", bed(i)),
            Self::FullBoreBegan(i) => format!("{} runs full", bed(i)),
            Self::Broke(i) => format!("{} breaks", bed(i)),
            Self::RunOnBegan(i) => format!("{} runs on", bed(i)),
            Self::BedOverflowBegan(i) => format!("{} overflows", bed(i)),
            Self::BedOverflowEnded(i) => format!("{} stops overflowing", bed(i)),
            Self::InletCovered(i) => format!("{} covers its inlet", bed(i)),
            Self::InletUncovered(i) => format!("{} uncovers its inlet", bed(i)),
            Self::PumpRanDry => "the pump draws air".to_owned(),
            Self::PumpRecovered => "the pump has water again".to_owned(),
            Self::PumpSwitchedOn => "the pump is switched on".to_owned(),
            Self::PumpSwitchedOff => "the pump is switched off".to_owned(),
            Self::SumpOverflowBegan => "the sump overflows".to_owned(),
            Self::SumpOverflowEnded => "the sump stops overflowing".to_owned(),
            Self::LineSurcharged => "the drain line comes under pressure".to_owned(),
            Self::LineRelieved => "the drain line is free again".to_owned(),
        }
    }
}
