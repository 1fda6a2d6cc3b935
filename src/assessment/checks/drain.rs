//! The drain line and the fall of every gravity run.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::{COMMON_PRACTICE, graded, sentence};
use crate::assessment::facts::Facts;
use crate::assessment::levers::{less_water, line_text};
use crate::assessment::parts::settled_tails;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::hydraulics::circular;
use crate::model::{Bed, Coefficient, DrainLine, DrainTarget};
use crate::network::drain_line::DrainLineLaw;

/// Bore up to which a pipe counts as 2 1/2 in or less [m]: Schedule 40 has 62.7 mm, 75 mm waste
/// pipe 69 mm.
const SMALL_LINE: f64 = 0.070;
/// Least slope of a small line and of a wider one [-].
const SMALL_SLOPE: f64 = 0.02;
const WIDE_SLOPE: f64 = 0.01;
/// Room kept between a siphon's outlet and the invert of a re-laid line [m].
const OVER_INVERT: f64 = 0.005;

/// More than the largest siphon by this share means that several run at once.
const MEETING: f64 = 0.02;

/// All siphons of the line running together.
struct Together {
    /// What they give with nothing in their way [m3/s].
    free: f64,
    /// What runs at once as things are: all of them where beds have met, else the largest [m3/s].
    usual: f64,
    /// Beds whose break level the line's water then passes.
    held: Vec<usize>,
}

impl Together {
    fn new(facts: &Facts, line: Option<&DrainLineLaw>) -> Self {
        let parts = &facts.parts;
        let members: Vec<usize> = (0..parts.count()).filter(|&i| parts.on_line(i)).collect();
        let level =
            |i: usize| parts.simulated_peak(i).max(parts.nominal[i].start_level(0.0));
        let free = |i: usize| parts.nominal[i].full_flow(level(i) - parts.outlets[i]);
        let demand = |i: usize, tail: f64| parts.nominal[i].full_flow(level(i) - tail);
        let tails = line.map_or_else(|| parts.outlets.clone(), |line| {
            settled_tails(line, parts.run.sump.level.max, &parts.outlets, &demand)
        });
        let all = members.iter().map(|&i| free(i)).sum();
        let largest = members.iter().map(|&i| free(i)).fold(0.0, f64::max);
        let peak = parts.run.line.map_or(0.0, |line| line.peak_flow);
        // A line that is over its capacity holds its siphons back: they would give more.
        let throttled = parts.run.line.is_some_and(|line| peak > line.capacity);
        let met = throttled
            || peak > (1.0 + MEETING) * largest
            || !parts.run.coincidences.is_empty();
        // Beds that never stop draining come on top of the one that runs.
        let endless: f64 = members.iter().map(|&i| parts.endless_flow(i)).sum();
        Self {
            free: all,
            usual: if met { all } else { peak.max((largest + endless).min(all)) },
            held: members
                .into_iter()
                .filter(|&i| tails[i] > parts.nominal[i].break_level(parts.outlets[i]))
                .collect(),
        }
    }
}

/// Peak flow against what the line carries by gravity.
pub(super) fn drain_line(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let units = parts.units;
    let line = parts.system.drain_line.as_ref()?;
    let outcome = parts.run.line?;
    let together = Together::new(facts, parts.line.as_ref());
    let value = outcome.peak_flow;
    let limit = outcome.capacity;
    let status = if value > limit {
        Status::Fail
    } else if value > outcome.half_full || together.free > limit || !together.held.is_empty() {
        Status::Warn
    } else {
        Status::Pass
    };
    let filled = if value > limit {
        "more than it carries by gravity".to_owned()
    } else {
        format!("{} of its bore deep at most", units.percent(outcome.peak_fill))
    };
    let mut because = format!(
        "The drain line took up to {} in this run, {filled}; it carries {} by gravity and {} half \
         full.",
        units.flow(value),
        units.flow(limit),
        units.flow(outcome.half_full)
    );
    if together.free > limit {
        because.push_str(&format!(
            " All its siphons together would bring {}.",
            units.flow(together.free)
        ));
    }
    if !together.held.is_empty() {
        let names: Vec<String> = together.held.iter().map(|&i| parts.name(i)).collect();
        because.push_str(&format!(
            " Its water then stands above the break level of {}, which keeps the siphon from \
             breaking.",
            names.join(", ")
        ));
    }
    Some(Check {
        id: CheckId::DrainLine,
        subject: "drain line".to_owned(),
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::CubicMetrePerSecond,
        because,
        first_fix: match status {
            Status::Pass => String::new(),
            _ => line_fix(facts, line, &together),
        },
        basis: "plumbing practice: drains at most half full; Manning with n 0.009 to 0.010",
    })
}

