//! Every flow of the system at one moment, from its state and modes.

use crate::hydraulics::back_siphon::SupplyPiece;
use crate::hydraulics::vessel::{DepthCurve, VesselShape};
use crate::model::{Band, BedStorage, CoefficientValues, Inlet, System, TankFeed, TopOff};
use crate::network::drain_line::{DrainLineLaw, LineState};
use crate::network::supply::OutletEnd;
use crate::simulation::SiphonMode;
use crate::simulation::gravel::Gravel;
use crate::simulation::hang::over_wall;
use crate::simulation::modes::Modes;
use crate::simulation::tables::{SharedTables, Tabulated, WayOut};
use crate::siphon::SiphonLaw;
use nalgebra::SVector;
use std::sync::Arc;

mod feed;
mod moment;

pub(super) use moment::{Layout, Moment};

use feed::{Feed, Tank};

/// The drain line of `system` at both ends of the bands of its own coefficients.
fn line_ends(system: &System) -> Option<[DrainLineLaw; 2]> {
    let bands = &system.coefficients;
    let low = DrainLineLaw::new(system, &bands.line_at(|band| band.low))?;
    let high = DrainLineLaw::new(system, &bands.line_at(|band| band.high))?;
    Some([low, high])
}

/// A siphon that hangs between running on and full bore gives what comes in, which may pass
/// the flow at the rim by some of this share.
const FULLEST: f64 = 1.3;
/// How far water may stand over a wall or the sump's overflow `[m]`.
const OVER_RIM: f64 = 0.02;
/// Levels closer than this no longer drive water back through an inlet `[m]`.
const LEVELLED_OUT: f64 = 0.001;

/// What a drain line can do beside carrying water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum LineReach {
    /// It can come to stand over an outlet.
    Siphons,
    /// It can come under pressure, but stays below every outlet.
    Itself,
    /// Neither.
    Nothing,
}

/// A system with everything that does not change during a run worked out once.
#[derive(Clone)]
pub(super) struct Plant {
    pub(super) storages: Vec<BedStorage>,
    pub(super) laws: Vec<SiphonLaw>,
    pub(super) rims: Vec<f64>,
    /// Elevation of an inlet's end that the bed's water can reach `[m]`.
    pub(super) reachable_inlets: Vec<Option<f64>>,
    pub(super) sump_shape: VesselShape,
    sump_depths: DepthCurve,
    pub(super) sump_floor: f64,
    pub(super) overflow_level: f64,
    pub(super) dry_level: f64,
    pub(super) line: Option<DrainLineLaw>,
    /// The line with its own coefficients at the low and at the high end of their bands.
    line_ends: Option<[DrainLineLaw; 2]>,
    /// Whether each bed drains into the line.
    on_line: Vec<bool>,
    line_reach: LineReach,
    /// Whether each bed drains into a line that can come to stand over an outlet.
    pub(super) reached: Vec<bool>,
    pub(super) tank: Option<Tank>,
    /// End of the tank's own branch, where the tank's water can reach it `[m]`.
    pub(super) tank_inlet: Option<f64>,
    pub(super) top_off: Option<TopOff>,
    /// The supply pipes as they hold water.
    pub(super) pieces: Vec<SupplyPiece>,
    /// Water that they hold when full `[m3]`.
    pub(super) pipes_full: f64,
    pub(super) feed: Feed,
    /// What the air takes beyond what the sources bring `[m3/s]`.
    net_loss: f64,
    gravels: Vec<Option<Arc<Gravel>>>,
    outlets: Vec<f64>,
}

