//! The rest of the job: fish, what is dissolved in the water, reach, gravel.
//!
//! Everything here informs or warns. The hydraulics give volumes, levels and losses; the
//! rules of stocking are published ones, and husbandry advice decides.

mod access;
mod account;
mod dissolved;
mod fish;
mod gravel;
mod joining;

pub use access::ArmReach;
pub use account::WaterAccount;
pub use dissolved::{SEASON, WEEK, WaterBudget, WaterFigures};
pub use fish::{FishFigures, Room};
pub(in crate::assessment) use gravel::GRAIN_DENSITY;
pub use gravel::GravelOrder;
pub use joining::{Joining, LEVELS_DIFFER};

use crate::assessment::bounds::Balance;
use crate::assessment::parts::Parts;

/// What a run says about fish, water, reach and gravel.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Garden {
    /// The fish, where the system has some and water for them.
    pub fish: Option<FishFigures>,
    /// Water that comes and goes every day.
    pub account: WaterAccount,
    /// The pipe between the vessels of the sump, where it is several.
    pub joining: Option<Joining>,
    /// What evaporation leaves behind, where anything dissolved is told.
    pub water: Option<WaterBudget>,
    /// Reach over each bed whose free sides are told.
    pub reach: Vec<ArmReach>,
    /// Gravel of all beds.
    pub gravel: GravelOrder,
}

impl Garden {
    pub(super) fn new(parts: &Parts, balance: &Balance) -> Self {
        Self {
            fish: fish::figures(parts, balance),
            account: WaterAccount::new(parts, balance),
            joining: Joining::new(parts),
            water: dissolved::budget(parts),
            reach: access::reaches(parts.system),
            gravel: gravel::order(parts.system),
        }
    }
}