/// Enough for every siphon at once, and half full at most with what runs now.
fn line_fix(facts: &Facts, line: &DrainLine, together: &Together) -> String {
    let units = facts.parts.units;
    let manning = facts.parts.band(Coefficient::LineManning).nominal;
    let drowned = "Clear the outlet of the drain line of water first: see fall.".to_owned();
    if facts.parts.run.sump.level.max >= line.outlet + line.run.bore {
        return drowned;
    }
    let enough = |bore: f64, slope: f64| {
        circular::capacity(bore, slope, manning) >= together.free
            && circular::half_full_flow(bore, slope, manning) >= together.usual
    };
    let frees = |bore: f64, slope: f64| {
        let mut system = facts.parts.system.clone();
        if let Some(line) = &mut system.drain_line {
            (line.run.bore, line.slope) = (bore, slope);
        }
        let law = DrainLineLaw::new(&system, manning);
        Together::new(facts, law.as_ref()).held.is_empty()
    };
    let steeper = (1..=100)
        .map(|k| line.slope + 0.001 * f64::from(k))
        .find(|&slope| enough(line.run.bore, slope) && frees(line.run.bore, slope));
    if let Some(slope) = steeper
        && slope <= 2.0 * line.slope.max(least_slope(line))
        && clears(facts, line, slope)
    {
        return format!("Lay the drain line at a slope of {}.", units.percent(slope));
    }
    let mut sizes = (1..=400).map(|k| line.run.bore * (1.0 + 0.01 * f64::from(k)));
    let Some(wide) = sizes.find(|&bore| enough(bore, line.slope)) else {
        return "Lay the drain line with fall, then choose its bore.".to_owned();
    };
    // A little more may be needed to let every bed break; ten times as much would not help.
    let mut freeing = (0..=50).map(|k| wide * (1.0 + 0.02 * f64::from(k)));
    match freeing.find(|&bore| frees(bore, line.slope)) {
        Some(bore) => sentence(&line_text(units, amounts::bore(units, bore, Side::Up))),
        None => drowned,
    }
}

/// What the checks of the line's size and fall advise first; none if both pass.
pub(super) fn line_cause(facts: &Facts) -> Option<String> {
    [drain_line(facts), line_fall(facts)]
        .into_iter()
        .flatten()
        .find(|check| check.status != Status::Pass)
        .map(|check| check.first_fix)
}

/// Whether every outlet stays above a line of this slope.
fn clears(facts: &Facts, line: &DrainLine, slope: f64) -> bool {
    facts.parts.beds().iter().all(|bed| match bed.siphon.drain.into {
        DrainTarget::Line { at } => {
            line.outlet + slope * at + OVER_INVERT <= bed.siphon.drain.outlet
        }
        DrainTarget::Sump => true,
    })
}

fn least_slope(line: &DrainLine) -> f64 {
    if line.run.bore <= SMALL_LINE { SMALL_SLOPE } else { WIDE_SLOPE }
}

/// Slope of the line against plumbing practice.
pub(super) fn line_slope(facts: &Facts) -> Option<Check> {
    let units = facts.parts.units;
    let line = facts.parts.system.drain_line.as_ref()?;
    let limit = least_slope(line);
    // A quarter inch per foot is written as 2.08 %, one eighth as 1.04 %.
    let status = if line.slope >= limit - 1e-6 { Status::Pass } else { Status::Warn };
    let rise = (limit - line.slope) * line.run.length;
    Some(Check {
        id: CheckId::DrainLine,
        subject: "drain line slope".to_owned(),
        status,
        value: line.slope,
        limit,
        margin: line.slope - limit,
        unit: CheckUnit::Ratio,
        because: format!(
            "The drain line of {} bore falls {}; {} is usual for that size.",
            units.bore(line.run.bore),
            units.percent(line.slope),
            units.percent(limit)
        ),
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            format!(
                "Raise the upper end of the drain line by {}, to a slope of {}.",
                units.length(amounts::length(units, rise, Side::Up)),
                units.percent(limit)
            )
        },
        basis: "plumbing practice: 1/4 in per foot to 2 1/2 in, 1/8 in per foot above (IPC table \
                704.1, read in a city code)",
    })
}

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
        if with_bed { "bed and outlet" } else { "the outlet" },
        parts.name(i),
        units.length(rise)
    )
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Receiver {
    Line,
    Sump,
}

/// What the outlet of `bed` must be above [m].
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
            if full { " and drowns it, so the line runs full" } else { "" }
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
