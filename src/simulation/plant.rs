//! Every flow of the system at one moment, from its state and modes.

use crate::hydraulics::vessel::VesselShape;
use crate::model::{Bed, BedStorage, Coefficient, CoefficientValues, Inlet, System};
use crate::network::drain_line::{DrainLineLaw, LineState};
use crate::network::supply::SupplyTree;
use crate::numerics::hermite::HermiteGrid;
use crate::simulation::SiphonMode;
use crate::simulation::modes::Modes;
use crate::siphon::SiphonLaw;
use nalgebra::SVector;
use std::cell::RefCell;

/// Where each quantity sits in the state vector of a system of up to `B` beds.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout<const B: usize>;

impl<const B: usize> Layout<B> {
    /// Movable water of bed `i` [m3].
    pub(super) const fn bed(i: usize) -> usize {
        i
    }
    /// Water in the sump [m3].
    pub(super) const SUMP: usize = B;
    /// How many states the rates depend on: the water in the beds and the sump.
    /// All that follow are integrals that nothing depends on.
    pub(super) const FEEDBACK: usize = B + 1;
    /// Water that has come into bed `i` [m3].
    pub(super) const fn inflow(i: usize) -> usize {
        B + 1 + i
    }
    /// Water that has gone over the wall of bed `i` [m3].
    pub(super) const fn bed_spill(i: usize) -> usize {
        2 * B + 1 + i
    }
    /// Water that has gone over the sump's overflow [m3].
    pub(super) const SUMP_SPILL: usize = 3 * B + 1;
    /// Integral of the sump level over time [m s].
    pub(super) const SUMP_LEVEL: usize = 3 * B + 2;
    /// Water that has gone through the pump [m3].
    pub(super) const PUMPED: usize = 3 * B + 3;
    /// Integral of pump flow times head [m4].
    pub(super) const LIFTED: usize = 3 * B + 4;
    /// States in all.
    pub(super) const STATES: usize = 3 * B + 5;
}

/// All flows and levels at one moment.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment<const B: usize> {
    pub(super) level: [f64; B],
    pub(super) inflow: [f64; B],
    pub(super) outflow: [f64; B],
    pub(super) spill: [f64; B],
    /// Level that each siphon's outlet looks at [m].
    pub(super) tail: [f64; B],
    pub(super) sump_level: f64,
    pub(super) sump_net: f64,
    pub(super) sump_spill: f64,
    pub(super) pump_flow: f64,
    pub(super) pump_head: f64,
    pub(super) line: Option<LineState>,
}

impl<const B: usize> Moment<B> {
    /// Nothing known yet.
    pub(super) const fn blank() -> Self {
        Self {
            level: [0.0; B],
            inflow: [0.0; B],
            outflow: [0.0; B],
            spill: [0.0; B],
            tail: [0.0; B],
            sump_level: 0.0,
            sump_net: 0.0,
            sump_spill: 0.0,
            pump_flow: 0.0,
            pump_head: 0.0,
            line: None,
        }
    }
}

/// A system with everything that does not change during a run worked out once.
pub(super) struct Plant {
    pub(super) storages: Vec<BedStorage>,
    pub(super) laws: Vec<SiphonLaw>,
    pub(super) rims: Vec<f64>,
    /// Elevation of an inlet's end that the bed's water can reach [m].
    pub(super) reachable_inlets: Vec<Option<f64>>,
    /// Whether there is any.
    inlet_reachable: bool,
    pub(super) sump_shape: VesselShape,
    pub(super) sump_floor: f64,
    pub(super) overflow_level: f64,
    pub(super) dry_level: f64,
    pub(super) line: Option<DrainLineLaw>,
    /// Whether each bed drains into the line.
    pub(super) on_line: Vec<bool>,
    outlets: Vec<f64>,
    tree: SupplyTree,
    steady: Vec<f64>,
    lookup: Option<HermiteGrid>,
    /// Unit in which `lookup` keeps pump head [s/m2]: one tolerance then suits flows and head.
    head_unit: f64,
}

/// Agreement of the tabulated supply with the solved one, relative to the largest flow.
const SUPPLY_TOLERANCE: f64 = 1e-8;

