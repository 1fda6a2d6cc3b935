//! Parts that switch to and fro: held between their two modes.
//!
//! Where both modes of a part drive its level back to the point at which it switches, the
//! level slides along that point (A. F. Filippov, Differential Equations with Discontinuous
//! Righthand Sides, 1988): the flow is the mean of both that keeps the level, or a formula
//! that holds in both modes. What a part really does there is faster than anything this
//! model resolves.

use crate::model::System;
use crate::simulation::engine::Engine;
use crate::simulation::modes::FloatValve;
use crate::simulation::observer::Observer;
use crate::simulation::watch::Watch;
use crate::simulation::{EventKind, SimulationError, SiphonMode};
use crate::units::HOUR;
use std::collections::VecDeque;

/// A part that switches to and fro and is held where it does. Numbers are indices of beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hang {
    /// The pump at its cover: it delivers what comes in.
    Pump,
    /// A siphon between running on and full bore: it gives what comes in.
    Siphon(usize),
    /// A siphon at its lip: it spills, and does not prime.
    Lip(usize),
    /// A bed at its wall.
    Rim(usize),
    /// A bed at the end of its inlet.
    Inlet(usize),
    /// The sump at its overflow.
    Sump,
    /// The sump, all but empty.
    EmptySump,
    /// The fish tank at its wall.
    Tank,
    /// The fish tank at the end of its inlet.
    TankInlet,
    /// The float valve.
    Float,
    /// The drain line between part full and full.
    Line,
}

/// A part is held that switches this often ...
const SWITCHES: usize = 24;
/// ... within this time `[s]`; a pump at its cover, which refills its recovery height ...
const WINDOW: f64 = 20.0;
/// ... within this `[s]`.
const PUMP_WINDOW: f64 = 240.0;
/// A siphon that starts and breaks every few seconds, as where gravel starves it, pulses for
/// real: it is held only after this many switches ...
const PULSES: usize = 240;
/// ... each window of [`SWITCHES`] of which passed within this `[s]`, a pulse in under 10 s. Once
/// held, it is held again as soon as it pulses.
const PULSE_WINDOW: f64 = 80.0;
/// What is held for a time only is tried anew after this long `[s]`, twice that the next
/// time, and so on up to [`LONGEST`].
const SHORTEST: f64 = 60.0;
const LONGEST: f64 = HOUR;
/// A part held again sooner than this after it was let go is held harder `[s]`.
const AGAIN: f64 = 600.0;
/// Most doublings of time or margin.
const MOST_DOUBLINGS: u8 = 7;
/// Share by which an inflow has to leave the range in which a held siphon gives just that.
const MARGIN: f64 = 0.02;

/// How often a part has switched of late, and how it has been held.
#[derive(Debug, Clone)]
pub(super) struct Switches {
    part: Hang,
    times: VecDeque<f64>,
    /// Held until then `[s]`; infinite where a flow decides.
    until: Option<f64>,
    let_go: f64,
    doublings: u8,
    /// Switches on end, not far apart.
    pulses: usize,
}

/// Which parts are held, for up to `B` beds.
#[derive(Debug, Clone)]
pub(super) struct Held<const B: usize> {
    pub(super) pump: bool,
    /// At the lip, or running on, with the doublings of its margin.
    pub(super) siphons: [Option<u8>; B],
    pub(super) rims: [bool; B],
    pub(super) inlets: [bool; B],
    pub(super) sump: bool,
    pub(super) empty_sump: bool,
    pub(super) tank: bool,
    pub(super) tank_inlet: bool,
    pub(super) float: bool,
    pub(super) line: bool,
}

impl<const B: usize> Held<B> {
    pub(super) const NOTHING: Self = Self {
        pump: false,
        siphons: [None; B],
        rims: [false; B],
        inlets: [false; B],
        sump: false,
        empty_sump: false,
        tank: false,
        tank_inlet: false,
        float: false,
        line: false,
    };
}

