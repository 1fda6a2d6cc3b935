//! The fall of the gravity runs from fish tank and settler.

use crate::assessment::checks::graded;
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::assessment::status::{CheckId, CheckUnit, Subject};
use crate::model::System;
use crate::model::{BranchPart, Change, Level, Outlet, Quantity, Vessel};
use crate::model::{Inlet, Settler, Tank, TankOutlet};
use crate::units::amounts::{self, Side};

/// Fall of the run from fish tank or settler.
#[derive(Debug, Clone, PartialEq)]
pub struct TankFallWhy {
    /// Overflow that it begins at `[m]`.
    pub from: f64,
    /// Where it ends.
    pub to: FallEnd,
    /// Level there `[m]`.
    pub at: f64,
}

/// What a run from fish tank or settler falls to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FallEnd {
    /// The settler's water.
    Settler,
    /// The inlet of this bed, the highest that the tank feeds.
    Inlet(usize),
    /// The sump's highest water.
    Sump,
}

/// An end and its level `[m]`.
type End = (FallEnd, f64);

/// Fall from the tank's overflow to what it feeds, and from a settler to the sump.
pub(super) fn tank_falls(facts: &Facts) -> Vec<Check> {
    let system = facts.parts.system;
    let mut list = Vec::new();
    let behind = |tank: &Tank| tank.overflows_to == TankOutlet::Settler;
    let by_tank = system.tank.as_ref().is_some_and(behind);
    let settler = system.settler.as_ref();
    if let Some(tank) = &system.tank
        && let Some(to) = tank_receiver(facts, tank, settler.filter(|_| by_tank))
    {
        list.push(run(Subject::FishTank, tank.overflow_level, to));
    }
    if let Some(settler) = settler.filter(|settler| by_tank || settler.inlet.is_some()) {
        let (from, to) = (settler.overflow_level, sump(facts));
        list.push(run(Subject::Settler, from, to));
    }
    list
}

fn tank_receiver(facts: &Facts, tank: &Tank, settler: Option<&Settler>) -> Option<End> {
    let parts = &facts.parts;
    if tank.overflows_to != TankOutlet::Beds {
        return Some(settler.map_or_else(
            || sump(facts),
            |settler| (FallEnd::Settler, settler.overflow_level),
        ));
    }
    let inlets = parts
        .beds()
        .iter()
        .enumerate()
        .filter_map(|(i, bed)| match &bed.inlet {
            Inlet::Piped(branch) => Some((i, branch.level)),
            Inlet::Share(_) | Inlet::Measured(_) => None,
        });
    // The highest decides: the water reaches it last.
    let (i, level) = inlets.max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((FallEnd::Inlet(i), level))
}

fn sump(facts: &Facts) -> End {
    (FallEnd::Sump, facts.balance.high_water(&facts.parts))
}

/// One run.
fn run(subject: Subject, from: f64, to: End) -> Check {
    let value = from - to.1;
    let status = graded(value, 0.0, 0.0);
    Check {
        id: CheckId::Fall,
        subject,
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        why: Why::TankFall(TankFallWhy {
            from,
            to: to.0,
            at: to.1,
        }),
        basis: "derived",
    }
}

/// The vessel raised, and the fish tank with a settler that would come to stand above it.
pub(super) fn fixes(facts: &Facts, subject: Subject, why: &TankFallWhy) -> Vec<Fix> {
    let (system, tape) = (facts.parts.system, facts.parts.tape);
    let rise = amounts::length(tape, why.at - why.from, Side::Up);
    let tank = system.tank.as_ref();
    let above = tank
        .filter(|tank| tank.overflows_to == TankOutlet::Settler)
        .map_or(f64::INFINITY, |tank| tank.overflow_level - why.from);
    if subject != Subject::Settler {
        return vec![raised(system, Vessel::Tank, rise)];
    }
    let settler = raised(system, Vessel::Settler, rise);
    vec![if rise > above {
        settler.and(raised(system, Vessel::Tank, rise))
    } else {
        settler
    }]
}

/// A vessel beside the beds, its water and its inlet `rise` higher `[m]`.
fn raised(system: &System, vessel: Vessel, rise: f64) -> Fix {
    let levels = [Level::Floor, Level::Start, Level::Overflow];
    let levels = levels.map(|level| Quantity::Level(vessel, level));
    let to = match vessel {
        Vessel::Settler => Outlet::Settler,
        _ => Outlet::Tank,
    };
    let inlet = [BranchPart::Level, BranchPart::Hole];
    let inlet = inlet.map(|part| Quantity::Branch(to, part));
    let all = levels.into_iter().chain(inlet);
    Fix::of(all.filter_map(|what| Some(Change::set(what, what.value(system)? + rise))))
}
