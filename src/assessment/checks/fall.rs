//! The fall of every gravity run: bed floor, outlet, line, sump.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::drain::OVER_INVERT;
use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::facts::Facts;
use crate::assessment::levers::less_water;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::model::{Bed, DrainLine, DrainTarget};

/// Fall of the run from bed `i`: floor over outlet over what receives it.
pub(super) fn fall(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let outlet = parts.outlets[i];
    let high = facts.balance.high_water(parts);
    let to_outlet = bed.floor - outlet;
    let (below, receiver) = receiver(facts, bed);
    let to_receiver = outlet - below;
    let value = to_outlet.min(to_receiver);
    let breaks = parts.nominal[i].break_level(outlet);
    let status = if graded(value, 0.0, 0.0) == Status::Pass {
        Status::Pass
    } else if to_outlet < 0.0 || high >= breaks || receiver == Receiver::Line {
        Status::Fail
    } else {
        Status::Warn
    };
    let because = match receiver {
        Receiver::Line => format!(
            "The floor of {} is {} over its outlet, and the outlet is {} over the invert of the \
             drain line there.",
            parts.name(i),
            units.length(to_outlet),
            units.length(to_receiver)
        ),
        Receiver::Sump if to_receiver < 0.0 => format!(
            "The floor of {} is {} over its outlet, and the sump's highest water at {} drowns the \
             outlet by {}.",
            parts.name(i),
            units.length(to_outlet),
            units.elevation(high),
            units.length(-to_receiver)
        ),
        Receiver::Sump => format!(
            "The floor of {} is {} over its outlet, and the outlet is {} over the sump's highest \
             water at {}.",
            parts.name(i),
            units.length(to_outlet),
            units.length(to_receiver),
            units.elevation(high)
        ),
    };
    Check {
        id: CheckId::Fall,
        subject: bed.name.clone(),
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        because,
        first_fix: match status {
            Status::Pass => String::new(),
            _ if to_outlet < 0.0 => format!(
                "Lower the outlet of {} by {}.",
                parts.name(i),
                units.length(amounts::length(units, -to_outlet, Side::Up))
            ),
            _ => raise_outlet(facts, i, -to_receiver, receiver),
        },
        basis: "derived",
    }
}

/// Less water where that is enough, else the outlet up, else the bed with it.
fn raise_outlet(facts: &Facts, i: usize, short: f64, receiver: Receiver) -> String {
    let (parts, units) = (&facts.parts, facts.parts.units);
    if receiver == Receiver::Sump
        && let Some(fix) = less_water(facts, parts.outlets[i])
    {
        return fix;
    }
    let rise = amounts::length(units, short, Side::Up);
    let with_bed = rise > parts.beds()[i].floor - parts.outlets[i];
    format!(
        "Raise {} of {} by {}.",
        if with_bed {
            "bed and outlet"
        } else {
            "the outlet"
        },
        parts.name(i),
        units.length(rise)
    )
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Receiver {
    Line,
    Sump,
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
    let units = parts.units;
    let line = parts.system.drain_line.as_ref()?;
    let high = facts.balance.high_water(parts);
    let value = line.outlet - high;
    let flooded: Vec<usize> = (0..parts.count())
        .filter(|&i| parts.on_line(i))
        .filter(|&i| high >= parts.nominal[i].break_level(parts.outlets[i]))
        .collect();
    let full = high >= line.outlet + line.run.bore;
    let status = if line.slope <= 0.0 || !flooded.is_empty() {
        Status::Fail
    } else if graded(value, 0.0, 0.0) == Status::Fail {
        Status::Warn
    } else {
        Status::Pass
    };
    let mut because = if value >= 0.0 {
        format!(
            "The outlet of the drain line is {} over the sump's highest water at {}.",
            units.length(value),
            units.elevation(high)
        )
    } else {
        format!(
            "The sump's highest water at {} stands {} over the invert of the line's outlet{}.",
            units.elevation(high),
            units.length(-value),
            if full {
                " and drowns it, so the line runs full"
            } else {
                ""
            }
        )
    };
    if !flooded.is_empty() {
        let names: Vec<String> = flooded.iter().map(|&i| parts.name(i)).collect();
        because.push_str(&format!(
            " It then stands above the break level of {}.",
            names.join(", ")
        ));
    }
    Some(Check {
        id: CheckId::Fall,
        subject: "drain line".to_owned(),
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        because,
        first_fix: match status {
            Status::Pass => String::new(),
            _ if value < 0.0 => line_fall_fix(facts, line, -value),
            _ => "Lay the drain line with fall towards the sump.".to_owned(),
        },
        basis: COMMON_PRACTICE,
    })
}

/// Less water where that is enough, else the line up.
fn line_fall_fix(facts: &Facts, line: &DrainLine, short: f64) -> String {
    let (parts, units) = (&facts.parts, facts.parts.units);
    if let Some(fix) = less_water(facts, line.outlet) {
        return fix;
    }
    let rise = amounts::length(units, short, Side::Up);
    let room = parts
        .beds()
        .iter()
        .filter_map(|bed| match bed.siphon.drain.into {
            DrainTarget::Line { at } => Some(bed.siphon.drain.outlet - line.invert(at)),
            DrainTarget::Sump => None,
        })
        .fold(f64::INFINITY, f64::min);
    if rise + OVER_INVERT <= room {
        format!("Raise the drain line by {}.", units.length(rise))
    } else {
        format!(
            "Raise the drain line, its siphons' outlets and the beds by {}, or set the sump that \
             much lower.",
            units.length(rise)
        )
    }
}
