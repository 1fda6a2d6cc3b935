//! How low the fish's water can fall.

use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::fill_for_fish;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::model::{BranchPart, Change, Level, Measure, Outlet, PumpPart, Quantity, Vessel};
use crate::model::{Sump, Tank, TankFeed};
use crate::network::supply::OutletEnd;
use crate::units::amounts::{self, Side};

/// A level this far under a bound is still at it `[m]`.
const ROUNDING: f64 = 1e-4;

/// Share of the usual depth that the fish need where none is given; common practice, no source.
const DEPTH_SHARE: f64 = 0.5;

/// Depth that the fish need `[m]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DepthNeeded {
    /// Asked for.
    Asked(f64),
    /// Half of the usual one.
    Half(f64),
}

impl DepthNeeded {
    const fn depth(self) -> f64 {
        match self {
            Self::Asked(depth) | Self::Half(depth) => depth,
        }
    }
}

/// How low the water of a fish tank can fall, levels `[m]`.
#[derive(Debug, Clone, PartialEq)]
pub struct TankDepthWhy {
    /// Lowest.
    pub lowest: f64,
    /// What holds it there.
    pub held_by: HeldBy,
    /// Lowest of the run.
    pub seen: f64,
    /// Level that the fish need.
    pub needed: f64,
    /// The same as a depth.
    pub depth: DepthNeeded,
}

/// What holds the water of a fish tank where it is lowest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HeldBy {
    /// Only the pump's check valve, its inlet ending under water.
    CheckValve,
    /// The run went no lower.
    Run,
    /// The whole pump's pipe ends above its water.
    EndAbove,
    /// Its overflow.
    Overflow,
    /// The end of its inlet, or an anti-siphon hole.
    InletEnd,
}

/// How low the water of a sump with fish can fall, levels `[m]`.
#[derive(Debug, Clone, PartialEq)]
pub struct SumpDepthWhy {
    /// Where a pump that runs on draws air.
    pub emptied: f64,
    /// With every bed at its highest.
    pub swing: f64,
    /// Level that the fish need.
    pub needed: f64,
    /// The same as a depth.
    pub depth: DepthNeeded,
}

/// Lowest water of the vessel that the fish live in against what they need.
pub(super) fn tank_level(facts: &Facts) -> Option<Check> {
    let system = facts.parts.system;
    match &system.tank {
        Some(tank) => Some(beside_sump(facts, tank)),
        None if system.sump.holds_fish => Some(in_sump(facts)),
        None => None,
    }
}

/// Depth that the fish need in a vessel of this usual `depth` `[m]`.
fn needed(facts: &Facts, depth: f64) -> DepthNeeded {
    match facts.parts.system.thresholds.tank_depth {
        Some(asked) => DepthNeeded::Asked(asked),
        None => DepthNeeded::Half(DEPTH_SHARE * depth),
    }
}

fn check(facts: &Facts, subject: Subject, [value, limit]: [f64; 2], why: Why) -> Check {
    Check {
        id: CheckId::TankLevel,
        subject,
        status: graded(value, limit, limit),
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Elevation,
        why,
        basis: match facts.parts.system.thresholds.tank_depth {
            Some(_) => "the depth asked for in the scenario",
            None => COMMON_PRACTICE,
        },
    }
}

/// Where the water of `tank` falls to through its inlet when nothing holds it `[m]`.
fn leaks_to(facts: &Facts, tank: &Tank) -> f64 {
    let inlet = facts.parts.tree.vessel_inlet(OutletEnd::Tank);
    let held = inlet.map_or(f64::INFINITY, |inlet| {
        inlet.siphoned_to(f64::INFINITY, f64::NEG_INFINITY)
    });
    held.min(tank.overflow_level)
}

/// A tank of its own: it falls to its overflow, and with an inlet under water farther.
fn beside_sump(facts: &Facts, tank: &Tank) -> Check {
    let parts = &facts.parts;
    let simulated = parts
        .run
        .tank
        .map_or(tank.start_level, |found| found.level.min);
    let needed = needed(facts, tank.overflow_level - tank.floor);
    let limit = tank.floor + needed.depth();
    let check_valve = parts.system.pump.check_valve;
    let leaking = leaks_to(facts, tank);
    let bound = if check_valve {
        tank.overflow_level
    } else {
        leaking
    };
    let low = |level: f64| graded(level, limit, limit) == Status::Fail;
    let only_the_valve = check_valve && low(leaking) && !low(simulated.min(bound));
    let value = if only_the_valve {
        leaking
    } else {
        simulated.min(bound)
    };
    let whole = matches!(tank.fed_by, TankFeed::WholePump);
    let held_by = if only_the_valve {
        HeldBy::CheckValve
    } else if value < bound - ROUNDING {
        HeldBy::Run
    } else if value >= tank.overflow_level {
        if whole {
            HeldBy::EndAbove
        } else {
            HeldBy::Overflow
        }
    } else {
        HeldBy::InletEnd
    };
    let why = Why::TankDepth(TankDepthWhy {
        lowest: value,
        held_by,
        seen: simulated,
        needed: limit,
        depth: needed,
    });
    let mut check = check(facts, Subject::FishTank, [value, limit], why);
    // A check valve leaks in time, but until then the fish have their water.
    if only_the_valve {
        check.status = Status::Warn;
    }
    check
}

