//! The search for valve openings: the bypass turned as little as will do, every
//! bed as near to its best inflow as the pump reaches.

use crate::hydraulics::valves::{ValveKind, opening_for_k, valve_k};
use crate::model::{Bed, Branch, Inlet, System, Valve};
use crate::network::supply::SupplyTree;
use crate::numerics::root::{Until, halve, last_whole, least_enough};
use crate::study::valves::balance::{Balance, Demand};
use crate::study::valves::setting::{Setting, Shortfall, least_opening};
use crate::study::window::{BedWindow, Trust};

/// Rounds in which the swing of the flows is settled.
const SWING_ROUNDS: usize = 12;
/// A pipe a hair wider than the least, so that rounding does not make it fall short.
const WITH_EASE: f64 = 1.001;

pub(super) fn opening_of(branch: Option<&Branch>) -> f64 {
    branch.map_or(0.0, |branch| {
        branch.valve.as_ref().map_or(1.0, |valve| valve.opening)
    })
}

/// The inflow wanted for one bed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goal {
    pub(super) low: f64,
    pub(super) best: f64,
    pub(super) high: f64,
    pub(super) trust: Trust,
}

impl Goal {
    pub(super) fn new(window: &BedWindow) -> Self {
        let best = window.best.flow;
        let (low, high) = match window.best.trust {
            Trust::Certain => window.certain(),
            _ => window.nominal(),
        }
        .unwrap_or((best, best));
        Self {
            low,
            best,
            high,
            trust: window.best.trust,
        }
    }

    /// Flow in the middle of the swing, `share` of the way from the least to the
    /// best (1) and on to the greatest (2).
    fn aim(&self, share: f64, swing: f64) -> f64 {
        let least = self.low + 0.5 * swing;
        let most = self.high - 0.5 * swing;
        if most <= least {
            return 0.5 * (self.low + self.high);
        }
        let best = self.best.clamp(least, most);
        if share <= 1.0 {
            least + share * (best - least)
        } else {
            best + (share - 1.0) * (most - best)
        }
    }
}

/// What a search came to.
pub(in crate::study) struct Found {
    pub(in crate::study) system: System,
    pub(in crate::study) shortfalls: Vec<Shortfall>,
}

impl Found {
    pub(super) fn setting(&self, before: &System, i: usize) -> Setting {
        match (&before.beds[i].inlet, &self.system.beds[i].inlet) {
            (Inlet::Piped(was), Inlet::Piped(now)) => match &now.valve {
                Some(valve) => Setting::Valve {
                    kind: valve.kind,
                    now: was.valve.as_ref().map(|valve| valve.opening),
                    opening: valve.opening,
                    k: valve_k(valve.kind, valve.opening),
                },
                None => Setting::Unvalved,
            },
            (Inlet::Share(now), Inlet::Share(share)) => Setting::Share {
                now: *now,
                share: *share,
            },
            (Inlet::Measured(now), _) => Setting::Measured { now: *now },
            _ => Setting::Unvalved,
        }
    }
}

