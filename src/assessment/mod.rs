//! Verdicts on a finished run: windows, bounds, checks, cautions.
//!
//! Nothing here simulates. Windows, bounds and the amounts in every fix come
//! from the same closures that the simulation uses, solved on their own.
//!
//! ```
//! use ebbwright::assessment::{Status, Verdict, assess};
//! use ebbwright::simulation::{Sampling, simulate};
//! use ebbwright::scenario;
//!
//! let shed = scenario::parse(scenario::starter(), "shed.toml")?;
//! let run = simulate(&shed.system, Sampling::None)?;
//! let found = assess(&shed.system, &run);
//! assert_eq!(found.beds[0].will_start, Verdict::Will);
//! for check in found.checks.iter().filter(|check| check.status != Status::Pass) {
//!     println!("{:?} of {}: {:?}", check.id, check.subject.name(&shed.system), check.status);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod adviser;
mod bounds;
mod cautions;
mod checks;
mod facts;
mod fix;
mod garden;
mod levers;
mod most_inflow;
mod notes;
mod parts;
mod reach;
mod status;
mod verdict;
mod volumes;
mod ways_in;
mod window;

pub use adviser::{Adviser, fixes};
pub use cautions::Caution;
pub use checks::level_allowance;
pub use checks::{Check, Why, why};
pub use fix::{Aim, Fix, Hint};
pub use garden::{
    ArmReach, FishFigures, Garden, GravelOrder, Joining, LEVELS_DIFFER, Room, WEEK, WaterAccount,
    WaterBudget, WaterFigures,
};
pub(crate) use levers::LEAST_BORE;
pub use notes::{AfterBreak, Kept, Note, PrimingLever};
pub use status::{BedVerdict, CheckId, CheckUnit, Status, Subject, SumpBounds, Verdict};
pub use verdict::Assessment;
pub use volumes::{BedReach, SumpVolumes, sump_volumes};
pub use ways_in::{kept_under, open_hole};

use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;
use facts::Facts;

/// Judges `run`, a finished run of `system`: values, no words; the report writes them,
/// and [`fixes`] finds what to change.
///
/// `run` must come from this very system, simulated with its nominal
/// coefficients; figures in the result are SI. Valid for every system that the
/// scenario reader accepts.
pub fn assess(system: &System, run: &Run) -> Assessment {
    let facts = Facts::new(system, run, UnitSystem::Metric);
    let checks = checks::all(&facts);
    Assessment {
        verdict: checks
            .iter()
            .map(|check| check.status)
            .max()
            .unwrap_or(Status::Pass),
        beds: facts.beds.iter().map(window::Judgement::verdict).collect(),
        sump: facts.balance.bounds,
        notes: notes::all(&facts),
        cautions: cautions::all(&facts),
        checks,
        garden: facts.garden,
    }
}
