//! What a builder can change, and how much of it is enough.
//!
//! Every amount is found by putting the changed part back into the same
//! formulas, and is rounded to what is printed, on the side that still passes.

use crate::assessment::amounts::{self, Side};
use crate::assessment::facts::Facts;
use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, Schedule};
use crate::model::{Bed, Branch, DrainLosses, DrainTarget, Inlet, PumpSource, System};
use crate::network::supply::SupplyTree;
use crate::units::UnitSystem;

/// Room kept between a siphon's outlet and the invert of the line it enters [m].
const OUTLET_OVER_INVERT: f64 = 0.005;
/// Smallest standpipe bore that is worth advising [m].
const LEAST_BORE: f64 = 0.012;
/// Least height kept between break level and lip when a standpipe is cut [m].
const LEAST_STROKE: f64 = 0.050;

/// "raise the inflow from 5.1 L/min to at least 7.7 L/min", and how.
pub(super) fn raise_inflow(facts: &Facts, i: usize, from: f64, to: f64) -> String {
    let units = facts.parts.units;
    let name = facts.parts.name(i);
    let how = how_to_raise(facts, i, to).map_or_else(String::new, |how| format!(": {how}"));
    format!(
        "raise the inflow of {name} from {} to at least {}{how}",
        units.flow(from),
        units.flow(to)
    )
}

/// "throttle the inlet from 12.0 L/min to at most 9.6 L/min", and how.
pub(super) fn throttle(facts: &Facts, i: usize, from: f64, to: f64) -> String {
    let units = facts.parts.units;
    let name = facts.parts.name(i);
    let how = how_to_throttle(facts, i, to).map_or_else(String::new, |how| format!(": {how}"));
    format!(
        "throttle the inflow of {name} from {} to at most {}{how}",
        units.flow(from),
        units.flow(to)
    )
}

fn how_to_raise(facts: &Facts, i: usize, to: f64) -> Option<String> {
    let parts = &facts.parts;
    let units = parts.units;
    // The least inflow comes with the lowest sump, where the lift is greatest.
    let sump = parts.run.sump.level.min;
    match &parts.beds()[i].inlet {
        Inlet::Measured(_) => None,
        Inlet::Share(_) => {
            let PumpSource::Steady(total) = parts.system.pump.source else { return None };
            let share = amounts::share(to / total, Side::Up);
            let others: f64 = parts
                .beds()
                .iter()
                .enumerate()
                .map(|(j, bed)| match bed.inlet {
                    Inlet::Share(share) if j != i => share,
                    _ => 0.0,
                })
                .sum();
            if share + others <= 1.0 {
                return Some(format!("set its share to {share:.3}"));
            }
            let Inlet::Share(now) = parts.beds()[i].inlet else { return None };
            let needed = amounts::flow(units, to / now, Side::Up);
            Some(format!("a pump flow of {} at the same share", units.flow(needed)))
        }
        Inlet::Piped(branch) => own_valve_open(facts, i, branch, to, sump)
            .or_else(|| bypass_closed(facts, i, to, sump))
            .or_else(|| bigger_pump(facts, branch, to, sump)),
    }
}

fn own_valve_open(facts: &Facts, i: usize, branch: &Branch, to: f64, sump: f64) -> Option<String> {
    let valve = branch.valve.as_ref()?;
    let mut system = facts.parts.system.clone();
    let opening = least_percent(valve.opening, |opening| {
        set_inlet_opening(&mut system, i, opening);
        SupplyTree::new(&system).duty(sump).bed_flows[i] >= to
    })?;
    let units = facts.parts.units;
    Some(format!(
        "open its {} valve from {} to {}",
        valve.kind.name(),
        units.percent(valve.opening),
        units.percent(opening)
    ))
}

fn bypass_closed(facts: &Facts, i: usize, to: f64, sump: f64) -> Option<String> {
    let bypass = facts.parts.system.supply.bypass.as_ref()?;
    let mut system = facts.parts.system.clone();
    let mut flow_at = |opening: f64| {
        set_bypass_opening(&mut system, opening);
        SupplyTree::new(&system).duty(sump).bed_flows[i]
    };
    let units = facts.parts.units;
    if let Some(valve) = &bypass.valve {
        let opening = greatest_percent(valve.opening, |opening| flow_at(opening) >= to)?;
        return Some(format!(
            "close the bypass valve from {} to {} open",
            units.percent(valve.opening),
            units.percent(opening)
        ));
    }
    (flow_at(0.0) >= to).then(|| "fit a valve in the bypass and close it until it does".to_owned())
}

