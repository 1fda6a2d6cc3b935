//! More or less inflow: valve, bypass, share, branch, pump.

use crate::assessment::amounts::{self, Side};
use crate::assessment::facts::Facts;
use crate::assessment::most_inflow::MostInflow;
use crate::model::{Branch, Inlet, PumpSource, System};
use crate::network::supply::SupplyTree;
use crate::simulation::Regime;

/// Decimals up to which two flows are told apart.
const MOST_PLACES: usize = 4;

/// "raise the inflow from 5.1 L/min to at least 7.7 L/min", and how.
pub(in crate::assessment) fn raise_inflow(facts: &Facts, i: usize, from: f64, to: f64) -> String {
    let how = how_to_raise(facts, i, to).map_or_else(String::new, |how| format!(": {how}"));
    format!(
        "raise the inflow of {} {}{how}",
        facts.parts.name(i),
        change(facts, from, "least", to)
    )
}

/// "throttle the inlet from 12.0 L/min to at most 9.6 L/min", and how; the
/// inflow is that at the run's highest sump.
pub(in crate::assessment) fn throttle(facts: &Facts, i: usize, from: f64, to: f64) -> String {
    let sump = facts.parts.run.sump.level.max;
    throttle_by(facts, i, [from, to], &|_, tree| {
        tree.duty(sump).bed_flows[i]
    })
}

/// The same for the greatest inflow that can come at all.
pub(in crate::assessment) fn throttle_greatest(facts: &Facts, i: usize, to: f64) -> String {
    let from = facts.parts.greatest_inflow(i);
    throttle_by(facts, i, [from, to], &|system, tree| {
        MostInflow::new(system, tree).beds[i]
    })
}

/// Inflow of a bed in a system with this supply tree.
type InflowIn<'a> = &'a dyn Fn(&System, &SupplyTree) -> f64;

fn throttle_by(facts: &Facts, i: usize, [from, to]: [f64; 2], inflow: InflowIn) -> String {
    let how =
        how_to_throttle(facts, i, to, inflow).map_or_else(String::new, |how| format!(": {how}"));
    format!(
        "throttle the inflow of {} {}{how}",
        facts.parts.name(i),
        change(facts, from, "most", to)
    )
}

/// "from 9.04 L/min to at most 9.0 L/min": with more figures where both would print alike.
fn change(facts: &Facts, from: f64, side: &str, to: f64) -> String {
    let units = facts.parts.units;
    let (factor, unit) = units.flow_axis();
    let target = units.flow(to);
    let figure = |text: &str| {
        text.split(' ')
            .next()
            .and_then(|word| word.parse::<f64>().ok())
    };
    let mut start = units.flow(from);
    for places in 2..=MOST_PLACES {
        if figure(&start) != figure(&target) {
            break;
        }
        start = format!("{:.places$} {unit}", from * factor);
    }
    if figure(&start) == figure(&target) {
        return format!("a little, to at {side} {target}");
    }
    format!("from {start} to at {side} {target}")
}

fn how_to_raise(facts: &Facts, i: usize, to: f64) -> Option<String> {
    let parts = &facts.parts;
    // The least inflow comes with the lowest sump, where the lift is greatest.
    // A bed that has got none has not yet drawn on the sump.
    let drawn_on = parts.run.beds[i].tends_to != Regime::NeverFills;
    let sump = if drawn_on {
        parts.run.sump.level.min
    } else {
        parts.run.sump.level.min.min(facts.balance.bounds.low)
    };
    match &parts.beds()[i].inlet {
        Inlet::Measured(_) => None,
        Inlet::Share(now) => {
            let PumpSource::Steady(total) = parts.system.pump.source else {
                return None;
            };
            Some(shares_for(facts, i, *now, to, total))
        }
        Inlet::Piped(branch) => own_valve_open(facts, i, branch, to, sump)
            .or_else(|| bypass_closed(facts, i, to, sump))
            .or_else(|| wider_branch(facts, i, branch, to, sump))
            .or_else(|| bigger_pump(facts, branch, to, sump)),
    }
}

