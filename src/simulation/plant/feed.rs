//! What the pump and the fish tank send where.

use crate::model::{CoefficientValues, FLOAT_TRAVEL, System};
use crate::network::supply::{OutletEnd, SupplyTree, Surroundings};
use crate::network::tank::TankLaw;
use crate::numerics::effort;
use crate::numerics::hermite::{HermiteGrid, agreement};
use crate::numerics::in_order::InOrder;
use crate::numerics::root::brent;
use crate::simulation::SiphonMode;
use crate::simulation::hang::drawn_from;
use crate::simulation::modes::{FloatValve, Modes};
use crate::simulation::plant::Plant;
use crate::simulation::plant::moment::Moment;
use std::cell::RefCell;

/// What it costs to balance the supply anew at one moment: tables do not tell it under water.
const A_BALANCE: u64 = 400;
/// Agreement of the tabulated supply with the solved one, relative to the largest flow.
const SUPPLY_TOLERANCE: f64 = 1e-8;
/// The same for beds fed from the tank.
const GRAVITY_TOLERANCE: f64 = 1e-6;
/// A fish tank with the flows to the beds tabulated.
#[derive(Clone)]
pub(in crate::simulation) struct Tank {
    pub(in crate::simulation) law: TankLaw,
    /// Stretches of the root of the level over the overflow, between kinks.
    tables: Vec<HermiteGrid>,
    beds: usize,
    tolerance: f64,
}

impl Tank {
    pub(in crate::simulation) fn new(
        system: &System,
        values: &CoefficientValues,
        relative: f64,
    ) -> Option<Self> {
        let law = TankLaw::new(system, values)?;
        let mut tank = Self {
            law,
            tables: Vec::new(),
            beds: system.beds.len(),
            tolerance: agreement(GRAVITY_TOLERANCE, relative),
        };
        tank.tabulate();
        Some(tank)
    }

    /// Shuts the inlet of bed `i`.
    pub(in crate::simulation) fn shut(&mut self, i: usize) {
        self.law.shut(i);
        self.tabulate();
    }

    fn tabulate(&mut self) {
        self.tables.clear();
        if !self.law.has_branches() {
            return;
        }
        let (law, beds, tolerance) = (&self.law, self.beds, self.tolerance);
        let root = |level: f64| (level - law.overflow_level).max(0.0).sqrt();
        let top = root(law.rim);
        let mut edges = [
            0.0,
            root(law.drowning_level()).min(top),
            root(law.backing_up_level()),
            top,
        ];
        edges.order_by(f64::total_cmp);
        let flows = |s: f64, out: &mut [f64]| {
            let _ = law.overflow(law.overflow_level + s * s, &|_| f64::NEG_INFINITY, out);
        };
        let tables: Vec<HermiteGrid> = edges
            .windows(2)
            .filter_map(|pair| {
                let (low, high) = (pair[0], pair[1]);
                let step = 1e-5 * (high - low);
                let at = |s: f64, out: &mut [(f64, f64)]| {
                    let (a, b) = ((s - step).max(low), (s + step).min(high));
                    let mut rows = [vec![0.0; beds], vec![0.0; beds], vec![0.0; beds]];
                    for (row, s) in rows.iter_mut().zip([a, s, b]) {
                        flows(s, row);
                    }
                    for (i, out) in out.iter_mut().enumerate() {
                        *out = (rows[1][i], (rows[2][i] - rows[0][i]) / (b - a));
                    }
                };
                HermiteGrid::adaptive(at, beds, low, high, tolerance)
            })
            .collect();
        self.tables = tables;
    }

    /// Flow over its overflow `[m3/s]` at `level` `[m]`; what beds get of it goes into `beds`.
    fn overflow(
        &self,
        level: f64,
        bed_level: Option<&dyn Fn(usize) -> f64>,
        beds: &mut [f64],
    ) -> f64 {
        if let Some(bed_level) = bed_level {
            return self.law.overflow(level, bed_level, beds);
        }
        let root = (level - self.law.overflow_level).max(0.0).sqrt();
        match self.tables.iter().find(|table| table.covers(root)) {
            // Everything goes to the beds, so that the sum is conserved as it is.
            Some(table) => (0..self.beds)
                .filter(|&i| self.law.feeds(i))
                .map(|i| {
                    beds[i] = table.value(i, root);
                    beds[i]
                })
                .sum(),
            None => self.law.overflow(level, &|_| f64::NEG_INFINITY, beds),
        }
    }
}

