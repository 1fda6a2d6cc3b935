//! Valve openings that put every bed inside its window at once.
//!
//! All beds are solved together on the supply tree: for wanted flows the pump
//! fixes the head at the manifold, and what a branch does not use of it its valve
//! has to take. The settings hold at the highest and at the lowest sump level.

use crate::assessment::Assessment;
use crate::hydraulics::valves::{ValveKind, opening_for_k, valve_k};
use crate::model::{Bed, Branch, Inlet, PumpSource, System, Valve};
use crate::network::supply::SupplyTree;
use crate::simulation::{Regime, Run, Sampling, simulate};
use crate::study::map::lasting_regime;
use crate::study::valves_balance::{Balance, Demand};
use crate::study::window::{BedWindow, Trust, Windows};

/// Settings for every bed, and what is missing where they do not do.
#[derive(Debug, Clone)]
pub struct ValvePlan {
    /// Lowest and highest sump level that the settings must hold at [m].
    pub sump: (f64, f64),
    /// One per bed, in file order.
    pub beds: Vec<BedSetting>,
    /// The bypass, where there is one.
    pub bypass: Option<BypassSetting>,
    /// What is short; empty when every bed is inside its window.
    pub shortfalls: Vec<Shortfall>,
    /// What each bed does with these settings, simulated with nominal
    /// coefficients; empty when the simulation gave up.
    pub regimes: Vec<Regime>,
    /// Whether the pump draws air in that simulation.
    pub draws_air: bool,
    /// The system with these settings.
    pub system: System,
}

/// How one bed is set.
#[derive(Debug, Clone, PartialEq)]
pub struct BedSetting {
    /// What to turn.
    pub setting: Setting,
    /// Inflows that put the bed inside its window [m3/s]; equal when it has none.
    pub window: (f64, f64),
    /// How far that window can be trusted.
    pub trust: Trust,
    /// Inflow at the lowest and at the highest sump level [m3/s].
    pub flow: (f64, f64),
}

impl BedSetting {
    /// Whether the inflow stays inside the window from the lowest to the highest sump level.
    pub fn is_inside(&self) -> bool {
        self.trust <= Trust::Nominal && self.window.0 <= self.flow.0 && self.flow.1 <= self.window.1
    }
}

/// What sets the inflow of a bed.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// A valve in the branch.
    Valve {
        /// Its kind; a ball valve where one has to be fitted first.
        kind: ValveKind,
        /// Opening today, 0 to 1; `None`: there is no valve yet.
        now: Option<f64>,
        /// Opening to set, 0 to 1.
        opening: f64,
        /// Its loss coefficient there [-].
        k: f64,
    },
    /// A branch without a valve that does as it is.
    Unvalved,
    /// A share of a steady flow, 0 to 1.
    Share {
        /// Share today.
        now: f64,
        /// Share to set.
        share: f64,
    },
    /// A flow set with bucket and stopwatch: the scenario gives no pipes.
    Measured {
        /// Flow today [m3/s].
        now: f64,
    },
}

/// How the bypass is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BypassSetting {
    /// Kind of its valve; `None`: it has none.
    pub kind: Option<ValveKind>,
    /// Opening today, 0 to 1.
    pub now: f64,
    /// Opening to set, 0 to 1; 0 is shut.
    pub opening: f64,
    /// Flow at the lowest and the highest sump level [m3/s].
    pub flow: (f64, f64),
}

/// Something that keeps a bed outside its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shortfall {
    /// The bed has no inflow that starts it and breaks it: mend the siphon first.
    NoWindow {
        /// The bed.
        bed: usize,
    },
    /// The pump gives too little.
    Pump {
        /// Flow that it would have to give [m3/s].
        flow: f64,
        /// Head that this takes [m]; `None` for a pump known by its flow only.
        head: Option<f64>,
        /// Head that it has at that flow, or the flow it gives where heads are unknown.
        has: f64,
    },
    /// A branch is too narrow, or its bed too high; with this bore today's pump would do.
    Branch {
        /// The bed.
        bed: usize,
        /// Bore today [m].
        bore: f64,
        /// Least bore that would do [m].
        needed: f64,
    },
    /// The pipe from the pump to the manifold is too narrow.
    Trunk {
        /// Bore today [m].
        bore: f64,
        /// Least bore that would do [m].
        needed: f64,
    },
    /// More comes than the beds can take, or the valves would be all but shut:
    /// a bypass to the sump would have to carry this much.
    Bypass {
        /// Flow back to the sump [m3/s].
        flow: f64,
        /// Whether nothing else would do; else it only spares the valves.
        needed: bool,
    },
    /// Between the lowest and the highest sump level the inflow changes by more
    /// than the window is wide.
    Swing {
        /// The bed.
        bed: usize,
        /// Change of the inflow [m3/s].
        swing: f64,
        /// Width of the window [m3/s].
        width: f64,
    },
}

impl ValvePlan {
    /// Whether every bed is inside its window.
    pub fn works(&self) -> bool {
        self.beds.iter().all(BedSetting::is_inside)
    }
}