impl Plant {
    /// `relative` is the error that one step may make; `tables` are shared with other runs.
    pub(super) fn new(
        system: &System,
        values: &CoefficientValues,
        relative: f64,
        tables: Option<&SharedTables>,
    ) -> Self {
        let line = DrainLineLaw::new(system, values);
        let on_line: Vec<bool> = (0..system.beds.len())
            .map(|i| {
                line.as_ref()
                    .is_some_and(|l| l.junctions().iter().any(|j| j.0 == i))
            })
            .collect();
        let sump = &system.sump;
        let feed = Feed::new(system, relative);
        let water = &system.water;
        let ways: Vec<Arc<WayOut>> = (system.beds.iter())
            .map(|bed| match tables {
                Some(tables) => tables.way_out(bed, water, values, relative),
                None => Arc::new(WayOut::new(bed, water, values, relative)),
            })
            .collect();
        let pieces = feed
            .tree
            .pieces(system.pump.intake_level, system.lowest_rim());
        let mut plant = Self {
            storages: system.beds.iter().map(BedStorage::new).collect(),
            gravels: Vec::new(),
            laws: ways.iter().map(|way| way.law.clone()).collect(),
            rims: system.beds.iter().map(|bed| bed.rim_level()).collect(),
            reachable_inlets: system
                .beds
                .iter()
                .map(|bed| match &bed.inlet {
                    Inlet::Piped(branch) if branch.level < bed.rim_level() => Some(branch.level),
                    _ => None,
                })
                .collect(),
            sump_shape: sump.joined(),
            sump_depths: DepthCurve::new(sump.joined()),
            sump_floor: sump.floor,
            overflow_level: sump.overflow_level,
            dry_level: system.pump.least_level(),
            line,
            line_ends: line_ends(system),
            line_reach: LineReach::Siphons,
            reached: on_line.clone(),
            on_line,
            outlets: system.beds.iter().map(|b| b.siphon.drain.outlet).collect(),
            tank: Tank::new(system, values, relative),
            tank_inlet: system.tank.as_ref().and_then(|tank| match &tank.fed_by {
                TankFeed::PumpBranch(branch) if branch.level < tank.top() => Some(branch.level),
                _ => None,
            }),
            top_off: system.top_off.clone(),
            pipes_full: pieces.iter().map(|piece| piece.volume).sum(),
            pieces,
            net_loss: system.net_loss(),
            feed,
        };
        plant.find_reached();
        plant.tabulate(system, &ways);
        plant
    }

    /// Tabulates what siphons and gravel pass, by what the line can do to them.
    fn tabulate(&mut self, system: &System, ways: &[Arc<WayOut>]) {
        let beds = ways.iter().zip(&system.beds).zip(&self.reached);
        (self.laws, self.gravels) = beds
            .map(|((way, bed), &reached)| {
                let Tabulated { law, gravel } = way.tabulated(bed, &system.water, reached).clone();
                (law, gravel)
            })
            .unzip();
    }

    /// Finds what the line can do with all siphons at their fullest and the sump at its
    /// highest; it can do no more with less, for its grades rise with every flow.
    fn find_reached(&mut self) {
        let Some(line) = &self.line else {
            return;
        };
        let most: Vec<f64> = (self.laws.iter().zip(&self.rims))
            .map(|(law, rim)| FULLEST * law.most_flow(rim + OVER_RIM))
            .collect();
        let state = line.below(&self.outlets, &most, self.overflow_level + OVER_RIM);
        self.line_reach = match state {
            None => LineReach::Siphons,
            Some(state) if state.surcharged() => LineReach::Itself,
            Some(_) => LineReach::Nothing,
        };
        self.reached.clear();
        let siphons = self.line_reaches();
        self.reached
            .extend(self.on_line.iter().map(|on| *on && siphons));
    }

    /// Whether the line can hold back any siphon.
    pub(super) fn line_reaches(&self) -> bool {
        self.line.is_some() && self.line_reach == LineReach::Siphons
    }

    /// Whether the line can come under pressure.
    pub(super) fn line_can_fill(&self) -> bool {
        self.line.is_some() && self.line_reach != LineReach::Nothing
    }

    /// How the line stands at `now`.
    pub(super) fn line_state<const B: usize>(&self, now: &Moment<B>) -> Option<LineState> {
        now.line.or_else(|| {
            let mut grades = [0.0; B];
            let line = self.line.as_ref()?;
            Some(line.grades(&now.outflow, now.sump_level, &mut grades))
        })
    }

    /// The sump level as the line sees it `[m]`: below its outlet it makes no difference.
    pub(super) fn line_tail<const B: usize>(&self, now: &Moment<B>) -> f64 {
        let outlet = self
            .line
            .as_ref()
            .map_or(f64::INFINITY, DrainLineLaw::outlet);
        now.sump_level.max(outlet)
    }

    /// Shuts the inlet of bed `i`.
    pub(super) fn shut_inlet(&mut self, i: usize) {
        self.reachable_inlets[i] = None;
        if let Some(tank) = &mut self.tank {
            tank.shut(i);
        }
        self.feed.tree.shut(i);
        self.feed
            .tabulate(self.laws.len(), self.sump_floor, self.overflow_level);
    }

    /// Leaves only the share `open` of the drain line's area free.
    pub(super) fn narrow_line(&mut self, open: f64) {
        let ends = self.line_ends.iter_mut().flatten();
        for line in self.line.iter_mut().chain(ends) {
            line.narrow(open);
        }
        self.find_reached();
    }

