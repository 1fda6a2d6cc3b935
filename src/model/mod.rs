//! The system as built, in SI units, already checked.
//!
//! Elevations are above the room's floor. Values here have passed the range
//! checks of the scenario reader; the simulation does not repeat them.

mod bed;
mod coefficients;
mod loop_parts;
mod storage;
mod supply;
mod system;
mod thresholds;

pub use bed::{
    AirTube, Bed, Bell, Drain, DrainLosses, DrainTarget, Guard, Inlet, Media, Siphon, Slots,
    Standpipe, drop_beyond,
};
pub use coefficients::{Band, Coefficient, CoefficientValues, Coefficients};
pub use loop_parts::{
    Disturbance, FLOAT_TRAVEL, Incident, IncidentTime, Schedule, Settler, SettlerKind, Tank,
    TankFeed, TankOutlet, TopOff,
};
pub use storage::BedStorage;
pub use supply::{Branch, Power, Pump, PumpSource, Supply, Valve};
pub use system::{DrainLine, Duration, Sump, System};
pub use thresholds::Thresholds;
