//! Wall above the water while a siphon is dead.

use crate::assessment::checks::drain::line_causes;
use crate::assessment::checks::levels::{
    self, DROWNED, SMALL_SLOTS, clear_outlet, highest_wanted, submergence, submergence_in,
};
use crate::assessment::checks::{COMMON_PRACTICE, graded, most_that};
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{
    cleared_and_kept, enough_cut, higher_wall, least_length, line_blocked, line_bore,
    others_opened, outlet_lower, siphon_blocked, throttle_greatest, wider_bore, wider_slots,
    with_lower_outlet,
};
use crate::assessment::parts::extreme_law;
use crate::assessment::reach::{dead_level, dead_level_of};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::model::Bed;
use crate::siphon::Extreme;
use crate::units::amounts::{self, Side};

/// Less water than this over a wall is rounding `[m3]`.
const LEAST_SPILL: f64 = 1e-9;
/// A wall is not built higher than by this where a wider pipe does it too `[m]`.
const HIGHER_WALL: f64 = 0.10;

/// How much wall stands over the water.
#[derive(Debug, Clone, PartialEq)]
pub struct RimWhy {
    /// Wall over the water of a dead siphon; negative where it goes over `[m]`.
    pub held: f64,
    /// Inflow that its pipe then takes `[m3/s]`.
    pub inflow: f64,
    /// Wall wanted `[m]`.
    pub wanted: f64,
    /// Level while the other beds fill the drain line, where that is too high `[m]`.
    pub together: Option<f64>,
    /// Water that went over the rim in the run `[m3]`, and what was blocked.
    pub spilled: Option<(f64, Option<BlockedWay>)>,
    /// Wall that the run left, where that is less `[m]`.
    pub rose_to: Option<f64>,
    /// What happens if the pipe is blocked at the peak, where nothing was spilled.
    pub if_blocked: Option<Blocked>,
    /// Whether water came back up its drain in the run.
    pub came_up: bool,
}

/// What an incident blocked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlockedWay {
    /// The siphon.
    Siphon,
    /// The shared drain line.
    Line,
}

/// What a bed does whose pipe is blocked at its peak.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Blocked {
    /// The pump runs out of water first.
    PumpRunsOut,
    /// It spills at once.
    AtOnce,
    /// It spills after this time `[s]`.
    After(f64),
}

/// Wall above the water while a dead siphon's pipe takes all of the inflow.
pub(super) fn rim(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let limit = parts.system.thresholds.rim_freeboard;
    let inflow = parts.greatest_inflow(i);
    let level = dead_level(parts, i, inflow, submergence(facts, i, inflow, false));
    let held = bed.rim_level() - level;
    let together = dead_level(parts, i, inflow, submergence(facts, i, inflow, true));
    let alone_holds = graded(held, limit, limit) == Status::Pass;
    let shared = alone_holds && graded(bed.rim_level() - together, limit, limit) == Status::Fail;
    let spilled = parts.run.beds[i].overflowed;
    let seen = bed.rim_level() - parts.simulated_peak(i);
    let too_high = graded(seen, limit, limit) == Status::Fail;
    // What the others push up its drain.
    let flooded = parts.run.beds[i].came_up.is_some() && too_high;
    let status = match (alone_holds, shared) {
        // What was seen outweighs what is worked out.
        _ if too_high => Status::Fail,
        (false, _) => Status::Fail,
        (true, true) => Status::Warn,
        (true, false) => Status::Pass,
    };
    let value = held.min(seen);
    let spills = spilled > LEAST_SPILL;
    Check {
        id: CheckId::Rim,
        subject: Subject::Bed(i),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        why: Why::Rim(RimWhy {
            held,
            inflow,
            wanted: limit,
            together: shared.then_some(together.min(bed.rim_level())),
            spilled: spills.then(|| (spilled, blocked_way(facts, i))),
            rose_to: (!spills && seen < held).then_some(seen.max(0.0)),
            if_blocked: if spills {
                None
            } else {
                blocked(facts, i, inflow)
            },
            came_up: flooded,
        }),
        basis: COMMON_PRACTICE,
    }
}

/// What an incident of the run blocked in the way out of bed `i`.
fn blocked_way(facts: &Facts, i: usize) -> Option<BlockedWay> {
    if siphon_blocked(facts, i) {
        Some(BlockedWay::Siphon)
    } else if line_blocked(facts, i) {
        Some(BlockedWay::Line)
    } else {
        None
    }
}