    /// How full the drain line stands with these flows, over the bands of its own
    /// coefficients `[-]`.
    pub(super) fn line_fill<const B: usize>(&self, now: &Moment<B>, nominal: f64) -> Band {
        let Some(ends) = self.line_ends.as_ref().filter(|ends| !ends[0].is_shut()) else {
            return Band::exact(nominal);
        };
        let [low, high] = ends.each_ref().map(|line| {
            let mut grades = [0.0; B];
            line.grades(&now.outflow, now.sump_level, &mut grades).fill
        });
        Band::new(low.min(nominal), nominal, high.max(nominal))
    }

    /// What the drain line has to stand over before it pushes water up into bed `i` `[m]`: the
    /// bed's water, at least its lip.
    pub(super) fn back_up_level<const B: usize>(&self, i: usize, now: &Moment<B>) -> f64 {
        now.level[i].max(self.laws[i].lip())
    }

    /// Level to which a vessel runs back through the inlet `end` `[m]`: the inlet's end,
    /// its anti-siphon hole or the sump, whichever is highest.
    pub(super) fn held_back<const B: usize>(&self, end: OutletEnd, now: &Moment<B>) -> f64 {
        self.feed
            .tree
            .vessel_inlet(end)
            .map_or(f64::INFINITY, |inlet| {
                inlet.siphoned_to(f64::INFINITY, now.sump_level + LEVELLED_OUT)
            })
    }

    /// The same with the sump as low as can be.
    pub(super) fn held_back_at_worst(&self, end: OutletEnd) -> f64 {
        let inlet = self.feed.tree.vessel_inlet(end);
        inlet.map_or(f64::INFINITY, |inlet| {
            inlet.siphoned_to(f64::INFINITY, f64::NEG_INFINITY)
        })
    }

    /// Whether the siphon of bed `i` sees another level than the bed's.
    pub(super) fn has_gravel(&self, i: usize) -> bool {
        self.gravels[i].is_some()
    }

    /// What the sources bring in `time` `[s]` beyond what the air takes `[m3]`, 0 or more.
    pub(super) fn gained(&self, time: f64) -> f64 {
        (-self.net_loss).max(0.0) * time
    }

    /// Whether one bed and the sump are all that holds water, and none is added or lost but
    /// over their walls.
    pub(super) fn is_one_bed_alone(&self) -> bool {
        let still = self.tank.is_none() && self.top_off.is_none() && self.net_loss == 0.0;
        self.laws.len() == 1 && still
    }

    /// Whether the air takes more than the sources bring.
    pub(super) fn evaporates(&self) -> bool {
        self.net_loss > 0.0
    }

    /// Sump level that `volume` `[m3]` stands at `[m]`.
    pub(super) fn sump_level(&self, volume: f64) -> f64 {
        self.sump_floor + self.sump_depths.depth_at(volume)
    }

    /// Level that the outlet of bed `i` looks at `[m]`; not for beds that the line reaches.
    fn free_tail(&self, i: usize, sump_level: f64) -> f64 {
        if self.on_line[i] {
            self.outlets[i]
        } else {
            self.outlets[i].max(sump_level)
        }
    }

    /// Levels and flows at state `y`, not far from how it was at `near`: a thin line starts from
    /// there, and settles at the same to rounding.
    pub(super) fn moment<const B: usize, const N: usize>(
        &self,
        y: &SVector<f64, N>,
        modes: &Modes<B>,
        near: &Moment<B>,
    ) -> Moment<B> {
        let mut now = self.moment_between(y, modes, near);
        self.see_line(&mut now);
        now
    }

    /// The same where nobody looks at a line that holds nothing back.
    pub(super) fn moment_between<const B: usize, const N: usize>(
        &self,
        y: &SVector<f64, N>,
        modes: &Modes<B>,
        near: &Moment<B>,
    ) -> Moment<B> {
        let mut now = Moment {
            outflow: near.outflow,
            tail: near.tail,
            ..Moment::blank()
        };
        self.look(y, modes, &mut now);
        now
    }

    /// Looks how a line stands that can fill but holds nothing back; one that does comes with
    /// the flows.
    pub(super) fn see_line<const B: usize>(&self, now: &mut Moment<B>) {
        if self.line_reach == LineReach::Itself {
            now.line = None;
            now.line = self.line_state(now);
        }
    }

