//! Sump bounds against the pump's cover and the overflow.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::drain::line_cause;
use crate::assessment::checks::{COMMON_PRACTICE, graded, sentence};
use crate::assessment::facts::Facts;
use crate::assessment::levers::{
    cleared_and_kept, cut_possible, fill_fix, fitting_level, least_length, line_for_cover,
    line_text, shortfalls,
};
use crate::assessment::most_inflow::MostInflow;
use crate::assessment::{Check, CheckId, CheckUnit, Status};

/// Less than this over the overflow is rounding `[m3]`.
const LEAST_LOSS: f64 = 1e-9;

/// Water over the pump's intake at the low bound.
pub(super) fn pump_cover(facts: &Facts) -> Check {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let pump = &parts.system.pump;
    let bounds = &facts.balance.bounds;
    let run = &parts.run.sump;
    let value = bounds.low - pump.intake_level;
    let limit = pump.minimum_cover;
    let spilling: Vec<usize> = (0..parts.count())
        .filter(|&i| facts.balance.highest[i].may_spill)
        .collect();
    let mut spills: Vec<String> = spilling.iter().map(|&i| parts.name(i)).collect();
    if facts.balance.tank_may_spill {
        spills.push("the fish tank".to_owned());
    }
    let overflowed = parts.run.beds.iter().any(|bed| bed.overflowed > 0.0);
    let mut status = graded(value, limit, limit);
    if run.ran_dry > 0.0 {
        status = Status::Fail;
    } else if !spills.is_empty() {
        status = status.max(Status::Warn);
    }
    let mut because = if run.ran_dry > 0.0 {
        format!(
            "The pump drew air for {} of this run; the sump can fall to {} and the intake needs \
             water up to {}.",
            units.time(run.ran_dry),
            units.elevation(bounds.low),
            units.elevation(parts.dry_level())
        )
    } else {
        format!(
            "With every bed at its highest the sump can fall to {}, and in this run it fell to {}; \
             the intake needs water up to {}.",
            units.elevation(bounds.low),
            units.elevation(run.level.min),
            units.elevation(parts.dry_level())
        )
    };
    if !spills.is_empty() {
        because.push_str(&format!(
            " At worst water goes over the wall of {} and is lost to the sump.",
            spills.join(", ")
        ));
    }
    if parts.system.net_loss() > 0.0 {
        because.push_str(&format!(
            " What the air takes in {} is counted.",
            units.time(parts.run.duration)
        ));
    }
    if bounds.dead_siphons < parts.dry_level() {
        because.push_str(&format!(
            " With every siphon dead it would fall to {}.",
            units.elevation(bounds.dead_siphons)
        ));
    }
    Check {
        id: CheckId::PumpCover,
        subject: "pump".to_owned(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        because,
        first_fix: match status {
            Status::Pass => String::new(),
            _ if !overflowed && let Some(bore) = held_by_line(facts) => {
                sentence(&line_text(units, bore))
            }
            _ if spilling.is_empty() && facts.balance.tank_may_spill => tank_spill_fix(facts),
            _ if !spilling.is_empty()
                && (overflowed || shortfalls(facts, &facts.balance).0 <= 0.0) =>
            {
                spill_fix(facts, &spilling)
            }
            _ => cover_fix(facts),
        },
        basis: "derived: volumes alone; the cover is the maker's, else 50 mm by common practice",
    }
}

/// The overflow that keeps the fish tank from going over its wall.
fn tank_spill_fix(facts: &Facts) -> String {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    let now = system.tank.as_ref().map_or(0.0, |tank| tank.overflow_bore);
    let wider = (1..=40)
        .map(|k| now * (1.0 + 0.05 * f64::from(k)))
        .find(|&bore| {
            if let Some(tank) = &mut system.tank {
                tank.overflow_bore = bore;
            }
            let top = MostInflow::new(&system, &parts.tree).tank;
            top.is_some_and(|top| !top.may_spill)
        });
    match wider {
        Some(bore) => format!(
            "Give the fish tank an overflow of at least {} bore.",
            parts.units.bore(amounts::bore(parts.units, bore, Side::Up))
        ),
        None => "Widen the pipes from the fish tank to the beds, or raise its wall.".to_owned(),
    }
}

/// What keeps these beds from going over their walls.
fn spill_fix(facts: &Facts, spilling: &[usize]) -> String {
    let parts = &facts.parts;
    let undo = spilling.iter().find_map(|&i| cleared_and_kept(facts, i));
    if let Some(undo) = undo {
        return undo;
    }
    if spilling.iter().any(|&i| parts.on_line(i))
        && let Some(fix) = line_cause(facts)
    {
        return fix;
    }
    let names: Vec<String> = spilling.iter().map(|&i| parts.name(i)).collect();
    format!(
        "Keep {} from overflowing first: see rim and breaks.",
        names.join(", ")
    )
}

/// A bore of the shared line that frees the beds it can hold to their rim `[m]`.
fn held_by_line(facts: &Facts) -> Option<f64> {
    let held = (0..facts.parts.count())
        .any(|i| facts.parts.on_line(i) && facts.balance.highest[i].may_spill);
    held.then(|| line_for_cover(facts)).flatten()
}

fn cover_fix(facts: &Facts) -> String {
    let (parts, units) = (&facts.parts, facts.parts.units);
    if let Some(fix) = fill_fix(facts) {
        return fix;
    }
    let pump = &parts.system.pump;
    let lower = amounts::length(
        units,
        parts.dry_level() - facts.balance.bounds.low,
        Side::Up,
    );
    let (missing, _) = shortfalls(facts, &facts.balance);
    let has_water = missing < parts.sump_volume(parts.dry_level());
    if has_water && pump.intake_level - lower >= parts.system.sump.floor {
        return format!("Lower the pump's intake by {}.", units.length(lower));
    }
    less_swing(facts)
}

/// Cover and freeboard do not fit together: shorter standpipes, else a larger sump.
fn less_swing(facts: &Facts) -> String {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let most = (0..parts.count())
        .map(|i| cut_possible(facts, i))
        .fold(f64::INFINITY, f64::min);
    let enough = |cut: f64| fitting_level(facts, cut).is_some();
    if most > 0.0 && enough(most) {
        let cut = least_length(units, most, enough);
        if let Some(level) = fitting_level(facts, cut) {
            return format!(
                "Cut every standpipe {} shorter and fill the sump to {} at the start.",
                units.length(cut),
                units.elevation(level)
            );
        }
    }
    let (missing, surplus) = shortfalls(facts, &facts.balance);
    let excess = missing - facts.balance.lost + surplus;
    format!(
        "Use a sump that holds at least {} more between the pump's cover and the freeboard under \
         its overflow.",
        units.volume(amounts::volume(units, excess.max(0.0), Side::Up))
    )
}

/// Freeboard under the sump's overflow at the high bound.
pub(super) fn sump_high(facts: &Facts) -> Check {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let (sump, run) = (&parts.system.sump, &parts.run.sump);
    let bounds = &facts.balance.bounds;
    let limit = parts.system.thresholds.sump_freeboard;
    let value = sump.overflow_level - bounds.high;
    let mut status = graded(value, limit, limit);
    let full = parts.sump_volume(sump.overflow_level);
    let lost = (facts.balance.topped_up_volume - full).max(0.0);
    if run.overflowed > 0.0 || lost > LEAST_LOSS {
        status = Status::Fail;
    }
    let seen = if run.overflowed > 0.0 {
        format!("in this run {} went over it", units.volume(run.overflowed))
    } else {
        format!(
            "in this run the sump rose to {}",
            units.elevation(run.level.max)
        )
    };
    let topped_up = facts.balance.topped_up_volume > facts.balance.high_volume + LEAST_LOSS;
    let after = if topped_up {
        ", after the float valve has added all it can at the sump's lowest,"
    } else {
        ""
    };
    let because = if lost > LEAST_LOSS {
        format!(
            "With every bed drained and the pump off{after} {} more come to the sump than it holds up to \
             its overflow at {}; {seen}.",
            units.volume(lost),
            units.elevation(sump.overflow_level)
        )
    } else {
        format!(
            "With every bed drained and the pump off{after} the sump can rise to {}, under its overflow \
             at {} with {} wanted between; {seen}.",
            units.elevation(bounds.high),
            units.elevation(sump.overflow_level),
            units.length(limit)
        )
    };
    Check {
        id: CheckId::SumpHigh,
        subject: "sump".to_owned(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        because,
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            high_fix(facts)
        },
        basis: COMMON_PRACTICE,
    }
}

/// The float valve set so low that what it adds leaves the freeboard, where nothing else
/// takes it.
fn lower_valve(facts: &Facts) -> Option<String> {
    let (parts, balance) = (&facts.parts, &facts.balance);
    let valve = parts.system.top_off.as_ref()?;
    let sump = &parts.system.sump;
    let wanted = sump.overflow_level - parts.system.thresholds.sump_freeboard;
    let spare = parts.sump_volume(wanted) - balance.high_volume;
    if spare < 0.0 {
        return None;
    }
    // Nothing is added while it opens at or below the lowest level there is.
    let level = parts
        .sump_level(parts.sump_volume(balance.lowest_normal) + spare)
        .min(valve.level);
    let level = amounts::length(parts.units, level, Side::Down);
    Some(format!(
        "Set the float valve to {} or lower.",
        parts.units.elevation(level)
    ))
}

fn high_fix(facts: &Facts) -> String {
    if let Some(fix) = lower_valve(facts) {
        return fix;
    }
    if let Some(fix) = fill_fix(facts) {
        return fix;
    }
    let (_, surplus) = shortfalls(facts, &facts.balance);
    let supply = facts.balance.supply;
    if !facts.parts.system.pump.check_valve && supply >= surplus {
        return format!(
            "Fit a check valve at the pump: it keeps {} in the supply pipes.",
            facts.parts.units.volume(supply)
        );
    }
    less_swing(facts)
}
