//! Heads and valve losses of the supply for wanted flows.

use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::valves::{ValveKind, opening_for_k, valve_k};
use crate::hydraulics::water::Water;
use crate::model::{Branch, Inlet, Outlet, PumpSource, System, Tank, TankOutlet};
use crate::numerics::root::brent;
use crate::study::valves::setting::{Shortfall, least_opening};
use std::borrow::Cow;

/// Widest bore that is looked for, over today's.
const WIDEST: f64 = 2.0;

/// The supply with its bypass set, valves in the branches still open to choice.
pub(super) struct Balance<'a> {
    system: Cow<'a, System>,
}

/// What the branches have to lose for wanted flows.
pub(super) struct Demand {
    /// Wanted inflow of each bed `[m3/s]`.
    flows: Vec<f64>,
    /// Loss coefficient that each valve has to have, negative when nothing is
    /// left for it `[-]`; `None` without a valve.
    k: Vec<Option<f64>>,
    /// Whether each bed gets less than wanted with its valve open.
    short: Vec<bool>,
}

impl Demand {
    pub(super) fn any_short(&self) -> bool {
        self.short.contains(&true)
    }

    /// Loss coefficient of the valve of bed `i` `[-]`.
    pub(super) fn valve_k(&self, i: usize) -> f64 {
        self.k[i].unwrap_or(0.0)
    }
}

impl<'a> Balance<'a> {
    /// `system` with its bypass valve at `bypass`, 0 shut to 1 open.
    pub(super) fn new(system: &'a System, bypass: f64) -> Self {
        let mut system = Cow::Borrowed(system);
        let valve = |system: &System| {
            system
                .supply
                .bypass
                .as_ref()
                .and_then(|branch| branch.valve.clone())
        };
        if valve(&system).is_some_and(|valve| valve.opening != bypass) {
            let supply = &mut system.to_mut().supply;
            // A shut valve has no finite K: the branch goes.
            if bypass <= 0.0 {
                supply.bypass = None;
            } else if let Some(valve) = supply
                .bypass
                .as_mut()
                .and_then(|branch| branch.valve.as_mut())
            {
                valve.opening = bypass;
            }
        }
        Self { system }
    }

    /// Beds with a valve in their branch, and its kind.
    pub(super) fn valves(&self) -> impl Iterator<Item = (usize, ValveKind)> {
        self.system
            .beds
            .iter()
            .enumerate()
            .filter_map(|(i, bed)| match &bed.inlet {
                Inlet::Piped(branch) => branch.valve.as_ref().map(|valve| (i, valve.kind)),
                _ => None,
            })
    }

    fn branch(&self, i: usize) -> Option<&Branch> {
        match &self.system.beds[i].inlet {
            Inlet::Piped(branch) => Some(branch),
            _ => None,
        }
    }

    /// Branches that take what the manifold's head gives them: the bypass, the settler's, the fish
    /// tank's beside the beds, and beds without a valve.
    fn passive(&self) -> impl Iterator<Item = &Branch> {
        // A tank that feeds the beds itself has them behind it, not beside.
        let behind = |tank: &Tank| tank.overflows_to == TankOutlet::Beds;
        let beside = !self.system.tank.as_ref().is_some_and(behind);
        let tank = self.system.branch_to(Outlet::Tank).filter(|_| beside);
        let beds = self.system.beds.iter().filter_map(|bed| match &bed.inlet {
            Inlet::Piped(branch) if branch.valve.is_none() => Some(branch),
            _ => None,
        });
        beds.chain(self.system.supply.bypass.as_ref())
            .chain(self.system.branch_to(Outlet::Settler))
            .chain(tank)
    }

    /// Flow of the passive branches at manifold head `head` `[m3/s]`.
    fn passive_flow(&self, head: f64) -> f64 {
        self.passive()
            .map(|branch| {
                let drive = (head - branch.level).max(0.0);
                branch
                    .resistance()
                    .map_or(0.0, |run| run.flow(drive, &self.system.water))
            })
            .sum()
    }

    /// Sum of the flows of beds with a valve `[m3/s]`.
    fn valved_flow(&self, flows: &[f64]) -> f64 {
        self.valves().map(|(i, _)| flows[i]).sum()
    }

