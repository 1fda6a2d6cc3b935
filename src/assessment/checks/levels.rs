//! Water levels against media, wall and ceiling.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::drain::{line_cause, wider_line};
use crate::assessment::checks::{COMMON_PRACTICE, graded, most_that, sentence};
use crate::assessment::facts::Facts;
use crate::assessment::levers::{
    cleared_and_kept, cut_possible, cut_text, held_by_water, least_length, less_water,
    line_blocked, line_bore, line_text, others_opened, siphon_blocked, slots_text, throttle,
    throttle_greatest, wider_bore, wider_slots, with_longer_standpipe, with_lower_outlet,
};
use crate::assessment::parts::{extreme_law, nominal_law, settled_tails};
use crate::assessment::reach::{dead_level, dead_level_of, peak_of};
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::model::{Bed, DrainTarget, Thresholds};
use crate::network::drain_line::DrainLineLaw;
use crate::siphon::Extreme;

/// Under this bore surface tension holds water back at the lip `[m]`.
const NARROW_BORE: f64 = 0.021;
/// Less water than this over a wall is rounding `[m3]`.
const LEAST_SPILL: f64 = 1e-9;
/// How far a peak worked out in closed form may be off `[m]`.
const ESTIMATE: f64 = 0.001;
/// A wall is not built higher than by this where a wider pipe does it too `[m]`.
const HIGHER_WALL: f64 = 0.10;
/// An outlet deeper than this under water is freed before anything else `[m]`.
const DROWNED: f64 = 0.010;
/// Slots that take more head than this are widened before anything is cut `[m]`.
const SMALL_SLOTS: f64 = 0.010;
/// How much higher the water then stands `[m]`.
const SURFACE_TENSION: f64 = 0.003;

/// Height that levelling and surface tension may add to the predicted peak of `bed` `[m]`.
///
/// The levelling error of `limits`, and 3 mm more for bores under 21 mm, where
/// surface tension holds water back at the lip (common practice, no source).
/// This is what the check `dry-layer` takes off.
pub fn level_allowance(limits: &Thresholds, bed: &Bed) -> f64 {
    let narrow = bed.siphon.standpipe.bore < NARROW_BORE;
    limits.levelling_error + if narrow { SURFACE_TENSION } else { 0.0 }
}

fn allowance(facts: &Facts, bed: &Bed) -> f64 {
    level_allowance(&facts.parts.system.thresholds, bed)
}

/// Dry gravel above the highest water.
pub(super) fn dry_layer(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let limits = &parts.system.thresholds;
    let allowance = allowance(facts, bed);
    let value = bed.dry_layer(parts.simulated_peak(i), allowance);
    let worst = bed.dry_layer(facts.balance.highest[i].level, allowance);
    let status = graded(value, limits.dry_layer, limits.dry_layer_least);
    let now = if value > 0.0 {
        format!("leaves {} of gravel dry", units.length(value))
    } else {
        format!("stands {} over the gravel", units.length(-value))
    };
    let then = if worst > 0.0 {
        format!("would leave {} dry", units.length(worst))
    } else {
        format!("would put it {} over the gravel", units.length(-worst))
    };
    let because = format!(
        "The highest water of {}, with {} for errors of level, {now}; {} of dry gravel is wanted, \
         and unfavourable coefficients {then}.",
        parts.name(i),
        units.length(allowance),
        units.length(limits.dry_layer),
    );
    Check {
        id: CheckId::DryLayer,
        subject: bed.name.clone(),
        status,
        value,
        limit: limits.dry_layer,
        margin: value - limits.dry_layer,
        unit: CheckUnit::Metre,
        because,
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            dry_layer_fix(facts, i, limits.dry_layer - value)
        },
        basis: "common practice, 38 to 50 mm (1.5 to 2 in), no source",
    }
}

