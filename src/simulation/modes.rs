//! The discrete part of the state.

use crate::simulation::SiphonMode;
use crate::simulation::hang::Held;

/// Whether the pump moves water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PumpMode {
    /// The timer lets it run.
    pub(super) timer_on: bool,
    /// It has power and works.
    pub(super) powered: bool,
    /// Its intake is covered.
    pub(super) covered: bool,
}

impl PumpMode {
    /// Whether it turns, with water or without.
    pub(super) fn switched_on(self) -> bool {
        self.timer_on && self.powered
    }

    pub(super) fn runs(self) -> bool {
        self.switched_on() && self.covered
    }
}

/// How far the float valve is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FloatValve {
    /// There is none, or its reservoir is spent.
    Dead,
    Shut,
    Throttling,
    Open,
}

/// What every part is doing, for up to `B` beds.
#[derive(Debug, Clone)]
pub(super) struct Modes<const B: usize> {
    pub(super) siphons: [SiphonMode; B],
    /// When priming will have carried the cap's air away `[s]`.
    pub(super) primed_at: [f64; B],
    /// Which branch of the lip's flow holds, for beds that drain freely.
    pub(super) lip_drowned: [bool; B],
    pub(super) brimming: [bool; B],
    pub(super) inlet_covered: [bool; B],
    /// Nothing passes this siphon.
    pub(super) blocked: [bool; B],
    /// The drain line pushes water up into this bed.
    pub(super) backed_up: [bool; B],
    /// Water runs back through the inlet of a bed while the pump stands.
    pub(super) siphoned_back: [bool; B],
    pub(super) sump_spilling: bool,
    /// Too little left for the air to take any.
    pub(super) sump_empty: bool,
    pub(super) line_surcharged: bool,
    pub(super) pump: PumpMode,
    /// The pump fills its own pipes; nothing reaches the outlets yet.
    pub(super) pipes_filling: bool,
    pub(super) float: FloatValve,
    pub(super) tank_spilling: bool,
    pub(super) tank_inlet_covered: bool,
    pub(super) tank_siphoned_back: bool,
    /// What switched to and fro and is held where it does.
    pub(super) held: Held<B>,
}

impl<const B: usize> Modes<B> {
    pub(super) fn at_rest() -> Self {
        Self {
            siphons: [SiphonMode::Filling; B],
            primed_at: [f64::INFINITY; B],
            lip_drowned: [false; B],
            brimming: [false; B],
            inlet_covered: [false; B],
            blocked: [false; B],
            backed_up: [false; B],
            siphoned_back: [false; B],
            sump_spilling: false,
            sump_empty: false,
            line_surcharged: false,
            pump: PumpMode {
                timer_on: true,
                powered: true,
                covered: true,
            },
            pipes_filling: false,
            float: FloatValve::Dead,
            tank_spilling: false,
            tank_inlet_covered: false,
            tank_siphoned_back: false,
            held: Held::NOTHING,
        }
    }

    /// Whether bed `i` keeps its level: running on, or brimming.
    pub(super) fn held(&self, i: usize) -> bool {
        (self.brimming[i] && !self.held.rims[i]) || self.siphons[i] == SiphonMode::RunningOn
    }

    /// Whether any vessel runs back through its inlet.
    pub(super) fn anything_siphoned_back(&self) -> bool {
        self.tank_siphoned_back || self.siphoned_back.contains(&true)
    }
}
