//! The fall of every gravity run: bed floor, outlet, line, sump.

use crate::assessment::checks::line_slope::{OVER_INVERT, least_slope};
use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::assessment::levers::{less_water, outlet_lower};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::model::{Bed, DrainTarget};
use crate::model::{Change, Quantity};
use crate::units::amounts::{self, Side};

/// How far a bed's drain falls.
#[derive(Debug, Clone, PartialEq)]
pub struct FallWhy {
    /// From the bed's floor to its outlet `[m]`.
    pub to_outlet: f64,
    /// From the outlet to what receives it; negative where that drowns it `[m]`.
    pub to_receiver: f64,
    /// What receives it.
    pub receiver: Receiver,
    /// The sump's highest water `[m]`.
    pub high: f64,
}

/// What a bed drains into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Receiver {
    /// The drain line, at its invert.
    Line,
    /// The sump, at its highest water.
    Sump,
}

/// How far the end of the drain line stands over the sump's water.
#[derive(Debug, Clone, PartialEq)]
pub struct LineFallWhy {
    /// Outlet over the sump's highest water; negative under it `[m]`.
    pub over: f64,
    /// The sump's highest water `[m]`.
    pub high: f64,
    /// Whether it drowns the outlet.
    pub full: bool,
    /// Beds whose break level it then passes.
    pub flooded: Vec<usize>,
}

/// Fall of the run from bed `i`: floor over outlet over what receives it.
pub(super) fn fall(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let outlet = parts.outlets[i];
    let high = facts.balance.high_water(parts);
    let to_outlet = bed.floor - outlet;
    let (below, receiver) = receiver(facts, bed);
    let to_receiver = outlet - below;
    let value = to_outlet.min(to_receiver);
    let breaks = parts.nominal[i].break_level(outlet);
    // Drowned by the sump alone it still drains, only less.
    let status = if graded(value, 0.0, 0.0) == Status::Pass {
        Status::Pass
    } else if to_outlet < 0.0 || high >= breaks || receiver == Receiver::Line {
        Status::Fail
    } else {
        Status::Warn
    };
    Check {
        id: CheckId::Fall,
        subject: Subject::Bed(i),
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        why: Why::Fall(FallWhy {
            to_outlet,
            to_receiver,
            receiver,
            high,
        }),
        basis: "derived",
    }
}

/// The outlet down to its floor, or out of what receives it.
pub(super) fn fixes(facts: &Facts, i: usize, why: &FallWhy) -> Vec<Fix> {
    if why.to_outlet < 0.0 {
        let drop = amounts::length(facts.parts.tape, -why.to_outlet, Side::Up);
        return vec![outlet_lower(facts, i, drop)];
    }
    raise_outlet(facts, i, -why.to_receiver, why.receiver)
}

/// Less water where that is enough, else the outlet up, else the bed with it.
fn raise_outlet(facts: &Facts, i: usize, short: f64, receiver: Receiver) -> Vec<Fix> {
    let parts = &facts.parts;
    let mut ways = Vec::new();
    if receiver == Receiver::Sump {
        ways.extend(less_water(facts, parts.outlets[i]));
    }
    let rise = amounts::length(parts.tape, short, Side::Up);
    let higher = outlet_lower(facts, i, -rise);
    if rise > parts.beds()[i].floor - parts.outlets[i] {
        let bed = Change::RaiseBed { bed: i, by: rise };
        ways.push(Fix::of([bed]).and(higher));
        if parts.count() > 1 && receiver == Receiver::Sump {
            ways.push(Fix::of([Change::RaiseAll { by: rise }]));
        }
    } else {
        ways.push(higher);
    }
    ways
}

/// What the outlet of `bed` must be above `[m]`.
fn receiver(facts: &Facts, bed: &Bed) -> (f64, Receiver) {
    match (&facts.parts.system.drain_line, &bed.siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => (line.invert(*at), Receiver::Line),
        _ => (facts.balance.high_water(&facts.parts), Receiver::Sump),
    }
}

/// Outlet of the line over the sump's highest water.
pub(super) fn line_fall(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let line = parts.system.drain_line.as_ref()?;
    let high = facts.balance.high_water(parts);
    let value = line.outlet - high;
    let flooded: Vec<usize> = (0..parts.count())
        .filter(|&i| parts.on_line(i))
        .filter(|&i| high >= parts.nominal[i].break_level(parts.outlets[i]))
        .collect();
    let full = high >= line.outlet + line.run.bore;
    // A drowned line still drains while its water stands under every break level.
    let status = if line.slope <= 0.0 || !flooded.is_empty() {
        Status::Fail
    } else if graded(value, 0.0, 0.0) == Status::Fail {
        Status::Warn
    } else {
        Status::Pass
    };
    Some(Check {
        id: CheckId::Fall,
        subject: Subject::DrainLine,
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        why: Why::LineFall(LineFallWhy {
            over: value,
            high,
            full,
            flooded,
        }),
        basis: COMMON_PRACTICE,
    })
}

/// Less water where that is enough, else the line up, `over` the sump's water now `[m]`.
pub(super) fn line_fixes(facts: &Facts, over: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    let Some(line) = &parts.system.drain_line else {
        return Vec::new();
    };
    if over >= 0.0 {
        let slope = least_slope(line);
        return vec![Fix::of([Change::set(Quantity::LineSlope, slope)])];
    }
    let mut ways: Vec<Fix> = less_water(facts, line.outlet).into_iter().collect();
    let rise = amounts::length(parts.tape, -over, Side::Up);
    let room = parts
        .beds()
        .iter()
        .filter_map(|bed| match bed.siphon.drain.into {
            DrainTarget::Line { at } => Some(bed.siphon.drain.outlet - line.invert(at)),
            DrainTarget::Sump => None,
        })
        .fold(f64::INFINITY, f64::min);
    ways.push(Fix::of([if rise + OVER_INVERT <= room {
        Change::set(Quantity::LineOutlet, line.outlet + rise)
    } else {
        Change::RaiseAll { by: rise }
    }]));
    ways
}
