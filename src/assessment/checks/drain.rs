//! The shared drain line: what it carries and how steep it lies.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::fall::line_fall;
use crate::assessment::checks::sentence;
use crate::assessment::facts::Facts;
use crate::assessment::levers::{any_line_blocked, line_text};
use crate::assessment::parts::settled_tails;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::hydraulics::circular;
use crate::model::{Coefficient, DrainLine, DrainTarget};
use crate::network::drain_line::DrainLineLaw;

/// Bore up to which a pipe counts as 2 1/2 in or less `[m]`: Schedule 40 has 62.7 mm, 75 mm waste
/// pipe 69 mm.
const SMALL_LINE: f64 = 0.070;
/// Least slope of a small line and of a wider one `[-]`.
const SMALL_SLOPE: f64 = 0.02;
const WIDE_SLOPE: f64 = 0.01;
/// Room kept between a siphon's outlet and the invert of a re-laid line `[m]`.
pub(super) const OVER_INVERT: f64 = 0.005;

/// Depth over diameter that drains are laid for at most, by plumbing practice `[-]`.
const HALF_FULL: f64 = 0.5;

/// More than the largest siphon by this share means that several run at once.
const MEETING: f64 = 0.02;

/// All siphons of the line running together.
struct Together {
    /// What they give with nothing in their way `[m3/s]`.
    free: f64,
    /// What runs at once as things are: all of them where beds have met, else the largest `[m3/s]`.
    usual: f64,
    /// Beds whose break level the line's water then passes.
    held: Vec<usize>,
    /// Beds over whose lip the line's water then stands.
    flooded: Vec<usize>,
}

impl Together {
    fn new(facts: &Facts) -> Self {
        let parts = &facts.parts;
        let gives: Vec<f64> = members(facts)
            .map(|i| full_flow(facts, i, parts.outlets[i]))
            .collect();
        let free = gives.iter().sum();
        let largest = gives.iter().copied().fold(0.0, f64::max);
        let peak = parts.run.line.map_or(0.0, |line| line.peak_flow);
        // A line that is over its capacity holds its siphons back: they would give more.
        let throttled = parts.run.line.is_some_and(|line| peak > line.capacity);
        let met =
            throttled || peak > (1.0 + MEETING) * largest || !parts.run.coincidences.is_empty();
        // Beds that never stop draining come on top of the one that runs.
        let endless: f64 = members(facts).map(|i| parts.endless_flow(i)).sum();
        let tails = parts.line.as_ref().map(|line| tails(facts, line));
        let over = |level: &dyn Fn(usize) -> f64| -> Vec<usize> {
            let passed = |&i: &usize| tails.as_ref().is_some_and(|tails| tails[i] > level(i));
            members(facts).filter(passed).collect()
        };
        Self {
            free,
            usual: if met {
                free
            } else {
                peak.max((largest + endless).min(free))
            },
            held: over(&|i| parts.nominal[i].break_level(parts.outlets[i])),
            flooded: over(&|i| parts.nominal[i].lip()),
        }
    }
}

/// Beds that drain into the line.
fn members(facts: &Facts) -> impl Iterator<Item = usize> {
    let parts = &facts.parts;
    (0..parts.count()).filter(|&i| parts.on_line(i))
}

/// What the siphon of bed `i` gives at its peak against `tail` `[m3/s]`.
fn full_flow(facts: &Facts, i: usize, tail: f64) -> f64 {
    let (parts, law) = (&facts.parts, &facts.parts.nominal[i]);
    law.full_flow(parts.simulated_peak(i).max(law.start_level(0.0)) - tail)
}

/// What the siphons look at in `line` while all of them run `[m]`.
fn tails(facts: &Facts, line: &DrainLineLaw) -> Vec<f64> {
    let parts = &facts.parts;
    let demand = |i: usize, tail: f64| full_flow(facts, i, tail);
    settled_tails(line, parts.run.sump.level.max, &parts.outlets, &demand)
}

/// Whether the water of `line` passes the break level of no bed while all siphons run.
fn holds_none(facts: &Facts, line: &DrainLineLaw) -> bool {
    let parts = &facts.parts;
    let tails = tails(facts, line);
    members(facts).all(|i| tails[i] <= parts.nominal[i].break_level(parts.outlets[i]))
}

