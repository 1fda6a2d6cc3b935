//! Pump, trunk and branches at one moment.

use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::water::Water;
use crate::model::{self, Branch, Inlet, PumpSource, System, TankFeed, TankOutlet};
use crate::network::outlet::{Against, Outlet};
pub use crate::network::outlet::{OutletEnd, Surroundings};
use crate::numerics::root::brent;

/// Flows and heads of the supply while the pump runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Duty {
    /// Flow through the pump `[m3/s]`.
    pub pump_flow: f64,
    /// Head the pump works against `[m]`; `None` when a measured flow without
    /// pipework leaves it unknown.
    pub pump_head: Option<f64>,
    /// Flow into each bed, in file order `[m3/s]`.
    pub bed_flows: Vec<f64>,
    /// Flow into the fish tank `[m3/s]`.
    pub tank_flow: f64,
    /// Flow back to the sump `[m3/s]`.
    pub bypass_flow: f64,
    /// Flow through the settler's own branch, and on to the sump `[m3/s]`.
    pub settler_flow: f64,
    /// Total head at the manifold, as an elevation `[m]`.
    pub manifold_head: Option<f64>,
    /// Change of each bed's flow with the sump level `[m2/s]`.
    pub bed_flow_slopes: Vec<f64>,
    /// Change of the fish tank's flow with the sump level `[m2/s]`.
    pub tank_slope: f64,
    /// Change of the bypass flow with the sump level `[m2/s]`.
    pub bypass_slope: f64,
    /// Change of the settler's flow with the sump level `[m2/s]`.
    pub settler_slope: f64,
}

impl Duty {
    /// Change of the pump's flow with the sump level `[m2/s]`.
    pub fn pump_flow_slope(&self) -> f64 {
        let beds: f64 = self.bed_flow_slopes.iter().sum();
        beds + self.tank_slope + self.bypass_slope + self.settler_slope
    }
}

/// The supply tree of a system.
#[derive(Debug, Clone)]
pub struct SupplyTree {
    source: PumpSource,
    pub(super) trunk: PipeRun,
    pub(super) water: Water,
    beds: usize,
    /// Piped outlets: beds, then the tank, the bypass, the settler.
    pub(super) outlets: Vec<Outlet>,
    /// Flow that each bed takes regardless of head `[m3/s]`.
    fixed: Vec<f64>,
    /// Elevation to which a measured flow is lifted, trunk loss included `[m]`.
    steady_head: Option<f64>,
}

/// Rounds after which bracketing takes over.
const NEWTON_ROUNDS: usize = 60;

impl SupplyTree {
    /// The tree of `system`; shut branches carry nothing.
    pub fn new(system: &System) -> Self {
        let total = match system.pump.source {
            PumpSource::Steady(flow) => flow,
            PumpSource::Curve(_) => 0.0,
        };
        let mut outlets = Vec::new();
        let mut fixed = vec![0.0; system.beds.len()];
        let add = |outlets: &mut Vec<Outlet>, end, branch: &Branch| {
            if let Some(run) = branch.resistance() {
                outlets.push(Outlet::of_branch(end, branch, run, &system.water));
            }
        };
        // Beds fed from the tank by gravity hang on the tank, not on the pump.
        let from_tank = system
            .tank
            .as_ref()
            .is_some_and(|tank| tank.overflows_to == TankOutlet::Beds);
        for (i, bed) in system.beds.iter().enumerate() {
            match &bed.inlet {
                Inlet::Measured(flow) => fixed[i] = *flow,
                _ if from_tank => {}
                Inlet::Piped(branch) => add(&mut outlets, OutletEnd::Bed(i), branch),
                Inlet::Share(share) => fixed[i] = share * total,
            }
        }
        match system.tank.as_ref().map(|tank| (&tank.fed_by, tank)) {
            Some((TankFeed::PumpBranch(branch), _)) => add(&mut outlets, OutletEnd::Tank, branch),
            // The trunk itself ends over the tank's wall; only its velocity head is lost.
            Some((TankFeed::WholePump, tank)) => {
                let end = PipeRun {
                    length: 0.0,
                    k: 1.0,
                    ..system.supply.trunk
                };
                outlets.push(Outlet::new(OutletEnd::Tank, tank.top(), end, &system.water));
            }
            None => {}
        }
        if let Some(branch) = &system.supply.bypass {
            add(&mut outlets, OutletEnd::Bypass, branch);
        }
        if let Some(branch) = system.branch_to(model::Outlet::Settler) {
            add(&mut outlets, OutletEnd::Settler, branch);
        }
        let mut tree = Self {
            source: system.pump.source.clone(),
            trunk: system.supply.trunk,
            water: system.water,
            beds: system.beds.len(),
            outlets,
            fixed,
            steady_head: None,
        };
        if matches!(tree.source, PumpSource::Steady(_)) {
            // A measured flow does not hang on the sump: with that at 0 its head is an elevation.
            tree.steady_head = tree.duty(0.0).pump_head;
        }
        tree
    }

