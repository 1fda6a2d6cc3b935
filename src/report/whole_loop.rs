//! Words on the events of a scenario, and on long series.

use crate::model::{Disturbance, IncidentTime, System};
use crate::report::words::plain;
use crate::simulation::EventKind;
use crate::units::UnitSystem;

/// A remark on an event that was put at its worst moment.
///
/// `system` is the one with the event in place, `index` the event's place in its
/// list; figures are in `units`.
pub(super) fn worst_remark(system: &System, index: usize, units: UnitSystem) -> String {
    let incident = system.incidents.get(index);
    let what = incident.map_or_else(String::new, |found| phrase(system, found.what));
    let moment = match incident.map(|found| found.at) {
        Some(IncidentTime::At(time)) => format!("was put at {}", units.time(time)),
        Some(IncidentTime::Worst) | None => "has no time yet".to_owned(),
    };
    format!(
        "Event {} ({what}) {moment}: of all moments searched, the worst for the sump.",
        index + 1
    )
}

/// A remark on a series too long to be kept in full, its points `apart` `[s]`.
pub(super) fn spacing_remark(apart: f64, units: UnitSystem) -> String {
    format!(
        "The series would have been too long: the rows of levels.csv and the points of the plots \
         are at least {} apart and miss what happens between. All other figures come from every \
         step.",
        units.time(apart)
    )
}

/// What an event does, as a clause.
pub(crate) fn phrase(system: &System, what: Disturbance) -> String {
    let kind = match what {
        Disturbance::PumpStops => EventKind::PumpStopped,
        Disturbance::PumpStarts => EventKind::PumpStarted,
        Disturbance::SiphonBlocked(bed) => EventKind::SiphonBlocked(bed),
        Disturbance::ValveShut(bed) => EventKind::ValveShut(bed),
        Disturbance::LineBlocked(_) => EventKind::LineBlocked,
    };
    plain(&kind.in_words(system))
}
