//! How pipes come into the sump under its rim: over it, or through holes in its wall.

use crate::assessment::volumes::sump_volumes;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{DrainTarget, Entries, System, TankOutlet};
use crate::simulation::{Sampling, simulate};

/// Ends nearer to the rim than this are at it `[m]`.
const ROUNDING: f64 = 1e-9;

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

/// A hole that a pipe may need in the sump's wall and that nothing is known to seal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenHole {
    /// Its lower edge `[m]`.
    pub level: f64,
    /// Whether the pipe has no fall for going over the rim, so that the hole is there for sure.
    pub certain: bool,
}

impl OpenHole {
    /// Whether the water of `system`'s sump can come over it once that is filled to `to` `[m]`, with
    /// all that comes back; a system that cannot be simulated is taken by the filling alone.
    pub fn drowns(&self, system: &System, to: f64) -> bool {
        if to >= self.level {
            return true;
        }
        let mut filled = system.clone();
        filled.sump.start_level = to;
        simulate(&filled, Sampling::None).is_ok_and(|run| {
            let high = sump_volumes(&filled, &run).bounds.high;
            high.max(run.sump.level.max) >= self.level
        })
    }
}

/// How pipes that end under the sump's rim come in.
pub(super) struct WaysIn {
    /// The rim; of a lying drum its top `[m]`.
    pub(super) rim: f64,
    /// Whether the sump is a drum on its side.
    pub(super) lying: bool,
    /// Pipes that begin over the rim and so can go over it.
    pub(super) over: Vec<Comes>,
    /// From the rim to where the lowest of them begins; 0 without any `[m]`.
    pub(super) room: f64,
    /// Pipes that begin under it.
    pub(super) through: Vec<Comes>,
    /// Lower edge of the lowest hole, if all of them went through the wall `[m]`.
    pub(super) lowest: f64,
    /// The same of those that have to; infinite without any `[m]`.
    pub(super) lowest_through: f64,
    /// What was told of it.
    pub(super) told: Entries,
}

impl WaysIn {
    /// The lowest hole that has to be reckoned with, sealed or not; `None` where all go over the rim.
    pub(super) fn hole(&self) -> Option<OpenHole> {
        lowest_hole(self.told, self.lowest, self.lowest_through)
    }
}

/// The lowest of holes at `lowest`, or of those at `through` that have to be there, by what is told.
pub(super) fn lowest_hole(told: Entries, lowest: f64, through: f64) -> Option<OpenHole> {
    let (level, certain) = match told {
        Entries::Untold => (lowest, through <= lowest),
        Entries::OverRim => (through, true),
        Entries::Holes => (lowest, true),
    };
    level.is_finite().then_some(OpenHole { level, certain })
}

/// One pipe: what it is, where it begins, its bore, the lower edge of a hole for it `[m]`.
struct Entry {
    what: Comes,
    from: f64,
    bore: f64,
    hole: f64,
}

/// The lowest hole that pipes into the sump of `system` may need in its wall and that nothing is
/// known to seal; `None` where every pipe ends over the rim, or they are sealed.
pub fn open_hole(system: &System) -> Option<OpenHole> {
    ways_in(system)?
        .hole()
        .filter(|_| !system.sump.sealed_entries)
}

/// Levels that the water of `system`'s sump may be kept under, those that ask for less first: its
/// lowest open hole where there is one under `rim`, then `rim` `[m]`.
pub fn kept_under(system: &System, rim: f64) -> impl Iterator<Item = f64> {
    let hole = open_hole(system).map(|hole| hole.level);
    let hole = hole.filter(|&level| system.sump.floor < level && level < rim);
    hole.into_iter().chain([rim])
}

/// Every pipe that comes in under `rim` `[m]`.
fn entries(system: &System, rim: f64) -> Vec<Entry> {
    let line = system.drain_line.as_ref();
    let own = |into: &DrainTarget| line.is_none() || matches!(into, DrainTarget::Sump);
    let drains = system.beds.iter().enumerate();
    let drains = drains.filter(|(_, bed)| own(&bed.siphon.drain.into));
    let drains = drains.map(|(i, bed)| {
        let bore = bed.siphon.standpipe.bore;
        let outlet = bed.siphon.drain.outlet;
        (outlet, Comes::Bed(i), bed.floor, bore, 0.5 * bore)
    });
    // A line comes in with its slope, at the level where it ends.
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
        .filter(|(end, ..)| *end < rim - ROUNDING)
        .map(|(end, what, from, bore, below)| Entry {
            what,
            from,
            bore,
            hole: end - below,
        })
        .collect()
}

/// How pipes come into the sump of `system`; `None` where
/// all of them end over its rim. A pipe that begins above the rim, its own bore with it, can go
/// over it.
pub(super) fn ways_in(system: &System) -> Option<WaysIn> {
    let sump = &system.sump;
    let rim = sump.top();
    let list = entries(system, rim);
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
    let room = over.iter().map(|one| one.from - rim);
    let room = room.fold(f64::INFINITY, f64::min);
    let names = |list: &[&Entry]| list.iter().map(|one| one.what).collect();
    Some(WaysIn {
        rim,
        lying: matches!(sump.shape, VesselShape::LyingCylinder { .. }),
        over: names(&over),
        room: if room.is_finite() { room } else { 0.0 },
        through: names(&through),
        lowest: every,
        lowest_through: lowest(&through),
        told: sump.entries,
    })
}