/// Shares of a steady flow, or flows set with a bucket; `total` is infinite
/// where the pump's flow is not what limits them.
pub(super) fn shared(system: &System, total: f64, goals: &[Goal]) -> Found {
    let sum = |of: &dyn Fn(&Goal) -> f64| goals.iter().map(of).sum::<f64>();
    let (least, best) = (sum(&|goal| goal.low), sum(&|goal| goal.best));
    let share = if best <= total {
        1.0
    } else if least < best {
        ((total - least) / (best - least)).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let mut shortfalls = Vec::new();
    // Short even of the least: what there is, in proportion.
    let mut scale = 1.0;
    if least > total {
        shortfalls.push(Shortfall::Pump {
            flow: least,
            head: None,
            has: total,
        });
        scale = total / least;
    }
    let mut changed = system.clone();
    for (bed, goal) in changed.beds.iter_mut().zip(goals) {
        let flow = scale * (goal.low + share * (goal.best - goal.low));
        match &mut bed.inlet {
            Inlet::Share(now) => *now = flow / total,
            Inlet::Measured(now) => *now = flow,
            Inlet::Piped(_) => {}
        }
    }
    Found {
        system: changed,
        shortfalls,
    }
}

/// Flows that add up to `total` and stand at the same share of every bed's
/// window; in proportion where the windows do not reach it.
fn shared_out(goals: &[Goal], total: f64) -> Vec<f64> {
    let sum = |share: f64| goals.iter().map(|goal| goal.aim(share, 0.0)).sum::<f64>();
    // More halvings than a number has digits.
    let high = least_enough(0.0, 2.0, Until::Halvings(60), |share| sum(share) >= total);
    let scale = total / sum(high);
    goals
        .iter()
        .map(|goal| scale * goal.aim(high, 0.0))
        .collect()
}

/// Beds whose inflow stays inside their windows from the lowest to the highest sump level.
fn inside(system: &System, sump: (f64, f64), goals: &[Goal]) -> Vec<usize> {
    let tree = SupplyTree::new(system);
    let (low, high) = (tree.duty(sump.0).bed_flows, tree.duty(sump.1).bed_flows);
    let held = |i: &usize| goals[*i].low <= low[*i] && high[*i] <= goals[*i].high;
    (0..goals.len()).filter(held).collect()
}

/// Tries the valves there are, then valves in every branch.
pub(super) fn piped(system: &System, sump: (f64, f64), goals: &[Goal]) -> Found {
    let inside = |found: &Found| inside(&found.system, sump, goals).len();
    let as_built = turned(system, sump, goals);
    let unvalved = |bed: &Bed| matches!(&bed.inlet, Inlet::Piped(branch) if branch.valve.is_none());
    let reached = inside(&as_built);
    if !system.beds.iter().any(unvalved) || reached == goals.len() {
        return as_built;
    }
    let mut fitted = system.clone();
    for bed in &mut fitted.beds {
        if let Inlet::Piped(branch) = &mut bed.inlet {
            let _ = branch.valve.get_or_insert(Valve {
                kind: ValveKind::Ball,
                opening: 1.0,
            });
        }
    }
    let fitted = turned(&fitted, sump, goals);
    if inside(&fitted) > reached {
        return fitted;
    }
    // More valves would not help: what is short is short with them too.
    Found {
        system: as_built.system,
        shortfalls: fitted.shortfalls,
    }
}

/// Turns the valves there are, the bypass as little as will do.
fn turned(system: &System, sump: (f64, f64), goals: &[Goal]) -> Found {
    let at = |bypass: f64, share: f64| Attempt::new(system, sump, goals, bypass, share);
    let now = opening_of(system.supply.bypass.as_ref());
    let adjustable = system
        .supply
        .bypass
        .as_ref()
        .is_some_and(|branch| branch.valve.is_some());
    let mut found = at(now, 1.0);
    if adjustable && found.is_short() {
        // Closing the bypass leaves more for the beds: as little as will do.
        found = nearest(now, 0.0, |opening| at(opening, 1.0), |one| !one.is_short());
    } else if adjustable && found.throttles() {
        found = nearest(now, 1.0, |opening| at(opening, 1.0), |one| !one.throttles());
        if found.is_short() {
            found = at(now, 1.0);
        }
    }
    if found.is_short() {
        let bypass = if adjustable { 0.0 } else { now };
        // As near to the best as the pump reaches.
        found = at(bypass, 0.0);
        if !found.is_short() {
            halve((0.0, 1.0), Until::Halvings(40), |reach| {
                let one = at(bypass, reach);
                let bearable = !one.is_short();
                if bearable {
                    found = one;
                }
                bearable
            });
        }
    }
    found.finish(goals)
}

/// The attempt with the bypass nearest to `now` on the way to `end`, in whole per
/// cents, that is `good`; the one at `end` when none is. Good stays good on the way.
fn nearest<'a>(
    now: f64,
    end: f64,
    at: impl Fn(f64) -> Attempt<'a>,
    good: impl Fn(&Attempt) -> bool,
) -> Attempt<'a> {
    let mut far = at(end);
    if !good(&far) {
        return far;
    }
    last_whole(100.0 * end, (100.0 * now).round(), |percent| {
        let one = at(percent / 100.0);
        let holds = good(&one);
        if holds {
            far = one;
        }
        holds
    });
    far
}

/// Valve losses for one setting of the bypass and one aim.
struct Attempt<'a> {
    balance: Balance<'a>,
    demand: Demand,
    sump: (f64, f64),
}