/// Shares, and where they do not suffice the pump flow, that bring `to` without taking
/// from another bed what it needs to start, or bringing it more than it has.
fn shares_for(facts: &Facts, i: usize, now: f64, to: f64, total: f64) -> String {
    let parts = &facts.parts;
    let units = parts.units;
    let share = amounts::share(to / total, Side::Up);
    let others: Vec<(usize, f64)> = parts
        .beds()
        .iter()
        .enumerate()
        .filter_map(|(j, bed)| match bed.inlet {
            Inlet::Share(share) if j != i => Some((j, share)),
            _ => None,
        })
        .collect();
    let sum: f64 = others.iter().map(|(_, share)| share).sum();
    if share + sum <= 1.0 {
        return format!("set its share to {share:.3}");
    }
    let with_others = |own: f64, factor: f64| {
        let list: Vec<String> = others
            .iter()
            .map(|&(j, share)| {
                let share = amounts::share(share * factor, Side::Down);
                format!(" and that of {} to {share:.3}", parts.name(j))
            })
            .collect();
        format!("set its share to {own:.3}{}", list.concat())
    };
    let left = (1.0 - share) / sum;
    let spare = |&(j, share): &(usize, f64)| {
        let flow = amounts::share(share * left, Side::Down) * total;
        flow >= facts.beds[j].window.start.high
    };
    if share < 1.0 && others.iter().all(spare) {
        return with_others(share, left);
    }
    if others.is_empty() {
        return format!(
            "a pump flow of {} at the same share",
            units.flow(amounts::flow(units, to / now, Side::Up))
        );
    }
    // Enough for what rounding takes.
    let needed = amounts::flow(units, (to + sum * total) * 1.002, Side::Up);
    format!(
        "a pump flow of {}, and {}",
        units.flow(needed),
        with_others(amounts::share(to / needed, Side::Up), total / needed)
    )
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
    let units = facts.parts.units;
    let mut system = facts.parts.system.clone();
    if let Some(valve) = &bypass.valve {
        let opening = greatest_percent(valve.opening, |opening| {
            set_bypass_opening(&mut system, opening);
            SupplyTree::new(&system).duty(sump).bed_flows[i] >= to
        })?;
        return Some(format!(
            "close the bypass valve from {} to {} open",
            units.percent(valve.opening),
            units.percent(opening)
        ));
    }
    system.supply.bypass = None;
    let shut = SupplyTree::new(&system).duty(sump).bed_flows[i];
    (shut >= to).then(|| "fit a valve in the bypass and close it until it does".to_owned())
}

/// A branch of up to twice the bore.
fn wider_branch(facts: &Facts, i: usize, branch: &Branch, to: f64, sump: f64) -> Option<String> {
    let units = facts.parts.units;
    let mut system = facts.parts.system.clone();
    let bore = (1..=50)
        .map(|k| branch.run.bore * (1.0 + 0.02 * f64::from(k)))
        .find(|&bore| {
            if let Inlet::Piped(branch) = &mut system.beds[i].inlet {
                branch.run.bore = bore;
            }
            SupplyTree::new(&system).duty(sump).bed_flows[i] >= to
        })?;
    let bore = amounts::bore(units, bore, Side::Up);
    Some(format!(
        "use a branch and valve of at least {} bore instead of {}",
        units.bore(bore),
        units.bore(branch.run.bore)
    ))
}

fn bigger_pump(facts: &Facts, branch: &Branch, to: f64, sump: f64) -> Option<String> {
    let parts = &facts.parts;
    let (system, units) = (parts.system, parts.units);
    let manifold = branch.level + branch.resistance()?.head_loss(to, &system.water);
    let through = |branch: &Branch| {
        let drive = manifold - branch.level;
        branch
            .resistance()
            .map_or(0.0, |run| run.flow(drive.max(0.0), &system.water))
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

fn how_to_throttle(facts: &Facts, i: usize, to: f64, inflow: InflowIn) -> Option<String> {
    let parts = &facts.parts;
    let units = parts.units;
    match &parts.beds()[i].inlet {
        Inlet::Measured(_) => None,
        // With one bed the pump's flow is the bed's: no share to set.
        Inlet::Share(_) if parts.count() == 1 => None,
        Inlet::Share(now) => {
            let PumpSource::Steady(total) = parts.system.pump.source else {
                return None;
            };
            let share = amounts::share(to / total, Side::Down);
            (share > 0.0 && share < *now).then(|| format!("set its share to {share:.3}"))
        }
        Inlet::Piped(branch) => {
            let Some(valve) = &branch.valve else {
                return Some("fit a valve in its branch and set it with a bucket".to_owned());
            };
            let mut system = parts.system.clone();
            let opening = greatest_percent(valve.opening, |opening| {
                set_inlet_opening(&mut system, i, opening);
                inflow(&system, &SupplyTree::new(&system)) <= to
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
    if let Some(bypass) = &mut system.supply.bypass
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
        if enough(middle / 100.0) {
            high = middle
        } else {
            low = middle
        }
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
        if enough(middle / 100.0) {
            low = middle
        } else {
            high = middle
        }
    }
    Some(low / 100.0)
}
