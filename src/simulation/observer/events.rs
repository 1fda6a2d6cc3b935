//! Keeps the list of events of a long run short.

use crate::simulation::{Event, EventKind};
use std::collections::HashSet;

/// Most events kept in full.
const MOST_EVENTS: usize = 1_000_000;

/// Events in time order. Of more than a million, those of siphons on their way to a break are
/// left out in the middle, the first of each kept.
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

/// Whether every cycle has such an event, and nothing is told from it but what its break tells.
fn recurs(kind: EventKind) -> bool {
    matches!(
        kind,
        EventKind::LipReached(_)
            | EventKind::LipLeft(_)
            | EventKind::PrimingBegan(_)
            | EventKind::PrimingLost(_)
            | EventKind::FullBoreBegan(_)
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn of_a_million_cycles_all_breaks_are_kept_and_both_ends_in_full() {
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
            if k == count / 2 {
                let kind = EventKind::LipReached(1);
                events.push(Event {
                    time: f64::from(k),
                    kind,
                });
            }
        }
        assert_eq!(events.count(), 2_000_001);
        let list = events.into_list();
        assert!(list.len() < 1_500_000, "{}", list.len());
        let broke = list
            .iter()
            .filter(|event| event.kind == EventKind::Broke(0));
        assert_eq!(broke.count(), 500_000);
        assert!(
            list.iter()
                .any(|event| event.kind == EventKind::LipReached(1))
        );
        assert!(list.is_sorted_by(|a, b| a.time <= b.time));
        let kinds = |events: &[Event]| events.iter().map(|event| event.kind).collect::<Vec<_>>();
        assert_eq!(kinds(&list[..400]), cycle.repeat(100));
        assert_eq!(kinds(&list[list.len() - 400..]), cycle.repeat(100));
    }
}
