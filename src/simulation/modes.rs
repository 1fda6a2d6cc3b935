//! The discrete part of the state.

use crate::simulation::SiphonMode;

/// Whether the pump moves water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PumpMode {
    /// The timer lets it run.
    pub(super) switched_on: bool,
    /// Its intake is covered.
    pub(super) covered: bool,
}

impl PumpMode {
    pub(super) fn runs(self) -> bool {
        self.switched_on && self.covered
    }
}

/// What every part is doing, for up to `B` beds.
#[derive(Debug, Clone)]
pub(super) struct Modes<const B: usize> {
    pub(super) siphons: [SiphonMode; B],
    /// When priming will have carried the cap's air away [s].
    pub(super) primed_at: [f64; B],
    /// Which branch of the lip's flow holds, for beds that drain freely.
    pub(super) lip_drowned: [bool; B],
    pub(super) brimming: [bool; B],
    pub(super) inlet_covered: [bool; B],
    pub(super) sump_spilling: bool,
    pub(super) line_surcharged: bool,
    pub(super) pump: PumpMode,
}

impl<const B: usize> Modes<B> {
    pub(super) fn at_rest() -> Self {
        Self {
            siphons: [SiphonMode::Filling; B],
            primed_at: [f64::INFINITY; B],
            lip_drowned: [false; B],
            brimming: [false; B],
            inlet_covered: [false; B],
            sump_spilling: false,
            line_surcharged: false,
            pump: PumpMode {
                switched_on: true,
                covered: true,
            },
        }
    }

    /// Whether bed `i` keeps its level: running on, or brimming.
    pub(super) fn held(&self, i: usize) -> bool {
        self.brimming[i] || self.siphons[i] == SiphonMode::RunningOn
    }
}