    /// Head at the manifold that the pump holds at `total` flow `[m]`.
    fn held(&self, curve: &PumpCurve, total: f64, sump: f64) -> f64 {
        let trunk = self
            .system
            .supply
            .trunk
            .head_loss(total, &self.system.water);
        sump + curve.head(total) - trunk
    }

    /// Head that bed `i` takes at `flow` with its valve wide open, as an elevation `[m]`.
    fn open_head(&self, i: usize, flow: f64) -> f64 {
        self.branch(i).map_or(f64::NEG_INFINITY, |branch| {
            let open = branch
                .valve
                .as_ref()
                .map_or(0.0, |valve| valve_k(valve.kind, 1.0));
            branch.level + with_k(branch, open).head_loss(flow, &self.system.water)
        })
    }

    /// Valve losses for wanted `flows` `[m3/s]` with the sump at `sump` `[m]`.
    pub(super) fn demand(&self, flows: &[f64], sump: f64) -> Demand {
        let valved = self.valved_flow(flows);
        let mut lacks_water = false;
        let head = match &self.system.pump.source {
            PumpSource::Curve(curve) => self.head_of_curve(curve, valved, sump),
            PumpSource::Steady(total) => {
                lacks_water = valved > total * (1.0 + 1e-9);
                self.head_of_rest(flows, total - valved)
            }
        };
        let mut demand = Demand {
            flows: flows.to_vec(),
            k: vec![None; flows.len()],
            short: vec![false; flows.len()],
        };
        for (i, kind) in self.valves() {
            let Some(branch) = self.branch(i) else {
                continue;
            };
            let left =
                head - branch.level - with_k(branch, 0.0).head_loss(flows[i], &self.system.water);
            let k = left / velocity_head(branch, flows[i]);
            demand.k[i] = Some(k);
            demand.short[i] = lacks_water || k < valve_k(kind, 1.0) * (1.0 - 1e-9);
        }
        demand
    }

    /// Manifold head with `valved` flow taken by the valved beds `[m]`.
    fn head_of_curve(&self, curve: &PumpCurve, valved: f64, sump: f64) -> f64 {
        let most = self.held(curve, valved, sump);
        let lowest = self
            .passive()
            .map(|branch| branch.level)
            .fold(f64::INFINITY, f64::min);
        if most <= lowest {
            return most;
        }
        let miss = |head: f64| self.held(curve, valved + self.passive_flow(head), sump) - head;
        brent(miss, lowest, most, 1e-13).unwrap_or(most)
    }

    /// Manifold head at which the passive branches pass `rest` `[m3/s]`; without
    /// any, the head that opens one valve fully `[m]`.
    fn head_of_rest(&self, flows: &[f64], rest: f64) -> f64 {
        let needed = self
            .valves()
            .map(|(i, _)| self.open_head(i, flows[i]))
            .fold(f64::NEG_INFINITY, f64::max);
        let lowest = self
            .passive()
            .map(|branch| branch.level)
            .fold(f64::INFINITY, f64::min);
        if !lowest.is_finite() {
            return needed;
        }
        if rest <= 0.0 {
            return lowest;
        }
        let mut rise = 1.0;
        // No upper bound is known; a million metres end it where nothing can flow at all.
        while self.passive_flow(lowest + rise) < rest && rise < 1e6 {
            rise *= 2.0;
        }
        brent(
            |head| self.passive_flow(head) - rest,
            lowest,
            lowest + rise,
            1e-13,
        )
        .unwrap_or(lowest + rise)
    }

    /// The system with each valve at the opening that loses what `demand` asks,
    /// wide open where that is not enough.
    pub(super) fn with_losses(&self, demand: &Demand) -> System {
        let mut system = self.system.clone().into_owned();
        for (bed, k) in system.beds.iter_mut().zip(&demand.k) {
            if let (Inlet::Piped(branch), Some(k)) = (&mut bed.inlet, k)
                && let Some(valve) = &mut branch.valve
            {
                valve.opening = opening_for_k(valve.kind, k.max(0.0));
            }
        }
        system
    }

    /// The steady flow that beds with valves must share out among them whatever
    /// the valves do: there is no other way for it `[m3/s]`.
    pub(super) fn forced_total(&self) -> Option<f64> {
        match self.system.pump.source {
            PumpSource::Steady(total) if self.passive().next().is_none() => Some(total),
            _ => None,
        }
    }

