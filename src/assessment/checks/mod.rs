//! The checks, one file for each group.

pub(super) mod breaks;
mod check;
pub(super) mod crown;
pub(super) mod cycle;
pub(super) mod drain;
pub(super) mod entry;
pub(super) mod fall;
pub(super) mod floor;
pub(super) mod garden;
pub(super) mod headroom;
pub(super) mod inflow_ratio;
pub(super) mod levels;
pub(super) mod line_slope;
pub(super) mod low_rim;
pub(super) mod rim;
pub(super) mod settler;
pub(super) mod starts;
pub(super) mod sump;
pub(super) mod tank;
pub(super) mod tank_fall;
pub(super) mod tank_level;
pub(super) mod top_off;
pub mod why;

pub use check::Check;
pub(super) use floor::heaviest;
pub use levels::level_allowance;
pub(super) use settler::settler_size;
pub use why::Why;

use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::assessment::levers::{outlet_drop, smaller_bore, wider_slots};
use crate::assessment::status::{Status, Subject, Verdict};
use crate::assessment::window::window_if;
use crate::model::Bed;
use crate::numerics::in_order::InOrder;
use crate::numerics::root::{Until, halve};

/// Basis of a limit that everybody uses and nobody has published.
const COMMON_PRACTICE: &str = "common practice, no source";

/// All checks in the order of the design; within one kind in file order.
pub(super) fn all(facts: &Facts) -> Vec<Check> {
    let mut list = Vec::new();
    for i in 0..facts.parts.count() {
        list.push(levels::dry_layer(facts, i));
        list.push(rim::rim(facts, i));
        list.push(starts::starts(facts, i));
        list.push(breaks::breaks(facts, i));
        list.push(inflow_ratio::inflow_ratio(facts, i));
        list.push(crown::crown_pressure(facts, i));
        list.push(cycle::period(facts, i));
        list.push(fall::fall(facts, i));
        list.extend(headroom::headroom(facts, i));
        list.push(floor::bed_load(facts, i));
    }
    list.push(sump::pump_cover(facts));
    list.push(sump::sump_high(facts));
    list.push(floor::sump_load(facts));
    list.extend(drain::drain_line(facts));
    list.extend(line_slope::line_slope(facts));
    list.extend(fall::line_fall(facts));
    list.extend(tank_fall::tank_falls(facts));
    list.extend(entry::sump_entry(facts));
    list.extend(top_off::top_off(facts));
    list.extend(tank_level::tank_level(facts));
    list.extend(tank::turnover(facts));
    list.extend(settler::settler(facts));
    list.extend(garden::all(facts));
    // Stable: within one kind the order of the file stays.
    list.order_by_key(|check| check.id);
    list
}

/// A value this close to its limit is at its limit: lengths add up with rounding.
const ROUNDING: f64 = 1e-9;

/// Pass at or above `pass`, warn at or above `warn`, else fail.
fn graded(value: f64, pass: f64, warn: f64) -> Status {
    if value >= pass - ROUNDING {
        Status::Pass
    } else if value >= warn - ROUNDING {
        Status::Warn
    } else {
        Status::Fail
    }
}

fn status_of(verdict: Verdict) -> Status {
    match verdict {
        Verdict::Will => Status::Pass,
        Verdict::Uncertain => Status::Warn,
        Verdict::WillNot => Status::Fail,
    }
}

/// Halvings in the search for a flow: to a millionth of it.
const HALVINGS: Until = Until::Halvings(20);

/// Greatest value from `least`, which is bearable, up to `most` that still is.
fn most_that(least: f64, most: f64, bearable: impl Fn(f64) -> bool) -> f64 {
    halve((least, most.max(least)), HALVINGS, bearable).0
}

/// Ways to make a check pass, the one to try first in front; none where it passes.
pub(super) fn fixes(facts: &Facts, check: &Check) -> Vec<Fix> {
    if check.status == Status::Pass {
        return Vec::new();
    }
    let short = check.limit - check.value;
    match (&check.why, check.subject) {
        (Why::DryLayer(_), Subject::Bed(i)) => levels::fixes(facts, i, short),
        (Why::Rim(why), Subject::Bed(i)) => rim::fixes(facts, i, why),
        (Why::Starts(_), Subject::Bed(i)) => starts::fixes(facts, i),
        (Why::Breaks(_), Subject::Bed(i)) => breaks::fixes(facts, i),
        (Why::InflowRatio(_), Subject::Bed(i)) => inflow_ratio::fixes(facts, i),
        (Why::Crown(_), Subject::Bed(i)) => crown::fixes(facts, i),
        (Why::Period(why), Subject::Bed(i)) => cycle::fixes(facts, i, why),
        (Why::Fall(why), Subject::Bed(i)) => fall::fixes(facts, i, why),
        (Why::Headroom(_), Subject::Bed(i)) => headroom::fixes(facts, i, short),
        (Why::LineFall(why), _) => fall::line_fixes(facts, why.over),
        (Why::SumpEntry(why), _) => entry::fixes(facts, why),
        (Why::TankFall(why), subject) => tank_fall::fixes(facts, subject, why),
        (Why::PumpCover(why), _) => sump::cover_fixes(facts, why),
        (Why::SumpHigh(why), _) => sump::high_fixes(facts, why),
        (Why::DrainLine(_), _) => drain::fixes(facts),
        (Why::LineSlope(why), _) => line_slope::slope_fixes(facts, why),
        (Why::TopOff(why), _) => top_off::fixes(facts, why),
        (Why::TankDepth(why), _) => tank_level::tank_fixes(facts, why),
        (Why::SumpDepth(why), _) => tank_level::sump_fixes(facts, why),
        (Why::Turnover(why), _) => tank::fixes(facts, why),
        (Why::SettlerLoading(why), _) => settler::loading_fixes(facts, why),
        (Why::SettlerRetention(why), _) => settler::stay_fixes(facts, why),
        _ => garden::fixes(facts, check),
    }
}

/// What opens a window of inflows beyond doubt for bed `i`: fall, slots or bore.
pub(super) fn opens_window(facts: &Facts, i: usize) -> Vec<Fix> {
    let opens = |bed: &Bed| {
        let window = window_if(&facts.parts, i, bed);
        window.start.high <= window.breaks_below().low
    };
    let mut ways: Vec<Fix> = outlet_drop(facts, i, opens).into_iter().collect();
    ways.extend(wider_slots(facts, i, opens));
    ways.extend(smaller_bore(facts, i, opens).map(|(fix, _)| fix));
    ways
}