impl Hang {
    /// What happens, in words, with the bed's name.
    pub fn in_words(self, system: &System) -> String {
        let bed = |i: usize| system.beds.get(i).map_or("?", |bed| bed.name.as_str());
        match self {
            Self::Pump => "the pump hangs at its cover and delivers what comes in".to_owned(),
            Self::Siphon(i) => format!(
                "{} hangs between running on and full bore and gives what comes in",
                bed(i)
            ),
            Self::Lip(i) => format!("{} hangs at its lip", bed(i)),
            Self::Rim(i) => format!("{} hangs at its wall", bed(i)),
            Self::Inlet(i) => format!("{} hangs at the end of its inlet", bed(i)),
            Self::Sump => "the sump hangs at its overflow".to_owned(),
            Self::EmptySump => "the sump hangs between empty and wet".to_owned(),
            Self::Tank => "the tank hangs at its wall".to_owned(),
            Self::TankInlet => "the tank hangs at the end of its inlet".to_owned(),
            Self::Float => "the float valve hangs between two of its positions".to_owned(),
            Self::Line => "the drain line hangs between part full and full".to_owned(),
        }
    }

    fn window(self) -> f64 {
        match self {
            Self::Pump => PUMP_WINDOW,
            _ => WINDOW,
        }
    }
}

impl Switches {
    fn new(part: Hang) -> Self {
        Self {
            part,
            times: VecDeque::with_capacity(SWITCHES),
            until: None,
            let_go: f64::NEG_INFINITY,
            doublings: 0,
            pulses: 0,
        }
    }

    /// Takes in a switch at `t` `[s]`; whether the part switches so often that it is to be held.
    fn often(&mut self, t: f64) -> bool {
        if self.times.len() >= SWITCHES {
            self.times.pop_front();
        }
        self.times.push_back(t);
        let passed = match self.times.front() {
            Some(first) if self.times.len() >= SWITCHES => t - first,
            _ => return false,
        };
        let pulses = passed < PULSE_WINDOW;
        self.pulses = if pulses { self.pulses + 1 } else { 0 };
        let held_before = pulses && t - self.let_go < AGAIN;
        passed < self.part.window() || held_before || self.pulses >= PULSES
    }
}

/// Share by which a siphon held with so many doublings has to be off its range.
pub(super) fn margin(doublings: u8) -> f64 {
    MARGIN * f64::from(1_u32 << doublings.min(MOST_DOUBLINGS))
}

/// Share of a gain that goes over a wall at `top` held at `level`: all of it at the top,
/// none a tenth of a millimetre below, so that the level comes to rest between.
pub(super) fn over_wall(level: f64, top: f64) -> f64 {
    const BAND: f64 = 1e-4;
    ((level - (top - BAND)) / BAND).clamp(0.0, 1.0)
}

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
        switches.times.clear();
        switches.doublings = if t - switches.let_go < AGAIN {
            (switches.doublings + 1).min(MOST_DOUBLINGS)
        } else {
            0
        };
        let doublings = switches.doublings;
        if self.hold(part, doublings) {
            let time = (SHORTEST * f64::from(1_u32 << doublings)).min(LONGEST);
            let flow_decides = matches!(part, Hang::Pump | Hang::Siphon(_));
            self.switches[k].until = Some(if flow_decides {
                f64::INFINITY
            } else {
                t + time
            });
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
            // The formula for a covered inlet holds above the water, too.
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_of_a_gain_goes_over_the_wall_s_top_and_none_a_tenth_of_a_millimetre_below() {
        for (below, share) in [
            (-0.01, 1.0),
            (0.0, 1.0),
            (5e-5, 0.5),
            (1e-4, 0.0),
            (0.3, 0.0),
        ] {
            let found = over_wall(1.2 - below, 1.2);
            assert!((found - share).abs() < 1e-9, "{below}: {found}");
        }
    }
}