/// What happens with a blocked pipe; nothing where no water comes.
fn blocked(facts: &Facts, i: usize, inflow: f64) -> Option<Blocked> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let peak = parts.simulated_peak(i).clamp(bed.floor, bed.rim_level());
    let storage = &parts.storages[i];
    let room = storage.volume(bed.rim_level()) - storage.volume(peak);
    if inflow <= 0.0 {
        return None;
    }
    let sump = parts.run.sump.level.min;
    let spare = parts.sump_volume(sump) - parts.sump_volume(parts.dry_level().min(sump));
    Some(if spare < room {
        Blocked::PumpRunsOut
    } else if room <= inflow {
        Blocked::AtOnce
    } else {
        Blocked::After(room / inflow)
    })
}

/// Ways to leave enough wall.
pub(super) fn fixes(facts: &Facts, i: usize, why: &RimWhy) -> Vec<Fix> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let limit = why.wanted;
    let seen = bed.rim_level() - parts.simulated_peak(i);
    let too_high = graded(seen, limit, limit) == Status::Fail;
    let alone_holds = graded(why.held, limit, limit) == Status::Pass;
    if too_high && let Some(undo) = cleared_and_kept(facts, i) {
        return vec![undo];
    }
    if why.came_up {
        return line_causes(facts);
    }
    if why.together.is_some() {
        let inflow = parts.greatest_inflow(i);
        let together = dead_level(parts, i, inflow, submergence(facts, i, inflow, true));
        return held_fixes(facts, i, bed.rim_level() - together, true);
    }
    // It would hold with a dead siphon: what fills it to its rim is told at the peak.
    if alone_holds {
        return levels::fixes(facts, i, parts.simulated_peak(i) - highest_wanted(facts, i));
    }
    held_fixes(facts, i, why.held, false)
}

/// Line, outlet, valve, standpipe, wall if it is a little, else a wider pipe.
fn held_fixes(facts: &Facts, i: usize, value: f64, others_run: bool) -> Vec<Fix> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let limit = parts.system.thresholds.rim_freeboard;
    let inflow = parts.greatest_inflow(i);
    let passes = |level: f64| graded(bed.rim_level() - level, limit, limit) == Status::Pass;
    let bearable = |flow: f64| passes(dead_level(parts, i, flow, 0.0));
    if let Some(undo) = others_opened(facts, i, most_that(0.0, inflow, bearable)) {
        return vec![undo];
    }
    let holds = |flow: f64, under: f64| passes(dead_level(parts, i, flow, under));
    let holds_as = |bed: &Bed, under: f64| {
        let least = extreme_law(parts.system, bed, Extreme::LeastDischarge);
        passes(dead_level_of(parts, i, bed, &least, inflow, under))
    };
    let under = submergence(facts, i, inflow, others_run);
    let mut ways = Vec::new();
    if parts.least[i].lost_in_slots(inflow) > SMALL_SLOTS {
        ways.extend(wider_slots(facts, i, |bed| holds_as(bed, under)));
    }
    if parts.on_line(i) && holds(inflow, 0.0) {
        ways.extend(line_bore(facts, |line| {
            holds(inflow, submergence_in(facts, line, i, inflow, others_run))
        }));
        if others_run {
            ways.push(Fix::hint(Hint::OwnDrain(i)));
            return ways;
        }
    }
    if under > DROWNED && holds(inflow, 0.0) && ways.is_empty() {
        ways.extend(higher_outlet(facts, i, under, &holds_as));
        if ways.is_empty() {
            ways.extend(clear_outlet(facts, i, under));
        }
    }
    let to = most_that(0.0, inflow, |flow| {
        holds(flow, submergence(facts, i, flow, others_run))
    });
    let to = amounts::flow(parts.tape, to, Side::Down);
    if to >= facts.beds[i].window.start.high && to < inflow {
        ways.extend(throttle_greatest(facts, i, to));
    }
    ways.extend(enough_cut(facts, i, |bed| holds_as(bed, under)));
    let short = amounts::length(parts.tape, limit - value, Side::Up);
    let wider = || {
        wider_bore(facts, i, |wider| holds_as(wider, under))
            .map(|wider| wider.noting(Hint::IfItStarts))
    };
    if short > HIGHER_WALL {
        ways.extend(wider());
    }
    ways.extend(higher_wall(facts, i, short));
    ways
}

/// The outlet of bed `i` raised out of the water just so far that it holds.
fn higher_outlet(
    facts: &Facts,
    i: usize,
    under: f64,
    holds_as: &dyn Fn(&Bed, f64) -> bool,
) -> Option<Fix> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let most = amounts::length(parts.tape, under, Side::Up).min(bed.floor - parts.outlets[i]);
    let most = amounts::length(parts.tape, most, Side::Down);
    let enough = |rise: f64| holds_as(&with_lower_outlet(bed, -rise), under - rise);
    (!parts.on_line(i) && most > 0.0 && enough(most)).then(|| {
        let rise = least_length(parts.tape, most, enough);
        outlet_lower(facts, i, -rise)
    })
}