    /// Levels and flows at state `y`, written over all of `now` but a line that holds
    /// nothing back.
    fn look<const B: usize, const N: usize>(
        &self,
        y: &SVector<f64, N>,
        modes: &Modes<B>,
        now: &mut Moment<B>,
    ) {
        now.sump_level = self.sump_level(y[Layout::<B>::SUMP]);
        for ((level, storage), volume) in now.level.iter_mut().zip(&self.storages).zip(y.iter()) {
            *level = storage.level(*volume);
        }
        now.pipes = y[Layout::<B>::PIPES];
        now.added = y[Layout::<B>::ADDED];
        if let Some(tank) = &self.tank {
            now.tank_level = tank.law.level(y[Layout::<B>::TANK]);
        }
        if modes.pump.runs() {
            self.pump(now, modes);
            if modes.pipes_filling {
                now.inflow = [0.0; B];
                now.tank_in = 0.0;
            }
        } else {
            now.inflow = [0.0; B];
            now.tank_in = 0.0;
            now.pump_flow = 0.0;
            now.pump_head = 0.0;
            if modes.anything_siphoned_back() {
                self.run_back(now, modes);
            }
        }
        now.pump_share = 1.0;
        if modes.held.pump && modes.pump.runs() && !modes.pipes_filling {
            self.share_pump(now, modes);
        }
        self.pass_on(now, modes);
    }

    /// What follows from the supply: tank, siphons, walls, sump.
    pub(super) fn pass_on<const B: usize>(&self, now: &mut Moment<B>, modes: &Modes<B>) {
        let n = self.laws.len().min(B);
        if let Some(tank) = &self.tank {
            self.leave_tank(tank, now, modes);
            now.tank_net = now.tank_in - now.tank_out;
        }
        self.drain(now, modes);
        let mut net = 0.0;
        for i in 0..n {
            if modes.siphons[i] == SiphonMode::RunningOn {
                now.outflow[i] = now.inflow[i];
            }
            now.spill[i] = if modes.brimming[i] {
                let gain = now.inflow[i] - now.outflow[i];
                if modes.held.rims[i] {
                    over_wall(now.level[i], self.rims[i]) * gain.max(0.0)
                } else {
                    gain
                }
            } else {
                0.0
            };
            net += now.outflow[i] - now.inflow[i];
        }
        // What beds have from the tank is in its overflow; the rest of that falls here.
        net -= now.tank_net;
        if modes.pipes_filling {
            net -= now.pump_flow;
        }
        now.topped_up = self.topped_up(modes.float, now.sump_level);
        // From an all but empty sump the air takes no more than comes in.
        now.net_loss = if modes.sump_empty && self.evaporates() {
            self.net_loss.min((net + now.topped_up).max(0.0))
        } else {
            self.net_loss
        };
        net += now.topped_up - now.net_loss;
        now.sump_net = net;
        now.sump_spill = if modes.held.sump {
            over_wall(now.sump_level, self.overflow_level) * net.max(0.0)
        } else if modes.sump_spilling {
            net
        } else {
            0.0
        };
    }

    /// Brings only the sump level up to date, and levels and tail of one bed that drains
    /// freely, from the water in them `[m3]`.
    pub(super) fn glance<const B: usize>(
        &self,
        sump: f64,
        bed: Option<(usize, f64)>,
        modes: &Modes<B>,
        now: &mut Moment<B>,
    ) {
        now.sump_level = self.sump_level(sump);
        if let Some((i, volume)) = bed {
            now.level[i] = self.storages[i].level(volume);
            now.tail[i] = self.free_tail(i, now.sump_level);
            now.guard[i] = if self.has_gravel(i) {
                self.siphon(i, now, modes, now.tail[i]).1
            } else {
                now.level[i]
            };
        }
    }

    /// Siphon flows and the tails they see, the line included.
    fn drain<const B: usize>(&self, now: &mut Moment<B>, modes: &Modes<B>) {
        let n = self.laws.len().min(B);
        for i in 0..n {
            if !self.reached[i] {
                now.tail[i] = self.free_tail(i, now.sump_level);
                (now.outflow[i], now.guard[i]) = self.siphon(i, now, modes, now.tail[i]);
            }
        }
        if let Some(line) = self.line.as_ref().filter(|_| self.line_reaches()) {
            let mut flows = now.outflow;
            let mut tails = now.tail;
            let demand = |i: usize, tail: f64| self.siphon(i, now, modes, tail).0;
            let state = line.settle(
                now.sump_level,
                &self.outlets,
                &demand,
                &mut flows[..n],
                &mut tails[..n],
            );
            for i in (0..n).filter(|&i| self.reached[i]) {
                now.outflow[i] = flows[i];
                now.tail[i] = tails[i];
                now.guard[i] = if self.has_gravel(i) {
                    self.siphon(i, now, modes, tails[i]).1
                } else {
                    now.level[i]
                };
            }
            now.line = Some(state);
        }
    }

