//! Stable sorting with one copy of the sorting code for every kind of element: the engine inside a
//! page pays for each further copy (a tenth of it was such copies).

use std::cmp::Ordering;

/// Puts elements in order; those that compare equal stay as they stood.
pub trait InOrder<T> {
    /// By a comparison.
    fn order_by(&mut self, compare: impl FnMut(&T, &T) -> Ordering);

    /// By a key of each element.
    fn order_by_key<K: Ord>(&mut self, mut key: impl FnMut(&T) -> K) {
        self.order_by(|a, b| key(a).cmp(&key(b)));
    }
}

impl<T> InOrder<T> for [T] {
    fn order_by(&mut self, mut compare: impl FnMut(&T, &T) -> Ordering) {
        let mut from = order_of(self.len(), &mut |a, b| compare(&self[a], &self[b]));
        // Round each cycle of what takes whose place.
        for start in 0..from.len() {
            let mut at = start;
            while from[at] != start {
                let next = from[at];
                self.swap(at, next);
                from[at] = at;
                at = next;
            }
            from[at] = at;
        }
    }
}

/// Places of `count` elements in their order.
#[inline(never)]
fn order_of(count: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| compare(a, b));
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numerics::split_mix::SplitMix64;

    // The standard library's stable sort is the reference.
    #[test]
    fn the_order_is_that_of_the_standard_library_s_stable_sort() {
        let mut dice = SplitMix64::new(7);
        for count in 0..60 {
            let drawn: Vec<(u64, usize)> = (0..count).map(|k| (dice.next_bits() % 9, k)).collect();
            let (mut ours, mut theirs) = (drawn.clone(), drawn.clone());
            ours.order_by(|a, b| b.0.cmp(&a.0));
            theirs.sort_by_key(|one| std::cmp::Reverse(one.0));
            assert_eq!(ours, theirs);
            let (mut ours, mut theirs) = (drawn.clone(), drawn);
            ours.order_by_key(|one| one.0);
            theirs.sort_by_key(|one| one.0);
            assert_eq!(ours, theirs);
        }
    }
}