fn bigger_pump(facts: &Facts, branch: &Branch, to: f64, sump: f64) -> Option<String> {
    let parts = &facts.parts;
    let (system, units) = (parts.system, parts.units);
    let manifold = branch.level + branch.resistance()?.head_loss(to, &system.water);
    let through = |branch: &Branch| {
        let drive = manifold - branch.level;
        branch.resistance().map_or(0.0, |run| run.flow(drive.max(0.0), &system.water))
    };
    let beds: f64 = parts
        .beds()
        .iter()
        .zip(&parts.tree.duty(sump).bed_flows)
        .map(|(bed, &now)| match &bed.inlet {
            Inlet::Piped(branch) => through(branch),
            _ => now,
        })
        .sum();
    let total = beds + system.supply.bypass.as_ref().map_or(0.0, through);
    let head = manifold - sump + system.supply.trunk.head_loss(total, &system.water);
    let total = amounts::flow(units, total, Side::Up);
    Some(format!(
        "that takes a pump that gives {} at a head of {}",
        units.flow(total),
        units.head(head)
    ))
}

fn how_to_throttle(facts: &Facts, i: usize, to: f64) -> Option<String> {
    let parts = &facts.parts;
    let units = parts.units;
    match &parts.beds()[i].inlet {
        Inlet::Measured(_) => None,
        Inlet::Share(_) => {
            let PumpSource::Steady(total) = parts.system.pump.source else { return None };
            let share = amounts::share(to / total, Side::Down);
            (share > 0.0).then(|| format!("set its share to {share:.3}"))
        }
        Inlet::Piped(branch) => {
            let Some(valve) = &branch.valve else {
                return Some("fit a valve in its branch and set it with a bucket".to_owned());
            };
            let mut system = parts.system.clone();
            let sump = parts.run.sump.level.max;
            let opening = greatest_percent(valve.opening, |opening| {
                set_inlet_opening(&mut system, i, opening);
                SupplyTree::new(&system).duty(sump).bed_flows[i] <= to
            })?;
            Some(format!(
                "close its {} valve from {} to {} open",
                valve.kind.name(),
                units.percent(valve.opening),
                units.percent(opening)
            ))
        }
    }
}

fn set_inlet_opening(system: &mut System, i: usize, opening: f64) {
    if let Inlet::Piped(branch) = &mut system.beds[i].inlet
        && let Some(valve) = &mut branch.valve
    {
        valve.opening = opening;
    }
}

fn set_bypass_opening(system: &mut System, opening: f64) {
    if opening <= 0.0 {
        system.supply.bypass = None;
    } else if let Some(bypass) = &mut system.supply.bypass
        && let Some(valve) = &mut bypass.valve
    {
        valve.opening = opening;
    }
}

