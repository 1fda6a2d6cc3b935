//! Other heights and bores of standpipe, outlet, slots and drain line.

use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::hydraulics::pipe_sizes::{PipeSize, on_sale};
use crate::model::{Bed, DrainTarget};
use crate::model::{BedPart, Change, Level, Measure, Pipe, PipePart, Quantity, Vessel};
use crate::network::drain_line::DrainLineLaw;
use crate::numerics::in_order::InOrder;
use crate::numerics::root::{Until, halve, last_whole};
use crate::units::UnitSystem;
use crate::units::amounts::{self, Side};
use std::f64::consts::PI;

/// Room kept between a siphon's outlet and the invert of the line it enters `[m]`.
const OUTLET_OVER_INVERT: f64 = 0.005;
/// Smallest standpipe bore that is worth advising `[m]`.
pub(crate) const LEAST_BORE: f64 = 0.012;
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
        .map(|floor| amounts::length(parts.tape, outlet - floor, Side::Down))
        .filter(|drop| *drop > 0.0)
        .collect()
}

/// The outlet of bed `i` lowered by `drop`, or raised where that is negative `[m]`.
pub(in crate::assessment) fn outlet_lower(facts: &Facts, i: usize, drop: f64) -> Fix {
    let outlet = facts.parts.outlets[i];
    Fix::of([Change::of_bed(i, BedPart::Outlet, outlet - drop)])
}

/// Least drop of the outlet of bed `i` after which `accept` holds.
pub(in crate::assessment) fn outlet_drop(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<Fix> {
    let bed = &facts.parts.beds()[i];
    let tape = facts.parts.tape;
    let enough = |drop: f64| accept(&with_lower_outlet(bed, drop));
    let most = drops_possible(facts, i)
        .into_iter()
        .find(|&drop| enough(drop))?;
    Some(outlet_lower(facts, i, least_length(tape, most, enough)))
}

/// Least printed length up to `most` that is enough; `most` is `[m]`.
pub(in crate::assessment) fn least_length(
    tape: UnitSystem,
    most: f64,
    enough: impl Fn(f64) -> bool,
) -> f64 {
    let step = amounts::length_step(tape);
    step * last_whole((most / step).round(), 0.0, |steps| enough(steps * step))
}

/// The drain line at a bore of at least `bore` `[m]`, of a size that is sold where one is listed.
pub(in crate::assessment) fn line_of(tape: UnitSystem, bore: f64) -> Fix {
    let sold = on_sale(tape)
        .map(|size| size.bore)
        .filter(|sold| *sold >= bore)
        .min_by(f64::total_cmp)
        .unwrap_or(bore);
    let what = Quantity::Pipe(Pipe::DrainLine, PipePart::Bore);
    Fix::of([Change::set(what, sold)])
}

/// The shared line at the least bore, up to three times the present, with which `accept` holds.
pub(in crate::assessment) fn line_bore(
    facts: &Facts,
    accept: impl Fn(&DrainLineLaw) -> bool,
) -> Option<Fix> {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    let now = system.drain_line.as_ref()?.run.bore;
    let values = system.coefficients.nominal();
    let bore = least_line(now, 0.02, |bore| {
        if let Some(line) = &mut system.drain_line {
            line.run.bore = bore;
        }
        DrainLineLaw::new(&system, &values).is_some_and(|line| accept(&line))
    })?;
    let bore = amounts::bore(parts.tape, bore, Side::Up);
    Some(line_of(parts.tape, bore))
}

/// The least bore over `now`, in steps of this share of it and at most three times as wide,
/// that is `enough`: a wider line is never worse. One look tells where none is.
pub(super) fn least_line(now: f64, step: f64, mut enough: impl FnMut(f64) -> bool) -> Option<f64> {
    let bore = |k: f64| now * (1.0 + step * k);
    let most = (2.0 / step).round();
    enough(bore(most)).then(|| bore(last_whole(most, 0.0, |k| enough(bore(k)))))
}

/// `bed` with a standpipe and drain pipe of another bore, wall and flare alike `[m]`.
fn with_bore(bed: &Bed, bore: f64) -> Bed {
    let pipe = &bed.siphon.standpipe;
    with_pipe(bed, bore, bore + pipe.outside - pipe.bore)
}

/// `bed` with a standpipe and drain pipe of another size, the flare alike `[m]`.
fn with_pipe(bed: &Bed, bore: f64, outside: f64) -> Bed {
    let mut changed = bed.clone();
    let pipe = &mut changed.siphon.standpipe;
    let flare = pipe.lip_diameter / pipe.bore;
    pipe.bore = bore;
    pipe.outside = outside;
    pipe.lip_diameter = bore * flare;
    changed
}

/// Another pipe for the siphon of bed `i`: the best of `sold` with which `accept` holds, else
/// one of just `bore` `[m]`; with the bed as it then is.
fn pipe_of<'a>(
    facts: &Facts,
    i: usize,
    bore: f64,
    sold: impl Iterator<Item = &'a PipeSize>,
    accept: impl Fn(&Bed) -> bool,
) -> (Fix, Bed) {
    let bed = &facts.parts.beds()[i];
    for size in sold {
        let changed = with_pipe(bed, size.bore, size.outside);
        if size.outside < FULLEST_BELL * bed.siphon.bell.bore && accept(&changed) {
            let change = Change::PipeSize {
                bed: i,
                bore: size.bore,
                outside: size.outside,
            };
            return (Fix::of([change]), changed);
        }
    }
    let fix = Fix::of([Change::of_bed(i, BedPart::PipeBore, bore)]);
    (fix, with_bore(bed, bore))
}

