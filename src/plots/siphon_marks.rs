//! The levels that a bed's siphon works by.

use crate::model::{Bed, System};
use crate::simulation::BedOutcome;
use crate::siphon::SiphonLaw;

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
        start: SiphonLaw::new(bed, &system.water, &system.coefficients.nominal()).start_level(0.0),
        break_level: outcome.break_level,
    }
}
