//! Whether each siphon breaks.

use crate::assessment::checks::status_of;
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{
    cleared, held_by_water, line_bore, others_opened, outlet_drop, slots_and_drop, smaller_bore,
    throttle, wider_slots,
};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject, Verdict};
use crate::assessment::window::{window_at, window_if};
use crate::model::{Band, Bed};
use crate::simulation::Regime;
use crate::siphon::{SAME_FLOW, best_inflow};
use crate::units::amounts::{self, Side};

/// Share of the break limit at which a fix aims where outlet or tail moves.
const MOVED: f64 = 0.98;
/// An outlet less than this under water counts as free `[m]`.
const AT_OUTLET: f64 = 1e-4;

/// Why a siphon breaks or not.
#[derive(Debug, Clone, PartialEq)]
pub struct BreaksWhy {
    /// Greatest inflow at its break level `[m3/s]`.
    pub inflow: f64,
    /// What it breaks against at most `[m3/s]`.
    pub most: Band,
    /// What the run shows of it.
    pub seen: BreakSeen,
    /// What it does past that.
    pub past: PastIt,
    /// How far its outlet then stands under water, where it does `[m]`.
    pub under_water: Option<f64>,
    /// Whether it breaks in the run all the same.
    pub breaks_anyway: bool,
    /// What it does in the run where it never breaks.
    pub never: Option<Regime>,
}

/// What a run shows of a siphon's break.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BreakSeen {
    /// It broke once the pump drew air.
    Starved,
    /// It came to its break level.
    Met,
    /// It broke only while the pump did not feed it.
    Unpowered,
    /// It never came down to its break level.
    Never,
}

/// What a siphon does past its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PastIt {
    /// It runs full for ever.
    RunsFull,
    /// It no longer breaks, and runs full for ever above this `[m3/s]`.
    RunsFullAbove(f64),
    /// It swallows air and runs on.
    RunsOn,
}

/// Inflow at the break level against run-on and stall.
pub(super) fn breaks(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let value = judged.at_break.flow;
    let regime = parts.run.beds[i].regime_powered;
    let never_breaks = matches!(regime, Regime::RunsOn | Regime::Stalls);
    // A run that never broke it outweighs its window.
    let status = status_of(judged.will_break).max(if never_breaks {
        Status::Fail
    } else {
        Status::Pass
    });
    // The unfavourable end: the margin is then negative just where doubt begins.
    let limit = judged.breaks_below.low;
    Check {
        id: CheckId::Breaks,
        subject: Subject::Bed(i),
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::CubicMetrePerSecond,
        why: Why::Breaks(why(facts, i)),
        basis: "derived here from air-carrying limits of downward pipes (Taitel et al. 1980, Usui \
                1989, Barnea et al. 1982, Goda et al. 2003); no measured siphon to hold it against",
    }
}

fn why(facts: &Facts, i: usize) -> BreaksWhy {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let inflow = judged.at_break.flow;
    let stall = judged.window.stall.nominal;
    let regime = parts.run.beds[i].regime_powered;
    let never =
        matches!(regime, Regime::RunsOn | Regime::Stalls) && judged.will_break != Verdict::WillNot;
    let under = judged.tail - parts.outlets[i];
    BreaksWhy {
        inflow,
        most: judged.breaks_below,
        seen: if judged.at_break.starved {
            BreakSeen::Starved
        } else if judged.at_break.met {
            BreakSeen::Met
        } else if parts.run.broke(i) {
            BreakSeen::Unpowered
        } else {
            BreakSeen::Never
        },
        past: if judged.stalls_first() {
            PastIt::RunsFull
        } else if inflow > stall {
            // Past the stall it never comes down to where it would swallow air.
            PastIt::RunsFullAbove(stall)
        } else {
            PastIt::RunsOn
        },
        under_water: (under > AT_OUTLET).then_some(under),
        breaks_anyway: judged.breaks_anyway,
        never: never.then_some(regime),
    }
}

/// Ways to make it break.
pub(super) fn fixes(facts: &Facts, i: usize) -> Vec<Fix> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let inflow = judged.at_break.flow;
    let free = window_at(parts, &parts.beds()[i], parts.outlets[i]).breaks_below();
    if inflow <= free.low
        && let Some(clear) = cleared(facts, i)
    {
        return vec![clear];
    }
    if let Some(open) = others_opened(facts, i, judged.breaks_below.low) {
        return vec![open];
    }
    let mut ways = Vec::new();
    if inflow > judged.breaks_below.low && parts.on_line(i) && inflow <= free.low {
        ways.extend(line_bore(facts, |line| {
            let tail = parts.tail_in_line(line, i, &parts.nominal[i]);
            window_at(parts, &parts.beds()[i], tail).breaks_below().low >= inflow
        }));
    }
    if inflow <= judged.breaks_below.low {
        // The window alone is wide enough: what shares its drain holds it back.
        ways.push(Fix::hint(Hint::OwnDrain(i)));
        return ways;
    }
    ways.extend(less_or_more_fall(facts, i));
    ways
}

/// Less inflow, or a siphon that breaks against it.
fn less_or_more_fall(facts: &Facts, i: usize) -> Vec<Fix> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let (tape, inflow) = (parts.tape, judged.at_break.flow);
    let start = judged.window.start;
    // Less inflow moves the water over a drowned outlet a little.
    let share = if judged.tail > parts.outlets[i] {
        MOVED
    } else {
        1.0
    };
    let bearable = amounts::flow(tape, share * judged.breaks_below.low, Side::Down);
    let throttled = throttle(facts, i, inflow, bearable);
    let starts = bearable >= start.high;
    let mut ways = if starts {
        throttled.clone()
    } else {
        Vec::new()
    };
    let to = if starts {
        inflow
    } else {
        inflow.min(amounts::flow(tape, start.high, Side::Up))
    };
    let fits = |bed: &Bed| MOVED * window_if(parts, i, bed).breaks_below().low >= to;
    let less = if inflow > to {
        throttle(facts, i, inflow, to).into_iter().next()
    } else {
        None
    };
    let with_less = |fix: Fix| match &less {
        Some(less) => fix.and(less.clone()),
        None => fix,
    };
    ways.extend(outlet_drop(facts, i, fits).map(with_less));
    ways.extend(wider_slots(facts, i, fits).map(with_less));
    let keeps_both = |bed: &Bed| {
        let window = window_if(parts, i, bed);
        window.breaks_below().low >= inflow && window.start.high <= judged.at_start.flow
    };
    ways.extend(smaller_bore(facts, i, keeps_both).map(|(fix, _)| fix));
    // Slots and drop together only where neither does it alone: twice the work.
    if ways.is_empty() {
        ways.extend(slots_and_drop(facts, i, fits).map(with_less));
    }
    if ways.is_empty() {
        ways.extend(held_by_water(facts, i));
    }
    // Last, since no inflow is sure both to start and to break: what lies farthest from either.
    if ways.is_empty() {
        let best = best_inflow(start, judged.breaks_below).flow;
        let best = amounts::flow(tape, best, Side::Down);
        // With that set, less than that is all there is.
        let (to, farthest) = if best < (1.0 - SAME_FLOW) * inflow {
            (best, throttle(facts, i, inflow, best))
        } else {
            (bearable, throttled)
        };
        let doubtful = |fix: Fix| {
            if to >= start.nominal {
                fix
            } else {
                fix.noting(Hint::MayNotStart)
            }
        };
        ways.extend(farthest.into_iter().map(doubtful));
    }
    ways
}