    /// Shuts the inlet of bed `i`.
    pub fn shut(&mut self, i: usize) {
        self.outlets
            .retain(|outlet| outlet.end != OutletEnd::Bed(i));
        self.fixed[i] = 0.0;
    }

    /// Whether flows change with the sump level at all.
    pub fn depends_on_sump(&self) -> bool {
        !self.outlets.is_empty() && matches!(self.source, PumpSource::Curve(_))
    }

    /// Flows and heads with the sump at `sump_level` `[m]` and free outlets.
    pub fn duty(&self, sump_level: f64) -> Duty {
        self.duty_from(sump_level, |_| Surroundings::Air, None)
    }

    /// The same with every outlet in what `around` says of it.
    pub fn duty_in(&self, sump_level: f64, around: impl Fn(OutletEnd) -> Surroundings) -> Duty {
        self.duty_from(sump_level, around, None)
    }

    /// [`duty`](Self::duty), found faster when `near` is the duty at a sump level nearby.
    pub fn duty_near(&self, sump_level: f64, near: &Duty) -> Duty {
        self.duty_from(sump_level, |_| Surroundings::Air, Some(near))
    }

    fn duty_from(
        &self,
        sump_level: f64,
        around: impl Fn(OutletEnd) -> Surroundings,
        near: Option<&Duty>,
    ) -> Duty {
        let against: Vec<Against> = self
            .outlets
            .iter()
            .map(|outlet| match around(outlet.end) {
                Surroundings::Air => outlet.in_air(),
                Surroundings::Water { level, back } => Against { level, back },
            })
            .collect();
        match &self.source {
            PumpSource::Steady(total) => self.split(*total, sump_level, &against),
            PumpSource::Curve(curve) => self.balance(curve, sump_level, &against, near),
        }
    }

    /// Pump head that pushes `total_flow` `[m3/s]` through trunk and branches `[m]`;
    /// `None` when nothing but fixed flows leaves the manifold.
    pub fn required_head(&self, total_flow: f64, sump_level: f64) -> Option<f64> {
        if self.outlets.is_empty() {
            return None;
        }
        let free: Vec<Against> = self.outlets.iter().map(Outlet::in_air).collect();
        let head = self.manifold_head_for(total_flow - self.fixed_total(), &free);
        Some(head - sump_level + self.trunk.head_loss(total_flow, &self.water))
    }

    /// Head of the pump at `flow` `[m3/s]`: its curve's, or for a measured flow what
    /// the pipework needs, if there is any `[m]`.
    pub fn pump_head(&self, flow: f64, sump_level: f64) -> Option<f64> {
        match &self.source {
            PumpSource::Curve(curve) => Some(curve.head(flow)),
            PumpSource::Steady(_) => self.steady_head.map(|head| head - sump_level),
        }
    }

    /// Change of the pump's head with its flow `[s/m2]`; zero for a measured flow.
    pub fn pump_head_slope(&self, flow: f64) -> f64 {
        match &self.source {
            PumpSource::Curve(curve) => curve.head_slope(flow),
            PumpSource::Steady(_) => 0.0,
        }
    }

    fn fixed_total(&self) -> f64 {
        self.fixed.iter().sum()
    }

