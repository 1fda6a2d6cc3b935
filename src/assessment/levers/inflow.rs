//! More or less inflow: valve, bypass, share, branch, pump.

use crate::assessment::facts::Facts;
use crate::assessment::fix::{Aim, Fix, Hint};
use crate::assessment::most_inflow::MostInflow;
use crate::hydraulics::valves::ValveKind;
use crate::model::{BedPart, BranchPart, Change, Outlet, Pipe, PipePart, PumpPart, Quantity};
use crate::model::{Branch, Inlet, PumpSource, System};
use crate::network::supply::SupplyTree;
use crate::numerics::root::last_whole;
use crate::simulation::Regime;
use crate::units::amounts::{self, Side};

/// Steps of the pump's speed that are tried `[-]`, up to twice and down to half.
const SPEED_STEP: f64 = 0.05;

/// Ways to bring the inflow of bed `i` from `from` to at least `to` `[m3/s]`.
pub(in crate::assessment) fn raise_inflow(facts: &Facts, i: usize, from: f64, to: f64) -> Vec<Fix> {
    let aim = Aim::InflowAtLeast { bed: i, from, to };
    let mut ways = ways_to_raise(facts, i, to);
    if ways.is_empty() {
        ways.push(Fix::default());
    }
    ways.into_iter().map(|way| way.aiming(aim)).collect()
}

/// Ways to bring the inflow of bed `i` from `from` to at most `to` `[m3/s]`, that at the run's
/// highest sump.
pub(in crate::assessment) fn throttle(facts: &Facts, i: usize, from: f64, to: f64) -> Vec<Fix> {
    let sump = facts.parts.run.sump.level.max;
    throttle_by(facts, i, [from, to], &|_, tree, j| {
        tree.duty(sump).bed_flows[j]
    })
}

/// The same for the greatest inflow that can come at all.
pub(in crate::assessment) fn throttle_greatest(facts: &Facts, i: usize, to: f64) -> Vec<Fix> {
    let from = facts.parts.greatest_inflow(i);
    throttle_by(facts, i, [from, to], &|system, tree, j| {
        MostInflow::new(system, tree).beds[j]
    })
}

/// Inflow of a bed in a system with this supply tree.
type InflowIn<'a> = &'a dyn Fn(&System, &SupplyTree, usize) -> f64;

fn throttle_by(facts: &Facts, i: usize, [from, to]: [f64; 2], inflow: InflowIn) -> Vec<Fix> {
    let aim = Aim::InflowAtMost { bed: i, from, to };
    let mut ways = ways_to_throttle(facts, i, to, inflow);
    if ways.is_empty() {
        ways.push(Fix::default());
    }
    ways.into_iter().map(|way| way.aiming(aim)).collect()
}

/// Lowest sump level that counts for the least inflow of bed `i`, where the lift is greatest `[m]`.
fn lowest_sump(facts: &Facts, i: usize) -> f64 {
    let seen = facts.parts.run.sump.level.min;
    // A bed that has got none has not yet drawn on the sump.
    if facts.parts.run.beds[i].tends_to == Regime::NeverFills {
        seen.min(facts.balance.bounds.low)
    } else {
        seen
    }
}

fn ways_to_raise(facts: &Facts, i: usize, to: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    let sump = lowest_sump(facts, i);
    match &parts.beds()[i].inlet {
        Inlet::Measured(_) => vec![Fix::of([Change::of_bed(i, BedPart::Flow, to)])],
        Inlet::Share(now) => match parts.system.pump.source {
            PumpSource::Steady(total) => shares_for(facts, i, *now, to, total),
            PumpSource::Curve(_) => Vec::new(),
        },
        Inlet::Piped(branch) => {
            // What is only turned comes before what has to be bought.
            let mut ways = Vec::new();
            ways.extend(own_valve_open(facts, i, branch, to, sump));
            ways.extend(together_open(facts, i, sump));
            ways.extend(bypass_closed(facts, i, to, sump));
            let turned = !ways.is_empty();
            ways.extend(wider_branch(facts, i, branch, to, sump));
            let speed = faster_pump(facts, i, to, sump);
            if !turned && ways.is_empty() && speed.is_none() {
                ways.extend(bigger_pump(facts, branch, to, sump));
            }
            ways.extend(speed);
            ways
        }
    }
}

