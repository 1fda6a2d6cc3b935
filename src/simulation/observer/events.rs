//! Keeps the list of events of a long run short.

use crate::simulation::{Event, EventKind};
use std::collections::HashSet;

/// Most events kept in full.
const MOST_EVENTS: usize = 1_000_000;

/// Events in time order. Of more than a million, those that recur are left out in the middle, the
/// first of each kept: never many more than that.
#[derive(Debug, Clone, Default)]
pub(super) struct Events {
    list: Vec<Event>,
    count: usize,
    /// Looked through again when there are so many.
    most: usize,
}

impl Events {
    pub(super) fn push(&mut self, event: Event) {
        self.list.push(event);
        self.count += 1;
        if self.list.len() > self.most.max(MOST_EVENTS) {
            thin(&mut self.list);
            self.most = 2 * self.list.len();
        }
    }

    /// How many there were.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    pub(super) fn into_list(self) -> Vec<Event> {
        self.list
    }
}

/// Takes what every cycle repeats out of the middle half.
fn thin(list: &mut Vec<Event>) {
    let quarter = list.len() / 4;
    let middle = quarter..list.len() - quarter;
    let mut met = HashSet::new();
    let mut place = 0;
    list.retain(|event| {
        let inside = middle.contains(&place);
        place += 1;
        met.insert(event.kind) || !inside || !recurs(event.kind)
    });
}

/// Whether cycles, timer and float valve bring such an event again and again; incidents and parts
/// that hang are told one by one.
fn recurs(kind: EventKind) -> bool {
    !matches!(
        kind,
        EventKind::PumpStopped
            | EventKind::PumpStarted
            | EventKind::SiphonBlocked(_)
            | EventKind::LineBlocked
            | EventKind::ValveShut(_)
            | EventKind::Hangs(_)
            | EventKind::ReservoirSpent
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn of_a_million_cycles_both_ends_and_what_never_recurs_are_kept() {
        let mut events = Events::default();
        let cycle = [
            EventKind::LipReached(0),
            EventKind::PrimingBegan(0),
            EventKind::FullBoreBegan(0),
            EventKind::Broke(0),
        ];
        let count = 500_000;
        for k in 0..count {
            for kind in cycle {
                let time = f64::from(k);
                events.push(Event { time, kind });
            }
            if k == count / 7 {
                for kind in [EventKind::LipReached(1), EventKind::PumpStopped].repeat(2) {
                    let time = f64::from(k);
                    events.push(Event { time, kind });
                }
            }
            assert!(
                events.list.len() <= MOST_EVENTS + 8,
                "{}",
                events.list.len()
            );
        }
        assert_eq!(events.count(), 2_000_004);
        let list = events.into_list();
        for (kind, kept) in [(EventKind::LipReached(1), 1), (EventKind::PumpStopped, 2)] {
            let those = list.iter().filter(|event| event.kind == kind);
            assert_eq!(those.count(), kept, "{kind:?}");
        }
        assert!(list.is_sorted_by(|a, b| a.time <= b.time));
        let kinds = |events: &[Event]| events.iter().map(|event| event.kind).collect::<Vec<_>>();
        assert_eq!(kinds(&list[..400]), cycle.repeat(100));
        assert_eq!(kinds(&list[list.len() - 400..]), cycle.repeat(100));
    }
}
