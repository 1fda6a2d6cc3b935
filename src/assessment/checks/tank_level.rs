//! How low the fish's water can fall.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::facts::Facts;
use crate::assessment::levers::fill_for_fish;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::model::{Sump, Tank, TankFeed};
use crate::network::supply::OutletEnd;

/// A level this far under a bound is still at it `[m]`.
const ROUNDING: f64 = 1e-4;

/// Share of the usual depth that the fish need where none is given; common practice, no source.
const DEPTH_SHARE: f64 = 0.5;

/// Lowest water of the vessel that the fish live in against what they need.
pub(super) fn tank_level(facts: &Facts) -> Option<Check> {
    let system = facts.parts.system;
    match &system.tank {
        Some(tank) => Some(beside_sump(facts, tank)),
        None if system.sump.holds_fish => Some(in_sump(facts)),
        None => None,
    }
}

/// Depth that the fish need in a vessel of this usual `depth` `[m]`, in words too.
fn needed(facts: &Facts, depth: f64) -> (f64, String) {
    let units = facts.parts.units;
    match facts.parts.system.thresholds.tank_depth {
        Some(asked) => (asked, format!("{} as asked for", units.length(asked))),
        None => {
            let half = DEPTH_SHARE * depth;
            let words = format!("half the usual depth, {}", units.length(half));
            (half, words)
        }
    }
}

fn check(facts: &Facts, subject: &str, [value, limit]: [f64; 2], because: String) -> Check {
    Check {
        id: CheckId::TankLevel,
        subject: subject.to_owned(),
        status: graded(value, limit, limit),
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        because,
        first_fix: String::new(),
        basis: match facts.parts.system.thresholds.tank_depth {
            Some(_) => "the depth asked for in the scenario",
            None => COMMON_PRACTICE,
        },
    }
}

/// A tank of its own: it falls to its overflow, and with an inlet under water farther.
fn beside_sump(facts: &Facts, tank: &Tank) -> Check {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let simulated = parts
        .run
        .tank
        .map_or(tank.start_level, |found| found.level.min);
    let (depth, asked) = needed(facts, tank.overflow_level - tank.floor);
    let limit = tank.floor + depth;
    let check_valve = parts.system.pump.check_valve;
    let held = parts
        .tree
        .vessel_inlet(OutletEnd::Tank)
        .map_or(f64::INFINITY, |inlet| {
            inlet.siphoned_to(f64::INFINITY, f64::NEG_INFINITY)
        });
    let leaking = held.min(tank.overflow_level);
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
    let why = if only_the_valve {
        "its inlet ends under water, and only the check valve at the pump keeps it from running \
         back: it no longer does once it, or the pipe above it, leaks"
    } else if value < bound - ROUNDING {
        "that is where it stood in this run"
    } else if value >= tank.overflow_level {
        if whole {
            "the pump's pipe is taken to end above its water, so it keeps what is under its overflow"
        } else {
            "no more than its overflow lets go can leave it"
        }
    } else {
        "its inlet ends under water, and a pump that stops, or a leak in its pipe, lets it run back \
         to the inlet's end or its anti-siphon hole"
    };
    let because = format!(
        "The water of the fish tank can fall to {}: {why}. In this run it fell to {}; the fish \
         need it at {} ({asked}).",
        units.elevation(value),
        units.elevation(simulated),
        units.elevation(limit)
    );
    let mut check = check(facts, "fish tank", [value, limit], because);
    if only_the_valve {
        check.status = Status::Warn;
    }
    if check.status != Status::Pass {
        check.first_fix = tank_fix(facts, tank, limit, leaking);
    }
    check
}

/// Overflow, water at the start, then the hole.
fn tank_fix(facts: &Facts, tank: &Tank, limit: f64, leaking: f64) -> String {
    let units = facts.parts.units;
    let level = amounts::length(units, limit, Side::Up);
    let mut steps = Vec::new();
    if tank.overflow_level < limit {
        let rim = tank.top();
        if level > rim {
            return format!(
                "Use a fish tank at least {} deeper.",
                units.length(amounts::length(units, level - rim, Side::Up))
            );
        }
        steps.push(format!(
            "raise the overflow of the fish tank to {}",
            units.elevation(level)
        ));
    }
    if tank.start_level < limit {
        steps.push(format!(
            "fill the fish tank to {} or higher at the start",
            units.elevation(level)
        ));
    }
    // Under an overflow that is too low nothing else shows.
    if leaking < limit.min(tank.overflow_level) {
        steps.push(format!(
            "drill an anti-siphon hole into the inlet of the fish tank at {} or higher",
            units.elevation(level)
        ));
    }
    if steps.is_empty() {
        // It runs out while the pump runs: over to lower outlets of the same pipes.
        let end = amounts::length(units, tank.overflow_level, Side::Up);
        steps.push(format!(
            "let the inlet of the fish tank end above its water, at {} or higher",
            units.elevation(end)
        ));
    }
    let fix = super::sentence(&steps.join(", and "));
    if leaking < limit && !facts.parts.system.pump.check_valve {
        return format!(
            "{fix} A check valve at the pump would hold the water too, until it or the pipe above \
             it leaks."
        );
    }
    fix
}

/// The sump itself: its beds draw on it, and a pump that runs on empties it to its cover.
fn in_sump(facts: &Facts) -> Check {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let sump = &parts.system.sump;
    let (depth, asked) = needed(facts, usual_depth(sump));
    let limit = sump.floor + depth;
    let swing = facts.balance.bounds.low.min(parts.run.sump.level.min);
    let emptied = parts.dry_level().min(sump.start_level);
    let value = swing.min(emptied);
    let because = format!(
        "A leak above the pump lets it empty the sump to {}, where it draws air; with every bed at \
         its highest the sump falls to {}. The fish need it at {} ({asked}).",
        units.elevation(emptied),
        units.elevation(swing),
        units.elevation(limit)
    );
    let mut check = check(facts, "sump", [value, limit], because);
    if check.status != Status::Pass {
        check.first_fix = sump_fix(facts, limit, swing, emptied);
    }
    check
}

/// Depth of the sump's water while its beds are empty `[m]`.
fn usual_depth(sump: &Sump) -> f64 {
    sump.start_level - sump.floor
}

fn sump_fix(facts: &Facts, limit: f64, swing: f64, emptied: f64) -> String {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let intake = |limit: f64| {
        let rise = amounts::length(units, limit - emptied, Side::Up);
        format!("raise the pump's intake by {}", units.length(rise))
    };
    // Room for what rounding takes.
    if swing >= limit + amounts::length_step(units) {
        return super::sentence(&intake(limit));
    }
    let share = match parts.system.thresholds.tank_depth {
        Some(_) => None,
        None => Some(DEPTH_SHARE),
    };
    if let Some((fill, wanted)) = fill_for_fish(facts, limit, share) {
        let and_intake = if emptied < wanted {
            format!(", and {}", intake(wanted))
        } else {
            String::new()
        };
        return super::sentence(&format!("{fill}{and_intake}"));
    }
    let missing = parts.sump_volume(limit) - parts.sump_volume(swing);
    format!(
        "Keep the fish in a tank of their own, or use a sump that holds at least {} more.",
        units.volume(amounts::volume(units, missing, Side::Up))
    )
}