    /// The supply, its bypass set.
    pub(super) fn system(&self) -> &System {
        &self.system
    }

    /// What would have to change for every bed to get at least `least` `[m3/s]`
    /// with the sump at `sump` `[m]`: another pump, a wider trunk, or wider branches
    /// for all that are short.
    pub(super) fn what_is_short(&self, least: &[f64], sump: f64) -> Vec<Shortfall> {
        let water = &self.system.water;
        let needed = self
            .valves()
            .map(|(i, _)| self.open_head(i, least[i]))
            .fold(f64::NEG_INFINITY, f64::max);
        let total = self.valved_flow(least) + self.passive_flow(needed);
        let trunk = &self.system.supply.trunk;
        let curve = match &self.system.pump.source {
            PumpSource::Steady(given) => {
                let short = total > *given;
                return short
                    .then_some(Shortfall::Pump {
                        flow: total,
                        head: None,
                        has: *given,
                    })
                    .into_iter()
                    .collect();
            }
            PumpSource::Curve(curve) => curve,
        };
        let has = curve.head(total).max(0.0);
        let mut short = vec![Shortfall::Pump {
            flow: total,
            head: Some(needed - sump + trunk.head_loss(total, water)),
            has,
        }];
        if let Some(bore) = bore_for(trunk, total, sump + has - needed, water) {
            short.push(Shortfall::Trunk {
                bore: trunk.bore,
                needed: bore,
            });
        }
        let head = self.head_of_curve(curve, self.valved_flow(least), sump);
        let narrow: Vec<Option<Shortfall>> = self
            .valves()
            .filter(|&(i, _)| self.open_head(i, least[i]) > head)
            .map(|(i, kind)| {
                let branch = self.branch(i)?;
                let run = with_k(branch, valve_k(kind, 1.0));
                let needed = bore_for(&run, least[i], head - branch.level, water)?;
                Some(Shortfall::Branch {
                    bed: i,
                    bore: run.bore,
                    needed,
                })
            })
            .collect();
        // Wider branches help only if they help every bed that is short.
        if narrow.iter().all(Option::is_some) {
            short.extend(narrow.into_iter().flatten());
        }
        short
    }

    /// Flow past the beds that would let every valve stand where its table is
    /// known, with the sump at `sump` `[m]`; zero where none would.
    pub(super) fn bypass_for_valves(&self, demand: &Demand, sump: f64) -> f64 {
        let PumpSource::Curve(curve) = &self.system.pump.source else {
            return 0.0;
        };
        let water = &self.system.water;
        let head = self
            .valves()
            .filter_map(|(i, kind)| {
                let branch = self.branch(i)?;
                let run = with_k(branch, valve_k(kind, least_opening(kind)));
                Some(branch.level + run.head_loss(demand.flows[i], water))
            })
            .fold(f64::INFINITY, f64::min);
        let valved = self.valved_flow(&demand.flows);
        let most = curve.open_flow();
        let miss = |total: f64| self.held(curve, total, sump) - head;
        brent(miss, valved.min(most), most, 1e-12).map_or(0.0, |total| (total - valved).max(0.0))
    }
}

/// The branch as one run with `k` in its valve and the velocity head lost at its outlet.
fn with_k(branch: &Branch, k: f64) -> PipeRun {
    PipeRun {
        k: branch.run.k + k + 1.0,
        ..branch.run
    }
}

/// Velocity head of `flow` in the branch `[m]`, never quite zero.
fn velocity_head(branch: &Branch, flow: f64) -> f64 {
    let v = flow / branch.run.area();
    (v * v / (2.0 * GRAVITY)).max(1e-12)
}

/// Least bore, above today's, with which `run` passes `flow` within `head`; `None` where none does.
fn bore_for(run: &PipeRun, flow: f64, head: f64, water: &Water) -> Option<f64> {
    let loss = |bore: f64| PipeRun { bore, ..*run }.head_loss(flow, water) - head;
    (loss(run.bore) > 0.0 && loss(WIDEST * run.bore) < 0.0)
        .then(|| brent(loss, run.bore, WIDEST * run.bore, 1e-9).ok())
        .flatten()
}