/// Highest water of bed `i` that leaves the dry layer `[m]`.
fn highest_wanted(facts: &Facts, i: usize) -> f64 {
    let bed = &facts.parts.beds()[i];
    bed.dry_level(
        facts.parts.system.thresholds.dry_layer,
        allowance(facts, bed),
    )
}

/// Start level, line, valve and standpipe, outlet, gravel, in this order.
fn dry_layer_fix(facts: &Facts, i: usize, short: f64) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let outcome = &parts.run.beds[i];
    let judged = &facts.beds[i];
    // After a power cut the run's greatest inflow may be none.
    let inflow = outcome.inflow.max.max(judged.at_break.flow);
    if let Some(undo) = cleared_and_kept(facts, i) {
        return undo;
    }
    let under = submergence(facts, i, inflow, false);
    let peak = |flow: f64, under: f64| peak_of(parts, i, &parts.nominal[i], flow, under);
    if let Some(start) = bed.start_level()
        && parts.simulated_peak(i) <= start + 1e-6
    {
        let level = units.elevation(amounts::length(units, start - short, Side::Down));
        let begin = format!(
            "begin with the water of {} at {level} or lower",
            parts.name(i)
        );
        return with_cut(facts, i, begin, peak(inflow, under));
    }
    if parts.on_line(i)
        && parts
            .run
            .line
            .is_some_and(|line| line.peak_flow > line.capacity)
        && let Some(line) = wider_line(facts)
    {
        return with_cut(facts, i, line, peak(inflow, 0.0));
    }
    // Stood free, would it pass? Then the water at its outlet is the cause.
    let free = peak(inflow, 0.0) <= highest_wanted(facts, i);
    let by_line = parts.simulated_peak(i) - peak(inflow, 0.0);
    if parts.on_line(i)
        && by_line >= short
        && let Some(bore) = line_bore(facts, |line| {
            submergence_in(facts, line, i, inflow, true) <= by_line - short
        })
    {
        return sentence(&line_text(units, bore));
    }
    if free && let Some(fix) = line_first(facts, i) {
        return fix;
    }
    let overflows = outcome.overflowed > 0.0;
    let up = amounts::length(units, short, Side::Up);
    let least_under = parts.run.sump.level.min - parts.outlets[i];
    if !overflows && !parts.on_line(i) && up <= least_under && parts.outlets[i] + up <= bed.floor {
        return format!(
            "Raise the outlet of {} by {}.",
            parts.name(i),
            units.length(up)
        );
    }
    if free
        && under > DROWNED
        && let Some(fix) = clear_outlet(facts, i, under)
    {
        return fix;
    }
    // More comes in than the pipe takes: no lip height helps before it is throttled.
    if inflow >= judged.window.stall.nominal {
        if let Some(first) = held_by_water(facts, i) {
            return first;
        }
        let to = amounts::flow(units, judged.breaks_below.low, Side::Down);
        let throttled = throttle(facts, i, inflow, to);
        return with_cut(facts, i, throttled, peak(to, under));
    }
    if parts.nominal[i].lost_in_slots(inflow) > SMALL_SLOTS {
        let low_enough = |bed: &Bed| {
            let law = nominal_law(parts.system, bed);
            peak_of(parts, i, &law, inflow, under) + ESTIMATE <= highest_wanted(facts, i)
        };
        if let Some(width) = wider_slots(facts, bed, low_enough) {
            return sentence(&slots_text(facts, i, width));
        }
    }
    // An overflowing bed stands at its rim; what counts is where the pipe would hold it.
    let short = if overflows {
        let standing = peak(inflow, under);
        short + (standing - parts.simulated_peak(i)).max(0.0)
    } else {
        short
    };
    let cut = amounts::length(units, short, Side::Up);
    if cut <= cut_possible(facts, i) {
        return sentence(&cut_text(facts, i, cut));
    }
    if !parts.on_line(i) && cut <= under && parts.outlets[i] + cut <= bed.floor {
        return format!(
            "Raise the outlet of {} by {}.",
            parts.name(i),
            units.length(cut)
        );
    }
    let room = bed.rim_level() - bed.media_surface();
    if cut <= room {
        return format!("Add {} of gravel to {}.", units.length(cut), parts.name(i));
    }
    format!(
        "Add {} of gravel to {} and build its wall {} higher.",
        units.length(cut),
        parts.name(i),
        units.length(amounts::length(units, cut - room, Side::Up))
    )
}

