//! How often a bed floods.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::siphon::longer;
use crate::assessment::checks::{COMMON_PRACTICE, most_that, sentence};
use crate::assessment::facts::Facts;
use crate::assessment::levers::{
    bore_text, cleared, cut_possible, cut_text, least_length, opened, raise_inflow, smaller_bore,
    throttle, with_bore, with_longer_standpipe,
};
use crate::assessment::parts::nominal_law;
use crate::assessment::window::window_if;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::model::{Bed, BedStorage};
use crate::numerics::root::brent;
use crate::simulation::Regime;
use crate::siphon::SiphonLaw;

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

/// Mean time from break to break.
pub(super) fn period(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let units = parts.units;
    let limits = &parts.system.thresholds;
    let name = parts.name(i);
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
    let status = if simulated.is_some() && (shortest..=longest).contains(&value) {
        Status::Pass
    } else {
        Status::Warn
    };
    let (above, below) = (value - shortest, longest - value);
    let wanted = format!(
        "{} to {} is common",
        units.time(shortest),
        units.time(longest)
    );
    let because = if simulated.is_some() {
        format!(
            "{name} floods every {}, {} times an hour; {wanted}.",
            units.time(value),
            times_an_hour(value)
        )
    } else if value.is_finite() {
        format!(
            "{name} completed no cycle in this run; from volumes and flows it would flood every \
             {}; {wanted}.",
            units.time(value)
        )
    } else {
        format!(
            "{name} completes no cycle, its mean inflow is {}; {wanted}.",
            units.flow(inflow)
        )
    };
    let first_fix = match status {
        Status::Pass => String::new(),
        _ if simulated.is_none()
            && let Some(undo) = cleared(facts, i).or_else(|| opened(facts, i)) =>
        {
            undo
        }
        _ if !value.is_finite() && parts.run.sump.ran_dry > 0.0 => {
            "Mend the pump's cover first.".to_owned()
        }
        _ if !value.is_finite() => "Mend its start or its break first.".to_owned(),
        _ if simulated.is_none() && parts.run.beds[i].regime != Regime::Unfinished => {
            "Mend its start or its break first.".to_owned()
        }
        _ if simulated.is_none() => longer(facts, CYCLES_TO_SEE * value),
        _ if above < 0.0 => lengthen(
            facts,
            i,
            &Present {
                period: value,
                inflow,
            },
        ),
        _ => shorten(
            facts,
            i,
            &Present {
                period: value,
                inflow,
            },
        ),
    };
    Check {
        id: CheckId::Period,
        subject: parts.beds()[i].name.clone(),
        status,
        value,
        limit: if above < below { shortest } else { longest },
        margin: above.min(below),
        unit: CheckUnit::Second,
        because,
        first_fix,
        basis: COMMON_PRACTICE,
    }
}

fn times_an_hour(period: f64) -> String {
    format!("{:.1}", 3600.0 / period)
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

/// Too often: less inflow, else a taller standpipe, else a narrower siphon.
fn lengthen(facts: &Facts, i: usize, now: &Present) -> String {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let bed = &parts.beds()[i];
    let limits = &parts.system.thresholds;
    let wanted = limits.period_least * (1.0 + AIM);
    if let Some(wash) = held_in_gravel(facts, i) {
        return wash;
    }
    let least = judged.window.start.high;
    let miss = |q: f64| {
        period_if(facts, i, bed, q, now).map_or(f64::NAN, |times| shorter_of(times) - wanted)
    };
    if least < now.inflow
        && miss(least) >= 0.0
        && let Ok(to) = brent(miss, least, now.inflow, 1e-9)
    {
        let to = amounts::flow(parts.units, to, Side::Down);
        if to >= least {
            return sentence(&throttle(facts, i, now.inflow, to));
        }
    }
    let long_enough = |bed: &Bed, inflow: f64| {
        period_if(facts, i, bed, inflow, now).is_some_and(|times| shorter_of(times) >= wanted)
    };
    let enough = |extra: f64| long_enough(&with_longer_standpipe(bed, extra), now.inflow);
    let dry = bed.media_surface() - limits.levelling_error - parts.simulated_peak(i);
    let most = amounts::length(parts.units, dry - limits.dry_layer, Side::Down);
    if most > 0.0 && enough(most) {
        let extra = least_length(parts.units, most, enough);
        return format!(
            "Make the standpipe of {} {} longer.",
            parts.name(i),
            parts.units.length(extra)
        );
    }
    // A narrower siphon starts, and so cycles, at less inflow.
    let sure_range = |bed: &Bed| {
        let window = window_if(parts, i, bed);
        let least = amounts::flow(parts.units, window.start.high, Side::Up);
        (least, window.breaks_below().low)
    };
    // With room to set it between its start and what is too much.
    let fits = |bed: &Bed| {
        let (least, most) = sure_range(bed);
        let upper = SETTABLE * least;
        upper <= most && long_enough(bed, upper)
    };
    if let Some(bore) = smaller_bore(facts, i, fits) {
        let narrow = with_bore(bed, bore);
        let (least, sure) = sure_range(&narrow);
        let most = most_that(least, now.inflow, |flow| {
            flow <= sure && long_enough(&narrow, flow)
        });
        let most = amounts::flow(parts.units, most, Side::Down).max(least);
        return sentence(&format!(
            "{}, and {}, but leave at least {} for it to start",
            bore_text(facts, i, bore),
            throttle(facts, i, now.inflow, most),
            parts.units.flow(least)
        ));
    }
    format!(
        "It takes a bed {:.1} times as large as {}.",
        amounts::tenths(wanted / now.period),
        parts.name(i)
    )
}

/// What to do where the gravel keeps more water back at the break than a cycle moves: then
/// it is the gravel that makes cycles short.
fn held_in_gravel(facts: &Facts, i: usize) -> Option<String> {
    let parts = &facts.parts;
    let cycles = &parts.run.beds[i].cycles;
    let last = cycles.last()?;
    (last.left_volume > last.water).then(|| {
        format!(
            "Wash the gravel of {}, or use coarser gravel: at a break {} stay in it above the break \
             level, and a cycle moves {}.",
            parts.name(i),
            parts.units.volume(last.left_volume),
            parts.units.volume(last.water)
        )
    })
}

/// Too seldom: more inflow, else a shorter standpipe.
fn shorten(facts: &Facts, i: usize, now: &Present) -> String {
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
    if most > now.inflow
        && miss(most) <= 0.0
        && let Ok(to) = brent(miss, now.inflow, most, 1e-9)
    {
        let to = amounts::flow(parts.units, to, Side::Up);
        if to <= most {
            return sentence(&raise_inflow(facts, i, now.inflow, to));
        }
    }
    let shorter = |cut: f64| {
        period_if(facts, i, &with_longer_standpipe(bed, -cut), now.inflow, now)
            .is_some_and(|times| longer_of(times) <= wanted)
    };
    let most = cut_possible(facts, i);
    if most > 0.0 && shorter(most) {
        let cut = least_length(parts.units, most, shorter);
        return sentence(&cut_text(facts, i, cut));
    }
    let parts_wanted = (now.period / wanted).ceil();
    format!(
        "Divide {} into {parts_wanted:.0} beds, or give it a wider siphon.",
        parts.name(i)
    )
}