impl Plant {
    pub(super) fn new(system: &System, values: &CoefficientValues) -> Self {
        let tree = SupplyTree::new(system);
        let line = DrainLineLaw::new(system, values.get(Coefficient::LineManning));
        let on_line = (0..system.beds.len())
            .map(|i| {
                line.as_ref()
                    .is_some_and(|l| l.junctions().iter().any(|j| j.0 == i))
            })
            .collect();
        let sump = &system.sump;
        let reachable = |bed: &Bed| match &bed.inlet {
            Inlet::Piped(branch) if branch.level < bed.rim => Some(branch.level),
            _ => None,
        };
        let mut plant = Self {
            storages: system.beds.iter().map(BedStorage::new).collect(),
            laws: system
                .beds
                .iter()
                .map(|b| SiphonLaw::new(b, &system.water, values))
                .collect(),
            rims: system.beds.iter().map(|bed| bed.rim).collect(),
            reachable_inlets: system.beds.iter().map(reachable).collect(),
            inlet_reachable: system.beds.iter().any(|bed| reachable(bed).is_some()),
            sump_shape: sump.shape.clone(),
            sump_floor: sump.floor,
            overflow_level: sump.overflow_level,
            dry_level: system.pump.intake_level + system.pump.minimum_cover,
            line,
            on_line,
            outlets: system.beds.iter().map(|b| b.siphon.drain.outlet).collect(),
            steady: Vec::new(),
            lookup: None,
            head_unit: 1.0,
            tree,
        };
        plant.tabulate_supply();
        plant
    }

    /// Supply flows against the sump level: bed inflows, pump flow, pump head.
    fn tabulate_supply(&mut self) {
        let n = self.laws.len();
        let highest = self.tree.duty(self.overflow_level);
        if !self.tree.depends_on_sump() {
            self.steady = highest.bed_flows;
            self.steady.push(highest.pump_flow);
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
            let slope = duty.bed_flow_slopes.iter().sum::<f64>() + duty.bypass_slope;
            out[n] = (duty.pump_flow, slope);
            let head = duty.pump_head.unwrap_or(0.0) / self.head_unit;
            let fall = self.tree.pump_head_slope(duty.pump_flow) / self.head_unit;
            out[n + 1] = (head, fall * slope);
            near.replace(duty);
        };
        let low = self.sump_floor;
        let high = self.overflow_level + 1e-3 * (self.overflow_level - low);
        self.lookup = HermiteGrid::adaptive(at, n + 2, low, high, SUPPLY_TOLERANCE);
    }

    /// Head that the pump holds at `flow` [m]; zero where a measured flow leaves it unknown.
    fn pump_head(&self, flow: f64, sump_level: f64) -> f64 {
        self.tree.pump_head(flow, sump_level).unwrap_or(0.0)
    }

    /// Sump level that `volume` [m3] stands at [m].
    pub(super) fn sump_level(&self, volume: f64) -> f64 {
        self.sump_floor + self.sump_shape.depth_at(volume.max(0.0))
    }

    /// Level that the outlet of bed `i` looks at [m]; not for beds on the line.
    fn free_tail(&self, i: usize, sump_level: f64) -> f64 {
        self.outlets[i].max(sump_level)
    }

    /// Levels and flows at state `y`.
    pub(super) fn moment<const B: usize, const N: usize>(
        &self,
        y: &SVector<f64, N>,
        modes: &Modes<B>,
    ) -> Moment<B> {
        let mut now = Moment::blank();
        self.look(y, modes, &mut now);
        now
    }

    /// Levels and flows at state `y`, written over all of `now`.
    fn look<const B: usize, const N: usize>(
        &self,
        y: &SVector<f64, N>,
        modes: &Modes<B>,
        now: &mut Moment<B>,
    ) {
        let n = self.laws.len().min(B);
        now.sump_level = self.sump_level(y[Layout::<B>::SUMP]);
        for ((level, storage), volume) in now.level.iter_mut().zip(&self.storages).zip(y.iter()) {
            *level = storage.level(*volume);
        }
        if modes.pump.runs() {
            self.feed(now, modes);
        } else {
            now.inflow = [0.0; B];
            now.pump_flow = 0.0;
            now.pump_head = 0.0;
        }
        self.drain(now, modes);
        let mut net = 0.0;
        for i in 0..n {
            if modes.siphons[i] == SiphonMode::RunningOn {
                now.outflow[i] = now.inflow[i];
            }
            let gain = now.inflow[i] - now.outflow[i];
            now.spill[i] = if modes.brimming[i] { gain } else { 0.0 };
            net -= gain;
        }
        now.sump_net = net;
        now.sump_spill = if modes.sump_spilling { net } else { 0.0 };
    }

    /// Brings only the sump level up to date, and level and tail of one bed that
    /// drains freely, from the water in them [m3].
    pub(super) fn glance<const B: usize>(
        &self,
        sump: f64,
        bed: Option<(usize, f64)>,
        now: &mut Moment<B>,
    ) {
        now.sump_level = self.sump_level(sump);
        if let Some((i, volume)) = bed {
            now.level[i] = self.storages[i].level(volume);
            now.tail[i] = self.free_tail(i, now.sump_level);
        }
    }

