//! Water that comes and goes every day, and how long the sump bears it.

use crate::assessment::bounds::Balance;
use crate::assessment::parts::Parts;
use crate::model::FLOAT_TRAVEL;

/// The daily account of the system's water, and what the sump has to spare for it.
///
/// Derived here: water is conserved; what is to spare stands between the least and the most
/// that beds and pipes can leave in the sump, filled as the scenario fills it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WaterAccount {
    /// What the air takes `[m3/s]`.
    pub lost: f64,
    /// What sources bring `[m3/s]`.
    pub brought: f64,
    /// Time after which the pump draws air if nobody adds any and no float valve does `[s]`;
    /// `None` where sources bring as much as the air takes.
    pub until_dry: Option<f64>,
    /// Time after which the sump goes over its overflow `[s]`; `None` where sources bring no more
    /// than the air takes.
    pub until_full: Option<f64>,
    /// Elevations at which a float valve may open `[m]`: it is fully open before the pump draws
    /// air, and no cycle reaches it; `None` where there is no such level.
    pub float: Option<(f64, f64)>,
    /// Time for which the float valve's own reservoir lasts `[s]`; `None` without one, or where
    /// nothing has to be added.
    pub reservoir: Option<f64>,
}

impl WaterAccount {
    /// What has to be added `[m3/s]`; negative where more comes than the air takes.
    pub fn to_add(&self) -> f64 {
        self.lost - self.brought
    }

    pub(super) fn new(parts: &Parts, balance: &Balance) -> Self {
        let system = parts.system;
        let brought = system.sources.iter().map(|source| source.flow).sum();
        let lost = system.evaporation;
        let net = lost - brought;
        let spare = parts.sump_volume(balance.lowest_normal) - parts.sump_volume(parts.dry_level());
        let room = parts.sump_volume(system.sump.overflow_level) - balance.high_volume;
        let after = |water: f64, flow: f64| (flow > 0.0).then(|| water.max(0.0) / flow);
        let least = parts.dry_level() + FLOAT_TRAVEL;
        let most = balance.lowest_normal;
        let reservoir = system.top_off.as_ref().and_then(|valve| valve.reservoir);
        Self {
            lost,
            brought,
            until_dry: after(spare, net),
            until_full: after(room, -net),
            float: (least <= most).then_some((least, most)),
            reservoir: reservoir.and_then(|water| after(water, net)),
        }
    }
}
