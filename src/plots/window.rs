//! Which part of a run a reader needs to see closely.

use crate::simulation::{BedOutcome, EventKind, Run};
use crate::units::UnitSystem;

use super::axis::clock;

/// Cycles shown closely.
const CYCLES: f64 = 3.0;

/// The parts of a run that plots over time show.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Windows {
    /// The whole run [s].
    pub(super) whole: (f64, f64),
    /// The part shown closely [s]; `None`: the whole run fits.
    pub(super) detail: Option<(f64, f64)>,
    /// What the part is, in words.
    pub(super) caption: String,
    /// Longest period of a bed that cycles [s]; zero without.
    pub(super) period: f64,
}

/// The last cycles before things settle; without cycles, the time in which
/// something happened.
pub(super) fn windows(run: &Run, units: UnitSystem) -> Windows {
    let end = last_time(run);
    let whole = (0.0, end);
    let last_siphon_event = run
        .events
        .iter()
        .filter(|event| is_siphons(event.kind))
        .map(|event| event.time)
        .fold(0.0, f64::max);
    let slowest = run
        .beds
        .iter()
        .filter_map(typical_period)
        .fold(0.0, f64::max);

    let (from, to, what) = if slowest > 0.0 {
        // A bed that has stopped cycling shows how it came to stop.
        let to = (last_siphon_event + slowest).min(end);
        (to - CYCLES * slowest, to, format!("{CYCLES:.0} cycles"))
    } else {
        let to = if last_siphon_event > 0.0 {
            1.5 * last_siphon_event
        } else {
            end
        };
        (0.0, to, "the first part".to_owned())
    };
    let from = from.max(0.0);
    // A close view that saves little is no help.
    if to - from > 0.6 * end || to <= from {
        return Windows {
            whole,
            detail: None,
            caption: format!("Shown: the whole run of {}.", units.time(end)),
            period: slowest,
        };
    }
    let of_slowest = if slowest > 0.0 && run.beds.len() > 1 {
        " of the slowest bed"
    } else {
        ""
    };
    Windows {
        whole,
        detail: Some((from, to)),
        caption: format!(
            "Wide panel: {what}{of_slowest}, {} to {}. Narrow panel: the whole run of {}, with a bar \
             where the wide one is; a filled band goes from lowest to highest.",
            clock(from, false),
            clock(to, false),
            units.time(end)
        ),
        period: slowest,
    }
}

/// End of the series, or of the run where none was recorded [s].
fn last_time(run: &Run) -> f64 {
    let end = run.recording.time.last().copied().unwrap_or(run.duration);
    if end > 0.0 { end } else { 1.0 }
}

fn is_siphons(kind: EventKind) -> bool {
    matches!(
        kind,
        EventKind::LipReached(_)
            | EventKind::PrimingBegan(_)
            | EventKind::PrimingLost(_)
            | EventKind::FullBoreBegan(_)
            | EventKind::Broke(_)
            | EventKind::RunOnBegan(_)
            | EventKind::BedOverflowBegan(_)
    )
}

/// Period of a bed's last cycles [s].
fn typical_period(bed: &BedOutcome) -> Option<f64> {
    bed.cycles
        .last()
        .map(|cycle| cycle.period())
        .filter(|period| period.is_finite() && *period > 0.0)
}