/// The supply with its flows tabulated against the sump level.
#[derive(Clone)]
pub(in crate::simulation) struct Feed {
    pub(in crate::simulation) tree: SupplyTree,
    steady: Vec<f64>,
    lookup: Option<HermiteGrid>,
    /// Unit in which `lookup` keeps pump head `[s/m2]`: one tolerance then suits flows and head.
    head_unit: f64,
    /// Place of the tank's flow among the outputs, after beds, pump flow and head.
    tank_output: Option<usize>,
    tolerance: f64,
}

impl Feed {
    pub(in crate::simulation) fn new(system: &System, relative: f64) -> Self {
        let beds = system.beds.len();
        let mut feed = Self {
            tree: SupplyTree::new(system),
            steady: Vec::new(),
            lookup: None,
            head_unit: 1.0,
            tank_output: system.tank.as_ref().map(|_| beds + 2),
            tolerance: agreement(SUPPLY_TOLERANCE, relative),
        };
        feed.tabulate(beds, system.sump.floor, system.sump.overflow_level);
        feed
    }

    /// Supply flows against the sump level: bed inflows, pump flow, pump head, tank flow.
    pub(in crate::simulation) fn tabulate(&mut self, n: usize, low: f64, overflow_level: f64) {
        self.lookup = None;
        self.steady.clear();
        let highest = self.tree.duty(overflow_level);
        if !self.tree.depends_on_sump() {
            self.steady = highest.bed_flows;
            self.steady.push(highest.pump_flow);
            self.steady.push(highest.tank_flow);
            return;
        }
        let head = highest.pump_head.unwrap_or(0.0);
        if head > 0.0 && highest.pump_flow > 0.0 {
            self.head_unit = head / highest.pump_flow;
        }
        let near = RefCell::new(highest);
        let at = |sump_level: f64, out: &mut [(f64, f64)]| {
            // The balance found last is a good start for the next.
            let duty = self.tree.duty_near(sump_level, &near.borrow());
            for (i, out) in out.iter_mut().enumerate().take(n) {
                *out = (duty.bed_flows[i], duty.bed_flow_slopes[i]);
            }
            let slope = duty.pump_flow_slope();
            out[n] = (duty.pump_flow, slope);
            let head = duty.pump_head.unwrap_or(0.0) / self.head_unit;
            let fall = self.tree.pump_head_slope(duty.pump_flow) / self.head_unit;
            out[n + 1] = (head, fall * slope);
            if let Some(k) = self.tank_output {
                out[k] = (duty.tank_flow, duty.tank_slope);
            }
            near.replace(duty);
        };
        let outputs = n + 2 + usize::from(self.tank_output.is_some());
        let high = overflow_level + 1e-3 * (overflow_level - low);
        self.lookup = HermiteGrid::adaptive(at, outputs, low, high, self.tolerance);
    }

    /// Head that the pump holds at `flow` `[m]`; zero where a measured flow leaves it unknown.
    fn pump_head(&self, flow: f64, sump_level: f64) -> f64 {
        self.tree.pump_head(flow, sump_level).unwrap_or(0.0)
    }
}

impl Plant {
    /// What an outlet of the supply ends in.
    ///
    /// A mode is kept until it is changed, or a step would meet the jump between the two. What is
    /// held at the end of its inlet goes by its level.
    fn around<const B: usize>(
        &self,
        now: &Moment<B>,
        modes: &Modes<B>,
        outlet: OutletEnd,
    ) -> Surroundings {
        let (end, level, covered, held) = match outlet {
            OutletEnd::Bed(i) => (
                self.reachable_inlets[i],
                now.level[i],
                modes.inlet_covered[i],
                modes.held.inlets[i],
            ),
            OutletEnd::Tank => (
                self.tank_inlet,
                now.tank_level,
                modes.tank_inlet_covered,
                modes.held.tank_inlet,
            ),
            OutletEnd::Bypass | OutletEnd::Settler => return Surroundings::Air,
        };
        match end {
            Some(end) if held => Surroundings::Water {
                level: level.max(end),
                back: drawn_from(level, end),
            },
            Some(_) if covered => Surroundings::under(level),
            _ => Surroundings::Air,
        }
    }

