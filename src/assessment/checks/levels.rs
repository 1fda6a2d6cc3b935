//! Dry gravel above the highest water.

use crate::assessment::checks::drain::{line_causes, wider_line};
use crate::assessment::checks::graded;
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::assessment::levers::{
    cleared_and_kept, cut_possible, held_by_water, less_water, line_bore, more_gravel,
    outlet_lower, standpipe_cut, throttle, wider_slots,
};
use crate::assessment::parts::{nominal_law, settled_tails};
use crate::assessment::reach::peak_of;
use crate::assessment::status::{CheckId, CheckUnit, Subject};
use crate::model::{Bed, Thresholds};
use crate::model::{Change, Level, Quantity, Vessel};
use crate::network::drain_line::DrainLineLaw;
use crate::simulation::{LineOutcome, Regime};
use crate::units::amounts::{self, Side};

/// Under this bore surface tension holds water back at the lip `[m]`.
const NARROW_BORE: f64 = 0.021;
/// How far a peak worked out in closed form may be off `[m]`.
const ESTIMATE: f64 = 0.001;
/// An outlet deeper than this under water is freed before anything else `[m]`.
pub(super) const DROWNED: f64 = 0.010;
/// Slots that take more head than this are widened before anything is cut `[m]`.
pub(super) const SMALL_SLOTS: f64 = 0.010;
/// How much higher the water then stands `[m]`.
const SURFACE_TENSION: f64 = 0.003;

/// How much gravel stays dry.
#[derive(Debug, Clone, PartialEq)]
pub struct DryLayerWhy {
    /// Dry gravel over the highest water, the allowance taken off; negative under water `[m]`.
    pub left: f64,
    /// Whether that is where the water will stand once the bed fills: in the run it never did.
    pub foreseen: bool,
    /// The same with unfavourable coefficients `[m]`.
    pub worst: f64,
    /// Allowance for errors of level `[m]`.
    pub allowance: f64,
    /// Dry gravel wanted `[m]`.
    pub wanted: f64,
}

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
    let bed = &parts.beds()[i];
    let limits = &parts.system.thresholds;
    let allowance = allowance(facts, bed);
    let seen = parts.simulated_peak(i);
    let foreseen = once_filled(facts, i).filter(|level| *level > seen);
    let value = bed.dry_layer(foreseen.unwrap_or(seen), allowance);
    let status = graded(value, limits.dry_layer, limits.dry_layer_least);
    Check {
        id: CheckId::DryLayer,
        subject: Subject::Bed(i),
        status,
        value,
        limit: limits.dry_layer,
        margin: value - limits.dry_layer,
        unit: CheckUnit::Metre,
        why: Why::DryLayer(DryLayerWhy {
            left: value,
            foreseen: foreseen.is_some(),
            worst: bed.dry_layer(facts.balance.highest[i].level, allowance),
            allowance,
            wanted: limits.dry_layer,
        }),
        basis: "common practice, 38 to 50 mm, no source",
    }
}

/// Where the water of a bed that never filled will stand once it does `[m]`: the run shows
/// gravel that nothing has reached yet, and that is no merit of its standpipe.
fn once_filled(facts: &Facts, i: usize) -> Option<f64> {
    let parts = &facts.parts;
    // One that filled at first and starved since has shown where its water stands.
    let waits = parts.run.beds[i].regime == Regime::NeverFills
        && parts.simulated_peak(i) < parts.beds()[i].lip_level();
    let flow = facts.beds[i].at_start.flow;
    waits.then(|| peak_of(parts, i, &parts.nominal[i], flow, 0.0))
}

/// Highest water of bed `i` that leaves the dry layer `[m]`.
pub(super) fn highest_wanted(facts: &Facts, i: usize) -> f64 {
    let bed = &facts.parts.beds()[i];
    bed.dry_level(
        facts.parts.system.thresholds.dry_layer,
        allowance(facts, bed),
    )
}

/// Depth under water of the outlet of bed `i` with its siphon dead `[m]`.
pub(super) fn submergence(facts: &Facts, i: usize, inflow: f64, others_run: bool) -> f64 {
    let parts = &facts.parts;
    match &parts.line {
        Some(line) if parts.on_line(i) => submergence_in(facts, line, i, inflow, others_run),
        _ => (parts.run.sump.level.max - parts.outlets[i]).max(0.0),
    }
}