    /// Flow through siphon `i` and the level in its guard.
    #[inline]
    fn siphon<const B: usize>(
        &self,
        i: usize,
        now: &Moment<B>,
        modes: &Modes<B>,
        tail: f64,
    ) -> (f64, f64) {
        let law = &self.laws[i];
        let level = now.level[i];
        if self.reached[i] && !modes.blocked[i] && modes.siphons[i] != SiphonMode::RunningOn {
            let head = tail - self.back_up_level(i, now);
            if head > 0.0 {
                // The gravel's loss is left out: what comes up spreads over the bed.
                return (-law.back_flow(head), level);
            }
        }
        if let Some(gravel) = &self.gravels[i] {
            return match modes.siphons[i] {
                SiphonMode::Filling => (0.0, level),
                SiphonMode::Spilling | SiphonMode::Priming => {
                    let branch = (!self.reached[i] && modes.held.siphons[i].is_none())
                        .then_some(modes.lip_drowned[i]);
                    gravel.over_lip(law, branch, level, tail - law.outlet())
                }
                SiphonMode::FullBore => gravel.full(law, level, tail),
                SiphonMode::RunningOn => (now.inflow[i], law.break_level(tail)),
            };
        }
        let flow = match modes.siphons[i] {
            SiphonMode::Filling => 0.0,
            SiphonMode::Spilling | SiphonMode::Priming => {
                let submergence = tail - law.outlet();
                // The line's grade jumps with other beds' flows and no branch can be
                // told beforehand; a free lip's kink is located instead.
                if self.reached[i] || modes.held.siphons[i].is_some() {
                    law.lip_flow(level, submergence)
                } else {
                    law.lip_flow_on(modes.lip_drowned[i], level, submergence)
                }
            }
            SiphonMode::FullBore => law.full_flow(level - tail),
            SiphonMode::RunningOn => now.inflow[i],
        };
        (flow, level)
    }

    /// Submergence of bed `i`'s outlet `[m]`.
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
        self.rates_between(y, modes, dy, now);
        self.see_line(now);
    }

    /// Rates of change of the whole state where nobody looks at the moment: a line that holds
    /// nothing back is left out.
    pub(super) fn rates_between<const B: usize, const N: usize>(
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
                now.inflow[i] - now.outflow[i] - now.spill[i]
            };
            dy[Layout::<B>::inflow(i)] = if modes.siphoned_back[i] {
                0.0
            } else {
                now.inflow[i]
            };
            dy[Layout::<B>::bed_spill(i)] = now.spill[i];
        }
        dy[Layout::<B>::SUMP] = now.sump_net - now.sump_spill;
        dy[Layout::<B>::SUMP_SPILL] = now.sump_spill;
        dy[Layout::<B>::SUMP_LEVEL] = now.sump_level;
        dy[Layout::<B>::PUMPED] = now.pump_flow;
        dy[Layout::<B>::LIFTED] = now.pump_flow * now.pump_head;
        dy[Layout::<B>::PIPES] = if modes.pipes_filling {
            now.pump_flow
        } else {
            0.0
        };
        dy[Layout::<B>::ADDED] = now.topped_up;
        dy[Layout::<B>::NET_LOST] = now.net_loss;
        let tank_spill = match &self.tank {
            Some(tank) if modes.held.tank => {
                over_wall(now.tank_level, tank.law.rim) * now.tank_net.max(0.0)
            }
            _ if modes.tank_spilling => now.tank_net,
            _ => 0.0,
        };
        dy[Layout::<B>::TANK] = now.tank_net - tank_spill;
        dy[Layout::<B>::TANK_SPILL] = tank_spill;
        dy[Layout::<B>::TANK_IN] = now.tank_in.max(0.0);
        dy[Layout::<B>::TANK_LEVEL] = now.tank_level;
        dy[Layout::<B>::SIPHONED_BACK] = if modes.anything_siphoned_back() {
            self.siphoned_back(now, modes)
        } else {
            0.0
        };
    }

    /// Everything that runs back through inlets `[m3/s]`.
    fn siphoned_back<const B: usize>(&self, now: &Moment<B>, modes: &Modes<B>) -> f64 {
        let beds = (0..self.laws.len()).filter(|&i| modes.siphoned_back[i]);
        beds.map(|i| -now.inflow[i]).sum::<f64>() - now.tank_in.min(0.0)
    }
}