fn share(bed: usize, to: f64) -> Change {
    Change::of_bed(bed, BedPart::Share, to)
}

fn pump_flow(to: f64) -> Change {
    Change::set(Quantity::Pump(PumpPart::SteadyFlow), to)
}

/// Shares, and where they do not suffice the pump flow, that bring `to` without taking
/// from another bed what it needs to start, or bringing it more than it has.
fn shares_for(facts: &Facts, i: usize, now: f64, to: f64, total: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    let own = amounts::share(to / total, Side::Up);
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
    if own + sum <= 1.0 {
        return vec![Fix::of([share(i, own)])];
    }
    // The others give way first: shares must never add up to more than the pump.
    let with_others = |own: f64, factor: f64| {
        let given_up = others
            .iter()
            .map(|&(j, now)| share(j, amounts::share(now * factor, Side::Down)));
        given_up.chain([share(i, own)]).collect::<Vec<_>>()
    };
    let left = (1.0 - own) / sum;
    let spare = |&(j, now): &(usize, f64)| {
        let flow = amounts::share(now * left, Side::Down) * total;
        flow >= facts.beds[j].window.start.high
    };
    let mut ways = Vec::new();
    if own < 1.0 && others.iter().all(spare) {
        ways.push(Fix::of(with_others(own, left)));
    }
    if others.is_empty() {
        let flow = amounts::flow(parts.tape, to / now, Side::Up);
        return vec![Fix::of([pump_flow(flow)])];
    }
    // Enough for what rounding takes.
    let needed = amounts::flow(parts.tape, (to + sum * total) * 1.002, Side::Up);
    let mut stronger = vec![pump_flow(needed)];
    stronger.extend(with_others(
        amounts::share(to / needed, Side::Up),
        total / needed,
    ));
    ways.push(Fix::of(stronger));
    ways
}

fn opening(outlet: Outlet) -> Quantity {
    Quantity::Branch(outlet, BranchPart::Opening)
}

/// The system with a fix done, where it can be; whether its parts fit is not looked at.
pub(in crate::assessment) fn done(system: &System, fix: &Fix) -> Option<System> {
    let mut changed = system.clone();
    let each = fix.changes.iter();
    each.map(|change| change.apply_to(&mut changed))
        .all(|one| one.is_ok())
        .then_some(changed)
}

/// The system with one number changed; as it is where that is impossible.
fn with(system: &System, what: Quantity, to: f64) -> System {
    done(system, &Fix::of([Change::set(what, to)])).unwrap_or_else(|| system.clone())
}

fn own_valve_open(facts: &Facts, i: usize, branch: &Branch, to: f64, sump: f64) -> Option<Fix> {
    let system = facts.parts.system;
    let outlet = Outlet::Bed(i);
    let open = least_percent(branch.valve.as_ref()?.opening, |open| {
        let changed = with(system, opening(outlet), open);
        SupplyTree::new(&changed).duty(sump).bed_flows[i] >= to
    })?;
    Some(Fix::of([Change::turn(outlet, open)]))
}

/// Openings of the valves of several beds, all at `share`.
fn all_at(beds: &[usize], share: f64) -> Change {
    Change::Valves(beds.iter().map(|&j| (Outlet::Bed(j), share)).collect())
}

fn turned(system: &System, beds: &[usize], share: f64) -> System {
    done(system, &Fix::of([all_at(beds, share)])).unwrap_or_else(|| system.clone())
}

/// Present opening of the valve of bed `j`, where it has one.
fn opening_now(facts: &Facts, j: usize) -> Option<f64> {
    opening(Outlet::Bed(j)).value(facts.parts.system)
}

