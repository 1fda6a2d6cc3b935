//! Parts of the loop other than beds, siphons and supply.

use crate::hydraulics::vessel::VesselShape;
use crate::model::Branch;

/// A fish tank beside the sump.
#[derive(Debug, Clone)]
pub struct Tank {
    /// Inside shape, measured from `floor`.
    pub shape: VesselShape,
    /// Elevation of its inside bottom `[m]`.
    pub floor: f64,
    /// Water level at t = 0 `[m]`.
    pub start_level: f64,
    /// Elevation of its overflow `[m]`.
    pub overflow_level: f64,
    /// Bore of the upright overflow pipe `[m]`.
    pub overflow_bore: f64,
    /// What fills it.
    pub fed_by: TankFeed,
    /// Where its overflow goes.
    pub overflows_to: TankOutlet,
}

impl Tank {
    /// Elevation of the upper edge of its wall `[m]`.
    pub fn top(&self) -> f64 {
        self.floor + self.shape.depth()
    }

    /// Water in it at elevation `level` `[m3]`.
    pub fn volume_at(&self, level: f64) -> f64 {
        self.shape.volume(level - self.floor)
    }
}

/// What fills the fish tank.
#[derive(Debug, Clone)]
pub enum TankFeed {
    /// The pump, beside the beds, through a branch of its own.
    PumpBranch(Branch),
    /// The pump's whole flow.
    WholePump,
}

/// Where the fish tank's overflow goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TankOutlet {
    /// By gravity to the beds.
    Beds,
    /// To the sump.
    Sump,
    /// To the sump through a settler.
    Settler,
}

/// Fall of the water over which a float valve goes from shut to fully open `[m]`; common
/// practice, no source: float valves throttle over a few millimetres.
pub const FLOAT_TRAVEL: f64 = 0.005;

/// A vessel on the way to the sump in which solids sink: after the fish tank's overflow, or fed
/// by a branch of the supply. It stands full to its overflow, so no water is stored in it from moment to moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Settler {
    /// How the water goes through it.
    pub kind: SettlerKind,
    /// Inside shape, measured from `floor`.
    pub shape: VesselShape,
    /// Elevation of its inside bottom `[m]`.
    pub floor: f64,
    /// Elevation of its overflow `[m]`.
    pub overflow_level: f64,
    /// A branch of its own from the manifold, where it has one.
    pub inlet: Option<Branch>,
}

impl Settler {
    /// Elevation of the upper edge of its wall `[m]`.
    pub fn top(&self) -> f64 {
        self.floor + self.shape.depth()
    }

    /// Water surface at its overflow `[m2]`.
    pub fn area(&self) -> f64 {
        self.shape.area(self.overflow_level - self.floor)
    }

    /// Water in it `[m3]`.
    pub fn volume(&self) -> f64 {
        self.shape.volume(self.overflow_level - self.floor)
    }
}

/// How water goes through a settler.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SettlerKind {
    /// In through a well in the middle, outward, up to a trough round the rim.
    RadialFlow,
    /// In at one end, out at the other.
    PlainBasin,
}

/// Float valve that tops the sump up.
#[derive(Debug, Clone, PartialEq)]
pub struct TopOff {
    /// Sump level below which it opens `[m]`.
    pub level: f64,
    /// Flow while open `[m3/s]`.
    pub flow: f64,
    /// Bore of its supply `[m]`.
    pub bore: f64,
    /// Water it can draw on `[m3]`; `None`: mains.
    pub reservoir: Option<f64>,
}

/// Something that happens once during a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Incident {
    /// When.
    pub at: IncidentTime,
    /// What.
    pub what: Disturbance,
}

/// When an incident happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum IncidentTime {
    /// At this time `[s]`.
    At(f64),
    /// At the moment of the cycle that gives the worst sump level.
    Worst,
}

/// What an incident does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Disturbance {
    /// The pump stops: power cut or failure.
    PumpStops,
    /// The pump starts again.
    PumpStarts,
    /// Nothing passes this bed's siphon (index of the bed).
    SiphonBlocked(usize),
    /// This share of the drain line's area is blocked, 0 to 1.
    LineBlocked(f64),
    /// This bed's inlet valve is shut (index of the bed).
    ValveShut(usize),
}
