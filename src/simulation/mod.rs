//! Time stepping with located events.
//!
//! ```
//! use ebbwright::scenario;
//! use ebbwright::simulation::{EventKind, Regime, Sampling, simulate};
//!
//! let shed = scenario::parse(scenario::starter(), "shed.toml")?;
//! let run = simulate(&shed.system, Sampling::Every(60.0))?;
//! assert_eq!(run.beds[0].regime, Regime::Cycles);
//! let started = |kind: &EventKind| matches!(kind, EventKind::FullBoreBegan(0));
//! assert!(run.events.iter().any(|event| started(&event.kind)));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod engine;
mod error;
mod gravel;
mod hang;
mod modes;
mod observer;
mod outcome;
mod plant;
mod recording;
mod regimes;
mod stretch;
mod tables;
mod timetable;
mod watch;
mod worst;

pub use engine::{
    Stepping, simulate, simulate_by, simulate_sharing, simulate_until_told, simulate_with,
};
pub use error::SimulationError;
pub use hang::Hang;

pub use outcome::{
    BedOutcome, CameUp, Coincidence, Cycle, IncidentOutcome, LineOutcome, PumpOutcome, Regime,
    RegimeSpan, Run, RunEnd, Spread, SumpOutcome, SupplyOutcome, TankOutcome, TopOffOutcome, Work,
};
pub use recording::{BedSeries, Event, Recording, Sampling};
pub use tables::SharedTables;
pub use worst::{AFTERMATH, SumpExtreme, WorstMoments, resolve_worst, worst_moment, worst_moments};

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
    /// An incident stopped the pump.
    PumpStopped,
    /// An incident started the pump again.
    PumpStarted,
    /// The supply pipes, which had run back, are full again.
    PipesFilled,
    /// Nothing passes the siphon any more.
    SiphonBlocked(usize),
    /// The drain line is partly blocked.
    LineBlocked,
    /// The inlet's valve is shut.
    ValveShut(usize),
    /// The bed began to run back through its inlet while the pump stood.
    BackSiphonBegan(usize),
    /// The bed stopped running back through its inlet.
    BackSiphonEnded(usize),
    /// The fish tank began to run back through its inlet while the pump stood.
    TankBackSiphonBegan,
    /// The fish tank stopped running back through its inlet.
    TankBackSiphonEnded,
    /// The float valve began to open.
    FloatValveOpened,
    /// The float valve shut.
    FloatValveShut,
    /// The float valve's reservoir is empty.
    ReservoirSpent,
    /// Nothing is left in the sump for the air to take.
    SumpEmptied,
    /// There is water in the sump again.
    SumpWetted,
    /// The fish tank's water covered the end of its inlet.
    TankInletCovered,
    /// The fish tank's water left the end of its inlet.
    TankInletUncovered,
    /// Water began to go over the fish tank's wall.
    TankOverflowBegan,
    /// Water stopped going over the fish tank's wall.
    TankOverflowEnded,
    /// The sump began to spill.
    SumpOverflowBegan,
    /// The sump stopped spilling.
    SumpOverflowEnded,
    /// Water began to come back up the drain into the bed.
    CameUpDrain(usize),
    /// No more water comes back up the drain into the bed.
    CameUpDrainEnded(usize),
    /// The drain line came under pressure, or took more than it carries by gravity.
    LineSurcharged,
    /// The drain line runs part full again.
    LineRelieved,
    /// A part that switches to and fro is held where it does.
    Hangs(Hang),
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
            Self::PumpStopped => "the pump stops".to_owned(),
            Self::PumpStarted => "the pump starts again".to_owned(),
            Self::PipesFilled => "the supply pipes are full again".to_owned(),
            Self::SiphonBlocked(i) => format!("{}'s siphon is blocked", bed(i)),
            Self::LineBlocked => "the drain line is blocked".to_owned(),
            Self::ValveShut(i) => format!("{}'s inlet is shut", bed(i)),
            Self::BackSiphonBegan(i) => format!("{} runs back through its inlet", bed(i)),
            Self::BackSiphonEnded(i) => format!("{} no longer runs back", bed(i)),
            Self::TankBackSiphonBegan => "the tank runs back through its inlet".to_owned(),
            Self::TankBackSiphonEnded => "the tank no longer runs back".to_owned(),
            Self::FloatValveOpened => "the float valve opens".to_owned(),
            Self::FloatValveShut => "the float valve shuts".to_owned(),
            Self::ReservoirSpent => "the top-off reservoir is empty".to_owned(),
            Self::SumpEmptied => "the sump is empty".to_owned(),
            Self::SumpWetted => "the sump has water again".to_owned(),
            Self::TankInletCovered => "the tank covers its inlet".to_owned(),
            Self::TankInletUncovered => "the tank uncovers its inlet".to_owned(),
            Self::TankOverflowBegan => "the tank overflows its wall".to_owned(),
            Self::TankOverflowEnded => "the tank stops overflowing its wall".to_owned(),
            Self::SumpOverflowBegan => "the sump overflows".to_owned(),
            Self::SumpOverflowEnded => "the sump stops overflowing".to_owned(),
            Self::CameUpDrain(i) => format!("water comes back up the drain into {}", bed(i)),
            Self::CameUpDrainEnded(i) => {
                format!("no more water comes back up the drain into {}", bed(i))
            }
            Self::LineSurcharged => "the drain line comes under pressure".to_owned(),
            Self::LineRelieved => "the drain line is free again".to_owned(),
            Self::Hangs(part) => part.in_words(system),
        }
    }
}
