//! Parts that switch to and fro are held at the flow between.

use crate::simulation::engine::Engine;
use crate::simulation::hang::{Hang, Switches};
use crate::simulation::modes::FloatValve;
use crate::simulation::observer::Observer;
use crate::simulation::watch::Watch;
use crate::simulation::{EventKind, SimulationError, SiphonMode};

impl<const B: usize, const N: usize> Engine<'_, B, N> {
    /// Takes in a switch by `watch`, and holds a part that switches to and fro.
    pub(super) fn switched(
        &mut self,
        watch: Watch,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        let Some(part) = watch.part() else {
            return Ok(());
        };
        let t = self.here.t;
        let known = self.switches.iter().position(|s| s.part == part);
        let k = known.unwrap_or_else(|| {
            self.switches.push(Switches::new(part));
            self.switches.len() - 1
        });
        let switches = &mut self.switches[k];
        if !switches.often(t) || switches.until.is_some() {
            return Ok(());
        }
        let doublings = switches.begin_again(t);
        if self.hold(part, doublings) {
            self.switches[k].hold_from(t);
            self.look();
            let now = self.here.sight;
            self.note(EventKind::Hangs(part), &now, observer)?;
        }
        Ok(())
    }

    /// Puts `part` between its modes; whether it can stay there.
    fn hold(&mut self, part: Hang, doublings: u8) -> bool {
        let modes = &mut self.modes;
        match part {
            Hang::Pump => {
                let covered = modes.pump.covered;
                modes.pump.covered = true;
                modes.held.pump = true;
                self.look();
                let share = self.here.sight.pump_share;
                let stays = share > 0.0 && share < 1.0;
                self.modes.held.pump = stays;
                if !stays {
                    self.modes.pump.covered = covered;
                }
                return stays;
            }
            Hang::Siphon(i) => {
                modes.siphons[i] = SiphonMode::RunningOn;
                modes.held.siphons[i] = Some(doublings);
            }
            Hang::Lip(i) => {
                modes.siphons[i] = SiphonMode::Spilling;
                modes.primed_at[i] = f64::INFINITY;
                modes.held.siphons[i] = Some(doublings);
            }
            Hang::Rim(i) => {
                modes.brimming[i] = true;
                modes.held.rims[i] = true;
            }
            // The formula for a covered inlet holds above the water, too; where it runs back, it
            // draws air: see `Plant::around`.
            Hang::Inlet(i) => {
                modes.inlet_covered[i] = true;
                modes.held.inlets[i] = true;
            }
            Hang::Sump => {
                modes.sump_spilling = true;
                modes.held.sump = true;
            }
            Hang::EmptySump => {
                modes.sump_empty = true;
                modes.held.empty_sump = true;
            }
            Hang::Tank => {
                modes.tank_spilling = true;
                modes.held.tank = true;
            }
            Hang::TankInlet => {
                modes.tank_inlet_covered = true;
                modes.held.tank_inlet = true;
            }
            Hang::Float => {
                modes.float = FloatValve::Throttling;
                modes.held.float = true;
            }
            Hang::Line => modes.held.line = true,
        }
        true
    }

    /// Lets go of `part`: from here on it switches again.
    pub(super) fn let_go(&mut self, part: Hang) {
        let t = self.here.t;
        for switches in self.switches.iter_mut().filter(|s| s.part == part) {
            switches.until = None;
            switches.let_go = t;
        }
        let (modes, now) = (&mut self.modes, &self.here.sight);
        match part {
            Hang::Pump => modes.held.pump = false,
            Hang::Siphon(i) | Hang::Lip(i) => modes.held.siphons[i] = None,
            Hang::Rim(i) => {
                modes.brimming[i] = false;
                modes.held.rims[i] = false;
            }
            Hang::Inlet(i) => {
                let end = self.plant.reachable_inlets[i];
                modes.inlet_covered[i] = end.is_some_and(|end| now.level[i] >= end);
                modes.held.inlets[i] = false;
            }
            Hang::Sump => {
                modes.sump_spilling = false;
                modes.held.sump = false;
            }
            Hang::EmptySump => modes.held.empty_sump = false,
            Hang::Tank => {
                modes.tank_spilling = false;
                modes.held.tank = false;
            }
            Hang::TankInlet => {
                let end = self.plant.tank_inlet;
                modes.tank_inlet_covered = end.is_some_and(|end| now.tank_level >= end);
                modes.held.tank_inlet = false;
            }
            Hang::Float => modes.held.float = false,
            Hang::Line => modes.held.line = false,
        }
    }

    /// When a part that is held for a time will be let go next `[s]`.
    pub(super) fn next_let_go(&self) -> f64 {
        let ends = self.switches.iter().filter_map(|s| s.until);
        ends.fold(f64::INFINITY, f64::min)
    }

    /// Lets go of what was held up to `t` `[s]`.
    pub(super) fn let_go_by(&mut self, t: f64) {
        let due: Vec<Hang> = self
            .switches
            .iter()
            .filter(|s| s.until.is_some_and(|until| until <= t))
            .map(|s| s.part)
            .collect();
        for part in due {
            self.let_go(part);
        }
    }
}
