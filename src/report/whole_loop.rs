//! Words on the events of a scenario, and on long series.

use crate::model::{Disturbance, IncidentTime, System};
use crate::report::words::plain;
use crate::report::{Say, Text, said};
use crate::simulation::EventKind;

/// A remark on an event that was put at its worst moment.
///
/// It is said of the system with the event in place; `index` is the event's place in its
/// list.
pub(super) fn worst_remark(say: &Say, index: usize) -> Text {
    let incident = say.system.incidents.get(index);
    let what = incident.map_or_else(String::new, |found| phrase(say.system, found.what));
    let moment = match incident.map(|found| found.at) {
        Some(IncidentTime::At(time)) => said!("was put at {}", say.time("moment", time)),
        Some(IncidentTime::Worst) | None => "has no time yet".into(),
    };
    said!(
        "Event {} ({}) {}: of all moments searched, the worst for the sump.",
        say.count("event", index + 1),
        what,
        moment
    )
}

/// A remark on a series too long to be kept in full, its points `apart` `[s]`.
pub(super) fn spacing_remark(say: &Say, apart: f64) -> Text {
    said!(
        "The series would have been too long: the rows of levels.csv and the points of the plots \
         are at least {} apart and miss what happens between. All other figures come from every \
         step.",
        say.time("apart", apart)
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
