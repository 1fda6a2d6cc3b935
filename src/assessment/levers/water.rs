//! More or less water in the system, set by the sump's level at the start.

use crate::assessment::bounds::Balance;
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Aim, Fix, Hint};
use crate::assessment::levers::pipes::{least_line, line_of};
use crate::assessment::parts::Parts;
use crate::assessment::status::CheckId;
use crate::assessment::ways_in::kept_under;
use crate::model::System;
use crate::model::{BedPart, Change, Level, Quantity, Vessel};
use crate::units::amounts::{self, Side};

/// Rounds in which a start level is corrected; drowned outlets make it move the bounds.
const ROUNDS: usize = 8;
/// Volumes closer than this are equal `[m3]`.
const ROUNDING: f64 = 1e-11;

/// The sump filled to `level` at the start `[m]`.
const fn filled(level: f64) -> Change {
    Change::set(Quantity::Level(Vessel::Sump, Level::Start), level)
}

/// The sump filled to `level` `[m]`, with what that is more or less.
fn fill(facts: &Facts, level: f64) -> Fix {
    let parts = &facts.parts;
    let now = parts.system.sump.start_level;
    let more = parts.sump_volume(level) - parts.sump_volume(now);
    Fix::of([filled(level)]).aiming(Aim::Water(more))
}

/// Water missing under the pump's cover and too much under the overflow's freeboard `[m3]`.
pub(in crate::assessment) fn shortfalls(facts: &Facts, balance: &Balance) -> (f64, f64) {
    shortfalls_in(&facts.parts, balance)
}

fn shortfalls_in(parts: &Parts, balance: &Balance) -> (f64, f64) {
    let full = parts.system.sump.overflow_level - parts.system.thresholds.sump_freeboard;
    (
        parts.sump_volume(parts.dry_level()) - (balance.low_volume - balance.lost),
        balance.high_volume - parts.sump_volume(full),
    )
}

/// The shared line at the least bore, up to three times the present, that keeps
/// every bed from being held to its rim and the pump covered.
pub(in crate::assessment) fn line_for_cover(facts: &Facts) -> Option<Fix> {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    let now = system.drain_line.as_ref()?.run.bore;
    let bore = least_line(now, 0.05, |bore| {
        if let Some(line) = &mut system.drain_line {
            line.run.bore = bore;
        }
        let balance = Balance::new(&Parts::new(&system, parts.run, parts.tape));
        !balance.highest.iter().any(|bed| bed.may_spill) && shortfalls(facts, &balance).0 <= 0.0
    })?;
    Some(line_of(
        parts.tape,
        amounts::bore(parts.tape, bore, Side::Up),
    ))
}

/// Start level of the sump of `system` at which both its checks pass, rounded to the tape `[m]`:
/// under the holes in its wall where there is room.
fn fitting_level(facts: &Facts, system: &System) -> Option<f64> {
    let rim = system.sump.overflow_level - system.thresholds.sump_freeboard;
    kept_under(system, rim).find_map(|top| fitting_under(facts, system, top))
}

/// The same with the sump's highest water at `top` `[m]` at most.
fn fitting_under(facts: &Facts, system: &System, top: f64) -> Option<f64> {
    let tape = facts.parts.tape;
    let mut changed = system.clone();
    let overflow = system.sump.overflow_level;
    for _ in 0..ROUNDS {
        let parts = Parts::new(&changed, facts.parts.run, tape);
        let balance = Balance::new(&parts);
        let level = changed.sump.start_level;
        let (missing, _) = shortfalls_in(&parts, &balance);
        let surplus = balance.high_volume - parts.sump_volume(top);
        let (change, side) = match (missing > ROUNDING, surplus > ROUNDING) {
            (false, false) => return Some(level),
            // Water that spills first is not missing for good: take the surplus away first.
            (_, true) if missing <= balance.lost || balance.lost > 0.0 => (-surplus, Side::Down),
            (true, false) => (missing, Side::Up),
            _ => return None,
        };
        let level = amounts::length(tape, moved(&parts, level, change)?, side);
        if level > overflow {
            return None;
        }
        changed.sump.start_level = level;
    }
    None
}

/// Sump level with `change` more water than at `level` `[m]`; `None` when it is empty.
fn moved(parts: &Parts, level: f64, change: f64) -> Option<f64> {
    let volume = parts.sump_volume(level) + change;
    (volume > 0.0).then(|| parts.sump_level(volume))
}

