//! Which part of a run a reader needs to see closely.

use crate::simulation::{BedOutcome, EventKind, Run};
use crate::units::UnitSystem;

use super::axis::clock;

/// Cycles shown closely.
const CYCLES: f64 = 3.0;

/// Cycles in the whole run from which on it is drawn as a band.
const MANY_CYCLES: f64 = 33.0;
/// Share of its range within which a level counts as arrived.
const ARRIVED: f64 = 0.01;

/// The parts of a run that plots over time show.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Windows {
    /// The whole run `[s]`.
    pub(super) whole: (f64, f64),
    /// The part shown closely `[s]`; `None`: the whole run fits.
    pub(super) detail: Option<(f64, f64)>,
    /// Longest period of a bed that cycles `[s]`; zero without.
    pub(super) period: f64,
    /// What the close part is, in words.
    what: String,
    /// Length of the run, in words.
    length: String,
}

impl Windows {
    /// What a page shows that has both panels where there are two.
    pub(super) fn caption(&self) -> String {
        if self.detail.is_none() {
            return self.close_caption();
        }
        let band = if self.many_cycles() {
            ", as a band from lowest to highest"
        } else {
            ""
        };
        format!(
            "Wide panel: {}. Narrow panel: the whole run of {}{band}; the black bar under it is \
             what the wide panel shows.",
            self.what, self.length
        )
    }

    /// What a page shows that has the close panels only.
    pub(super) fn close_caption(&self) -> String {
        match self.detail {
            None => format!("Shown: the whole run of {}.", self.length),
            Some(_) => format!("Shown: {}, of a run of {}.", self.what, self.length),
        }
    }

    /// Whether single cycles are too narrow to be drawn over the whole run.
    pub(super) fn many_cycles(&self) -> bool {
        self.period > 0.0 && self.whole.1 / self.period > MANY_CYCLES
    }
}

/// The last cycles before things settle; without cycles, the time in which
/// something happened.
pub(super) fn windows(run: &Run, units: UnitSystem) -> Windows {
    let end = last_time(run);
    let last_siphon_event = run
        .events
        .iter()
        .filter(|event| is_siphons(event.kind))
        .map(|event| event.time)
        .fold(0.0, f64::max);
    let period = run
        .beds
        .iter()
        .filter_map(typical_period)
        .fold(0.0, f64::max);
    let (from, to) = if period > 0.0 {
        // A bed that has stopped cycling shows how it came to stop.
        let to = (last_siphon_event + period).min(end);
        ((to - CYCLES * period).max(0.0), to)
    } else {
        (0.0, 1.3 * last_siphon_event.max(arrival(run)))
    };
    let what = if period > 0.0 {
        let whose = if run.beds.len() > 1 {
            " of the slowest bed"
        } else {
            ""
        };
        format!("{CYCLES:.0} cycles{whose}, ")
    } else {
        "until the levels stand, ".to_owned()
    };
    // A close view that saves little is no help.
    let saves = to > from && to - from < 0.6 * end;
    Windows {
        whole: (0.0, end),
        detail: saves.then_some((from, to)),
        period,
        what: format!("{what}{} to {}", clock(from, false), clock(to, false)),
        length: units.time(end),
    }
}

/// End of the series, or of the run where none was recorded `[s]`.
fn last_time(run: &Run) -> f64 {
    let end = run.recording.time.last().copied().unwrap_or(run.duration);
    if end > 0.0 { end } else { 1.0 }
}

/// When the last bed came to the level it ends at `[s]`.
fn arrival(run: &Run) -> f64 {
    let of_bed = |levels: &[f64]| {
        let last = levels.last().copied()?;
        let low = levels.iter().copied().fold(last, f64::min);
        let high = levels.iter().copied().fold(last, f64::max);
        let away = levels
            .iter()
            .rposition(|level| (level - last).abs() > ARRIVED * (high - low))?;
        run.recording.time.get(away).copied()
    };
    run.recording
        .beds
        .iter()
        .filter_map(|bed| of_bed(&bed.level))
        .fold(0.0, f64::max)
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

/// Period of a bed's last cycles `[s]`.
fn typical_period(bed: &BedOutcome) -> Option<f64> {
    bed.cycles
        .last()
        .map(|cycle| cycle.period())
        .filter(|period| period.is_finite() && *period > 0.0)
}
