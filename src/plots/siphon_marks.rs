//! The levels that a bed's siphon works by.

use crate::model::{Bed, Coefficient, System};
use crate::simulation::BedOutcome;

/// Elevations [m].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SiphonMarks {
    /// Water above this leaves less than the wanted dry layer.
    pub(super) dry_limit: f64,
    /// Priming begins here.
    pub(super) start: f64,
    /// It breaks here.
    pub(super) break_level: f64,
}

/// The levels of one bed, nominal coefficients.
pub(super) fn siphon_marks(system: &System, bed: &Bed, outcome: &BedOutcome) -> SiphonMarks {
    SiphonMarks {
        dry_limit: bed.media_surface() - system.thresholds.dry_layer,
        start: start_level(system, bed),
        break_level: outcome.break_level,
    }
}

fn start_level(system: &System, bed: &Bed) -> f64 {
    let c = system.coefficients.nominal();
    let pipe = &bed.siphon.standpipe;
    let area = std::f64::consts::FRAC_PI_4 * pipe.bore * pipe.bore;
    let q = c.get(Coefficient::StartFroude) * area * (9.80665 * pipe.bore).sqrt();
    let weir = (q / (c.get(Coefficient::LipWeir) * std::f64::consts::PI * pipe.lip_diameter))
        .powf(2.0 / 3.0);
    let orifice = (q / (c.get(Coefficient::LipOrifice) * area)).powi(2) / (2.0 * 9.80665);
    pipe.lip + weir.max(orifice)
}
