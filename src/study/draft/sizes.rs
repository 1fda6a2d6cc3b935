//! Everything that a draft is made of.

use super::facts::PumpFact;
use super::tank::FishTank;
use crate::hydraulics::pipe_sizes::PipeSize;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Inlet, Outlet, System};
use crate::units::UnitSystem;

/// Water over the crown that drains, as a share of the flood to the lip: what stands over the lip.
const FLOOD_OVER: f64 = 1.15;

/// Everything that a scenario is written from: SI, practical sizes only.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizes {
    /// Units of the scenario.
    pub units: UnitSystem,
    /// How many beds, all alike.
    pub beds: usize,
    /// Length, width and depth inside `[m]`.
    pub bed: [f64; 3],
    /// Elevation of the beds' floors `[m]`.
    pub floor: f64,
    /// Depth of the gravel `[m]`.
    pub gravel: f64,
    /// Drainable void of it.
    pub void: f64,
    /// Pipe of the siphon.
    pub pipe: &'static PipeSize,
    /// Pipe of the bell.
    pub bell: &'static PipeSize,
    /// Pipe round the bell.
    pub guard: Option<&'static PipeSize>,
    /// Bed floor to lip `[m]`.
    pub lip: f64,
    /// Lip to cap `[m]`.
    pub clearance: f64,
    /// How many slots, width and height of each `[m]`.
    pub slots: (u32, f64, f64),
    /// Bore and mouth of the air tube `[m]`.
    pub air_tube: Option<(f64, f64)>,
    /// Elevation of the siphons' outlets `[m]`.
    pub outlet: f64,
    /// Pipe from lip to outlet `[m]`.
    pub drain: f64,
    /// Pipe shared by several siphons.
    pub line: Option<Line>,
    /// One vessel of the sump, and how many are joined.
    pub vessel: (VesselShape, u32),
    /// Elevations of its water at the start and of its overflow `[m]`.
    pub fill: f64,
    /// Overflow of the sump `[m]`.
    pub overflow: f64,
    /// Elevation of the pump's intake and the cover over it `[m]`.
    pub intake: (f64, f64),
    /// The pump.
    pub pump: PumpFact,
    /// How the beds are fed, one each.
    pub feed: Vec<Feed>,
    /// Pipe from the pump, and its length `[m]`.
    pub trunk: (&'static PipeSize, f64),
    /// Pipe to each bed, and its length `[m]`.
    pub branch: (&'static PipeSize, f64),
    /// Elevation of the inlets `[m]`.
    pub inlet: f64,
    /// A way back for what is too much.
    pub bypass: Option<Bypass>,
    /// Where the fish live, beside the sump.
    pub tank: Option<FishTank>,
    /// The ceiling `[m]`.
    pub ceiling: f64,
}

/// What sets the inflow of a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Feed {
    /// Opening of a ball valve, 0 to 1.
    Valve(f64),
    /// Share of a measured flow, 0 to 1.
    Share(f64),
}

/// The shared drain line.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its pipe.
    pub size: &'static PipeSize,
    /// Its length `[m]`.
    pub length: f64,
    /// Fall over length.
    pub slope: f64,
    /// Invert of its lower end `[m]`.
    pub outlet: f64,
    /// Where the beds join, from the lower end `[m]`.
    pub at: Vec<f64>,
}

/// A valved branch back to the sump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bypass {
    /// Its pipe.
    pub size: &'static PipeSize,
    /// Opening of its ball valve, 0 to 1.
    pub opening: f64,
}

impl Sizes {
    /// Takes over what was set on the system of these sizes.
    pub fn take(&mut self, system: &System) {
        self.fill = system.sump.start_level;
        let lips = system
            .beds
            .iter()
            .map(|bed| bed.siphon.standpipe.lip_height);
        self.set_lip(lips.fold(f64::INFINITY, f64::min));
        for (feed, bed) in self.feed.iter_mut().zip(&system.beds) {
            match (&bed.inlet, feed) {
                (Inlet::Piped(branch), Feed::Valve(opening)) => {
                    if let Some(valve) = &branch.valve {
                        *opening = valve.opening;
                    }
                }
                (Inlet::Share(now), Feed::Share(share)) => *share = *now,
                _ => {}
            }
        }
        let back = system.supply.bypass.as_ref();
        if let (Some(bypass), Some(valve)) =
            (&mut self.bypass, back.and_then(|way| way.valve.as_ref()))
        {
            bypass.opening = valve.opening;
        }
        let to_tank = system.branch_to(Outlet::Tank);
        if let (Some(tank), Some(valve)) =
            (&mut self.tank, to_tank.and_then(|to| to.valve.as_ref()))
        {
            tank.opening = valve.opening;
        }
    }

    fn set_lip(&mut self, lip: f64) {
        self.drain += lip - self.lip;
        self.lip = lip;
    }

    /// Water that one bed takes and gives back `[m3]`.
    pub fn flood(&self) -> f64 {
        flood(&self.bed, self.void, self.lip - self.slots.2)
    }
}

/// Water that a bed takes to `height` over the crown of its slots, and gives back `[m3]`.
pub(super) fn flood(bed: &[f64; 3], void: f64, height: f64) -> f64 {
    FLOOD_OVER * bed[0] * bed[1] * void * height
}
