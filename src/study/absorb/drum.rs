//! A drum on its end or on its side.

use crate::hydraulics::vessel::VesselShape;

/// A common drum, inside measures `[m]`: 22.5 in across and 33.5 in long, the 55 US gal
/// tight-head steel drum as listed in trade tables; the standard behind them (ANSI MH2)
/// was not opened.
pub const COMMON_DRUM: (f64, f64) = (0.5715, 0.8509);

/// A longer vessel on its side is no drum that could be stood on its end, but a trough or
/// several drums written as one: times its diameter. Common practice, no source: drums are
/// made one and a half times as long as wide.
const LONGEST_DRUM: f64 = 2.5;

/// The drum under comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drum {
    /// Inside diameter `[m]`.
    pub diameter: f64,
    /// Inside length `[m]`.
    pub length: f64,
    /// Whether it is the sump as it is; else [`COMMON_DRUM`].
    pub is_present: bool,
}

/// What stands under the beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stance {
    /// The sump as it is, where it is no drum.
    AsItIs,
    /// The drum on its end.
    Upright,
    /// The drum on its side.
    Lying,
}

pub(super) fn drum_of(shape: &VesselShape) -> Drum {
    match *shape {
        VesselShape::UprightCylinder { diameter, depth } => Drum {
            diameter,
            length: depth,
            is_present: true,
        },
        VesselShape::LyingCylinder { diameter, length } if length < LONGEST_DRUM * diameter => {
            Drum {
                diameter,
                length,
                is_present: true,
            }
        }
        _ => Drum {
            diameter: COMMON_DRUM.0,
            length: COMMON_DRUM.1,
            is_present: false,
        },
    }
}

/// A drum on its end or its side.
pub(super) fn stood(drum: Drum, stance: Stance) -> VesselShape {
    match stance {
        Stance::Lying => VesselShape::LyingCylinder {
            diameter: drum.diameter,
            length: drum.length,
        },
        _ => VesselShape::UprightCylinder {
            diameter: drum.diameter,
            depth: drum.length,
        },
    }
}
