//! How often a bed floods.

use crate::assessment::checks::starts::longer;
use crate::assessment::checks::{COMMON_PRACTICE, most_that};
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{
    cleared, enough_cut, least_length, opened, raise_inflow, smaller_bore, standpipe_cut, throttle,
    with_longer_standpipe,
};
use crate::assessment::parts::nominal_law;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::assessment::window::window_if;
use crate::model::{Bed, BedStorage};
use crate::model::{Change, Vessel};
use crate::numerics::root::brent;
use crate::simulation::Regime;
use crate::siphon::SiphonLaw;
use crate::units::amounts::{self, Side};

/// Intervals of Simpson's rule over the drain.
const DRAIN_INTERVALS: u32 = 64;
/// The same from lip to start, where an inflow just above the start flow takes long.
const SPILL_INTERVALS: u32 = 1024;
/// Least room that a valve and a bucket need to set an inflow.
const SETTABLE: f64 = 1.1;
/// Cycles that a run takes to complete one from break to break, begun anywhere, with room.
const CYCLES_TO_SEE: f64 = 2.2;
/// How far inside the limit a fix aims: the closed form assumes a steady inflow.
const AIM: f64 = 0.02;

/// How often a bed floods.
#[derive(Debug, Clone, PartialEq)]
pub struct PeriodWhy {
    /// From break to break, where it comes to one `[s]`.
    pub period: Option<f64>,
    /// Whether the run shows it; else it is worked out from volumes and flows.
    pub seen: bool,
    /// Whether no bed of the system completed a cycle in the run.
    pub none_cycles: bool,
    /// Mean inflow `[m3/s]`.
    pub inflow: f64,
    /// Shortest and longest that are common `[s]`.
    pub wanted: (f64, f64),
}

/// Mean time from break to break.
pub(super) fn period(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let limits = &parts.system.thresholds;
    let simulated = parts.mean_period(i);
    let inflow = parts.usual_inflow(i);
    let worked_out = cycle_time(
        &parts.nominal[i],
        &parts.storages[i],
        facts.beds[i].tail,
        inflow,
    );
    let value = simulated.or(worked_out).unwrap_or(f64::INFINITY);
    let (shortest, longest) = (limits.period_least, limits.period_most);
    let none_cycles = parts.run.beds.iter().all(|bed| bed.cycles.is_empty());
    let status = if none_cycles {
        // Nothing was seen to work.
        Status::Fail
    } else if simulated.is_some() && (shortest..=longest).contains(&value) {
        Status::Pass
    } else {
        Status::Warn
    };
    let (above, below) = (value - shortest, longest - value);
    Check {
        id: CheckId::Period,
        subject: Subject::Bed(i),
        status,
        value,
        limit: if above < below { shortest } else { longest },
        margin: above.min(below),
        unit: CheckUnit::Second,
        why: Why::Period(PeriodWhy {
            period: value.is_finite().then_some(value),
            seen: simulated.is_some(),
            none_cycles,
            inflow,
            wanted: (shortest, longest),
        }),
        basis: COMMON_PRACTICE,
    }
}

/// Break to break at a steady inflow `[s]`: fill to the lip, on to the start
/// level while the lip takes its part, priming while the level still rises,
/// then `dt = A dh / (Q_full - Q_in)` down to the
/// break level by Simpson's rule. `None` outside the window.
///
/// Derived here; holds for a steady inflow and a tail that stands still.
fn cycle_time(law: &SiphonLaw, storage: &BedStorage, tail: f64, inflow: f64) -> Option<f64> {
    let under = (tail - law.outlet()).max(0.0);
    let (low, start) = (law.break_level(tail), law.start_level(under));
    if inflow <= law.start_flow() || inflow >= law.run_on_flow(tail).min(law.stall_flow(tail)) {
        return None;
    }
    let prime = law.priming_time()?;
    let lip = (law.lip() + under).max(low);
    let fill = (storage.volume(lip) - storage.volume(low)) / inflow;
    let over_lip = |level: f64| storage.area(level) / (inflow - law.lip_flow(level, under));
    let spill = simpson(SPILL_INTERVALS, lip, start, over_lip);
    let standing = law.lip() + under + law.standing_head(inflow);
    let rise = (inflow - law.start_flow()) * prime / storage.area(start);
    let peak = (start + rise).min(standing);
    let slowness = |level: f64| storage.area(level) / (law.full_flow(level - tail) - inflow);
    Some(fill + spill + prime + simpson(DRAIN_INTERVALS, low, peak, slowness))
}