    /// Flow of outlet `i` at manifold head `head`.
    fn outlet_flow(&self, i: usize, head: f64, against: Against) -> f64 {
        against.flow(&self.outlets[i], head, &self.water)
    }

    fn outlet_total(&self, head: f64, against: &[Against]) -> f64 {
        (0..self.outlets.len())
            .map(|i| self.outlet_flow(i, head, against[i]))
            .sum()
    }

    /// Manifold head at which the piped outlets pass `flow` together.
    fn manifold_head_for(&self, flow: f64, against: &[Against]) -> f64 {
        let lowest = against
            .iter()
            .map(|a| a.level)
            .fold(f64::INFINITY, f64::min);
        if flow <= 0.0 {
            return lowest;
        }
        // No upper bound is known, so it is doubled until enough flows.
        let mut rise = 1.0;
        while self.outlet_total(lowest + rise, against) < flow && rise < 1e9 {
            rise *= 2.0;
        }
        let miss = |head: f64| self.outlet_total(head, against) - flow;
        brent(miss, lowest, lowest + rise, 1e-14).unwrap_or(lowest + rise)
    }

    /// A given total split among the outlets.
    fn split(&self, total: f64, sump_level: f64, against: &[Against]) -> Duty {
        let mut duty = self.empty_duty(total);
        if self.outlets.is_empty() {
            return duty;
        }
        let piped = (total - self.fixed_total()).max(0.0);
        let head = self.manifold_head_for(piped, against);
        let flows: Vec<f64> = (0..against.len())
            .map(|i| self.outlet_flow(i, head, against[i]))
            .collect();
        // The bracket closes to rounding; the last digit is shared out so that
        // what leaves the pump arrives.
        let sum: f64 = flows.iter().sum();
        let scale = if sum > 0.0 { piped / sum } else { 0.0 };
        for (outlet, flow) in self.outlets.iter().zip(flows) {
            self.credit(&mut duty, outlet, flow * scale, 0.0);
        }
        duty.manifold_head = Some(head);
        duty.pump_head = Some(head - sump_level + self.trunk.head_loss(total, &self.water));
        duty
    }

    /// Pump curve, trunk and branches in balance.
    fn balance(
        &self,
        curve: &PumpCurve,
        sump_level: f64,
        against: &[Against],
        near: Option<&Duty>,
    ) -> Duty {
        let fixed = self.fixed_total();
        let solved = self
            .newton(curve, sump_level, against, fixed, near)
            .unwrap_or_else(|| self.bracket(curve, sump_level, against, fixed));
        let total = fixed + solved.flows.iter().sum::<f64>();
        let mut duty = self.empty_duty(total);
        for (i, outlet) in self.outlets.iter().enumerate() {
            self.credit(&mut duty, outlet, solved.flows[i], solved.slopes[i]);
        }
        let head = curve.head(total);
        duty.pump_head = Some(head);
        duty.manifold_head = Some(sump_level + head - self.trunk.head_loss(total, &self.water));
        duty
    }

    fn empty_duty(&self, total: f64) -> Duty {
        Duty {
            pump_flow: total,
            pump_head: None,
            bed_flows: self.fixed.clone(),
            tank_flow: 0.0,
            bypass_flow: 0.0,
            settler_flow: 0.0,
            manifold_head: None,
            bed_flow_slopes: vec![0.0; self.beds],
            tank_slope: 0.0,
            bypass_slope: 0.0,
            settler_slope: 0.0,
        }
    }

    fn credit(&self, duty: &mut Duty, outlet: &Outlet, flow: f64, slope: f64) {
        match outlet.end {
            OutletEnd::Bed(bed) => {
                duty.bed_flows[bed] = flow;
                duty.bed_flow_slopes[bed] = slope;
            }
            OutletEnd::Tank => {
                duty.tank_flow = flow;
                duty.tank_slope = slope;
            }
            OutletEnd::Bypass => {
                duty.bypass_flow = flow;
                duty.bypass_slope = slope;
            }
            OutletEnd::Settler => {
                duty.settler_flow = flow;
                duty.settler_slope = slope;
            }
        }
    }