/// The sump itself: its beds draw on it, and a pump that runs on empties it to its cover.
fn in_sump(facts: &Facts) -> Check {
    let parts = &facts.parts;
    let sump = &parts.system.sump;
    let needed = needed(facts, usual_depth(sump));
    let limit = sump.floor + needed.depth();
    let swing = facts.balance.bounds.low.min(parts.run.sump.level.min);
    let emptied = parts.dry_level().min(sump.start_level);
    let value = swing.min(emptied);
    let why = Why::SumpDepth(SumpDepthWhy {
        emptied,
        swing,
        needed: limit,
        depth: needed,
    });
    check(facts, Subject::Sump, [value, limit], why)
}

/// Depth of the sump's water while its beds are empty `[m]`.
fn usual_depth(sump: &Sump) -> f64 {
    sump.start_level - sump.floor
}

/// Ways to keep the water that the fish need in their tank.
pub(super) fn tank_fixes(facts: &Facts, why: &TankDepthWhy) -> Vec<Fix> {
    let parts = &facts.parts;
    let Some(tank) = &parts.system.tank else {
        return Vec::new();
    };
    let limit = why.needed;
    let leaking = leaks_to(facts, tank);
    let level = amounts::length(parts.tape, limit, Side::Up);
    let mut steps = Vec::new();
    if tank.overflow_level < limit {
        let rim = tank.top();
        if level > rim {
            let deeper = amounts::length(parts.tape, level - rim, Side::Up);
            return deeper_tank(facts, deeper, level);
        }
        steps.push(overflow_at(level));
    }
    if tank.start_level < limit {
        steps.push(start_at(level));
    }
    // Under an overflow that is too low nothing else shows.
    if leaking < limit.min(tank.overflow_level) {
        steps.push(Change::drill_hole(Outlet::Tank, level));
    }
    if steps.is_empty() {
        // It runs out while the pump runs: over to lower outlets of the same pipes.
        let end = amounts::length(parts.tape, tank.overflow_level, Side::Up);
        let inlet = Quantity::Branch(Outlet::Tank, BranchPart::Level);
        steps.push(Change::set(inlet, end));
    }
    let fix = Fix::of(steps);
    vec![if leaking < limit && !parts.system.pump.check_valve {
        fix.noting(Hint::UntilItLeaks)
    } else {
        fix
    }]
}

const fn overflow_at(level: f64) -> Change {
    Change::set(Quantity::Level(Vessel::Tank, Level::Overflow), level)
}

const fn start_at(level: f64) -> Change {
    Change::set(Quantity::Level(Vessel::Tank, Level::Start), level)
}

/// A tank `deeper` than it is `[m]`, its overflow and water at `level` `[m]`.
fn deeper_tank(facts: &Facts, deeper: f64, level: f64) -> Vec<Fix> {
    let depth = Quantity::Measure(Vessel::Tank, Measure::Depth);
    let now = depth.value(facts.parts.system);
    let deep = now.map(|now| Change::set(depth, now + deeper));
    vec![Fix::of(
        deep.into_iter()
            .chain([overflow_at(level), start_at(level)]),
    )]
}

/// Ways to keep the water that the fish need in the sump.
pub(super) fn sump_fixes(facts: &Facts, why: &SumpDepthWhy) -> Vec<Fix> {
    let parts = &facts.parts;
    let (limit, swing, emptied) = (why.needed, why.swing, why.emptied);
    let intake = |limit: f64| {
        let rise = amounts::length(parts.tape, limit - emptied, Side::Up);
        let level = parts.system.pump.intake_level + rise;
        Fix::of([Change::set(Quantity::Pump(PumpPart::Intake), level)])
    };
    // Room for what rounding takes.
    if swing >= limit + amounts::length_step(parts.tape) {
        return vec![intake(limit)];
    }
    let share = match parts.system.thresholds.tank_depth {
        Some(_) => None,
        None => Some(DEPTH_SHARE),
    };
    if let Some((fill, wanted)) = fill_for_fish(facts, limit, share) {
        return vec![if emptied < wanted {
            fill.and(intake(wanted))
        } else {
            fill
        }];
    }
    let missing = parts.sump_volume(limit) - parts.sump_volume(swing);
    let missing = amounts::volume(parts.tape, missing, Side::Up);
    vec![Fix::hint(Hint::FishElsewhere(missing))]
}
