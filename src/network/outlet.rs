//! Where water leaves the supply tree, and against what.

use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::water::Water;

#[derive(Debug, Clone)]
pub(super) struct Outlet {
    pub(super) end: OutletEnd,
    pub(super) level: f64,
    pub(super) run: PipeRun,
    /// Elevation of its anti-siphon hole `[m]`.
    pub(super) hole: Option<f64>,
}

impl Outlet {
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
    /// Flow through `run` at manifold head `head` `[m3/s]`.
    pub(super) fn flow(self, run: &PipeRun, head: f64, water: &Water) -> f64 {
        let drive = head - self.level;
        if drive > 0.0 {
            run.flow(drive, water)
        } else if self.back > 0.0 {
            self.back * run.flow(drive, water)
        } else {
            0.0
        }
    }

    /// Manifold head above the level at which `q` passes `run` `[m]`, and its change with `q`.
    pub(super) fn head(self, run: &PipeRun, q: f64, water: &Water) -> (f64, f64) {
        let share = if q < 0.0 { self.back } else { 1.0 };
        let full = q / share;
        (
            run.head_loss(full, water),
            run.head_loss_slope(full, water) / share,
        )
    }
}
