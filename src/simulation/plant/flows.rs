//! Every flow of the system at one moment, from its state and modes.

use super::{Layout, Moment, Plant};
use crate::numerics::effort;
use crate::simulation::SiphonMode;
use crate::simulation::hang::over_wall;
use crate::simulation::modes::Modes;
use nalgebra::SVector;

impl Plant {
    /// Levels and flows at state `y`, not far from how it was at `near`: a thin line starts from
    /// there, and settles at the same to rounding.
    pub(in crate::simulation) fn moment<const B: usize, const N: usize>(
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
    pub(in crate::simulation) fn moment_between<const B: usize, const N: usize>(
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

    /// Levels and flows at state `y`, written over all of `now` but a line that holds
    /// nothing back.
    fn look<const B: usize, const N: usize>(
        &self,
        y: &SVector<f64, N>,
        modes: &Modes<B>,
        now: &mut Moment<B>,
    ) {
        effort::spend(self.laws.len() as u64);
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
    pub(in crate::simulation) fn pass_on<const B: usize>(
        &self,
        now: &mut Moment<B>,
        modes: &Modes<B>,
    ) {
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
    pub(in crate::simulation) fn glance<const B: usize>(
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

    /// Flow through siphon `i` and the level in its guard.
    #[inline]
    pub(super) fn siphon<const B: usize>(
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

    /// Rates of change of the whole state, and the moment they come from.
    pub(in crate::simulation) fn rates<const B: usize, const N: usize>(
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
    pub(in crate::simulation) fn rates_between<const B: usize, const N: usize>(
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
