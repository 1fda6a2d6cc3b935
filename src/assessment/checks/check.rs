//! One check as it came out.

use crate::assessment::checks::why::Why;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};

/// One check with all that a reader needs to act on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// Which.
    pub id: CheckId,
    /// Bed or part it is about.
    pub subject: Subject,
    /// Result.
    pub status: Status,
    /// Value found, SI.
    pub value: f64,
    /// Limit it is held against, SI.
    pub limit: f64,
    /// Distance to the limit, positive on the good side, SI.
    pub margin: f64,
    /// Unit of the three.
    pub unit: CheckUnit,
    /// Why, as values; its words are the report's.
    pub why: Why,
    /// Standard, derivation, or "common practice, no source".
    pub basis: &'static str,
}

impl Check {
    /// Whether it only informs: neither passed nor failed, for nothing known here sets its limit.
    pub fn informs(&self) -> bool {
        self.status == Status::Pass
            && match self.id {
                CheckId::FloorLoad
                | CheckId::FishDensity
                | CheckId::FishFeed
                | CheckId::FishOxygen
                | CheckId::Dissolved
                | CheckId::Reach => true,
                CheckId::Settler => self.limit.is_infinite(),
                _ => false,
            }
    }
}