/// Widest smaller pipe for the siphon of bed `i` with which `accept` holds, and the bed then.
pub(in crate::assessment) fn smaller_bore(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<(Fix, Bed)> {
    let bed = &facts.parts.beds()[i];
    let tape = facts.parts.tape;
    let enough = |bore: f64| accept(&with_bore(bed, bore));
    let now = bed.siphon.standpipe.bore;
    if LEAST_BORE >= now || !enough(LEAST_BORE) {
        return None;
    }
    // Finer than bores are printed to.
    let widest = halve((LEAST_BORE, now), Until::Width(2e-5), enough).0;
    let bore = amounts::bore(tape, widest, Side::Down);
    if !enough(bore) {
        return None;
    }
    let mut sold: Vec<&PipeSize> = on_sale(tape)
        .filter(|size| size.bore <= bore && size.bore >= LEAST_BORE)
        .collect();
    sold.order_by(|a, b| b.bore.total_cmp(&a.bore));
    Some(pipe_of(facts, i, bore, sold.into_iter(), accept))
}

/// Narrowest wider pipe, up to three times, for the siphon of bed `i` with which `accept` holds.
pub(in crate::assessment) fn wider_bore(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<Fix> {
    let bed = &facts.parts.beds()[i];
    let now = bed.siphon.standpipe.bore;
    let bell = bed.siphon.bell.bore;
    let bore = (1..=100)
        .map(|k| now * (1.0 + 0.02 * f64::from(k)))
        .map(|bore| (bore, with_bore(bed, bore)))
        .take_while(|(_, wider)| wider.siphon.standpipe.outside < FULLEST_BELL * bell)
        .find(|(_, wider)| accept(wider))?
        .0;
    let tape = facts.parts.tape;
    let bore = amounts::bore(tape, bore, Side::Up);
    let mut sold: Vec<&PipeSize> = on_sale(tape).filter(|size| size.bore >= bore).collect();
    sold.order_by(|a, b| a.bore.total_cmp(&b.bore));
    Some(pipe_of(facts, i, bore, sold.into_iter(), accept).0)
}

/// `bed` with slots of `width` `[m]`.
fn with_slots(bed: &Bed, width: f64) -> Bed {
    let mut changed = bed.clone();
    changed.siphon.bell.slots.width = width;
    changed
}

/// Least wider slots of `bed`, with enough of the bell's wall left between them, with which
/// `accept` holds `[m]`.
fn slot_width(facts: &Facts, bed: &Bed, accept: impl Fn(&Bed) -> bool) -> Option<f64> {
    let tape = facts.parts.tape;
    let bell = &bed.siphon.bell;
    let girth = PI * bell.outside / f64::from(bell.slots.count.max(1));
    let most = amounts::length(tape, OPEN_GIRTH * girth, Side::Down);
    let enough = |width: f64| accept(&with_slots(bed, width));
    (most > bell.slots.width && enough(most)).then(|| least_length(tape, most, enough))
}

/// Wider slots of bed `i` with which `accept` holds.
pub(in crate::assessment) fn wider_slots(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<Fix> {
    let width = slot_width(facts, &facts.parts.beds()[i], accept)?;
    Some(Fix::of([Change::of_bed(i, BedPart::SlotWidth, width)]))
}

/// Least width of the slots of bed `i` that with all the fall there is makes
/// `accept` hold, and the least drop of its outlet that then does.
pub(in crate::assessment) fn slots_and_drop(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<Fix> {
    let bed = &facts.parts.beds()[i];
    let tape = facts.parts.tape;
    drops_possible(facts, i).into_iter().find_map(|most| {
        let width = slot_width(facts, &with_lower_outlet(bed, most), &accept)?;
        let wide = with_slots(bed, width);
        let drop = least_length(tape, most, |drop| accept(&with_lower_outlet(&wide, drop)));
        let slots = Fix::of([Change::of_bed(i, BedPart::SlotWidth, width)]);
        Some(slots.and(outlet_lower(facts, i, drop)))
    })
}

/// How much of the standpipe of bed `i` can be cut off `[m]`.
pub(in crate::assessment) fn cut_possible(facts: &Facts, i: usize) -> f64 {
    let parts = &facts.parts;
    let lip = parts.nominal[i].lip();
    let break_level = parts.nominal[i].break_level(facts.beds[i].tail);
    amounts::length(parts.tape, lip - break_level - LEAST_STROKE, Side::Down).max(0.0)
}

/// The standpipe of bed `i` cut `cut` shorter, or made longer where that is negative `[m]`.
pub(in crate::assessment) fn standpipe_cut(facts: &Facts, i: usize, cut: f64) -> Fix {
    let now = BedPart::StandpipeLength;
    let length = Quantity::Bed(i, now).value(facts.parts.system);
    Fix::of(length.map(|length| Change::of_bed(i, now, length - cut)))
}

/// The least cut of the standpipe of bed `i` with which `accept` holds.
pub(in crate::assessment) fn enough_cut(
    facts: &Facts,
    i: usize,
    accept: impl Fn(&Bed) -> bool,
) -> Option<Fix> {
    let bed = &facts.parts.beds()[i];
    let enough = |cut: f64| accept(&with_longer_standpipe(bed, -cut));
    let most = cut_possible(facts, i);
    (most > 0.0 && enough(most)).then(|| {
        let cut = least_length(facts.parts.tape, most, enough);
        standpipe_cut(facts, i, cut)
    })
}

/// The wall of bed `i` built `by` higher, its vessel with it `[m]`; none where its shape has
/// no depth of its own.
pub(in crate::assessment) fn higher_wall(facts: &Facts, i: usize, by: f64) -> Option<Fix> {
    let system = facts.parts.system;
    let vessel = Vessel::Bed(i);
    let depth = Quantity::Measure(vessel, Measure::Depth);
    let rim = Quantity::Level(vessel, Level::Overflow);
    let (deep, high) = (depth.value(system)?, rim.value(system)?);
    Some(Fix::of([
        Change::set(depth, deep + by),
        Change::set(rim, high + by),
    ]))
}

/// `depth` more gravel in bed `i`, over a wall built higher where it has to be `[m]`.
pub(in crate::assessment) fn more_gravel(facts: &Facts, i: usize, depth: f64) -> Option<Fix> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let gravel = Change::of_bed(i, BedPart::MediaDepth, bed.media.depth + depth);
    let room = bed.rim_level() - bed.media_surface();
    if depth <= room {
        return Some(Fix::of([gravel]));
    }
    let by = amounts::length(parts.tape, depth - room, Side::Up);
    Some(higher_wall(facts, i, by)?.and(Fix::of([gravel])))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::least_line;

    // Each look settles the line for all beds: where no width helps, one has to do.
    #[test]
    fn a_line_that_no_width_helps_is_looked_at_once() {
        let mut looks = 0;
        let found = least_line(0.05, 0.05, |_| {
            looks += 1;
            false
        });
        assert_eq!((found, looks), (None, 1));
    }

    #[test]
    fn the_least_line_that_is_enough_is_found_in_a_few_looks() {
        for wanted in [0.0512, 0.0675, 0.0999, 0.15] {
            let mut looks = 0;
            let found = least_line(0.05, 0.05, |bore| {
                looks += 1;
                bore >= wanted
            });
            let one_by_one = (1..=40).map(|k| 0.05 * (1.0 + 0.05 * f64::from(k)));
            assert_eq!(found, one_by_one.clone().find(|bore| *bore >= wanted));
            assert!(looks <= 8, "{looks}");
        }
    }
}