    /// Manifold head that the pump holds at `total` flow.
    fn held_head(&self, curve: &PumpCurve, total: f64, sump_level: f64) -> f64 {
        sump_level + curve.head(total) - self.trunk.head_loss(total, &self.water)
    }

    /// Newton on the outlet flows: for every active outlet
    /// `sump + H(Q) - trunk(Q) - level_i - loss_i(q_i) = 0` with `Q` their sum.
    ///
    /// The Jacobian is one number everywhere (pump and trunk, never rising) less
    /// a diagonal (the branches, rising), so its inverse is known in closed form
    /// (Sherman and Morrison 1950) and always exists.
    fn newton(
        &self,
        curve: &PumpCurve,
        sump_level: f64,
        against: &[Against],
        fixed: f64,
        near: Option<&Duty>,
    ) -> Option<Solved> {
        let n = self.outlets.len();
        let mut solved = Solved {
            flows: vec![0.0; n],
            slopes: vec![0.0; n],
        };
        let shut_off = self.held_head(curve, fixed, sump_level);
        let mut active: Vec<usize> = (0..n)
            .filter(|&i| against[i].back > 0.0 || against[i].level < shut_off)
            .collect();
        // Not from nothing: there the losses have no slope to divide by.
        let start = (curve.open_flow() - fixed).max(0.0) / (2.0 * active.len().max(1) as f64);
        for &i in &active {
            let known = near.map_or(0.0, |duty| match self.outlets[i].end {
                OutletEnd::Bed(bed) => duty.bed_flows[bed],
                OutletEnd::Tank => duty.tank_flow,
                OutletEnd::Bypass => duty.bypass_flow,
                OutletEnd::Settler => duty.settler_flow,
            });
            solved.flows[i] = if known > 0.0 { known } else { start };
        }
        let mut residual = vec![0.0; n];
        let mut own = vec![0.0; n];
        for _ in 0..NEWTON_ROUNDS {
            if active.is_empty() {
                return Some(solved);
            }
            let total = fixed + solved.flows.iter().sum::<f64>();
            let head = self.held_head(curve, total, sump_level);
            let common = curve.head_slope(total) - self.trunk.head_loss_slope(total, &self.water);
            let (mut driven, mut given) = (0.0, 0.0);
            for &i in &active {
                let (loss, slope) = against[i].head(&self.outlets[i], solved.flows[i], &self.water);
                residual[i] = head - against[i].level - loss;
                own[i] = slope;
                driven += residual[i] / own[i];
                given += 1.0 / own[i];
            }
            let sum = driven / (1.0 - common * given);
            let mut largest = 0.0_f64;
            let mut dropped = None;
            let mut shrunk = false;
            for (r, &i) in active.iter().enumerate() {
                let old = solved.flows[i];
                let mut new = old + (residual[i] + common * sum) / own[i];
                if new <= 0.0 && against[i].back <= 0.0 {
                    // A full step past zero: shrink, and let go of the outlet once it
                    // carries little. It comes back below if the head held does reach it.
                    new = 0.1 * old;
                    shrunk = true;
                    if new < 1e-4 * curve.open_flow() {
                        dropped = Some(r);
                    }
                }
                largest = largest.max((new - old).abs());
                solved.flows[i] = new;
            }
            if let Some(r) = dropped {
                let i = active.remove(r);
                solved.flows[i] = 0.0;
                continue;
            }
            // Steps shrink quadratically: the next one would be below rounding.
            if !shrunk && largest <= 1e-9 * total.abs().max(1e-9) {
                let held =
                    self.held_head(curve, fixed + solved.flows.iter().sum::<f64>(), sump_level);
                if let Some(i) = (0..n).find(|i| !active.contains(i) && against[*i].level < held) {
                    active.push(i);
                    // It carries little, or it would not have been let go.
                    solved.flows[i] = 1e-3 * start;
                    continue;
                }
                let rise = 1.0 / (1.0 - common * given);
                active
                    .iter()
                    .for_each(|&i| solved.slopes[i] = rise / own[i]);
                return solved.flows.iter().all(|q| q.is_finite()).then_some(solved);
            }
        }
        None
    }