/// `fix`, and the cut that leaves the dry layer over water that then peaks at `peak` `[m]`.
fn with_cut(facts: &Facts, i: usize, fix: String, peak: f64) -> String {
    let parts = &facts.parts;
    let over = peak + ESTIMATE - highest_wanted(facts, i);
    let cut = amounts::length(parts.units, over, Side::Up);
    sentence(&if cut > 0.0 && cut <= cut_possible(facts, i) {
        format!("{fix}, and {}", cut_text(facts, i, cut))
    } else {
        fix
    })
}

/// Wall above the water while a dead siphon's pipe takes all of the inflow.
pub(super) fn rim(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let limit = parts.system.thresholds.rim_freeboard;
    let inflow = parts.greatest_inflow(i);
    let alone = submergence(facts, i, inflow, false);
    let level = dead_level(parts, i, inflow, alone);
    let mut value = bed.rim_level() - level;
    let together = dead_level(parts, i, inflow, submergence(facts, i, inflow, true));
    let alone_holds = graded(value, limit, limit) == Status::Pass;
    let shared = alone_holds && graded(bed.rim_level() - together, limit, limit) == Status::Fail;
    let spilled = parts.run.beds[i].overflowed;
    let seen = bed.rim_level() - parts.simulated_peak(i);
    let too_high = graded(seen, limit, limit) == Status::Fail;
    // What the others push up its drain.
    let flooded = parts.run.beds[i].came_up.is_some() && too_high;
    let mut status = match (alone_holds, shared) {
        (false, _) => Status::Fail,
        (true, true) => Status::Warn,
        (true, false) => Status::Pass,
    };
    let held = value;
    if too_high {
        status = Status::Fail;
    }
    value = value.min(seen);
    let stands = if held >= 0.0 {
        format!("stands {} below the rim", units.length(held))
    } else {
        "goes over the rim".to_owned()
    };
    let mut because = format!(
        "With a dead siphon the water of {} {stands} while its pipe takes {}; {} is wanted.",
        parts.name(i),
        units.flow(inflow),
        units.length(limit)
    );
    if shared {
        because.push_str(&format!(
            " While the other beds fill the drain line it stands at {}.",
            units.elevation(together.min(bed.rim_level()))
        ));
    }
    if spilled > LEAST_SPILL {
        let while_blocked = if siphon_blocked(facts, i) {
            ", its siphon blocked"
        } else if line_blocked(facts, i) {
            ", the drain line blocked"
        } else {
            ""
        };
        because = format!(
            "In this run {} of the water of {} went over the rim{while_blocked}. {because}",
            units.volume(spilled),
            parts.name(i)
        );
    } else {
        if seen < held {
            let rose = units.length(seen.max(0.0));
            because.push_str(&format!(" In this run it rose to {rose} below the rim."));
        }
        because.push_str(&blocked(facts, i, inflow));
    }
    if flooded {
        because.push_str(" Water came back up its drain in this run: see drain line.");
    }
    Check {
        id: CheckId::Rim,
        subject: bed.name.clone(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        because,
        first_fix: match status {
            Status::Pass => String::new(),
            _ if too_high && let Some(undo) = cleared_and_kept(facts, i) => undo,
            _ if flooded => line_cause(facts).unwrap_or_default(),
            _ if shared => rim_fix(facts, i, bed.rim_level() - together, true),
            // It would hold with a dead siphon: what fills it to its rim is told at the peak.
            _ if alone_holds => {
                dry_layer_fix(facts, i, parts.simulated_peak(i) - highest_wanted(facts, i))
            }
            _ => rim_fix(facts, i, held, false),
        },
        basis: COMMON_PRACTICE,
    }
}

/// What happens with a blocked pipe.
fn blocked(facts: &Facts, i: usize, inflow: f64) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let peak = parts.simulated_peak(i).clamp(bed.floor, bed.rim_level());
    let storage = &parts.storages[i];
    let room = storage.volume(bed.rim_level()) - storage.volume(peak);
    if inflow <= 0.0 {
        return String::new();
    }
    let sump = parts.run.sump.level.min;
    let spare = parts.sump_volume(sump) - parts.sump_volume(parts.dry_level().min(sump));
    if spare < room {
        return " If the pipe is blocked at the peak, the pump runs out of water before the bed \
                spills."
            .to_owned();
    }
    if room <= inflow {
        return " If the pipe is blocked at the peak, the bed spills at once.".to_owned();
    }
    format!(
        " If the pipe is blocked at the peak, the bed spills after {}.",
        units.time(room / inflow)
    )
}