/// All valves of beds that get too little to start, opened alike: one alone takes from the
/// others what it gives.
fn together_open(facts: &Facts, i: usize, sump: f64) -> Option<Fix> {
    let parts = &facts.parts;
    let needs = |j: usize| facts.beds[j].window.start.high;
    let short: Vec<usize> = (0..parts.count())
        .filter(|&j| opening_now(facts, j).is_some())
        .filter(|&j| facts.beds[j].at_start.flow < needs(j))
        .collect();
    if short.len() < 2 || !short.contains(&i) {
        return None;
    }
    let now = short.iter().filter_map(|&j| opening_now(facts, j));
    let share = least_percent(now.fold(1.0, f64::min), |share| {
        let changed = turned(parts.system, &short, share);
        let flows = SupplyTree::new(&changed).duty(sump).bed_flows;
        short.iter().all(|&j| flows[j] >= needs(j))
    })?;
    Some(Fix::of([all_at(&short, share)]))
}

/// The bypass closed, by a valve that is fitted where there is none.
fn bypass_closed(facts: &Facts, i: usize, to: f64, sump: f64) -> Option<Fix> {
    let system = facts.parts.system;
    let bypass = system.supply.bypass.as_ref()?;
    let now = bypass.valve.as_ref().map_or(1.0, |valve| valve.opening);
    let open = greatest_percent(now, |open| {
        done(system, &set_valve(Outlet::Bypass, bypass, open))
            .is_some_and(|changed| SupplyTree::new(&changed).duty(sump).bed_flows[i] >= to)
    })?;
    Some(set_valve(Outlet::Bypass, bypass, open))
}

/// The valve of a branch set to `opening`, a ball valve fitted where there is none.
fn set_valve(outlet: Outlet, branch: &Branch, opening: f64) -> Fix {
    Fix::of([if branch.valve.is_none() {
        Change::FitValve {
            outlet,
            kind: ValveKind::Ball,
            opening,
        }
    } else {
        Change::turn(outlet, opening)
    }])
}

/// A branch of up to twice the bore.
fn wider_branch(facts: &Facts, i: usize, branch: &Branch, to: f64, sump: f64) -> Option<Fix> {
    let system = facts.parts.system;
    let what = Quantity::Pipe(Pipe::Branch(Outlet::Bed(i)), PipePart::Bore);
    let bore = (1..=50)
        .map(|k| branch.run.bore * (1.0 + 0.02 * f64::from(k)))
        .find(|&bore| {
            let changed = with(system, what, bore);
            SupplyTree::new(&changed).duty(sump).bed_flows[i] >= to
        })?;
    let bore = amounts::bore(facts.parts.tape, bore, Side::Up);
    Some(Fix::of([Change::set(what, bore)]))
}

/// The same pump at the least higher speed that is enough, up to twice.
fn faster_pump(facts: &Facts, i: usize, to: f64, sump: f64) -> Option<Fix> {
    let steps = (1..=20).map(|k| 1.0 + SPEED_STEP * f64::from(k));
    at_speed(facts, steps, &|_, tree| tree.duty(sump).bed_flows[i] >= to)
}

/// The first of these speeds with which `enough` holds.
fn at_speed(
    facts: &Facts,
    mut speeds: impl Iterator<Item = f64>,
    enough: &dyn Fn(&System, &SupplyTree) -> bool,
) -> Option<Fix> {
    let speed = speeds.find(|&speed| {
        done(facts.parts.system, &Fix::of([Change::PumpSpeed(speed)]))
            .is_some_and(|changed| enough(&changed, &SupplyTree::new(&changed)))
    })?;
    Some(Fix::of([Change::PumpSpeed(speed)]))
}

fn bigger_pump(facts: &Facts, branch: &Branch, to: f64, sump: f64) -> Option<Fix> {
    let parts = &facts.parts;
    let system = parts.system;
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
    let returned = [Outlet::Bypass, Outlet::Settler].map(|to| system.branch_to(to));
    let total = beds + returned.into_iter().flatten().map(through).sum::<f64>();
    let head = manifold - sump + system.supply.trunk.head_loss(total, &system.water);
    let total = amounts::flow(parts.tape, total, Side::Up);
    Some(Fix::hint(Hint::Pump(total, head)))
}

