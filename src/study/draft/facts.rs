//! What the owner knows, and what is assumed where nobody says.

use std::f64::consts::FRAC_PI_4;

use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::vessel::VesselShape;
use crate::numerics::maths::Maths;
use crate::study::absorb::COMMON_DRUM;
use crate::units::UnitSystem;

/// Inside length and width of a 1000 L pallet tank that was cut open `[m]`; common practice, no
/// source: its cage stands on a pallet of 1.2 m by 1.0 m.
const TOTE: (f64, f64) = (1.16, 0.96);
/// Its inside depth before it is cut `[m]`; common practice, no source.
const TOTE_DEPTH: f64 = 0.95;
/// Depth of a box of which only the volume is known `[m]`, and its length over its width.
const BOX_DEPTH: f64 = 0.45;
const BOX_LONG: f64 = 1.5;
/// Depth over diameter of a fish tank of which only the volume is known; common practice, no source.
const TANK_DEEP: f64 = 0.6;
/// A pump known by one point stops lifting at this many times that height: our own guess.
const STOPS_AT: f64 = 1.5;
/// Beds that are drafted at most.
pub(super) const MOST_BEDS: usize = 12;

/// What is known beforehand; `None` is assumed or found. Measures are inside, SI.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Facts {
    /// Units of the scenario, and whose shops sell the parts.
    pub units: UnitSystem,
    /// How many beds, 1 to 12.
    pub beds: Option<usize>,
    /// Length, width and depth of each bed `[m]`.
    pub bed: Option<[f64; 3]>,
    /// Length and width of the room `[m]`.
    pub room: Option<[f64; 2]>,
    /// Height of the ceiling `[m]`.
    pub ceiling: Option<f64>,
    /// What stands under the beds.
    pub sump: Option<SumpFact>,
    /// How many of it there are, joined at the bottom.
    pub vessels: Option<u32>,
    /// What moves the water.
    pub pump: Option<PumpFact>,
    /// Where the fish live, beside the sump.
    pub tank: Option<TankFact>,
}

/// A fish tank.
#[derive(Debug, Clone, PartialEq)]
pub struct TankFact {
    /// What it is.
    pub vessel: SumpFact,
    /// Height of its bottom over the room's floor `[m]`.
    pub stand: Option<f64>,
}

impl TankFact {
    /// Its shape inside; a round one where only the volume is known.
    pub fn shape(&self) -> VesselShape {
        match &self.vessel {
            SumpFact::Volume(volume) => {
                let diameter = (volume / (FRAC_PI_4 * TANK_DEEP)).cube_root();
                VesselShape::UprightCylinder {
                    diameter,
                    depth: TANK_DEEP * diameter,
                }
            }
            other => other.shape(TOTE_DEPTH),
        }
    }
}

/// A vessel for the sump.
#[derive(Debug, Clone, PartialEq)]
pub enum SumpFact {
    /// The common drum on its side.
    LyingDrum,
    /// The common drum on its end.
    UprightDrum,
    /// A pallet tank, cut open at the height that is needed.
    Tote,
    /// A box of this volume `[m3]`.
    Volume(f64),
    /// A vessel that was measured.
    Shape(VesselShape),
}

/// What is known of the pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PumpFact {
    /// The two figures on its box: most flow `[m3/s]` and highest lift `[m]`.
    Box {
        /// Flow without lift.
        open_flow: f64,
        /// Lift without flow.
        shut_off_head: f64,
    },
    /// One flow `[m3/s]` at one lift `[m]`.
    At {
        /// The flow.
        flow: f64,
        /// The lift.
        head: f64,
    },
    /// A flow measured where the beds are `[m3/s]`.
    Measured(f64),
}

impl PumpFact {
    /// Its curve, by [`PumpCurve::from_box_figures`]; `None` for a measured flow.
    ///
    /// Of one point the shut-off head is guessed as 1.5 times its lift.
    pub fn curve(&self) -> Option<PumpCurve> {
        let (open_flow, shut_off_head) = self.box_figures()?;
        PumpCurve::from_box_figures(shut_off_head, open_flow).ok()
    }

    /// Most flow `[m3/s]` and highest lift `[m]`; `None` for a measured flow.
    pub fn box_figures(&self) -> Option<(f64, f64)> {
        match *self {
            Self::Box {
                open_flow,
                shut_off_head,
            } => Some((open_flow, shut_off_head)),
            Self::At { flow, head } => {
                Some((flow / (1.0 - 1.0 / STOPS_AT).sqrt(), STOPS_AT * head))
            }
            Self::Measured(_) => None,
        }
    }
}

impl SumpFact {
    /// One of it, cut to `depth` `[m]` where it is one that is cut.
    pub fn shape(&self, depth: f64) -> VesselShape {
        let (diameter, length) = COMMON_DRUM;
        match self {
            Self::LyingDrum => VesselShape::LyingCylinder { diameter, length },
            Self::UprightDrum => VesselShape::UprightCylinder {
                diameter,
                depth: length,
            },
            Self::Tote => VesselShape::Box {
                length: TOTE.0,
                width: TOTE.1,
                depth: depth.min(TOTE_DEPTH),
            },
            Self::Volume(volume) => {
                let width = (volume / BOX_DEPTH / BOX_LONG).sqrt();
                VesselShape::Box {
                    length: BOX_LONG * width,
                    width,
                    depth: BOX_DEPTH,
                }
            }
            Self::Shape(shape) => shape.clone(),
        }
    }

    /// Depths to which it may be cut, lowest first; one where it is not cut.
    pub(super) fn cuts(&self) -> Vec<f64> {
        match self {
            Self::Tote => (7..=19).map(|n| 0.05 * f64::from(n)).collect(),
            other => vec![other.shape(0.0).depth()],
        }
    }
}
