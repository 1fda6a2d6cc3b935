//! Which points of a map have to be looked at: those near an edge.

use crate::numerics::in_order::InOrder;
use crate::numerics::map_all::map_all;

/// Side of the largest squares, in steps between points; a power of two.
const SIDE: usize = 4;

/// A square of points: lowest and highest column, lowest and highest row.
#[derive(Clone, Copy)]
struct Square([usize; 2], [usize; 2]);

impl Square {
    /// Squares of `side` steps that cover `n` points each way; smaller ones at the far ends.
    fn all(n: usize, side: usize) -> Vec<Self> {
        let starts = || (0..n.saturating_sub(1)).step_by(side);
        let to = |from: usize| [from, (from + side).min(n - 1)];
        starts()
            .flat_map(|row| starts().map(move |column| Self(to(column), to(row))))
            .collect()
    }

    fn corners(self, n: usize) -> [usize; 4] {
        let Self([left, right], [low, high]) = self;
        [(left, low), (right, low), (left, high), (right, high)].map(|(x, y)| y * n + x)
    }

    fn points(self, n: usize) -> impl Iterator<Item = usize> {
        let Self([left, right], [low, high]) = self;
        (low..=high).flat_map(move |y| (left..=right).map(move |x| y * n + x))
    }
}

/// All points of a map of `n` by `n`, row by row; `look` finds one.
///
/// Squares whose corners agree are filled, others halved; what was filled and has a neighbour
/// that differs is looked at after all.
pub(super) fn filled<A: Clone + PartialEq + Send + Sync>(
    n: usize,
    look: impl Fn(usize) -> A + Sync + Send,
) -> Vec<A> {
    let mut known: Vec<Option<A>> = vec![None; n * n];
    let mut guessed: Vec<Option<A>> = vec![None; n * n];
    let learn = |known: &mut Vec<Option<A>>, mut wanted: Vec<usize>| {
        wanted.order_by(Ord::cmp);
        wanted.dedup();
        wanted.retain(|&k| known[k].is_none());
        let found = map_all(wanted.iter().copied(), &look);
        for (k, answer) in wanted.into_iter().zip(found) {
            known[k] = Some(answer);
        }
    };
    let mut side = SIDE;
    let mut open = Square::all(n, side);
    loop {
        learn(&mut known, open.iter().flat_map(|s| s.corners(n)).collect());
        let mut mixed = Vec::new();
        for square in open {
            let [first, rest @ ..] = square.corners(n);
            if rest.iter().any(|&k| known[k] != known[first]) {
                mixed.push(square);
            } else {
                square
                    .points(n)
                    .for_each(|k| guessed[k] = known[first].clone());
            }
        }
        if side == 1 {
            break;
        }
        side /= 2;
        open = Square::all(n, side);
        open.retain(|small| mixed.iter().any(|large| small.is_in(*large)));
    }
    // Walks along edges that squares have missed.
    loop {
        let answer = |k: usize| known[k].as_ref().or(guessed[k].as_ref());
        let differs = |a: usize, b: usize| answer(a) != answer(b);
        let beside: Vec<usize> = (0..n * n)
            .filter(|&k| known[k].is_none())
            .filter(|&k| {
                let (x, y) = (k % n, k / n);
                (x > 0 && differs(k, k - 1))
                    || (x + 1 < n && differs(k, k + 1))
                    || (y > 0 && differs(k, k - n))
                    || (y + 1 < n && differs(k, k + n))
            })
            .collect();
        if beside.is_empty() {
            break;
        }
        learn(&mut known, beside);
    }
    let all = known.into_iter().zip(guessed);
    all.filter_map(|(known, guessed)| known.or(guessed))
        .collect()
}

impl Square {
    fn is_in(self, large: Self) -> bool {
        let within = |[a, b]: [usize; 2], [low, high]: [usize; 2]| low <= a && b <= high;
        within(self.0, large.0) && within(self.1, large.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// How many of the points of `map` are looked at, all being told as they are.
    fn looked(n: usize, map: impl Fn(usize, usize) -> u8 + Sync + Send) -> usize {
        let count = AtomicUsize::new(0);
        let cells = filled(n, |k| {
            count.fetch_add(1, Ordering::Relaxed);
            map(k % n, k / n)
        });
        assert_eq!(cells.len(), n * n);
        for (k, cell) in cells.iter().enumerate() {
            assert_eq!(*cell, map(k % n, k / n), "{n}: {} {}", k % n, k / n);
        }
        count.into_inner()
    }

    #[test]
    fn regions_come_out_as_they_are_and_their_insides_unseen() {
        for n in [2, 3, 4, 5, 17, 100] {
            let disc = |x: usize, y: usize| u8::from(2 * (x * x + y * y) < n * n);
            let strip = |x: usize, y: usize| u8::from(x > y / 2 + 3) + u8::from(x > y / 2 + 4);
            let (disc, strip) = (looked(n, disc), looked(n, strip));
            if n == 100 {
                assert!(disc < 1500 && strip < 1500, "{disc} {strip}");
            }
        }
    }

    // It leaves the squares of the edge that it hangs on between two corners.
    #[test]
    fn a_tongue_between_the_corners_is_walked_along() {
        let tongue = |x: usize, y: usize| u8::from(x < 10 || (x < 50 && (y == 21 || y == 22)));
        looked(100, tongue);
    }
}
