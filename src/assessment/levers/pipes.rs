//! Other heights and bores of standpipe, outlet, slots and drain line.

use crate::assessment::amounts::{self, Side};
use crate::assessment::facts::Facts;
use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, Schedule};
use crate::model::{Bed, DrainTarget};
use crate::network::drain_line::DrainLineLaw;
use crate::units::UnitSystem;
use std::f64::consts::PI;

/// Room kept between a siphon's outlet and the invert of the line it enters `[m]`.
const OUTLET_OVER_INVERT: f64 = 0.005;
/// Smallest standpipe bore that is worth advising `[m]`.
const LEAST_BORE: f64 = 0.012;
/// Most of a bell's bore that a standpipe may take up `[-]`.
const FULLEST_BELL: f64 = 0.8;
/// Most of a bell's girth that its slots may open `[-]`.
const OPEN_GIRTH: f64 = 0.75;
/// Least height kept between break level and lip when a standpipe is cut `[m]`.
const LEAST_STROKE: f64 = 0.050;

/// `bed` with its outlet `drop` lower, the pipe that much longer `[m]`.
pub(in crate::assessment) fn with_lower_outlet(bed: &Bed, drop: f64) -> Bed {
    let mut lowered = bed.clone();
    lowered.siphon.lower_outlet(drop);
    lowered
}

/// `bed` with its standpipe `extra` longer, or shorter where that is negative `[m]`.
pub(in crate::assessment) fn with_longer_standpipe(bed: &Bed, extra: f64) -> Bed {
    let mut changed = bed.clone();
    changed.siphon.raise_lip(extra);
    changed
}

/// How far the outlet of bed `i` can come down and still gain fall `[m]`: to the
/// sump's highest water, else to its water at the break; in a line to its invert.
fn drops_possible(facts: &Facts, i: usize) -> Vec<f64> {
    let parts = &facts.parts;
    let outlet = parts.outlets[i];
    let floors = match (&parts.system.drain_line, &parts.beds()[i].siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => {
            vec![line.invert(*at) + OUTLET_OVER_INVERT]
        }
        _ => vec![
            facts.balance.high_water(parts),
            parts.sump_level_at_break(i),
        ],
    };
    floors
        .into_iter()
        .map(|floor| amounts::length(parts.units, outlet - floor, Side::Down))
        .filter(|drop| *drop > 0.0)
        .collect()
}

