//! The system as built, in SI units, already checked.
//!
//! Elevations are above the room's floor. Values here have passed the range checks of the
//! scenario reader or those of the builder; the simulation does not repeat them. What has
//! been changed since can be asked for its misfits.
//!
//! ```
//! use ebbwright::hydraulics::vessel::VesselShape;
//! use ebbwright::model::{Bed, Misfit, System};
//!
//! let tub = VesselShape::Box { length: 1.2, width: 1.0, depth: 0.35 };
//! let mut system = System::builder()
//!     .sump(tub.clone(), 0.0)
//!     .steady_flow(1.3e-4)
//!     .bed(Bed::builder("north", tub, 1.0))
//!     .build()?;
//! system.beds[0].siphon.standpipe.lip_height = 0.40; // the bed's rim is at 0.35 m
//! assert!(matches!(system.misfits()[..], [Misfit::LipAboveRim { .. }]));
//! # Ok::<(), ebbwright::model::BuildError>(())
//! ```

mod bed;
mod builder;
mod change;
mod coefficients;
mod garden;
mod loop_parts;
mod misfit;
mod storage;
mod supply;
mod system;
mod thresholds;

pub use bed::{
    AirTube, Bed, Bell, Drain, DrainLosses, DrainTarget, Guard, Inlet, Media, Siphon, Slots,
    Standpipe, drop_beyond,
};
pub use builder::{BedBuilder, BuildError, SystemBuilder};
pub(crate) use builder::{USUAL_COVER, USUAL_WALL, usual_duration};
#[cfg(test)]
pub(crate) use change::sample;
pub use change::{
    BedPart, BranchPart, Change, Level, Measure, Outlet, Pipe, PipePart, PumpPart, Quantity,
    TopOffPart, Trouble, Vessel,
};
pub use coefficients::{Band, Coefficient, CoefficientValues, Coefficients};
pub use garden::{Dissolved, Fish, Side, Source, USUAL_HARVEST};
pub use loop_parts::{
    Disturbance, FLOAT_TRAVEL, Incident, IncidentTime, Settler, SettlerKind, Tank, TankFeed,
    TankOutlet, TopOff,
};
pub use misfit::Misfit;
pub(crate) use misfit::{MOST_STARTS, Rules, manner, within};
pub use storage::BedStorage;
pub use supply::{Branch, Power, Pump, PumpSource, Schedule, Supply, Valve};
pub use system::{DrainLine, Duration, Entries, MOST_JOINED, Sump, System};
pub use thresholds::Thresholds;
