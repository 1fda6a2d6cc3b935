//! Keeps the cycles of a bed over a run of any length.

use crate::numerics::in_order::InOrder;
use crate::simulation::Cycle;

/// Most cycles of a bed that are kept evenly spread.
const MOST_CYCLES: usize = 2000;
/// How many at the end are kept, whatever their number: successive ones are compared.
const LAST: usize = 3;
/// Least over greatest of periods that are alike `[-]`: beds that share a pump differ by a few per cent.
const ALIKE: f64 = 0.9;
/// Figures of which the lowest and the highest of all cycles are kept.
const FIGURES: [fn(&Cycle) -> f64; 11] = [
    Cycle::period,
    |cycle| cycle.fill,
    |cycle| cycle.prime,
    |cycle| cycle.drain,
    |cycle| cycle.peak_level,
    |cycle| cycle.water,
    |cycle| cycle.sump_level,
    |cycle| cycle.sump_range.0,
    |cycle| cycle.sump_range.1,
    |cycle| cycle.left_depth,
    |cycle| cycle.left_volume,
];

/// Cycles in time order: all, or of more than some thousands every so many, with the last few
/// and with those in which a figure was lowest or highest.
#[derive(Debug, Clone)]
pub(super) struct Cycles {
    spread: Vec<Cycle>,
    /// Of how many one is in `spread`.
    every: usize,
    count: usize,
    last: Vec<Cycle>,
    /// By figure.
    lowest: Vec<Cycle>,
    highest: Vec<Cycle>,
}

impl Default for Cycles {
    fn default() -> Self {
        Self {
            spread: Vec::new(),
            every: 1,
            count: 0,
            last: Vec::new(),
            lowest: Vec::new(),
            highest: Vec::new(),
        }
    }
}

impl Cycles {
    pub(super) fn push(&mut self, cycle: Cycle) {
        if self.count == 0 {
            self.lowest = vec![cycle; FIGURES.len()];
            self.highest = vec![cycle; FIGURES.len()];
        }
        for (k, figure) in FIGURES.iter().enumerate() {
            if figure(&cycle) < figure(&self.lowest[k]) {
                self.lowest[k] = cycle;
            }
            if figure(&cycle) > figure(&self.highest[k]) {
                self.highest[k] = cycle;
            }
        }
        if self.last.len() == LAST {
            self.last.remove(0);
        }
        self.last.push(cycle);
        if self.count.is_multiple_of(self.every) {
            self.spread.push(cycle);
            if self.spread.len() > MOST_CYCLES {
                let mut place = 0_usize;
                self.spread.retain(|_| {
                    place += 1;
                    !place.is_multiple_of(2)
                });
                self.every *= 2;
            }
        }
        self.count += 1;
    }

    /// How many there were.
    pub(super) fn count(&self) -> usize {
        self.count
    }

    pub(super) fn is_empty(&self) -> bool {
        self.count == 0
    }

    pub(super) fn last(&self) -> Option<&Cycle> {
        self.last.last()
    }

    /// The last three, once there are so many.
    pub(super) fn last_three(&self) -> Option<&[Cycle]> {
        (self.last.len() == LAST).then_some(self.last.as_slice())
    }

    /// Whether the last three took about as long: what still comes to its cycle, or leaves it, has
    /// not told what it does.
    pub(super) fn are_alike(&self) -> bool {
        let periods = || self.last.iter().map(Cycle::period);
        let longest = periods().fold(0.0, f64::max);
        self.last.len() == LAST && periods().all(|period| period >= ALIKE * longest)
    }

    pub(super) fn into_list(mut self) -> Vec<Cycle> {
        if self.every > 1 {
            self.spread.append(&mut self.last);
            self.spread.append(&mut self.lowest);
            self.spread.append(&mut self.highest);
            self.spread.order_by(|a, b| a.began.total_cmp(&b.began));
            self.spread.dedup_by(|a, b| a.began == b.began);
        }
        self.spread
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cycle(k: u32) -> Cycle {
        let odd = if k == 77_777 { 5.0 } else { 0.0 };
        Cycle {
            began: 900.0 * f64::from(k),
            fill: 600.0 + odd,
            trickle: 30.0,
            prime: 60.0,
            drain: 240.0 - odd,
            peak_level: 1.2,
            water: 0.1,
            sump_level: 0.4 - 1e-3 * odd,
            sump_range: (0.3, 0.45),
            left_depth: 0.0,
            left_volume: 0.0,
        }
    }

    #[test]
    fn of_a_hundred_thousand_cycles_some_are_kept_and_every_extreme() {
        let mut cycles = Cycles::default();
        for k in 0..100_000 {
            cycles.push(cycle(k));
        }
        assert_eq!(cycles.count(), 100_000);
        let list = cycles.into_list();
        assert!((900..2100).contains(&list.len()), "{}", list.len());
        assert!(list.is_sorted_by(|a, b| a.began < b.began));
        assert_eq!(list[0], cycle(0));
        let tail: Vec<Cycle> = (99_997..100_000).map(cycle).collect();
        assert_eq!(list[list.len() - 3..], tail);
        assert!(list.contains(&cycle(77_777)));
    }

    #[test]
    fn cycles_that_shrink_are_not_alike_and_two_tell_nothing() {
        let shrinking = |share: f64| {
            let mut cycles = Cycles::default();
            for k in 0..3 {
                let one = cycle(k);
                cycles.push(Cycle {
                    fill: one.fill * share.powi(k as i32),
                    ..one
                });
            }
            cycles.are_alike()
        };
        assert!(shrinking(1.0));
        assert!(!shrinking(0.9));
        let mut two = Cycles::default();
        (0..2).for_each(|k| two.push(cycle(k)));
        assert!(!two.are_alike());
    }

    #[test]
    fn of_a_day_of_cycles_all_are_kept() {
        let mut cycles = Cycles::default();
        let all: Vec<Cycle> = (0..96).map(cycle).collect();
        for cycle in &all {
            cycles.push(*cycle);
        }
        assert_eq!(cycles.into_list(), all);
    }
}
