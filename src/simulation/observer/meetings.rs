//! Breaks that coincide, counted as they pass.

use crate::numerics::in_order::InOrder;
use crate::simulation::Coincidence;
use std::collections::VecDeque;

/// Breaks closer than this coincide `[s]`.
const COINCIDENCE: f64 = 60.0;
/// Most of them that are kept: with every bed more there are more pairs, at every flood.
const MOST_KEPT: usize = 1000;

/// A break: its number, its time `[s]`, its bed.
#[derive(Debug, Clone, Copy)]
struct Break {
    number: usize,
    time: f64,
    bed: usize,
}

/// The first coincidences, by their earlier breaks, and how many there were.
#[derive(Debug, Clone, Default)]
pub(super) struct Meetings {
    /// Breaks that a later one can still coincide with.
    recent: VecDeque<Break>,
    breaks: usize,
    /// With the number of the earlier break.
    found: Vec<(usize, Coincidence)>,
    count: usize,
}

impl Meetings {
    /// Takes in that the siphon of `bed` broke at `time` `[s]`, no earlier than those before it.
    pub(super) fn broke(&mut self, time: f64, bed: usize) {
        let early = |earlier: &Break| time - earlier.time > COINCIDENCE;
        while self.recent.front().is_some_and(early) {
            self.recent.pop_front();
        }
        for earlier in self.recent.iter().filter(|earlier| earlier.bed != bed) {
            self.count += 1;
            let meeting = Coincidence {
                time: earlier.time,
                first: earlier.bed,
                second: bed,
            };
            self.found.push((earlier.number, meeting));
        }
        if self.found.len() > 2 * MOST_KEPT {
            self.cut();
        }
        let number = self.breaks;
        self.recent.push_back(Break { number, time, bed });
        self.breaks += 1;
    }

    /// Keeps those whose earlier break came first.
    fn cut(&mut self) {
        self.found.order_by_key(|(number, _)| *number);
        self.found.truncate(MOST_KEPT);
    }

    /// The first that coincide, and how many did.
    pub(super) fn told(mut self) -> (Vec<Coincidence>, usize) {
        self.cut();
        let found = self.found.into_iter().map(|(_, meeting)| meeting);
        (found.collect(), self.count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(breaks: impl IntoIterator<Item = (f64, usize)>) -> (Vec<Coincidence>, usize) {
        let mut meetings = Meetings::default();
        for (time, bed) in breaks {
            meetings.broke(time, bed);
        }
        meetings.told()
    }

    fn floods(count: u32) -> impl Iterator<Item = (f64, usize)> {
        let flood = |n: u32| {
            (0..100_u8).map(move |b| (900.0 * f64::from(n) + 0.1 * f64::from(b), usize::from(b)))
        };
        (0..count).flat_map(flood)
    }

    #[test]
    fn beds_that_always_break_together_are_counted_and_not_all_listed() {
        let (kept, count) = told(floods(3));
        assert_eq!(count, 3 * 100 * 99 / 2);
        // The first ten meet 99, 98, ... 90 others, the eleventh the rest of a thousand.
        let pairs = (0..11).flat_map(|first| (first + 1..100).map(move |second| (first, second)));
        let kept = kept.iter().map(|meeting| (meeting.first, meeting.second));
        assert!(kept.eq(pairs.take(MOST_KEPT)));
        let (kept, count) = told(floods(1).take(2));
        assert_eq!((kept.len(), count), (1, 1));
    }

    #[test]
    fn what_can_meet_nothing_any_more_is_forgotten() {
        let mut meetings = Meetings::default();
        for (time, bed) in floods(50) {
            meetings.broke(time, bed);
            assert!(meetings.recent.len() <= 100 && meetings.found.len() <= 2 * MOST_KEPT);
        }
        assert_eq!(meetings.told().1, 50 * 100 * 99 / 2);
    }

    #[test]
    fn a_minute_apart_they_meet_and_a_bed_never_meets_itself() {
        let (kept, count) = told([(0.0, 0), (30.0, 0), (60.0, 1), (90.0, 2), (121.0, 0)]);
        let pairs: Vec<(f64, usize, usize)> = kept
            .iter()
            .map(|one| (one.time, one.first, one.second))
            .collect();
        let wanted = [
            (0.0, 0, 1),
            (30.0, 0, 1),
            (30.0, 0, 2),
            (60.0, 1, 2),
            (90.0, 2, 0),
        ];
        assert_eq!(pairs, wanted);
        assert_eq!(count, 5);
    }
}