/// Integral of `f` from `low` to `high` by Simpson's rule; zero if `high` is not above.
fn simpson(intervals: u32, low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let width = (high - low).max(0.0) / f64::from(intervals);
    let sum: f64 = (0..=intervals)
        .map(|k| {
            let weight = match k {
                k if k == 0 || k == intervals => 1.0,
                k if k % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * f(low + width * f64::from(k))
        })
        .sum();
    sum * width / 3.0
}

/// What the closed form is compared with.
struct Present {
    /// Period `[s]`.
    period: f64,
    /// Mean inflow `[m3/s]`.
    inflow: f64,
}

/// Closed form for `bed` at `inflow` `[s]`, as it is and scaled by how far it is
/// off in this run: the run's inflow may swing, and so may its tail.
fn period_if(facts: &Facts, i: usize, bed: &Bed, inflow: f64, now: &Present) -> Option<[f64; 2]> {
    let parts = &facts.parts;
    let tail = facts.beds[i].tail;
    let law = nominal_law(parts.system, bed);
    let then = cycle_time(&law, &BedStorage::new(bed), tail, inflow)?;
    let closed = cycle_time(&parts.nominal[i], &parts.storages[i], tail, now.inflow)?;
    Some([then, then * now.period / closed])
}

fn shorter_of([a, b]: [f64; 2]) -> f64 {
    a.min(b)
}

fn longer_of([a, b]: [f64; 2]) -> f64 {
    a.max(b)
}

/// Ways to bring the period into its limits.
pub(super) fn fixes(facts: &Facts, i: usize, why: &PeriodWhy) -> Vec<Fix> {
    if !why.seen
        && let Some(undo) = cleared(facts, i).or_else(|| opened(facts, i))
    {
        return vec![undo];
    }
    let unfinished = facts.parts.run.beds[i].regime == Regime::Unfinished;
    let Some(period) = why.period else {
        return vec![Fix::hint(if facts.parts.run.sump.ran_dry > 0.0 {
            Hint::First(CheckId::PumpCover, Subject::Pump)
        } else {
            Hint::StartOrBreakFirst(i)
        })];
    };
    if !why.seen {
        return vec![if unfinished {
            longer(facts, CYCLES_TO_SEE * period)
        } else {
            Fix::hint(Hint::StartOrBreakFirst(i))
        }];
    }
    let now = Present {
        period,
        inflow: why.inflow,
    };
    if period < why.wanted.0 {
        lengthen(facts, i, &now)
    } else {
        shorten(facts, i, &now)
    }
}

/// Too often: less inflow, else a taller standpipe, else a narrower siphon.
fn lengthen(facts: &Facts, i: usize, now: &Present) -> Vec<Fix> {
    let parts = &facts.parts;
    let wanted = parts.system.thresholds.period_least * (1.0 + AIM);
    if let Some(wash) = held_in_gravel(facts, i) {
        return wash;
    }
    let long_enough = |bed: &Bed, inflow: f64| {
        period_if(facts, i, bed, inflow, now).is_some_and(|times| shorter_of(times) >= wanted)
    };
    let mut ways = lengthened_by_inflow(facts, i, now, wanted);
    ways.extend(lengthened_by_standpipe(facts, i, &|bed| {
        long_enough(bed, now.inflow)
    }));
    if ways.is_empty() {
        ways.extend(lengthened_by_bore(facts, i, now, &long_enough));
    }
    let times = amounts::tenths(wanted / now.period);
    let area = times * parts.beds()[i].shape.mean_area();
    let vessel = Vessel::Bed(i);
    let larger = Fix::of([Change::Stretch { vessel, area }]);
    ways.push(larger.noting(Hint::LargerBed { bed: i, times }));
    ways
}

fn lengthened_by_inflow(facts: &Facts, i: usize, now: &Present, wanted: f64) -> Vec<Fix> {
    let (parts, bed) = (&facts.parts, &facts.parts.beds()[i]);
    let least = facts.beds[i].window.start.high;
    let miss = |q: f64| {
        period_if(facts, i, bed, q, now).map_or(f64::NAN, |times| shorter_of(times) - wanted)
    };
    if least < now.inflow
        && miss(least) >= 0.0
        && let Ok(to) = brent(miss, least, now.inflow, 1e-9)
    {
        let to = amounts::flow(parts.tape, to, Side::Down);
        if to >= least {
            return throttle(facts, i, now.inflow, to);
        }
    }
    Vec::new()
}

fn lengthened_by_standpipe(
    facts: &Facts,
    i: usize,
    long_enough: &dyn Fn(&Bed) -> bool,
) -> Option<Fix> {
    let (parts, bed) = (&facts.parts, &facts.parts.beds()[i]);
    let limits = &parts.system.thresholds;
    let enough = |extra: f64| long_enough(&with_longer_standpipe(bed, extra));
    let dry = bed.media_surface() - limits.levelling_error - parts.simulated_peak(i);
    let most = amounts::length(parts.tape, dry - limits.dry_layer, Side::Down);
    (most > 0.0 && enough(most))
        .then(|| standpipe_cut(facts, i, -least_length(parts.tape, most, enough)))
}

/// A narrower siphon starts, and so cycles, at less inflow.
fn lengthened_by_bore(
    facts: &Facts,
    i: usize,
    now: &Present,
    long_enough: &dyn Fn(&Bed, f64) -> bool,
) -> Vec<Fix> {
    let parts = &facts.parts;
    let sure_range = |bed: &Bed| {
        let window = window_if(parts, i, bed);
        let least = amounts::flow(parts.tape, window.start.high, Side::Up);
        (least, window.breaks_below().low)
    };
    // With room to set it between its start and what is too much.
    let fits = |bed: &Bed| {
        let (least, most) = sure_range(bed);
        let upper = SETTABLE * least;
        upper <= most && long_enough(bed, upper)
    };
    let Some((pipe, narrow)) = smaller_bore(facts, i, fits) else {
        return Vec::new();
    };
    let (least, sure) = sure_range(&narrow);
    let most = most_that(least, now.inflow, |flow| {
        flow <= sure && long_enough(&narrow, flow)
    });
    let most = amounts::flow(parts.tape, most, Side::Down).max(least);
    throttle(facts, i, now.inflow, most)
        .into_iter()
        .map(|less| pipe.clone().and(less).noting(Hint::LeaveAtLeast(least)))
        .collect()
}

/// What to do where the gravel keeps more water back at the break than a cycle moves: then
/// it is the gravel that makes cycles short.
fn held_in_gravel(facts: &Facts, i: usize) -> Option<Vec<Fix>> {
    let last = facts.parts.run.beds[i].cycles.last()?;
    let fouled = facts.parts.beds()[i].media.fouling > 1.0;
    let hint = Hint::WashGravel {
        bed: i,
        left: last.left_volume,
        moved: last.water,
    };
    let cleaned = if fouled {
        Fix::of([Change::clean_gravel(i)])
    } else {
        Fix::default()
    };
    (last.left_volume > last.water).then(|| vec![cleaned.noting(hint)])
}

/// Too seldom: more inflow, else a shorter standpipe.
fn shorten(facts: &Facts, i: usize, now: &Present) -> Vec<Fix> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let bed = &parts.beds()[i];
    let wanted = parts.system.thresholds.period_most * (1.0 - AIM);
    // Draining slows near the stall, so the last of the window is left alone.
    let most = judged
        .breaks_below
        .low
        .min(0.7 * judged.window.stall.nominal);
    let miss = |q: f64| {
        period_if(facts, i, bed, q, now).map_or(f64::NAN, |times| longer_of(times) - wanted)
    };
    let mut ways = Vec::new();
    if most > now.inflow
        && miss(most) <= 0.0
        && let Ok(to) = brent(miss, now.inflow, most, 1e-9)
    {
        let to = amounts::flow(parts.tape, to, Side::Up);
        if to <= most {
            ways.extend(raise_inflow(facts, i, now.inflow, to));
        }
    }
    ways.extend(enough_cut(facts, i, |bed| {
        period_if(facts, i, bed, now.inflow, now).is_some_and(|times| longer_of(times) <= wanted)
    }));
    if ways.is_empty() {
        let into = (now.period / wanted).ceil();
        ways.push(Fix::hint(Hint::Divide { bed: i, into }));
    }
    ways
}
