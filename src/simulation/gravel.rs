//! From a bed's level to its guard's: what the gravel lets through to the siphon.

use crate::hydraulics::radial_inflow::RadialInflow;
use crate::hydraulics::water::Water;
use crate::model::Bed;
use crate::numerics::hermite::HermiteGrid;
use crate::numerics::root::brent;
use crate::siphon::{SiphonLaw, gravel_way};

/// Agreement of a tabulated loss with the solved one, relative to the largest.
const TOLERANCE: f64 = 2e-5;
/// The same over the error that one step may make, where that is coarser than usual.
const PER_STEP: f64 = 100.0;
/// Where a table ends between floor (0) and break level (1), the first that succeeds:
/// steps try far past the break, but an almost dry guard is ill defined.
const BELOW_BREAK: [f64; 2] = [0.5, 0.8];

/// The way through one bed's gravel, with the losses that a freely draining
/// siphon meets tabulated.
#[derive(Clone)]
pub(super) struct Gravel {
    way: RadialInflow,
    floor: f64,
    rim: f64,
    lip: f64,
    outlet: f64,
    tolerance: f64,
    /// Loss `[m]` while the lip acts as a weir and as a drowned mouth, by the root of
    /// the bed's level over the lip.
    over_lip: [Option<HermiteGrid>; 2],
    /// Loss `[m]` running full, by the bed's level.
    full: Option<HermiteGrid>,
}

/// Flow through siphon and gravel `[m3/s]`, and the guard's level `[m]`.
pub(super) type Drawn = (f64, f64);

impl Gravel {
    /// `None` where no grain size is given.
    pub(super) fn new(bed: &Bed, water: &Water, law: &SiphonLaw, relative: f64) -> Option<Self> {
        let way = gravel_way(bed, water)?;
        let mut gravel = Self {
            way,
            floor: bed.floor,
            rim: bed.rim,
            lip: law.lip(),
            outlet: law.outlet(),
            tolerance: TOLERANCE.max(PER_STEP * relative),
            over_lip: [None, None],
            full: None,
        };
        gravel.over_lip = [false, true].map(|drowned| gravel.tabulate_lip(law, drowned));
        gravel.full = gravel.tabulate_full(law);
        Some(gravel)
    }

    /// Level in the bed `[m]` that feeds `flow` `[m3/s]` to a guard at `guard_level` `[m]`.
    fn bed_level(&self, guard_level: f64, flow: f64) -> f64 {
        self.floor + self.way.bed_depth(guard_level - self.floor, flow)
    }

    /// Where siphon and gravel agree with `level` `[m]` in the bed: the siphon draws
    /// `draw(guard level)`, rising, and nothing at or below `dry` `[m]`.
    ///
    /// If no guard level passes the flow, the flow is what the gravel delivers.
    fn settle(&self, level: f64, dry: f64, draw: impl Fn(f64) -> f64) -> Drawn {
        let low = dry.max(self.floor);
        if level <= low {
            return (0.0, level);
        }
        let excess = |guard: f64| self.bed_level(guard, draw(guard)) - level;
        if excess(low) >= 0.0 {
            return (self.way.greatest_flow(level - self.floor), low);
        }
        let guard = brent(excess, low, level, 1e-13).unwrap_or(level);
        (draw(guard), guard)
    }

    /// Spilling over the lip, as a weir or drowned, with the outlet under
    /// `submergence` `[m]` of water; `None` for whichever of the two passes less.
    pub(super) fn over_lip(
        &self,
        law: &SiphonLaw,
        drowned: Option<bool>,
        level: f64,
        submergence: f64,
    ) -> Drawn {
        match drowned {
            None => self.settle(level, self.lip + submergence, |guard| {
                law.lip_flow(guard, submergence)
            }),
            Some(drowned) => {
                let draw = |guard: f64| law.lip_flow_on(drowned, guard, submergence);
                let root = (level - self.lip).max(0.0).sqrt();
                match &self.over_lip[usize::from(drowned)] {
                    Some(table) if submergence <= 0.0 && table.covers(root) => {
                        let guard = level - table.value(0, root);
                        (draw(guard), guard)
                    }
                    _ => self.settle(level, self.lip + submergence, draw),
                }
            }
        }
    }

    /// Running full against `tail` `[m]`.
    pub(super) fn full(&self, law: &SiphonLaw, level: f64, tail: f64) -> Drawn {
        match &self.full {
            Some(table) if tail <= self.outlet && table.covers(level) => {
                let guard = level - table.value(0, level);
                (law.full_flow(guard - tail), guard)
            }
            _ => self.settle(level, tail, |guard| law.full_flow(guard - tail)),
        }
    }

    fn tabulate_lip(&self, law: &SiphonLaw, drowned: bool) -> Option<HermiteGrid> {
        let loss = |root: f64| {
            let level = self.lip + root * root;
            level
                - self
                    .settle(level, self.lip, |guard| {
                        law.lip_flow_on(drowned, guard, 0.0)
                    })
                    .1
        };
        tabulate(
            loss,
            0.0,
            (self.rim - self.lip).max(0.0).sqrt(),
            self.tolerance,
        )
    }

    fn tabulate_full(&self, law: &SiphonLaw) -> Option<HermiteGrid> {
        let breaks = law.break_level(self.outlet);
        let loss = |level: f64| {
            level
                - self
                    .settle(level, self.outlet, |guard| {
                        law.full_flow(guard - self.outlet)
                    })
                    .1
        };
        BELOW_BREAK.iter().find_map(|share| {
            let lowest = self.floor + share * (breaks - self.floor);
            let low = self.bed_level(lowest, law.full_flow(lowest - self.outlet));
            tabulate(loss, low, self.rim, self.tolerance)
        })
    }
}

/// `f` from `low` to `high`, its slopes from differences.
fn tabulate(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Option<HermiteGrid> {
    let step = 1e-4 * (high - low);
    let at = |x: f64, out: &mut [(f64, f64)]| {
        let (a, b) = ((x - step).max(low), (x + step).min(high));
        out[0] = (f(x), (f(b) - f(a)) / (b - a));
    };
    HermiteGrid::adaptive(at, 1, low, high, tolerance)
}
