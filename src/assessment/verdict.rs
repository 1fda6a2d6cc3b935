//! Everything judged about a run.

use crate::assessment::cautions::Caution;
use crate::assessment::checks::Check;
use crate::assessment::garden::Garden;
use crate::assessment::notes::Note;
use crate::assessment::status::{BedVerdict, CheckId, Status, Subject, SumpBounds};

/// Everything judged about a run.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// Worst status of all checks.
    pub verdict: Status,
    /// One per bed, in file order.
    pub beds: Vec<BedVerdict>,
    /// Sump bounds from volumes alone.
    pub sump: SumpBounds,
    /// All checks, in the order of the design.
    pub checks: Vec<Check>,
    /// Usual cautions that apply here.
    pub cautions: Vec<Caution>,
    /// Remarks that are neither: cross-checks, what is estimated or unknown.
    pub notes: Vec<Note>,
    /// Fish, dissolved matter, reach and gravel.
    pub garden: Garden,
}

impl Assessment {
    /// What this check of this subject came to; `None` where it was not made.
    pub fn check(&self, id: CheckId, subject: Subject) -> Option<&Check> {
        let here = |check: &&Check| check.id == id && check.subject == subject;
        self.checks.iter().find(here)
    }
}