/// Beds into which the line pushed water in this run.
fn pushed_up(facts: &Facts) -> impl Iterator<Item = usize> {
    members(facts).filter(|&i| facts.parts.run.beds[i].came_up.is_some())
}

/// Peak flow against what the line carries by gravity.
pub(super) fn drain_line(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let units = parts.units;
    let line = parts.system.drain_line.as_ref()?;
    let outcome = parts.run.line?;
    let together = Together::new(facts);
    let value = outcome.peak_flow;
    let limit = outcome.capacity;
    let comes_up = pushed_up(facts).next().is_some();
    let least = limit * parts.band(Coefficient::LineManning).nominal
        / parts.band(Coefficient::LineManning).high;
    let status = if value > limit || comes_up || any_line_blocked(facts) {
        Status::Fail
    } else if outcome.fill.high > HALF_FULL
        || value.max(together.free) > least
        || !together.held.is_empty()
        || !together.flooded.is_empty()
    {
        Status::Warn
    } else {
        Status::Pass
    };
    let filled = if value > limit {
        "more than it carries by gravity".to_owned()
    } else {
        format!(
            "{} of its bore deep at most just above the drain of {} ({} to {} within the bands of its \
             roughness and of how the drains enter, along the flow or square to it)",
            units.percent(outcome.fill.nominal),
            parts.name(outcome.fullest_bed),
            units.percent(outcome.fill.low),
            units.percent(outcome.fill.high)
        )
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
    because.push_str(&what_comes_up(facts, &together));
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
            _ => sentence(&line_fix(facts, line, &together)),
        },
        basis: "plumbing practice: drains at most half full; Manning with n 0.009 to 0.010; momentum at square entries",
    })
}

/// What [`drain_line`] advises, as a clause, where the line's size is the cause.
pub(super) fn wider_line(facts: &Facts) -> Option<String> {
    let line = facts.parts.system.drain_line.as_ref()?;
    (!drowned(facts, line)).then(|| line_fix(facts, line, &Together::new(facts)))
}

/// Whether the sump's water fills the outlet of the line: no size then helps.
fn drowned(facts: &Facts, line: &DrainLine) -> bool {
    facts.parts.run.sump.level.max >= line.outlet + line.run.bore
}

/// Where the line pushes water up, or can, and whose water it is.
fn what_comes_up(facts: &Facts, together: &Together) -> String {
    let parts = &facts.parts;
    let from = |bed: Option<usize>| {
        bed.map_or_else(
            || "the sump".to_owned(),
            |bed| format!("the siphon of {}", parts.name(bed)),
        )
    };
    let mut text = String::new();
    for i in pushed_up(facts) {
        let outcome = &parts.run.beds[i];
        let Some(came) = outcome.came_up else {
            continue;
        };
        let over = if outcome.overflowed > 0.0 {
            ", which went over its wall"
        } else {
            ""
        };
        text.push_str(&format!(
            " In this run water of {} came back up the drain into {} for {}, up to {}{over}.",
            from(came.from),
            parts.name(i),
            parts.units.time(came.time),
            parts.units.flow(came.peak_flow)
        ));
    }
    let can = together
        .flooded
        .iter()
        .filter(|&&i| parts.run.beds[i].came_up.is_none());
    for &i in can {
        let pusher = members(facts)
            .filter(|&j| j != i)
            .max_by(|&a, &b| parts.simulated_peak(a).total_cmp(&parts.simulated_peak(b)));
        text.push_str(&format!(
            " With all siphons running its water stands over the lip of {} and can push water of \
             {} up into it.",
            parts.name(i),
            from(pusher)
        ));
    }
    text
}

/// How full `line` stands with what runs at once now `[-]`, its outlet free.
fn fill(facts: &Facts, line: &DrainLineLaw, together: &Together) -> f64 {
    let parts = &facts.parts;
    let fullest = |flow: &dyn Fn(usize) -> f64| {
        let mut flows = vec![0.0; parts.count()];
        members(facts).for_each(|i| flows[i] = flow(i));
        let mut grades = vec![0.0; parts.count()];
        line.grades(&flows, f64::NEG_INFINITY, &mut grades).fill
    };
    let free = |i: usize| full_flow(facts, i, parts.outlets[i]);
    if together.usual >= together.free {
        return fullest(&free);
    }
    // One siphon at a time, on top of the beds that never stop draining.
    let one = |run: usize| {
        fullest(&|i: usize| {
            if i == run {
                free(i)
            } else {
                parts.endless_flow(i)
            }
        })
    };
    members(facts).map(one).fold(0.0, f64::max)
}