    fn feed<const B: usize>(&self, now: &mut Moment<B>, modes: &Modes<B>) {
        let n = self.laws.len();
        if self.inlet_reachable && modes.inlet_covered[..n].contains(&true) {
            let duty = self.tree.duty_against(now.sump_level, |i| now.level[i]);
            now.inflow[..n].copy_from_slice(&duty.bed_flows);
            now.pump_flow = duty.pump_flow;
        } else if let Some(grid) = self.lookup.as_ref().filter(|g| g.covers(now.sump_level)) {
            let rest = grid.values(now.sump_level, &mut now.inflow[..n]);
            now.pump_flow = rest(n);
            now.pump_head = rest(n + 1) * self.head_unit;
            // Where an outlet falls dry a cubic may dip below nothing.
            now.inflow[..n].iter_mut().for_each(|q| *q = q.max(0.0));
            return;
        } else if self.steady.is_empty() {
            let duty = self.tree.duty(now.sump_level);
            now.inflow[..n].copy_from_slice(&duty.bed_flows);
            now.pump_flow = duty.pump_flow;
        } else {
            now.inflow[..n].copy_from_slice(&self.steady[..n]);
            now.pump_flow = self.steady[n];
        }
        now.pump_head = self.pump_head(now.pump_flow, now.sump_level);
    }

    /// Siphon flows and the tails they see, the line included.
    fn drain<const B: usize>(&self, now: &mut Moment<B>, modes: &Modes<B>) {
        let n = self.laws.len().min(B);
        for (i, (outlet, on_line)) in self.outlets.iter().zip(&self.on_line).enumerate().take(n) {
            if !on_line {
                now.tail[i] = outlet.max(now.sump_level);
                // Most beds fill most of the time: no call for those.
                now.outflow[i] = match modes.siphons[i] {
                    SiphonMode::Filling => 0.0,
                    _ => self.siphon_flow(i, now, modes, now.tail[i]),
                };
            }
        }
        if let Some(line) = &self.line {
            let mut flows = now.outflow;
            let mut tails = now.tail;
            let demand = |i: usize, tail: f64| self.siphon_flow(i, now, modes, tail);
            let state = line.settle(
                now.sump_level,
                &self.outlets,
                &demand,
                &mut flows[..n],
                &mut tails[..n],
            );
            for i in (0..n).filter(|&i| self.on_line[i]) {
                now.outflow[i] = flows[i];
                now.tail[i] = tails[i];
            }
            now.line = Some(state);
        }
    }

    fn siphon_flow<const B: usize>(
        &self,
        i: usize,
        now: &Moment<B>,
        modes: &Modes<B>,
        tail: f64,
    ) -> f64 {
        let law = &self.laws[i];
        match modes.siphons[i] {
            SiphonMode::Filling => 0.0,
            SiphonMode::Spilling | SiphonMode::Priming => {
                let submergence = tail - law.outlet();
                // The line's grade jumps with other beds' flows and no branch can be
                // told beforehand; a free lip's kink is located instead.
                if self.on_line[i] {
                    law.lip_flow(now.level[i], submergence)
                } else {
                    law.lip_flow_on(modes.lip_drowned[i], now.level[i], submergence)
                }
            }
            SiphonMode::FullBore => law.full_flow(now.level[i] - tail),
            SiphonMode::RunningOn => now.inflow[i],
        }
    }

    /// Submergence of bed `i`'s outlet [m].
    pub(super) fn submergence<const B: usize>(&self, i: usize, now: &Moment<B>) -> f64 {
        now.tail[i] - self.outlets[i]
    }

    /// Rates of change of the whole state, and the moment they come from.
    pub(super) fn rates<const B: usize, const N: usize>(
        &self,
        y: &SVector<f64, N>,
        modes: &Modes<B>,
        dy: &mut SVector<f64, N>,
        now: &mut Moment<B>,
    ) {
        self.look(y, modes, now);
        for i in 0..self.laws.len().min(B) {
            dy[Layout::<B>::bed(i)] = if modes.held(i) {
                0.0
            } else {
                now.inflow[i] - now.outflow[i]
            };
            dy[Layout::<B>::inflow(i)] = now.inflow[i];
            dy[Layout::<B>::bed_spill(i)] = now.spill[i];
        }
        dy[Layout::<B>::SUMP] = if modes.sump_spilling {
            0.0
        } else {
            now.sump_net
        };
        dy[Layout::<B>::SUMP_SPILL] = now.sump_spill;
        dy[Layout::<B>::SUMP_LEVEL] = now.sump_level;
        dy[Layout::<B>::PUMPED] = now.pump_flow;
        dy[Layout::<B>::LIFTED] = now.pump_flow * now.pump_head;
    }
}
