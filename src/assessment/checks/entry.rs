//! Pipes that come into the sump under its rim: over the rim, or through its wall.

use crate::assessment::checks::{COMMON_PRACTICE, Check, Why, graded};
use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::assessment::levers::{less_water, outlet_lower};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Change, TankOutlet};
use crate::units::amounts::{self, Side};

/// What comes into the sump.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Comes {
    /// The drain of a bed, by its place in the list.
    Bed(usize),
    /// The shared drain line.
    Line,
    /// The fish tank's overflow.
    Tank,
    /// The settler's overflow.
    Settler,
}

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
    /// Whether the holes are sealed.
    pub sealed: bool,
}

/// One pipe: what it is, where it begins, its bore, the lower edge of a hole for it `[m]`.
struct Entry {
    what: Comes,
    from: f64,
    bore: f64,
    hole: f64,
}

/// Every pipe that comes in under `rim` `[m]`.
fn entries(facts: &Facts, rim: f64) -> Vec<Entry> {
    let parts = &facts.parts;
    let system = parts.system;
    let drains = (0..parts.count()).filter(|&i| !parts.on_line(i)).map(|i| {
        let bed = &parts.beds()[i];
        let bore = bed.siphon.standpipe.bore;
        (parts.outlets[i], Comes::Bed(i), bed.floor, bore, 0.5 * bore)
    });
    // A line comes in with its slope, at the level where it ends.
    let line = system.drain_line.as_ref();
    let line = line.map(|line| (line.outlet, Comes::Line, line.outlet, line.run.bore, 0.0));
    let to = system.tank.as_ref().map(|tank| tank.overflows_to);
    let tank = system.tank.as_ref();
    let tank = tank.filter(|tank| {
        tank.overflows_to == TankOutlet::Sump
            || (tank.overflows_to == TankOutlet::Settler && system.settler.is_none())
    });
    let tank = tank.map(|tank| (tank.overflow_level, Comes::Tank, tank.overflow_bore));
    let settler = system.settler.as_ref();
    let settler = settler.filter(|one| one.inlet.is_some() || to == Some(TankOutlet::Settler));
    let settler = settler.map(|one| (one.overflow_level, Comes::Settler, 0.0));
    let overflows = tank.into_iter().chain(settler);
    let overflows = overflows.map(|(level, what, bore)| (level, what, level, bore, 0.0));
    drains
        .chain(line)
        .chain(overflows)
        .filter(|(end, ..)| *end < rim - super::ROUNDING)
        .map(|(end, what, from, bore, below)| Entry {
            what,
            from,
            bore,
            hole: end - below,
        })
        .collect()
}

/// The lowest hole in the sump's wall against its highest water, where a pipe ends under the
/// rim. A pipe that begins above the rim, its own bore with it, can go over it.
pub(super) fn sump_entry(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let sump = &parts.system.sump;
    let rim = sump.top();
    let list = entries(facts, rim);
    let lowest = |list: &[&Entry]| {
        list.iter()
            .map(|one| one.hole)
            .fold(f64::INFINITY, f64::min)
    };
    let (over, through): (Vec<&Entry>, Vec<&Entry>) =
        list.iter().partition(|one| one.from - one.bore >= rim);
    let every = lowest(&over).min(lowest(&through));
    if !every.is_finite() {
        return None;
    }
    let high = facts
        .balance
        .high_water(parts)
        .max(parts.run.sump.level.max);
    let sealed = sump.sealed_entries;
    let value = if sealed { rim } else { every } - high;
    // What may come in over the rim is only in doubt.
    let status = match graded(value, 0.0, 0.0) {
        Status::Pass => Status::Pass,
        _ if lowest(&through) < high => Status::Fail,
        _ => Status::Warn,
    };
    let room = over.iter().map(|one| one.from - rim);
    let room = room.fold(f64::INFINITY, f64::min);
    let names = |list: &[&Entry]| list.iter().map(|one| one.what).collect();
    Some(Check {
        id: CheckId::SumpEntry,
        subject: Subject::Sump,
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        why: Why::SumpEntry(SumpEntryWhy {
            rim,
            lying: matches!(sump.shape, VesselShape::LyingCylinder { .. }),
            high,
            over: names(&over),
            room: if room.is_finite() { room } else { 0.0 },
            through: names(&through),
            lowest: every,
            sealed,
        }),
        basis: COMMON_PRACTICE,
    })
}

/// The holes sealed, less water, or the drains out of the water.
pub(super) fn fixes(facts: &Facts, why: &SumpEntryWhy) -> Vec<Fix> {
    let mut ways = vec![Fix::of([Change::SealEntries(true)])];
    ways.extend(less_water(facts, why.lowest));
    let rise = amounts::length(facts.parts.tape, why.high - why.lowest, Side::Up);
    let beds = facts.parts.beds();
    let falls = |i: usize| facts.parts.outlets[i] + rise <= beds[i].floor;
    let raised = why.over.iter().chain(&why.through).map(|one| match *one {
        Comes::Bed(i) if falls(i) => Some(outlet_lower(facts, i, -rise)),
        _ => None,
    });
    let raised: Option<Vec<Fix>> = raised.collect();
    ways.extend(raised.and_then(|list| list.into_iter().reduce(Fix::and)));
    ways
}