    /// The same balance by bracketing the manifold head; slower, never lost.
    fn bracket(
        &self,
        curve: &PumpCurve,
        sump_level: f64,
        against: &[Against],
        fixed: f64,
    ) -> Solved {
        let excess = |head: f64| {
            let total = fixed + self.outlet_total(head, against);
            self.held_head(curve, total, sump_level) - head
        };
        let lowest = against
            .iter()
            .map(|a| a.level)
            .fold(f64::INFINITY, f64::min)
            .min(sump_level);
        let highest = (sump_level + curve.shut_off_head()).max(lowest + 1e-6);
        let solve = |at: f64| -> Vec<f64> {
            let head = brent(
                |head| excess(head) + at - sump_level,
                lowest - 100.0,
                highest + 1.0,
                1e-14,
            )
            .unwrap_or(lowest);
            (0..against.len())
                .map(|i| self.outlet_flow(i, head, against[i]))
                .collect()
        };
        let flows = solve(sump_level);
        // Far over the rounding of the root, far under any bend of the curve.
        let step = 1e-5;
        let (above, below) = (solve(sump_level + step), solve(sump_level - step));
        let slopes = above
            .iter()
            .zip(&below)
            .map(|(a, b)| (a - b) / (2.0 * step))
            .collect();
        Solved { flows, slopes }
    }
}

struct Solved {
    flows: Vec<f64>,
    slopes: Vec<f64>,
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::scenario::parse;

    // Newton's rule has never been seen to fail: where it did, bracketing would have to find the same.
    #[test]
    fn bracketing_finds_what_newtons_rule_finds() {
        let text = include_str!("../../scenarios/whole-loop.toml");
        let system = parse(text, "whole-loop.toml").unwrap().system;
        let tree = SupplyTree::new(&system);
        let PumpSource::Curve(curve) = &tree.source else {
            unreachable!("the scenario has a pump's curve")
        };
        let free: Vec<Against> = tree.outlets.iter().map(Outlet::in_air).collect();
        // One under water that stands over the manifold, a tenth of which finds its way back.
        let mut mixed = free.clone();
        mixed[0] = Against {
            level: mixed[0].level + 5.0,
            back: 0.1,
        };
        for (sump_level, against) in [(0.15, &free), (0.25, &free), (0.35, &free), (0.25, &mixed)] {
            let fixed = tree.fixed_total();
            let newton = tree
                .newton(curve, sump_level, against, fixed, None)
                .unwrap();
            let bracket = tree.bracket(curve, sump_level, against, fixed);
            assert!(newton.flows.iter().sum::<f64>() > 1e-5);
            assert_eq!(newton.flows[0] < 0.0, against[0].back > 0.0);
            for (a, b) in newton.flows.iter().zip(&bracket.flows) {
                assert!((a - b).abs() < 1e-10, "{sump_level}: {a} {b}");
            }
            for (a, b) in newton.slopes.iter().zip(&bracket.slopes) {
                assert!(
                    (a - b).abs() < 1e-4 * a.abs() + 1e-9,
                    "{sump_level}: {a} {b}"
                );
            }
        }
    }

    // What is held at its inlet's end goes from one mode to the other without a jump.
    #[test]
    fn an_outlet_runs_back_by_its_share_alone() {
        let text = include_str!("../../scenarios/whole-loop.toml");
        let system = parse(text, "whole-loop.toml").unwrap().system;
        let tree = SupplyTree::new(&system);
        let first = tree.outlets[0].clone();
        let level = first.level + 5.0;
        let at = |back: f64| {
            let duty = tree.duty_in(0.25, |end| {
                if end == first.end {
                    Surroundings::Water { level, back }
                } else {
                    Surroundings::Air
                }
            });
            let head = duty.manifold_head.unwrap();
            (duty.bed_flows[0], first.run.flow(head - level, &tree.water))
        };
        for back in [1.0, 0.5, 1e-3, 1e-9] {
            let (flow, whole) = at(back);
            assert!(whole < 0.0);
            assert!(flow < 0.0 && (flow - back * whole).abs() < 1e-8 * whole.abs());
        }
        assert_eq!(at(0.0).0, 0.0);
    }
}
