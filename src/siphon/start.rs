//! Lip, start and priming.

use crate::siphon::SiphonLaw;

impl SiphonLaw {
    /// Flow over the lip `[m3/s]` at bed level `level` `[m]` while the pipe is not
    /// full. A submerged outlet stands `submergence` `[m]` under water, and that
    /// much head goes into pushing the standing water out first.
    ///
    /// Valid for any level; zero at or below the lip. Weir, then drowned lip
    /// (USBR, Design of Small Dams, from memory), behind slots and annulus that lose
    /// head with the square of the flow; the submergence term is derived here.
    pub fn lip_flow(&self, level: f64, submergence: f64) -> f64 {
        let weir = self.lip_flow_on(false, level, submergence);
        weir.min(self.lip_flow_on(true, level, submergence))
    }

    /// The same on one of its two branches: the weir, or the drowned mouth.
    ///
    /// Each is smooth; [`lip_flow`](Self::lip_flow), the smaller of both, has a
    /// kink at [`drowning_level`](Self::drowning_level).
    #[inline]
    pub fn lip_flow_on(&self, drowned: bool, level: f64, submergence: f64) -> f64 {
        let head = level - self.lip - submergence;
        self.over_lip.flow_on(drowned, head)
    }

    /// Bed level `[m]` at which the lip drowns: weir and drowned mouth pass the
    /// same, `h = Cd D^2 sqrt(2 g) / (4 Cw d)` over the lip and `submergence` `[m]` in
    /// the bell, and what slots and annulus take before it.
    #[inline]
    pub fn drowning_level(&self, submergence: f64) -> f64 {
        self.lip + submergence + self.over_lip.drowns_at
    }

    /// Head of the bed over the lip `[m]` that passes `flow` `[m3/s]` while the pipe is
    /// not full: over the lip itself, and lost before it.
    pub fn standing_head(&self, flow: f64) -> f64 {
        self.over_lip.standing_head(flow)
    }

    /// By how much the bed stands higher than the water in the bell `[m]` while `flow`
    /// `[m3/s]` runs over the lip: lost in slots and annulus.
    pub fn lost_before_lip(&self, flow: f64) -> f64 {
        self.over_lip.lost(flow)
    }

    /// The share of the slots in [`lost_before_lip`](Self::lost_before_lip) `[m]`.
    pub fn lost_in_slots(&self, flow: f64) -> f64 {
        self.over_lip.lost_in_slots(flow)
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