    /// What the running pump moves.
    pub(in crate::simulation) fn pump<const B: usize>(
        &self,
        now: &mut Moment<B>,
        modes: &Modes<B>,
    ) {
        let n = self.laws.len();
        let feed = &self.feed;
        let covered =
            modes.tank_inlet_covered || modes.inlet_covered[..n].iter().any(|&covered| covered);
        if covered {
            effort::spend(A_BALANCE);
            let around = |end| self.around(now, modes, end);
            let duty = feed.tree.duty_in(now.sump_level, around);
            now.inflow[..n].copy_from_slice(&duty.bed_flows);
            now.pump_flow = duty.pump_flow;
            now.tank_in = duty.tank_flow;
        } else if let Some(grid) = feed.lookup.as_ref().filter(|g| g.covers(now.sump_level)) {
            let rest = grid.values(now.sump_level, &mut now.inflow[..n]);
            now.pump_flow = rest(n);
            now.pump_head = rest(n + 1) * feed.head_unit;
            // Where an outlet falls dry a cubic may dip below nothing.
            now.inflow[..n].iter_mut().for_each(|q| *q = q.max(0.0));
            if let Some(k) = feed.tank_output {
                now.tank_in = rest(k);
            }
            return;
        } else if feed.steady.is_empty() {
            let duty = feed.tree.duty(now.sump_level);
            now.inflow[..n].copy_from_slice(&duty.bed_flows);
            now.pump_flow = duty.pump_flow;
            now.tank_in = duty.tank_flow;
        } else {
            now.inflow[..n].copy_from_slice(&feed.steady[..n]);
            now.pump_flow = feed.steady[n];
            now.tank_in = feed.steady[n + 1];
        }
        now.pump_head = feed.pump_head(now.pump_flow, now.sump_level);
    }

    /// Scales what the pump delivers so that the sump keeps its level.
    pub(in crate::simulation) fn share_pump<const B: usize>(
        &self,
        now: &mut Moment<B>,
        modes: &Modes<B>,
    ) {
        let full = *now;
        let scaled = |share: f64| {
            let mut now = full;
            now.inflow.iter_mut().for_each(|q| *q *= share);
            now.tank_in *= share;
            now.pump_flow *= share;
            now
        };
        let net = |share: f64| {
            let mut now = scaled(share);
            self.pass_on(&mut now, modes);
            now.sump_net
        };
        // Straight but for a line that beds running on share.
        let (none, all) = (net(0.0), net(1.0));
        let mut share = none / (none - all);
        if self.line.is_some() && share > 0.0 && share < 1.0 {
            share = brent(net, 0.0, 1.0, 1e-12).unwrap_or(share);
        }
        // Where siphons that run on give all of it back, any share keeps the level; where the pump
        // takes nothing out there is nothing to share.
        let share = if share.is_nan() || none <= all {
            self.run_on_share(&full, modes).unwrap_or(1.0)
        } else {
            share
        };
        *now = scaled(share.clamp(0.0, 1.0));
        now.pump_share = share;
    }

    /// The share of what the pump delivers with which the siphons that run on neither fill nor
    /// break; `None` where none does.
    fn run_on_share<const B: usize>(&self, full: &Moment<B>, modes: &Modes<B>) -> Option<f64> {
        let shares = self.laws.iter().enumerate().filter_map(|(i, law)| {
            let runs_on = modes.siphons[i] == SiphonMode::RunningOn && full.inflow[i] > 0.0;
            let tail = self.free_tail(i, full.sump_level);
            let kept = || 0.5 * (law.run_on_flow(tail) + law.stall_flow(tail));
            runs_on.then(|| kept() / full.inflow[i])
        });
        shares.min_by(f64::total_cmp)
    }

    /// What runs back while the pump stands: a flow into a vessel that is negative.
    pub(in crate::simulation) fn run_back<const B: usize>(
        &self,
        now: &mut Moment<B>,
        modes: &Modes<B>,
    ) {
        let mut sources: Vec<(OutletEnd, f64)> = (0..self.laws.len())
            .filter(|&i| modes.siphoned_back[i])
            .map(|i| (OutletEnd::Bed(i), now.level[i]))
            .collect();
        if modes.tank_siphoned_back {
            sources.push((OutletEnd::Tank, now.tank_level));
        }
        let mut flows = vec![0.0; sources.len()];
        self.feed
            .tree
            .back_flows(now.sump_level, &sources, &mut flows);
        for ((end, _), flow) in sources.into_iter().zip(flows) {
            match end {
                OutletEnd::Bed(i) => now.inflow[i] = -flow,
                OutletEnd::Tank => now.tank_in = -flow,
                OutletEnd::Bypass | OutletEnd::Settler => {}
            }
        }
    }