impl<'a> Attempt<'a> {
    fn new(system: &'a System, sump: (f64, f64), goals: &[Goal], bypass: f64, share: f64) -> Self {
        let balance = Balance::new(system, bypass);
        let lowest = sump.0;
        if let Some(total) = balance.forced_total() {
            let flows = shared_out(goals, total);
            return Self {
                demand: balance.demand(&flows, lowest),
                balance,
                sump,
            };
        }
        // The middle of the swing goes to its aim. Valves are set at the lowest
        // sump level, where the flow is least, so that a swing not yet settled
        // never leaves a bed short of its window.
        let mut swings = vec![0.0; goals.len()];
        let mut demand;
        let mut rounds = 0;
        loop {
            let wanted = goals.iter().zip(&swings);
            let flows: Vec<f64> = wanted
                .map(|(goal, &swing)| goal.aim(share, swing) - 0.5 * swing)
                .collect();
            demand = balance.demand(&flows, lowest);
            let tree = SupplyTree::new(&balance.with_losses(&demand));
            let (low, high) = (tree.duty(sump.0).bed_flows, tree.duty(sump.1).bed_flows);
            let mut moved = 0.0_f64;
            for (i, swing) in swings.iter_mut().enumerate() {
                let seen = high[i] - low[i];
                moved = moved.max((seen - *swing).abs() / goals[i].best);
                *swing = seen;
            }
            rounds += 1;
            // Far below the whole per cent that a handle is set to.
            if moved < 1e-7 || rounds == SWING_ROUNDS {
                break;
            }
        }
        Self {
            balance,
            demand,
            sump,
        }
    }

    /// Drops pipes that would bring the flow at the lowest sump level but not hold it
    /// inside the windows at the highest.
    fn keep_what_helps(&self, shortfalls: &mut Vec<Shortfall>, goals: &[Goal]) {
        let holds = |widen: &dyn Fn(&mut System)| {
            let mut changed = self.balance.system().clone();
            widen(&mut changed);
            let bypass = opening_of(changed.supply.bypass.as_ref());
            let again = Attempt::new(&changed, self.sump, goals, bypass, 0.0);
            !again.is_short()
                && inside(&again.balance.with_losses(&again.demand), self.sump, goals).len()
                    == goals.len()
        };
        let trunk = shortfalls.iter().find_map(|short| match short {
            Shortfall::Trunk { needed, .. } => Some(*needed),
            _ => None,
        });
        if trunk.is_some_and(|bore| !holds(&|system| system.supply.trunk.bore = WITH_EASE * bore)) {
            shortfalls.retain(|short| !matches!(short, Shortfall::Trunk { .. }));
        }
        let branches: Vec<(usize, f64)> = shortfalls
            .iter()
            .filter_map(|short| match short {
                Shortfall::Branch { bed, needed, .. } => Some((*bed, *needed)),
                _ => None,
            })
            .collect();
        let widened = |system: &mut System| {
            for &(i, bore) in &branches {
                if let Inlet::Piped(branch) = &mut system.beds[i].inlet {
                    branch.run.bore = WITH_EASE * bore;
                }
            }
        };
        if !branches.is_empty() && !holds(&widened) {
            shortfalls.retain(|short| !matches!(short, Shortfall::Branch { .. }));
        }
    }

    /// Whether a bed gets less than it is to get with its valve wide open.
    fn is_short(&self) -> bool {
        self.demand.any_short()
    }

    /// Whether a valve would have to be held below its table.
    fn throttles(&self) -> bool {
        self.balance.valves().any(|(i, kind)| {
            opening_for_k(kind, self.demand.valve_k(i)) < least_opening(kind) - 1e-9
        })
    }

    fn finish(self, goals: &[Goal]) -> Found {
        let mut shortfalls = Vec::new();
        let least: Vec<f64> = goals.iter().map(|goal| goal.low).collect();
        let most: f64 = goals.iter().map(|goal| goal.high).sum();
        let forced = self.balance.forced_total();
        if self.is_short() || forced.is_some_and(|total| total < least.iter().sum()) {
            // At the lowest sump, where the pump gives least.
            shortfalls = self.balance.what_is_short(&least, self.sump.0);
            self.keep_what_helps(&mut shortfalls, goals);
        }
        if let Some(spare) = forced
            .map(|total| total - most)
            .filter(|&spare| spare > 0.0)
        {
            shortfalls.push(Shortfall::Bypass {
                flow: spare,
                needed: true,
            });
        } else if self.throttles() {
            // At the highest sump, where the pump gives most.
            let flow = self.balance.bypass_for_valves(&self.demand, self.sump.1);
            if flow > 0.0 {
                shortfalls.push(Shortfall::Bypass {
                    flow,
                    needed: false,
                });
            }
        }
        Found {
            system: self.balance.with_losses(&self.demand),
            shortfalls,
        }
    }
}