/// The sump filled to where both its checks pass.
pub(in crate::assessment) fn fitting_fill(facts: &Facts) -> Option<Fix> {
    let system = facts.parts.system;
    let level = fitting_level(facts, system)?;
    let apart = (level - system.sump.start_level).abs();
    // Less than half a step would be printed as no change.
    (apart >= 0.5 * amounts::length_step(facts.parts.tape)).then(|| fill(facts, level))
}

/// `changes`, and the level to fill the sump to with which both its checks then pass.
pub(in crate::assessment) fn and_fill(facts: &Facts, changes: Vec<Change>) -> Option<Fix> {
    let mut system = facts.parts.system.clone();
    for change in &changes {
        change.apply_to(&mut system).ok()?;
    }
    let level = fitting_level(facts, &system)?;
    let apart = (level - system.sump.start_level).abs();
    let mut fix = Fix::of(changes);
    if apart >= 0.5 * amounts::length_step(facts.parts.tape) {
        fix.changes.push(filled(level));
    }
    Some(fix)
}

/// Every standpipe `cut` shorter `[m]`.
pub(in crate::assessment) fn every_standpipe(facts: &Facts, cut: f64) -> Vec<Change> {
    let system = facts.parts.system;
    (0..system.beds.len())
        .filter_map(|i| {
            let now = Quantity::Bed(i, BedPart::StandpipeLength).value(system)?;
            Some(Change::of_bed(i, BedPart::StandpipeLength, now - cut))
        })
        .collect()
}

/// Volumes with the sump filled to `level` at the start `[m]`.
fn balance_if(facts: &Facts, level: f64) -> Balance {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    system.sump.start_level = level;
    Balance::new(&Parts::new(&system, parts.run, parts.tape))
}

/// Less water, so that the sump's highest stays under `most` `[m]`, if the pump's cover then
/// still holds.
pub(in crate::assessment) fn less_water(facts: &Facts, most: f64) -> Option<Fix> {
    let parts = &facts.parts;
    let mut level = parts.system.sump.start_level;
    for _ in 0..ROUNDS {
        let balance = balance_if(facts, level);
        let surplus = balance.high_volume - parts.sump_volume(most);
        if shortfalls(facts, &balance).0 > ROUNDING {
            return None;
        }
        if surplus <= ROUNDING {
            return Some(fill(facts, level));
        }
        level = amounts::length(parts.tape, moved(parts, level, -surplus)?, Side::Down);
    }
    None
}

/// The sump filled so that its lowest water is what the fish need, and that level: `limit` `[m]`,
/// or this `share` of the depth filled to; `None` where its overflow leaves no room.
pub(in crate::assessment) fn fill_for_fish(
    facts: &Facts,
    limit: f64,
    share: Option<f64>,
) -> Option<(Fix, f64)> {
    let (parts, tape) = (&facts.parts, facts.parts.tape);
    let sump = &parts.system.sump;
    let mut level = sump.start_level;
    for _ in 0..ROUNDS {
        let wanted = share.map_or(limit, |share| sump.floor + share * (level - sump.floor));
        let balance = balance_if(facts, level);
        // An intake is raised to it by whole steps of the tape.
        let kept = wanted + amounts::length_step(tape);
        let missing = parts.sump_volume(kept) - (balance.low_volume - balance.lost);
        if shortfalls(facts, &balance).1 > ROUNDING {
            return None;
        }
        if missing <= ROUNDING {
            return Some((fill(facts, level), wanted));
        }
        // What the fish need rises by a share of what is filled in.
        let step = missing / (1.0 - share.unwrap_or(0.0));
        level = amounts::length(tape, moved(parts, level, step)?, Side::Up);
        if level > sump.overflow_level {
            return None;
        }
    }
    None
}

/// What is wrong where no inflow at all lets bed `i` down to its break level:
/// the water at its outlet, by how much, and where that is dealt with.
pub(in crate::assessment) fn held_by_water(facts: &Facts, i: usize) -> Option<Fix> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    if judged.window.stall.low > 0.0 {
        return None;
    }
    let by_sump = parts.run.sump.level.max >= parts.nominal[i].break_level(parts.outlets[i]);
    Some(Fix::hint(Hint::ClearOutlet {
        bed: i,
        over: judged.tail - parts.outlets[i],
        see: if parts.on_line(i) && !by_sump {
            CheckId::DrainLine
        } else {
            CheckId::Fall
        },
    }))
}