/// Depth under water of the outlet of bed `i` with its siphon dead `[m]`.
fn submergence(facts: &Facts, i: usize, inflow: f64, others_run: bool) -> f64 {
    let parts = &facts.parts;
    match &parts.line {
        Some(line) if parts.on_line(i) => submergence_in(facts, line, i, inflow, others_run),
        _ => (parts.run.sump.level.max - parts.outlets[i]).max(0.0),
    }
}

/// The same for a bed on a shared line, which may be another than the one that is there.
fn submergence_in(
    facts: &Facts,
    line: &DrainLineLaw,
    i: usize,
    inflow: f64,
    others_run: bool,
) -> f64 {
    let parts = &facts.parts;
    let demand = |j: usize, tail: f64| {
        if j == i {
            inflow
        } else if others_run {
            parts.nominal[j].full_flow(parts.simulated_peak(j) - tail)
        } else {
            0.0
        }
    };
    let tails = settled_tails(line, parts.run.sump.level.max, &parts.outlets, &demand);
    (tails[i] - parts.outlets[i]).max(0.0)
}

/// Line, outlet, valve, standpipe, wall if it is a little, else a wider pipe.
fn rim_fix(facts: &Facts, i: usize, value: f64, others_run: bool) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let limit = parts.system.thresholds.rim_freeboard;
    let inflow = parts.greatest_inflow(i);
    let passes = |level: f64| graded(bed.rim_level() - level, limit, limit) == Status::Pass;
    let bearable = |flow: f64| passes(dead_level(parts, i, flow, 0.0));
    if let Some(undo) = others_opened(facts, i, most_that(0.0, inflow, bearable)) {
        return undo;
    }
    let holds = |flow: f64, under: f64| passes(dead_level(parts, i, flow, under));
    let holds_as = |bed: &Bed, under: f64| {
        let least = extreme_law(parts.system, bed, Extreme::LeastDischarge);
        passes(dead_level_of(parts, i, bed, &least, inflow, under))
    };
    let under = submergence(facts, i, inflow, others_run);
    if parts.least[i].lost_in_slots(inflow) > SMALL_SLOTS
        && let Some(width) = wider_slots(facts, bed, |bed| holds_as(bed, under))
    {
        return sentence(&slots_text(facts, i, width));
    }
    if parts.on_line(i) && holds(inflow, 0.0) {
        let clear =
            |line: &DrainLineLaw| holds(inflow, submergence_in(facts, line, i, inflow, others_run));
        if let Some(bore) = line_bore(facts, clear) {
            return sentence(&line_text(units, bore));
        }
        if others_run {
            return format!(
                "Lead the drain of {} to the sump in a pipe of its own.",
                parts.name(i)
            );
        }
    }
    if under > DROWNED && holds(inflow, 0.0) {
        let most = amounts::length(units, under, Side::Up).min(bed.floor - parts.outlets[i]);
        let most = amounts::length(units, most, Side::Down);
        let enough = |rise: f64| holds_as(&with_lower_outlet(bed, -rise), under - rise);
        if !parts.on_line(i) && most > 0.0 && enough(most) {
            let rise = least_length(units, most, enough);
            return format!(
                "Raise the outlet of {} by {}.",
                parts.name(i),
                units.length(rise)
            );
        }
        if let Some(fix) = clear_outlet(facts, i, under) {
            return fix;
        }
    }
    let to = most_that(0.0, inflow, |flow| {
        holds(flow, submergence(facts, i, flow, others_run))
    });
    let to = amounts::flow(units, to, Side::Down);
    if to >= facts.beds[i].window.start.high && to < inflow {
        return sentence(&throttle_greatest(facts, i, to));
    }
    let cut_enough = |cut: f64| holds_as(&with_longer_standpipe(bed, -cut), under);
    let most = cut_possible(facts, i);
    if most > 0.0 && cut_enough(most) {
        return sentence(&cut_text(facts, i, least_length(units, most, cut_enough)));
    }
    let short = amounts::length(units, limit - value, Side::Up);
    if short > HIGHER_WALL
        && let Some(bore) = wider_bore(facts, i, |wider| holds_as(wider, under))
    {
        return format!(
            "Use a standpipe and drain pipe of at least {} bore for {}, if it still starts.",
            units.bore(bore),
            parts.name(i)
        );
    }
    format!(
        "Build the wall of {} {} higher.",
        parts.name(i),
        units.length(short)
    )
}