    /// What leaves the tank, and what the beds get of it.
    pub(in crate::simulation) fn leave_tank<const B: usize>(
        &self,
        tank: &Tank,
        now: &mut Moment<B>,
        modes: &Modes<B>,
    ) {
        let n = self.laws.len();
        let level = now.level;
        let bed_level = |i: usize| level[i];
        let covered =
            tank.law.feeds_beds() && modes.inlet_covered[..n].iter().any(|&covered| covered);
        let held_back = covered.then_some(&bed_level as &dyn Fn(usize) -> f64);
        now.tank_out = tank.overflow(now.tank_level, held_back, &mut now.inflow[..n]);
    }

    /// Flow through the float valve `[m3/s]`.
    pub(in crate::simulation) fn topped_up(&self, valve: FloatValve, sump_level: f64) -> f64 {
        let Some(top_off) = &self.top_off else {
            return 0.0;
        };
        match valve {
            FloatValve::Dead | FloatValve::Shut => 0.0,
            FloatValve::Throttling => {
                top_off.flow * ((top_off.level - sump_level) / FLOAT_TRAVEL).clamp(0.0, 1.0)
            }
            FloatValve::Open => top_off.flow,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::model::Inlet;
    use crate::scenario::parse;

    fn piped() -> System {
        let text = include_str!("../../../scenarios/whole-loop.toml");
        parse(text, "whole-loop.toml").unwrap().system
    }

    /// What the table tells at a sump level, and what the balance of the tree itself is there.
    fn both(feed: &Feed, level: f64) -> [Vec<f64>; 2] {
        let n = piped().beds.len();
        let mut told = vec![0.0; n];
        let grid = feed.lookup.as_ref().unwrap();
        let rest = grid.values(level, &mut told);
        let more = [rest(n), rest(n + 1) * feed.head_unit, rest(n + 2)];
        told.extend(more);
        let duty = feed.tree.duty(level);
        let mut solved = duty.bed_flows.clone();
        let head = feed.tree.pump_head(duty.pump_flow, level);
        solved.extend([duty.pump_flow, head.unwrap(), duty.tank_flow]);
        [told, solved]
    }

    #[test]
    fn the_table_of_the_supply_tells_what_its_tree_balances_at() {
        let system = piped();
        let sump = &system.sump;
        let feed = Feed::new(&system, 1e-7);
        // Beyond the overflow too, where steps look before the event is found.
        let depth = sump.overflow_level - sump.floor;
        assert!(
            feed.lookup
                .as_ref()
                .unwrap()
                .covers(sump.overflow_level + 0.9e-3 * depth)
        );
        for k in 0..=200 {
            let level = sump.floor + depth * f64::from(k) / 200.0;
            let [told, solved] = both(&feed, level);
            for (told, solved) in told.iter().zip(&solved) {
                // Flows to 1e-8 of a litre a second or so; the head goes with the pump's flow.
                let near = 2e-8_f64.max(1e-5 * solved.abs());
                assert!((told - solved).abs() < near, "{level}: {told}, {solved}");
            }
            let sum: f64 = told[..system.beds.len()].iter().sum::<f64>() + told.last().unwrap();
            assert!(sum > 0.0);
        }
    }

    // Head and flow share one tolerance: the head is kept in a unit that makes it as small as the flow.
    #[test]
    fn head_and_flow_of_the_table_are_of_one_size() {
        let feed = Feed::new(&piped(), 1e-7);
        let duty = feed.tree.duty(piped().sump.overflow_level);
        let head = duty.pump_head.unwrap() / feed.head_unit;
        assert!((head / duty.pump_flow - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_supply_that_no_sump_level_changes_is_kept_as_it_is() {
        let text = include_str!("../../../scenarios/four-beds-metric.toml");
        let mut system = parse(text, "four-beds-metric.toml").unwrap().system;
        for bed in &mut system.beds {
            bed.inlet = Inlet::Measured(1e-4);
        }
        let feed = Feed::new(&system, 1e-7);
        assert!(feed.lookup.is_none());
        let n = system.beds.len();
        assert_eq!(feed.steady.len(), n + 2);
        assert!(feed.steady[..n].iter().all(|q| *q == 1e-4));
        assert_eq!(feed.steady[n + 1], 0.0);
    }
}