/// Least drop of the outlet of bed `i` after which `accept` holds `[m]`.
pub(in crate::assessment) fn outlet_drop(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<f64> {
    let bed = &facts.parts.beds()[i];
    let units = facts.parts.units;
    let enough = |drop: f64| accept(&with_lower_outlet(bed, drop));
    let most = drops_possible(facts, i)
        .into_iter()
        .find(|&drop| enough(drop))?;
    Some(least_length(units, most, enough))
}

/// Least printed length up to `most` that is enough; `most` is `[m]`.
pub(in crate::assessment) fn least_length(
    units: UnitSystem,
    most: f64,
    enough: impl Fn(f64) -> bool,
) -> f64 {
    let step = amounts::length_step(units);
    let (mut low, mut high) = (0.0, (most / step).round());
    while high - low > 1.0 {
        let middle = (0.5 * (low + high)).floor();
        if enough(middle * step) {
            high = middle
        } else {
            low = middle
        }
    }
    high * step
}

/// Least bore of the shared line, up to three times the present, with which `accept` holds `[m]`.
pub(in crate::assessment) fn line_bore(
    facts: &Facts,
    accept: impl Fn(&DrainLineLaw) -> bool,
) -> Option<f64> {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    let now = system.drain_line.as_ref()?.run.bore;
    let values = system.coefficients.nominal();
    let bore = (1..=100)
        .map(|k| now * (1.0 + 0.02 * f64::from(k)))
        .find(|&bore| {
            if let Some(line) = &mut system.drain_line {
                line.run.bore = bore;
            }
            DrainLineLaw::new(&system, &values).is_some_and(|line| accept(&line))
        })?;
    Some(amounts::bore(parts.units, bore, Side::Up))
}

/// "use a drain line of at least 51.2 mm bore (63 mm PN10 has 57 mm)".
pub(in crate::assessment) fn line_text(units: UnitSystem, bore: f64) -> String {
    let example = listed(units)
        .filter(|size| size.bore >= bore)
        .min_by(|a, b| a.bore.total_cmp(&b.bore))
        .map_or_else(String::new, |size| format!(" ({})", size_text(units, size)));
    format!(
        "use a drain line of at least {} bore{example}",
        units.bore(bore)
    )
}

/// `bed` with a standpipe and drain pipe of another bore, wall and flare alike `[m]`.
pub(in crate::assessment) fn with_bore(bed: &Bed, bore: f64) -> Bed {
    let mut changed = bed.clone();
    let pipe = &mut changed.siphon.standpipe;
    let (wall, flare) = (pipe.outside - pipe.bore, pipe.lip_diameter / pipe.bore);
    pipe.bore = bore;
    pipe.outside = bore + wall;
    pipe.lip_diameter = bore * flare;
    changed
}

/// Widest smaller bore of the siphon of bed `i` with which `accept` holds `[m]`.
pub(in crate::assessment) fn smaller_bore(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<f64> {
    let bed = &facts.parts.beds()[i];
    let units = facts.parts.units;
    let enough = |bore: f64| accept(&with_bore(bed, bore));
    let (mut low, mut high) = (LEAST_BORE, bed.siphon.standpipe.bore);
    if low >= high || !enough(low) {
        return None;
    }
    while high - low > 2e-5 {
        let middle = 0.5 * (low + high);
        if enough(middle) {
            low = middle
        } else {
            high = middle
        }
    }
    let bore = amounts::bore(units, low, Side::Down);
    enough(bore).then_some(bore)
}

/// Least wider bore, up to three times, of the siphon of bed `i` with which `accept` holds `[m]`.
pub(in crate::assessment) fn wider_bore(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<f64> {
    let bed = &facts.parts.beds()[i];
    let now = bed.siphon.standpipe.bore;
    let bell = bed.siphon.bell.bore;
    let bore = (1..=100)
        .map(|k| now * (1.0 + 0.02 * f64::from(k)))
        .map(|bore| (bore, with_bore(bed, bore)))
        .take_while(|(_, wider)| wider.siphon.standpipe.outside < FULLEST_BELL * bell)
        .find(|(_, wider)| accept(wider))?
        .0;
    Some(amounts::bore(facts.parts.units, bore, Side::Up))
}

/// `bed` with slots of `width` `[m]`.
pub(in crate::assessment) fn with_slots(bed: &Bed, width: f64) -> Bed {
    let mut changed = bed.clone();
    changed.siphon.bell.slots.width = width;
    changed
}

/// Least wider slots of `bed`, with enough of the bell's wall left between them, with which `accept` holds `[m]`.
pub(in crate::assessment) fn wider_slots(
    facts: &Facts,
    bed: &Bed,
    accept: impl Fn(&Bed) -> bool,
) -> Option<f64> {
    let units = facts.parts.units;
    let bell = &bed.siphon.bell;
    let girth = PI * bell.outside / f64::from(bell.slots.count.max(1));
    let most = amounts::length(units, OPEN_GIRTH * girth, Side::Down);
    let enough = |width: f64| accept(&with_slots(bed, width));
    (most > bell.slots.width && enough(most)).then(|| least_length(units, most, enough))
}

/// "widen the slots of the bell of "north" to 8 mm".
pub(in crate::assessment) fn slots_text(facts: &Facts, i: usize, width: f64) -> String {
    let parts = &facts.parts;
    format!(
        "widen the slots of the bell of {} to {}",
        parts.name(i),
        parts.units.length(width)
    )
}

/// Least width of the slots of bed `i` that with all the fall there is makes
/// `accept` hold, and the least drop of its outlet that then does `[m]`.
pub(in crate::assessment) fn slots_and_drop(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<(f64, f64)> {
    let bed = &facts.parts.beds()[i];
    let units = facts.parts.units;
    drops_possible(facts, i).into_iter().find_map(|most| {
        let width = wider_slots(facts, &with_lower_outlet(bed, most), &accept)?;
        let wide = with_slots(bed, width);
        let drop = least_length(units, most, |drop| accept(&with_lower_outlet(&wide, drop)));
        Some((width, drop))
    })
}

/// How much of the standpipe of bed `i` can be cut off `[m]`.
pub(in crate::assessment) fn cut_possible(facts: &Facts, i: usize) -> f64 {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let lip = bed.lip_level();
    let break_level = parts.nominal[i].break_level(facts.beds[i].tail);
    amounts::length(parts.units, lip - break_level - LEAST_STROKE, Side::Down).max(0.0)
}

/// "cut the standpipe 12 mm shorter, from 225 mm to 213 mm".
pub(in crate::assessment) fn cut_text(facts: &Facts, i: usize, cut: f64) -> String {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let bed = &parts.beds()[i];
    let length = bed.siphon.standpipe.lip_height;
    format!(
        "cut the standpipe of {} {} shorter, from {} to {} above the bed's floor",
        parts.name(i),
        units.length(cut),
        units.length(length),
        units.length(length - cut)
    )
}

/// "lower the outlet of "north" by 160 mm".
pub(in crate::assessment) fn drop_text(facts: &Facts, i: usize, drop: f64) -> String {
    let parts = &facts.parts;
    format!(
        "lower the outlet of {} by {}",
        parts.name(i),
        parts.units.length(drop)
    )
}

/// "use a standpipe and drain pipe of at most 21.3 mm bore (3/4 in Schedule 40: 20.9 mm)".
pub(in crate::assessment) fn bore_text(facts: &Facts, i: usize, bore: f64) -> String {
    let parts = &facts.parts;
    let units = parts.units;
    let example = listed(units)
        .filter(|size| size.bore <= bore)
        .max_by(|a, b| a.bore.total_cmp(&b.bore))
        .map_or_else(String::new, |size| format!(" ({})", size_text(units, size)));
    format!(
        "use a standpipe and drain pipe of at most {} bore for {}{example}",
        units.bore(bore),
        parts.name(i)
    )
}

/// Sizes that a shop of these units sells, thinner walls first.
fn listed(units: UnitSystem) -> impl Iterator<Item = &'static PipeSize> {
    PIPE_SIZES.iter().filter(move |size| match units {
        UnitSystem::Us => size.schedule == Schedule::Sch40,
        UnitSystem::Metric => matches!(size.schedule, Schedule::Pn10 | Schedule::Pn16),
    })
}

/// "2 in Schedule 40 has 52.5 mm".
fn size_text(units: UnitSystem, size: &PipeSize) -> String {
    let unit = match size.schedule {
        Schedule::Sch40 | Schedule::Sch80 => "in",
        Schedule::Pn10 | Schedule::Pn16 => "mm",
    };
    format!(
        "{} {unit} {} has {}",
        size.nominal,
        schedule_text(size.schedule),
        units.bore(size.bore)
    )
}

fn schedule_text(schedule: Schedule) -> &'static str {
    match schedule {
        Schedule::Sch40 => "Schedule 40",
        Schedule::Sch80 => "Schedule 80",
        Schedule::Pn10 => "PN10",
        Schedule::Pn16 => "PN16",
    }
}