fn ways_to_throttle(facts: &Facts, i: usize, to: f64, inflow: InflowIn) -> Vec<Fix> {
    let parts = &facts.parts;
    match &parts.beds()[i].inlet {
        Inlet::Measured(_) => vec![Fix::of([Change::of_bed(i, BedPart::Flow, to)])],
        Inlet::Share(now) => {
            let PumpSource::Steady(total) = parts.system.pump.source else {
                return Vec::new();
            };
            // With one bed the pump's flow is the bed's: no share to set.
            if parts.count() == 1 {
                let flow = amounts::flow(parts.tape, to / now, Side::Down);
                return vec![Fix::of([pump_flow(flow)])];
            }
            let less = amounts::share(to / total, Side::Down);
            let fits = less > 0.0 && less < *now;
            fits.then(|| Fix::of([share(i, less)]))
                .into_iter()
                .collect()
        }
        Inlet::Piped(branch) => {
            let mut ways = Vec::new();
            ways.extend(own_valve_closed(facts, i, branch, to, inflow));
            ways.extend(together_closed(facts, i, inflow));
            ways.extend(bypass_opened(facts, i, to, inflow));
            let slower = (1..=10).map(|k| 1.0 - SPEED_STEP * f64::from(k));
            ways.extend(at_speed(facts, slower, &|system, tree| {
                inflow(system, tree, i) <= to
            }));
            ways
        }
    }
}

fn own_valve_closed(
    facts: &Facts,
    i: usize,
    branch: &Branch,
    to: f64,
    inflow: InflowIn,
) -> Option<Fix> {
    let outlet = Outlet::Bed(i);
    let now = branch.valve.as_ref().map_or(1.0, |valve| valve.opening);
    let open = greatest_percent(now, |open| {
        done(facts.parts.system, &set_valve(outlet, branch, open))
            .is_some_and(|changed| inflow(&changed, &SupplyTree::new(&changed), i) <= to)
    })?;
    Some(set_valve(outlet, branch, open))
}

/// All valves of beds that get more than they break against, closed alike: one alone sends
/// to the others what it holds back.
fn together_closed(facts: &Facts, i: usize, inflow: InflowIn) -> Option<Fix> {
    let parts = &facts.parts;
    let bears = |j: usize| facts.beds[j].breaks_below.low;
    let over: Vec<usize> = (0..parts.count())
        .filter(|&j| opening_now(facts, j).is_some())
        .filter(|&j| facts.beds[j].at_break.flow > bears(j))
        .collect();
    if over.len() < 2 || !over.contains(&i) {
        return None;
    }
    let now = over.iter().filter_map(|&j| opening_now(facts, j));
    let share = greatest_percent(now.fold(0.0, f64::max), |share| {
        let changed = turned(parts.system, &over, share);
        let tree = SupplyTree::new(&changed);
        over.iter().all(|&j| inflow(&changed, &tree, j) <= bears(j))
    })?;
    Some(Fix::of([all_at(&over, share)]))
}

/// The bypass opened further, where it has a valve.
fn bypass_opened(facts: &Facts, i: usize, to: f64, inflow: InflowIn) -> Option<Fix> {
    let system = facts.parts.system;
    let now = opening(Outlet::Bypass).value(system)?;
    let open = least_percent(now, |open| {
        let changed = with(system, opening(Outlet::Bypass), open);
        inflow(&changed, &SupplyTree::new(&changed), i) <= to
    })?;
    Some(Fix::of([Change::turn(Outlet::Bypass, open)]))
}

/// Smallest whole per cent above `now` that is enough; more is never worse.
pub(in crate::assessment) fn least_percent(
    now: f64,
    mut enough: impl FnMut(f64) -> bool,
) -> Option<f64> {
    let below = (now * 100.0).floor();
    if below >= 100.0 || !enough(1.0) {
        return None;
    }
    let percent = last_whole(100.0, below, |percent| enough(percent / 100.0));
    Some(percent / 100.0)
}

/// Greatest whole per cent below `now` that is enough; less is never worse.
fn greatest_percent(now: f64, mut enough: impl FnMut(f64) -> bool) -> Option<f64> {
    if !enough(0.0) {
        return None;
    }
    let above = (now * 100.0).ceil();
    let percent = last_whole(0.0, above, |percent| enough(percent / 100.0));
    Some(percent / 100.0)
}