/// Smallest whole per cent above `now` that is enough; more is never worse.
fn least_percent(now: f64, mut enough: impl FnMut(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = ((now * 100.0).floor(), 100.0);
    if low >= high || !enough(1.0) {
        return None;
    }
    while high - low > 1.0 {
        let middle = (0.5 * (low + high)).floor();
        if enough(middle / 100.0) { high = middle } else { low = middle }
    }
    Some(high / 100.0)
}

/// Greatest whole per cent below `now` that is enough; less is never worse.
fn greatest_percent(now: f64, mut enough: impl FnMut(f64) -> bool) -> Option<f64> {
    let (mut low, mut high) = (0.0, (now * 100.0).ceil());
    if !enough(0.0) {
        return None;
    }
    while high - low > 1.0 {
        let middle = (0.5 * (low + high)).floor();
        if enough(middle / 100.0) { low = middle } else { high = middle }
    }
    Some(low / 100.0)
}

/// `bed` with its outlet `drop` lower, the pipe that much longer [m].
pub(super) fn with_lower_outlet(bed: &Bed, drop: f64) -> Bed {
    let mut lowered = bed.clone();
    lowered.siphon.drain.outlet -= drop;
    if let DrainLosses::Computed { length, .. } = &mut lowered.siphon.drain.losses {
        *length += drop;
    }
    lowered
}

/// How far the outlet of bed `i` can come down and still gain fall [m]: to the
/// sump's highest water, else to its water at the break; in a line to its invert.
fn drops_possible(facts: &Facts, i: usize) -> Vec<f64> {
    let parts = &facts.parts;
    let outlet = parts.outlets[i];
    let floors = match (&parts.system.drain_line, &parts.beds()[i].siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => {
            vec![line.invert(*at) + OUTLET_OVER_INVERT]
        }
        _ => vec![facts.balance.high_water(parts), parts.sump_level_at_break(i)],
    };
    floors
        .into_iter()
        .map(|floor| amounts::length(parts.units, outlet - floor, Side::Down))
        .filter(|drop| *drop > 0.0)
        .collect()
}

/// Least drop of the outlet of bed `i` after which `accept` holds [m].
pub(super) fn outlet_drop(facts: &Facts, i: usize, accept: impl Fn(&Bed) -> bool) -> Option<f64> {
    let bed = &facts.parts.beds()[i];
    let units = facts.parts.units;
    let enough = |drop: f64| accept(&with_lower_outlet(bed, drop));
    let most = drops_possible(facts, i).into_iter().find(|&drop| enough(drop))?;
    Some(least_length(units, most, enough))
}

/// Least printed length up to `most` that is enough; `most` is [m].
pub(super) fn least_length(
    units: UnitSystem,
    most: f64,
    enough: impl Fn(f64) -> bool,
) -> f64 {
    let step = amounts::length_step(units);
    let (mut low, mut high) = (0.0, (most / step).round());
    while high - low > 1.0 {
        let middle = (0.5 * (low + high)).floor();
        if enough(middle * step) { high = middle } else { low = middle }
    }
    high * step
}

/// `bed` with a standpipe and drain pipe of another bore, wall and flare alike [m].
pub(super) fn with_bore(bed: &Bed, bore: f64) -> Bed {
    let mut changed = bed.clone();
    let pipe = &mut changed.siphon.standpipe;
    let (wall, flare) = (pipe.outside - pipe.bore, pipe.lip_diameter / pipe.bore);
    pipe.bore = bore;
    pipe.outside = bore + wall;
    pipe.lip_diameter = bore * flare;
    changed
}

/// Widest smaller bore of the siphon of bed `i` with which `accept` holds [m].
pub(super) fn smaller_bore(facts: &Facts, i: usize, accept: impl Fn(&Bed) -> bool) -> Option<f64> {
    let bed = &facts.parts.beds()[i];
    let units = facts.parts.units;
    let enough = |bore: f64| accept(&with_bore(bed, bore));
    let (mut low, mut high) = (LEAST_BORE, bed.siphon.standpipe.bore);
    if low >= high || !enough(low) {
        return None;
    }
    while high - low > 2e-5 {
        let middle = 0.5 * (low + high);
        if enough(middle) { low = middle } else { high = middle }
    }
    let bore = amounts::bore(units, low, Side::Down);
    enough(bore).then_some(bore)
}

/// `bed` with its slots wider by `factor`.
pub(super) fn with_wider_slots(bed: &Bed, factor: f64) -> Bed {
    let mut changed = bed.clone();
    changed.siphon.bell.slots.width *= factor;
    changed
}

/// Least widening of the slots of bed `i`, up to threefold, with which `accept` holds [-].
pub(super) fn wider_slots(facts: &Facts, i: usize, accept: impl Fn(&Bed) -> bool) -> Option<f64> {
    let bed = &facts.parts.beds()[i];
    let enough = |factor: f64| accept(&with_wider_slots(bed, factor));
    let (mut low, mut high) = (1.0, 3.0);
    if !enough(high) {
        return None;
    }
    while high - low > 0.01 {
        let middle = 0.5 * (low + high);
        if enough(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// How much of the standpipe of bed `i` can be cut off [m].
pub(super) fn cut_possible(facts: &Facts, i: usize) -> f64 {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let lip = bed.siphon.standpipe.lip;
    let break_level = parts.nominal[i].break_level(facts.beds[i].tail);
    amounts::length(parts.units, lip - break_level - LEAST_STROKE, Side::Down).max(0.0)
}

/// "cut the standpipe 12 mm shorter, from 225 mm to 213 mm".
pub(super) fn cut_text(facts: &Facts, i: usize, cut: f64) -> String {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let bed = &parts.beds()[i];
    let length = bed.siphon.standpipe.lip - bed.floor;
    format!(
        "cut the standpipe of {} {} shorter, from {} to {} above the bed's floor",
        parts.name(i),
        units.length(cut),
        units.length(length),
        units.length(length - cut)
    )
}

/// "lower the outlet of "north" by 160 mm".
pub(super) fn drop_text(facts: &Facts, i: usize, drop: f64) -> String {
    let parts = &facts.parts;
    format!("lower the outlet of {} by {}", parts.name(i), parts.units.length(drop))
}

/// "use a standpipe and drain pipe of at most 21.3 mm bore (3/4 in Schedule 40: 20.9 mm)".
pub(super) fn bore_text(facts: &Facts, i: usize, bore: f64) -> String {
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
pub(super) fn listed(units: UnitSystem) -> impl Iterator<Item = &'static PipeSize> {
    PIPE_SIZES.iter().filter(move |size| match units {
        UnitSystem::Us => size.schedule == Schedule::Sch40,
        UnitSystem::Metric => matches!(size.schedule, Schedule::Pn10 | Schedule::Pn16),
    })
}

/// "2 in Schedule 40 has 52.5 mm".
pub(super) fn size_text(units: UnitSystem, size: &PipeSize) -> String {
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