/// Enough for every siphon at once, and half full at most with what runs now.
fn line_fix(facts: &Facts, line: &DrainLine, together: &Together) -> String {
    let units = facts.parts.units;
    if any_line_blocked(facts) {
        return "clear the drain line".to_owned();
    }
    if drowned(facts, line) {
        return "clear the outlet of the drain line of water first: see fall".to_owned();
    }
    let roughest = facts.parts.band(Coefficient::LineManning).high;
    let coefficients = &facts.parts.system.coefficients;
    let (values, worst) = (
        coefficients.nominal(),
        coefficients.line_at(|band| band.high),
    );
    let wyes = wyes_do(facts, together);
    let mut system = facts.parts.system.clone();
    let mut enough = |bore: f64, slope: f64| {
        let carries = circular::capacity(bore, slope, roughest) >= together.free;
        if let Some(line) = &mut system.drain_line {
            line.run.bore = bore;
            line.slope = slope;
        }
        carries
            && DrainLineLaw::new(&system, &worst)
                .is_some_and(|line| fill(facts, &line, together) <= HALF_FULL)
            && DrainLineLaw::new(&system, &values).is_some_and(|line| holds_none(facts, &line))
    };
    // Whole tenths of a per cent, as they are printed.
    let now = (1000.0 * line.slope + 1e-6).floor();
    let steeper = (1..=30)
        .map(|k| (now + f64::from(k)) / 1000.0)
        .find(|&slope| enough(line.run.bore, slope));
    if let Some(slope) = steeper
        && clears(facts, line, slope)
    {
        return format!(
            "{wyes}lay the drain line at a slope of {}",
            units.percent(slope)
        );
    }
    let bore = (1..=300)
        .map(|k| line.run.bore * (1.0 + 0.03 * f64::from(k)))
        .find(|&bore| enough(bore, line.slope));
    match bore {
        Some(bore) => format!(
            "{wyes}{}",
            line_text(units, amounts::bore(units, bore, Side::Up))
        ),
        None => "lay the drain line higher over the sump's water and with more fall".to_owned(),
    }
}

/// The beginning of the advice where entries along the flow would be enough by themselves.
fn wyes_do(facts: &Facts, together: &Together) -> &'static str {
    let coefficients = &facts.parts.system.coefficients;
    let along = coefficients
        .line_at(|band| band.high)
        .with(Coefficient::JunctionEntry, 0.0);
    let half_full = facts
        .parts
        .run
        .line
        .is_some_and(|line| line.fill.high > HALF_FULL);
    let enough = |line: DrainLineLaw| {
        line.capacity() >= together.free && fill(facts, &line, together) <= HALF_FULL
    };
    if half_full
        && together.held.is_empty()
        && together.flooded.is_empty()
        && DrainLineLaw::new(facts.parts.system, &along).is_some_and(enough)
    {
        "let the drains into the line by 45 degree wyes in the flow's direction, or "
    } else {
        ""
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
    facts
        .parts
        .beds()
        .iter()
        .all(|bed| match bed.siphon.drain.into {
            DrainTarget::Line { at } => {
                line.outlet + slope * at + OVER_INVERT <= bed.siphon.drain.outlet
            }
            DrainTarget::Sump => true,
        })
}

fn least_slope(line: &DrainLine) -> f64 {
    if line.run.bore <= SMALL_LINE {
        SMALL_SLOPE
    } else {
        WIDE_SLOPE
    }
}

/// Slope of the line against plumbing practice.
pub(super) fn line_slope(facts: &Facts) -> Option<Check> {
    let units = facts.parts.units;
    let line = facts.parts.system.drain_line.as_ref()?;
    let limit = least_slope(line);
    // A quarter inch per foot is written as 2.08 %, one eighth as 1.04 %.
    let status = if line.slope >= limit - 1e-6 {
        Status::Pass
    } else {
        Status::Warn
    };
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