/// Frees an outlet that stands `under` water `[m]`: higher, else less water in
/// the sump; a line is dealt with at its own checks.
fn clear_outlet(facts: &Facts, i: usize, under: f64) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    if parts.on_line(i) {
        return line_cause(facts);
    }
    let rise = amounts::length(units, under, Side::Up);
    if parts.outlets[i] + rise <= parts.beds()[i].floor {
        return Some(format!(
            "Raise the outlet of {} by {}.",
            parts.name(i),
            units.length(rise)
        ));
    }
    less_water(facts, parts.outlets[i])
}

/// What the line's own checks advise first, where bed `i` drains into it.
fn line_first(facts: &Facts, i: usize) -> Option<String> {
    if facts.parts.on_line(i) {
        line_cause(facts)
    } else {
        None
    }
}

/// Growing height under the ceiling, where there is one.
pub(super) fn headroom(facts: &Facts, i: usize) -> Option<Check> {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let value = parts.system.ceiling? - bed.rim_level();
    let asked = parts.system.thresholds.growing_height;
    let limit = asked.unwrap_or(0.0);
    let status = graded(value, limit, limit);
    let wanted = match asked {
        Some(height) => format!("{} is asked for", units.length(height)),
        None => "no growing height is asked for".to_owned(),
    };
    Some(Check {
        id: CheckId::Headroom,
        subject: bed.name.clone(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        because: format!(
            "Rim to ceiling leaves {} above {}; {wanted}.",
            units.length(value),
            parts.name(i)
        ),
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            headroom_fix(facts, i, limit - value)
        },
        basis: if asked.is_some() {
            "the height asked for in the scenario"
        } else {
            "derived: the rim must be under the ceiling"
        },
    })
}

fn headroom_fix(facts: &Facts, i: usize, short: f64) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let by = amounts::length(units, short, Side::Up);
    let outlet = parts.outlets[i];
    let receiver = match (&parts.system.drain_line, &bed.siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => line.invert(*at),
        _ => facts.balance.high_water(parts),
    };
    if outlet - by > receiver {
        format!(
            "Lower {} with its siphon and outlet by {}.",
            parts.name(i),
            units.length(by)
        )
    } else {
        format!(
            "Lower {} by {} together with the sump and the drain; its outlet has only {} to fall.",
            parts.name(i),
            units.length(by),
            units.length((outlet - receiver).max(0.0))
        )
    }
}
