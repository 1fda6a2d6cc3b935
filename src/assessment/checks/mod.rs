//! The checks, one file for each group.

mod crown;
mod cycle;
mod drain;
mod fall;
mod floor;
mod garden;
mod levels;
mod settler;
mod siphon;
mod sump;
mod tank;
mod tank_fall;
mod tank_level;
mod top_off;

pub(super) use floor::{GRAIN_DENSITY, heaviest};
pub use levels::level_allowance;
pub(super) use settler::settler_size;

use crate::assessment::facts::Facts;
use crate::assessment::{Check, Status};

/// Basis of a limit that everybody uses and nobody has published.
const COMMON_PRACTICE: &str = "common practice, no source";

/// All checks in the order of the design; within one kind in file order.
pub(super) fn all(facts: &Facts) -> Vec<Check> {
    let mut list = Vec::new();
    for i in 0..facts.parts.count() {
        list.push(levels::dry_layer(facts, i));
        list.push(levels::rim(facts, i));
        list.push(siphon::starts(facts, i));
        list.push(siphon::breaks(facts, i));
        list.push(siphon::inflow_ratio(facts, i));
        list.push(crown::crown_pressure(facts, i));
        list.push(cycle::period(facts, i));
        list.push(fall::fall(facts, i));
        list.extend(levels::headroom(facts, i));
        list.push(floor::bed_load(facts, i));
    }
    list.push(sump::pump_cover(facts));
    list.push(sump::sump_high(facts));
    list.push(floor::sump_load(facts));
    list.extend(drain::drain_line(facts));
    list.extend(drain::line_slope(facts));
    list.extend(fall::line_fall(facts));
    list.extend(tank_fall::tank_falls(facts));
    list.extend(top_off::top_off(facts));
    list.extend(tank_level::tank_level(facts));
    list.extend(tank::turnover(facts));
    list.extend(settler::settler(facts));
    list.extend(garden::all(facts));
    list.sort_by_key(|check| check.id);
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

/// Halvings in the search for a flow: to a millionth of it.
const HALVINGS: u32 = 20;

/// Greatest value from `least`, which is bearable, up to `most` that still is.
fn most_that(least: f64, most: f64, bearable: impl Fn(f64) -> bool) -> f64 {
    let (mut low, mut high) = (least, most.max(least));
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if bearable(middle) {
            low = middle
        } else {
            high = middle
        }
    }
    low
}

/// A sentence from a clause: first letter large, full stop.
fn sentence(clause: &str) -> String {
    let mut letters = clause.chars();
    let first = letters
        .next()
        .map(|c| c.to_uppercase().collect::<String>())
        .unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}
