//! Lip, start and priming.

use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::weir::{circular_weir_flow, drowned_lip_flow, lip_flow, standing_head};
use crate::siphon::SiphonLaw;

impl SiphonLaw {
    /// Flow over the lip `[m3/s]` at bed level `level` `[m]` while the pipe is not
    /// full. A submerged outlet stands `submergence` `[m]` under water, and that
    /// much head goes into pushing the standing water out first.
    ///
    /// Valid for any level; zero at or below the lip. Weir, then drowned lip
    /// (USBR, Design of Small Dams, from memory); the submergence term is derived here.
    pub fn lip_flow(&self, level: f64, submergence: f64) -> f64 {
        lip_flow(
            self.lip_diameter,
            self.bore,
            level - self.lip - submergence,
            self.lip_weir,
            self.lip_orifice,
        )
    }

    /// The same on one of its two branches: the weir, or the drowned mouth.
    ///
    /// Each is smooth; [`lip_flow`](Self::lip_flow), the smaller of both, has a
    /// kink at [`drowning_level`](Self::drowning_level).
    #[inline]
    pub fn lip_flow_on(&self, drowned: bool, level: f64, submergence: f64) -> f64 {
        let head = level - self.lip - submergence;
        if drowned {
            drowned_lip_flow(self.bore, head, self.lip_orifice)
        } else {
            circular_weir_flow(self.lip_diameter, head, self.lip_weir)
        }
    }

    /// Bed level `[m]` at which the lip drowns: weir and drowned mouth pass the
    /// same, `h = Cd D^2 sqrt(2 g) / (4 Cw d)` over the lip and `submergence` `[m]`.
    #[inline]
    pub fn drowning_level(&self, submergence: f64) -> f64 {
        let mouth = self.lip_orifice * self.bore * self.bore * (2.0 * GRAVITY).sqrt();
        self.lip + submergence + mouth / (4.0 * self.lip_weir * self.lip_diameter)
    }

    /// Head over the lip `[m]` that passes `flow` `[m3/s]` while the pipe is not full.
    pub fn standing_head(&self, flow: f64) -> f64 {
        standing_head(
            self.lip_diameter,
            self.bore,
            flow,
            self.lip_weir,
            self.lip_orifice,
        )
    }

    /// Flow over the lip at which priming begins `[m3/s]`:
    /// `Fs (pi/4) D^2 sqrt(g D)`, with the pipe Froude number `Fs` not squared.
    pub fn start_flow(&self) -> f64 {
        self.start_flow
    }

    /// Bed level below which lip flow is under 0.8 of the start flow and priming
    /// is given up `[m]`, with the outlet under `submergence` `[m]` of water.
    #[inline]
    pub fn priming_lost_level(&self, submergence: f64) -> f64 {
        self.lip + submergence + self.lost_head
    }

    /// Bed level at which priming begins `[m]` with the outlet under `submergence` `[m]` of water.
    #[inline]
    pub fn start_level(&self, submergence: f64) -> f64 {
        self.lip + submergence + self.start_head
    }

    /// Time to carry the cap's air away `[s]`; `None` when an air leak brings air
    /// in faster than the falling water takes it out.
    pub fn priming_time(&self) -> Option<f64> {
        self.priming_time
    }

    /// Air under the cap before priming `[m3]`: `(pi/4) D_bell^2` times the clearance.
    pub fn crown_volume(&self) -> f64 {
        self.crown_volume
    }
}
