//! Where water leaves the supply tree, and against what.

use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::water::Water;
use crate::model::Branch;

/// Head under which the flow between an outlet and the water over it goes straight with
/// the head `[m]`. The root of a head near nothing is steeper than any step can follow,
/// and nobody measures a micrometre.
const STRAIGHT: f64 = 1e-6;

#[derive(Debug, Clone)]
pub(super) struct Outlet {
    pub(super) end: OutletEnd,
    pub(super) level: f64,
    pub(super) run: PipeRun,
    /// Elevation of its anti-siphon hole `[m]`.
    pub(super) hole: Option<f64>,
    /// Flow at a head of [`STRAIGHT`] `[m3/s]`.
    calm: f64,
}

impl Outlet {
    pub(super) fn new(end: OutletEnd, level: f64, run: PipeRun, water: &Water) -> Self {
        Self {
            end,
            level,
            run,
            hole: None,
            calm: run.flow(STRAIGHT, water),
        }
    }

    /// The end of `branch`, which carries water through `run`.
    pub(super) fn of_branch(end: OutletEnd, branch: &Branch, run: PipeRun, water: &Water) -> Self {
        Self {
            hole: branch.anti_siphon_hole,
            ..Self::new(end, branch.level, run, water)
        }
    }

    pub(super) fn in_air(&self) -> Against {
        Against {
            level: self.level,
            back: 0.0,
        }
    }
}

/// Where an outlet of the tree lets its water go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutletEnd {
    /// Into the bed of this index.
    Bed(usize),
    /// Into the fish tank.
    Tank,
    /// Back into the sump.
    Bypass,
    /// The settler, through a branch of its own.
    Settler,
}

/// What an outlet of the tree lets its water into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Surroundings {
    /// Air: nothing runs back.
    Air,
    /// Water that runs back where it stands above the manifold's head.
    Water {
        /// Elevation of its surface `[m]`.
        level: f64,
        /// Share of what would run back that does: less than one where the outlet draws air.
        back: f64,
    },
}

impl Surroundings {
    /// Water of this level `[m]`, all of which may run back.
    pub fn under(level: f64) -> Self {
        Self::Water { level, back: 1.0 }
    }
}

/// What an outlet works against.
#[derive(Debug, Clone, Copy)]
pub(super) struct Against {
    /// Elevation `[m]`.
    pub(super) level: f64,
    /// Share of what would run back that does.
    pub(super) back: f64,
}

impl Against {
    /// Flow out of `outlet` at manifold head `head` `[m3/s]`.
    pub(super) fn flow(self, outlet: &Outlet, head: f64, water: &Water) -> f64 {
        let drive = head - self.level;
        let share = if drive > 0.0 { 1.0 } else { self.back };
        if share <= 0.0 {
            0.0
        } else if self.back > 0.0 && drive.abs() < STRAIGHT {
            share * outlet.calm * (drive / STRAIGHT)
        } else {
            share * outlet.run.flow(drive, water)
        }
    }

    /// Manifold head above the level at which `q` passes `outlet` `[m]`, and its change with `q`.
    pub(super) fn head(self, outlet: &Outlet, q: f64, water: &Water) -> (f64, f64) {
        let share = if q < 0.0 { self.back } else { 1.0 };
        let full = q / share;
        if self.back > 0.0 && full.abs() < outlet.calm {
            let slope = STRAIGHT / outlet.calm;
            return (slope * full, slope / share);
        }
        (
            outlet.run.head_loss(full, water),
            outlet.run.head_loss_slope(full, water) / share,
        )
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    // Both ways meet their own law at the micrometre, and each undoes the other on both sides
    // of it, whole and where only a share runs back.
    #[test]
    fn the_last_micrometre_of_head_is_straight() {
        let water = Water::at(20.0).unwrap();
        let bore = 0.3;
        for (length, k) in [(0.04, 1.1), (0.0, 1.0), (12.0, 3.0)] {
            let run = PipeRun {
                bore,
                length,
                roughness: 1.5e-6,
                k,
            };
            let outlet = Outlet::new(OutletEnd::Bed(0), 0.5, run, &water);
            for back in [1.0, 0.3] {
                let around = Against { level: 0.5, back };
                for drive in [
                    1e-12, 1e-9, 0.5e-6, 2e-6, 1e-3, -1e-12, -0.5e-6, -2e-6, -1e-3,
                ] {
                    let q = around.flow(&outlet, around.level + drive, &water);
                    let (head, slope) = around.head(&outlet, q, &water);
                    // The level's own digits are lost from its head.
                    assert!((head - drive).abs() < 2e-16 + 1e-9 * drive.abs());
                    assert!(slope > 0.0 && slope.is_finite());
                    if drive.abs() > STRAIGHT {
                        let share = if drive > 0.0 { 1.0 } else { back };
                        let own = share * run.flow(drive, &water);
                        assert!((q / own - 1.0).abs() < 1e-9, "{drive}: {q} {own}");
                    }
                }
                let flow = |drive: f64| around.flow(&outlet, around.level + drive, &water);
                for side in [1.0, -1.0] {
                    let (under, over) = (flow(side * 0.999e-6), flow(side * 1.001e-6));
                    assert!((over / under - 1.0).abs() < 3e-3, "{under} {over}");
                    // Half the head, half the flow: no step finds it steeper than this.
                    let half = flow(side * 0.5e-6) / flow(side * 0.25e-6);
                    assert!((half - 2.0).abs() < 1e-6, "{half}");
                }
            }
            // What falls into air is not touched.
            let free = outlet.in_air();
            let q = free.flow(&outlet, 0.5 + 0.5e-6, &water);
            assert!((q / run.flow(0.5e-6, &water) - 1.0).abs() < 1e-9);
            assert_eq!(free.flow(&outlet, 0.5 - 0.5e-6, &water), 0.0);
        }
    }
}