/// Smallest opening that a valve can be held at: where the published tables of
/// its loss end, 1/3 for a ball and 1/4 for a gate valve. Below, a touch of the
/// handle changes the flow by half.
pub const fn least_opening(kind: ValveKind) -> f64 {
    match kind {
        ValveKind::Ball => 1.0 / 3.0,
        ValveKind::Gate => 0.25,
    }
}

/// Rounds in which the swing of the flows is settled.
const SWING_ROUNDS: usize = 12;
/// A pipe a hair wider than the least, so that rounding does not make it fall short.
const WITH_EASE: f64 = 1.001;

/// Settings for all beds of `system` together.
///
/// Each bed is aimed at the best inflow of its window, or as near to it as the
/// pump reaches. `run`, `assessment` and `windows` are those of `system`.
/// Outlets are taken as free, not under a bed's water.
pub fn settings(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    windows: &Windows,
) -> ValvePlan {
    let sump = sump_range(system, run, assessment);
    let goals: Vec<Goal> = windows.beds.iter().map(Goal::new).collect();
    let mut found = match &system.pump.source {
        _ if system
            .beds
            .iter()
            .any(|bed| matches!(bed.inlet, Inlet::Piped(_))) =>
        {
            piped(system, sump, &goals)
        }
        PumpSource::Steady(total) => shared(system, *total, &goals),
        PumpSource::Curve(_) => shared(system, f64::INFINITY, &goals),
    };
    for (i, goal) in goals.iter().enumerate() {
        if goal.trust > Trust::Nominal {
            found.shortfalls.insert(0, Shortfall::NoWindow { bed: i });
        }
    }
    let tree = SupplyTree::new(&found.system);
    let (low, high) = (tree.duty(sump.0), tree.duty(sump.1));
    let mut beds = Vec::new();
    for (i, goal) in goals.iter().enumerate() {
        let setting = found.setting(system, i);
        let flow = (low.bed_flows[i], high.bed_flows[i]);
        let (window, trust) = ((goal.low, goal.high), goal.trust);
        let (swing, width) = (flow.1 - flow.0, goal.high - goal.low);
        if trust <= Trust::Nominal && swing > width {
            found.shortfalls.push(Shortfall::Swing {
                bed: i,
                swing,
                width,
            });
        }
        beds.push(BedSetting {
            setting,
            window,
            trust,
            flow,
        });
    }
    let bypass = system.supply.bypass.as_ref().map(|branch| BypassSetting {
        kind: branch.valve.as_ref().map(|valve| valve.kind),
        now: opening_of(Some(branch)),
        opening: opening_of(found.system.supply.bypass.as_ref()),
        flow: (low.bypass_flow, high.bypass_flow),
    });
    let simulated = simulate(&found.system, Sampling::None).ok();
    let regimes = simulated.as_ref().map_or_else(Vec::new, |run| {
        (0..run.beds.len())
            .map(|i| lasting_regime(run, i))
            .collect()
    });
    ValvePlan {
        sump,
        beds,
        bypass,
        shortfalls: found.shortfalls,
        regimes,
        draws_air: simulated.is_some_and(|run| run.sump.ran_dry > 0.0),
        system: found.system,
    }
}

/// Sump levels that the pump may draw from: from every bed at its highest to
/// every bed at its break level [m].
fn sump_range(system: &System, run: &Run, assessment: &Assessment) -> (f64, f64) {
    let dry = system.pump.intake_level + system.pump.minimum_cover;
    let low = assessment.sump.low.max(dry).min(run.sump.level.max);
    (low, run.sump.level.max)
}

fn opening_of(branch: Option<&Branch>) -> f64 {
    branch.map_or(0.0, |branch| {
        branch.valve.as_ref().map_or(1.0, |valve| valve.opening)
    })
}

/// The inflow wanted for one bed.
#[derive(Debug, Clone, Copy)]
struct Goal {
    low: f64,
    best: f64,
    high: f64,
    trust: Trust,
}

impl Goal {
    fn new(window: &BedWindow) -> Self {
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
struct Found {
    system: System,
    shortfalls: Vec<Shortfall>,
}

impl Found {
    fn setting(&self, before: &System, i: usize) -> Setting {
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
fn shared(system: &System, total: f64, goals: &[Goal]) -> Found {
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
    let (mut low, mut high) = (0.0, 2.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if sum(middle) < total {
            low = middle
        } else {
            high = middle
        }
    }
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
fn piped(system: &System, sump: (f64, f64), goals: &[Goal]) -> Found {
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
        let (mut low, mut high) = (0.0, 1.0);
        found = at(bypass, low);
        if !found.is_short() {
            for _ in 0..40 {
                let middle = 0.5 * (low + high);
                let one = at(bypass, middle);
                if one.is_short() {
                    high = middle;
                } else {
                    (low, found) = (middle, one);
                }
            }
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
    let (mut bad, mut reached) = ((100.0 * now).round(), 100.0 * end);
    while (reached - bad).abs() > 1.0 {
        let middle = (0.5 * (bad + reached)).round();
        let one = at(middle / 100.0);
        if good(&one) {
            (reached, far) = (middle, one);
        } else {
            bad = middle;
        }
    }
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
