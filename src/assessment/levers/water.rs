//! More or less water in the system, set by the sump's level at the start.

use crate::assessment::amounts::{self, Side};
use crate::assessment::bounds::Balance;
use crate::assessment::facts::Facts;
use crate::assessment::parts::Parts;

/// Rounds in which a start level is corrected; drowned outlets make it move the bounds.
const ROUNDS: usize = 8;
/// Volumes closer than this are equal `[m3]`.
const ROUNDING: f64 = 1e-11;

/// Water missing under the pump's cover and too much under the overflow's freeboard `[m3]`.
pub(in crate::assessment) fn shortfalls(facts: &Facts, balance: &Balance) -> (f64, f64) {
    let parts = &facts.parts;
    let full = parts.system.sump.overflow_level - parts.system.thresholds.sump_freeboard;
    (
        parts.sump_volume(parts.dry_level()) - (balance.low_volume - balance.lost),
        balance.high_volume - parts.sump_volume(full),
    )
}

/// Volumes with the sump filled to `level` at the start and every standpipe `cut` shorter `[m]`.
fn balance_if(facts: &Facts, level: f64, cut: f64) -> Balance {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    system.sump.start_level = level;
    for bed in &mut system.beds {
        bed.siphon.raise_lip(-cut);
    }
    Balance::new(&Parts::new(&system, parts.run, parts.units))
}

/// Least bore of the shared line, up to three times the present, that keeps
/// every bed from being held to its rim and the pump covered `[m]`.
pub(in crate::assessment) fn line_for_cover(facts: &Facts) -> Option<f64> {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    let now = system.drain_line.as_ref()?.run.bore;
    let bore = (1..=40)
        .map(|k| now * (1.0 + 0.05 * f64::from(k)))
        .find(|&bore| {
            if let Some(line) = &mut system.drain_line {
                line.run.bore = bore;
            }
            let balance = Balance::new(&Parts::new(&system, parts.run, parts.units));
            !balance.highest.iter().any(|bed| bed.may_spill) && shortfalls(facts, &balance).0 <= 0.0
        })?;
    Some(amounts::bore(parts.units, bore, Side::Up))
}

/// Start level of the sump at which both its checks pass with standpipes `cut`
/// shorter, rounded to what is printed `[m]`.
pub(in crate::assessment) fn fitting_level(facts: &Facts, cut: f64) -> Option<f64> {
    let parts = &facts.parts;
    let sump = &parts.system.sump;
    let mut level = sump.start_level;
    for _ in 0..ROUNDS {
        let balance = balance_if(facts, level, cut);
        let (missing, surplus) = shortfalls(facts, &balance);
        let (change, side) = match (missing > ROUNDING, surplus > ROUNDING) {
            (false, false) => return Some(level),
            // Water that spills first is not missing for good: take the surplus away first.
            (_, true) if missing <= balance.lost || balance.lost > 0.0 => (-surplus, Side::Down),
            (true, false) => (missing, Side::Up),
            _ => return None,
        };
        level = amounts::length(parts.units, moved(parts, level, change)?, side);
        if level > sump.overflow_level {
            return None;
        }
    }
    None
}

/// Sump level with `change` more water than at `level` `[m]`; `None` when it is empty.
fn moved(parts: &Parts, level: f64, change: f64) -> Option<f64> {
    let volume = parts.sump_volume(level) + change;
    (volume > 0.0).then(|| parts.sump_level(volume))
}

/// "Fill the sump to 0.44 m at the start instead of 0.40 m, 42 L more."
pub(in crate::assessment) fn fill_fix(facts: &Facts) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let level = fitting_level(facts, 0.0)?;
    let now = parts.system.sump.start_level;
    let change = parts.sump_volume(level) - parts.sump_volume(now);
    if (level - now).abs() < 0.5 * amounts::length_step(units) {
        return None;
    }
    Some(format!(
        "Fill the sump to {} at the start instead of {}, {} {}.",
        units.elevation(level),
        units.elevation(now),
        units.volume(change.abs()),
        if change > 0.0 { "more" } else { "less" }
    ))
}

/// "Fill the sump only to 0.36 m at the start": keeps its highest water under
/// `most` `[m]`, if the pump's cover then still holds.
pub(in crate::assessment) fn less_water(facts: &Facts, most: f64) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let now = parts.system.sump.start_level;
    let mut level = now;
    for _ in 0..ROUNDS {
        let balance = balance_if(facts, level, 0.0);
        let surplus = balance.high_volume - parts.sump_volume(most);
        if shortfalls(facts, &balance).0 > ROUNDING {
            return None;
        }
        if surplus <= ROUNDING {
            return Some(format!(
                "Fill the sump only to {} at the start instead of {}.",
                units.elevation(level),
                units.elevation(now)
            ));
        }
        level = amounts::length(units, moved(parts, level, -surplus)?, Side::Down);
    }
    None
}

/// "fill the sump to 0.44 m at the start", which keeps its lowest water at what the fish need,
/// and that level: `limit` `[m]`, or this `share` of the depth filled to; `None` where its
/// overflow leaves no room.
pub(in crate::assessment) fn fill_for_fish(
    facts: &Facts,
    limit: f64,
    share: Option<f64>,
) -> Option<(String, f64)> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let sump = &parts.system.sump;
    let mut level = sump.start_level;
    for _ in 0..ROUNDS {
        let wanted = share.map_or(limit, |share| sump.floor + share * (level - sump.floor));
        let balance = balance_if(facts, level, 0.0);
        // An intake is raised to it by whole steps of the tape.
        let kept = wanted + amounts::length_step(units);
        let missing = parts.sump_volume(kept) - (balance.low_volume - balance.lost);
        if shortfalls(facts, &balance).1 > ROUNDING {
            return None;
        }
        if missing <= ROUNDING {
            let fill = format!(
                "fill the sump to {} at the start instead of {}",
                units.elevation(level),
                units.elevation(sump.start_level)
            );
            return Some((fill, wanted));
        }
        // What the fish need rises by a share of what is filled in.
        let step = missing / (1.0 - share.unwrap_or(0.0));
        level = amounts::length(units, moved(parts, level, step)?, Side::Up);
        if level > sump.overflow_level {
            return None;
        }
    }
    None
}

/// What is wrong where no inflow at all lets bed `i` down to its break level:
/// the water at its outlet, by how much, and where that is dealt with.
pub(in crate::assessment) fn held_by_water(facts: &Facts, i: usize) -> Option<String> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    if judged.window.stall.low > 0.0 {
        return None;
    }
    let by_sump = parts.run.sump.level.max >= parts.nominal[i].break_level(parts.outlets[i]);
    Some(format!(
        "Clear the outlet of {} first: {}. See {}.",
        parts.name(i),
        water_over(facts, i),
        if parts.on_line(i) && !by_sump {
            "drain-line"
        } else {
            "fall"
        }
    ))
}

/// "the water there stands 640 mm over it and reaches its break level".
pub(in crate::assessment) fn water_over(facts: &Facts, i: usize) -> String {
    let over = facts.beds[i].tail - facts.parts.outlets[i];
    if over > 0.0 {
        let over = facts.parts.units.length(over);
        format!("the water there stands {over} over it and reaches its break level")
    } else {
        "it is above the break level".to_owned()
    }
}