/// The same for a bed on a shared line, which may be another than the one that is there.
pub(super) fn submergence_in(
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

/// Start level, line, valve and standpipe, outlet, gravel, in this order, where `short` of the
/// dry layer is missing `[m]`.
pub(super) fn fixes(facts: &Facts, i: usize, short: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let outcome = &parts.run.beds[i];
    // After a power cut the run's greatest inflow may be none.
    let inflow = outcome.inflow.max.max(facts.beds[i].at_break.flow);
    if let Some(undo) = cleared_and_kept(facts, i) {
        return vec![undo];
    }
    let under = submergence(facts, i, inflow, false);
    let peak = |flow: f64, under: f64| peak_of(parts, i, &parts.nominal[i], flow, under);
    // A bed that never rose over its start level has its peak there.
    if let Some(start) = bed.start_level()
        && parts.simulated_peak(i) <= start + 1e-6
    {
        let level = amounts::length(parts.tape, start - short, Side::Down);
        let begin = Quantity::Level(Vessel::Bed(i), Level::Start);
        let begin = Fix::of([Change::set(begin, level)]);
        let lower = with_cut(facts, i, begin, peak(inflow, under));
        let up = amounts::length(parts.tape, short, Side::Up);
        return [lower]
            .into_iter()
            .chain(more_gravel(facts, i, up))
            .collect();
    }
    let mut ways = freed(facts, i, short, inflow);
    // More comes in than the pipe takes: no lip height helps before it is throttled.
    if inflow >= facts.beds[i].window.stall.nominal {
        if ways.is_empty()
            && let Some(first) = held_by_water(facts, i)
        {
            return vec![first];
        }
        let to = amounts::flow(parts.tape, facts.beds[i].breaks_below.low, Side::Down);
        let less = throttle(facts, i, inflow, to);
        let cut = |less: Fix| with_cut(facts, i, less, peak(to, under));
        ways.extend(less.into_iter().map(cut));
        return ways;
    }
    if parts.nominal[i].lost_in_slots(inflow) > SMALL_SLOTS {
        ways.extend(wider_slots(facts, i, |bed| {
            let law = nominal_law(parts.system, bed);
            peak_of(parts, i, &law, inflow, under) + ESTIMATE <= highest_wanted(facts, i)
        }));
    }
    // An overflowing bed stands at its rim; what counts is where the pipe would hold it.
    let short = if outcome.overflowed > 0.0 {
        let standing = peak(inflow, under);
        short + (standing - parts.simulated_peak(i)).max(0.0)
    } else {
        short
    };
    ways.extend(by_height(facts, i, short, under));
    ways
}

/// What frees the outlet, where the water at it is the cause.
fn freed(facts: &Facts, i: usize, short: f64, inflow: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    let outcome = &parts.run.beds[i];
    let over_capacity = |line: LineOutcome| line.peak_flow > line.capacity;
    let peak = peak_of(parts, i, &parts.nominal[i], inflow, 0.0);
    let mut ways = Vec::new();
    if parts.on_line(i)
        && parts.run.line.is_some_and(over_capacity)
        && let Some(lines) = wider_line(facts)
    {
        ways.extend(lines.into_iter().map(|line| with_cut(facts, i, line, peak)));
    }
    // Stood free, would it pass? Then the water at its outlet is the cause.
    let free = peak <= highest_wanted(facts, i);
    let by_line = parts.simulated_peak(i) - peak;
    if parts.on_line(i) && by_line >= short {
        ways.extend(line_bore(facts, |line| {
            submergence_in(facts, line, i, inflow, true) <= by_line - short
        }));
    }
    if free && ways.is_empty() && parts.on_line(i) {
        ways.extend(line_causes(facts));
    }
    let up = amounts::length(parts.tape, short, Side::Up);
    let least_under = parts.run.sump.level.min - parts.outlets[i];
    let reaches = parts.outlets[i] + up <= parts.beds()[i].floor;
    if outcome.overflowed <= 0.0 && !parts.on_line(i) && up <= least_under && reaches {
        ways.push(outlet_lower(facts, i, -up));
    }
    let under = submergence(facts, i, inflow, false);
    if free && under > DROWNED && ways.is_empty() {
        ways.extend(clear_outlet(facts, i, under));
    }
    ways
}

/// A shorter standpipe, a higher outlet, more gravel.
fn by_height(facts: &Facts, i: usize, short: f64, under: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    let by = amounts::length(parts.tape, short, Side::Up);
    let mut ways = Vec::new();
    if by <= cut_possible(facts, i) {
        ways.push(standpipe_cut(facts, i, by));
    } else if !parts.on_line(i) && by <= under && parts.outlets[i] + by <= parts.beds()[i].floor {
        ways.push(outlet_lower(facts, i, -by));
    }
    ways.extend(more_gravel(facts, i, by));
    ways
}

/// `fix`, and the cut that leaves the dry layer over water that then peaks at `peak` `[m]`.
fn with_cut(facts: &Facts, i: usize, fix: Fix, peak: f64) -> Fix {
    let over = peak + ESTIMATE - highest_wanted(facts, i);
    let cut = amounts::length(facts.parts.tape, over, Side::Up);
    if cut > 0.0 && cut <= cut_possible(facts, i) {
        fix.and(standpipe_cut(facts, i, cut))
    } else {
        fix
    }
}

/// Frees an outlet that stands `under` water `[m]`: higher, else less water in
/// the sump; a line is dealt with at its own checks.
pub(super) fn clear_outlet(facts: &Facts, i: usize, under: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    if parts.on_line(i) {
        return line_causes(facts);
    }
    let rise = amounts::length(parts.tape, under, Side::Up);
    let reaches = parts.outlets[i] + rise <= parts.beds()[i].floor;
    let higher = reaches.then(|| outlet_lower(facts, i, -rise));
    higher
        .into_iter()
        .chain(less_water(facts, parts.outlets[i]))
        .collect()
}
