//! Pipes that come into the sump under its rim: over the rim, or through its wall.

use crate::assessment::checks::{COMMON_PRACTICE, Check, Why, graded};
use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::assessment::levers::{less_water, outlet_lower};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::assessment::ways_in::{Comes, OpenHole, lowest_hole, ways_in};
use crate::model::{Change, Entries};
use crate::units::amounts::{self, Side};

/// How pipes that end under the sump's rim come in, and what water a hole for them would see.
#[derive(Debug, Clone, PartialEq)]
pub struct SumpEntryWhy {
    /// The sump's rim; of a lying drum its top `[m]`.
    pub rim: f64,
    /// Whether the sump is a drum on its side, which is open where its top is cut out.
    pub lying: bool,
    /// The sump's highest water, at most its overflow `[m]`.
    pub high: f64,
    /// Pipes that begin over the rim and so can go over it.
    pub over: Vec<Comes>,
    /// From the rim to the lowest floor of their beds; 0 without any `[m]`.
    pub room: f64,
    /// Pipes that begin under it: they have no fall for going over it.
    pub through: Vec<Comes>,
    /// Lower edge of the lowest hole, if all of them went through the wall `[m]`.
    pub lowest: f64,
    /// The same of those that have to go through it; infinite without any `[m]`.
    pub lowest_through: f64,
    /// Whether the holes are sealed.
    pub sealed: bool,
    /// What was told of how they come in.
    pub told: Entries,
}

impl SumpEntryWhy {
    /// The lowest hole that nothing is known to seal: there, and not at the rim, the sump would
    /// spill.
    pub fn open_hole(&self) -> Option<OpenHole> {
        self.hole().filter(|_| !self.sealed)
    }

    /// The lowest hole that has to be reckoned with, sealed or not.
    pub fn hole(&self) -> Option<OpenHole> {
        lowest_hole(self.told, self.lowest, self.lowest_through)
    }

    /// How the sump's water at `high` `[m]` stands to the holes; nothing is lost by what may as
    /// well come in over the rim, so that is in doubt only.
    pub(super) fn held_against(&self, high: f64) -> Status {
        match self.open_hole() {
            Some(hole) if hole.certain && hole.level < high => Status::Fail,
            Some(_) if self.lowest_through < high => Status::Fail,
            Some(hole) if graded(hole.level - high, 0.0, 0.0) > Status::Pass => Status::Warn,
            _ => Status::Pass,
        }
    }
}

/// How pipes come into the sump, with its highest water; `None` where all of them end over its rim.
pub(super) fn ways_with_water(facts: &Facts) -> Option<SumpEntryWhy> {
    let parts = &facts.parts;
    let high = facts.balance.high_water(parts);
    let ways = ways_in(parts.system)?;
    Some(SumpEntryWhy {
        rim: ways.rim,
        lying: ways.lying,
        high: high.max(parts.run.sump.level.max),
        over: ways.over,
        room: ways.room,
        through: ways.through,
        lowest: ways.lowest,
        lowest_through: ways.lowest_through,
        sealed: parts.system.sump.sealed_entries,
        told: ways.told,
    })
}

/// The lowest hole in the sump's wall against its highest water, where a pipe ends under the rim.
pub(super) fn sump_entry(facts: &Facts) -> Option<Check> {
    let why = ways_with_water(facts)?;
    let value = why.open_hole().map_or(why.rim, |hole| hole.level) - why.high;
    let status = why.held_against(why.high);
    Some(Check {
        id: CheckId::SumpEntry,
        subject: Subject::Sump,
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        why: Why::SumpEntry(why),
        basis: COMMON_PRACTICE,
    })
}

/// The holes sealed, less water, or the drains out of the water.
pub(super) fn fixes(facts: &Facts, why: &SumpEntryWhy) -> Vec<Fix> {
    let mut ways = vec![Fix::of([Change::SealEntries(true)])];
    let lowest = why.hole().map_or(why.lowest, |hole| hole.level);
    ways.extend(less_water(facts, lowest));
    let rise = amounts::length(facts.parts.tape, why.high - lowest, Side::Up);
    let beds = facts.parts.beds();
    let falls = |i: usize| facts.parts.outlets[i] + rise <= beds[i].floor;
    // What comes in over the rim has no hole to raise.
    let over = why.over.iter().filter(|_| why.told != Entries::OverRim);
    let raised = over.chain(&why.through).map(|one| match *one {
        Comes::Bed(i) if falls(i) => Some(outlet_lower(facts, i, -rise)),
        _ => None,
    });
    let raised: Option<Vec<Fix>> = raised.collect();
    ways.extend(raised.and_then(|list| list.into_iter().reduce(Fix::and)));
    ways
}
