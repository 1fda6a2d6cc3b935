//! How much has been worked out, counted and not timed: the same on any machine, whatever the
//! number of threads.
//!
//! One is some 25 nanoseconds: a bed looked at for one moment, or a stretch of drain line.

use std::cell::Cell;

thread_local! {
    static SPENT: Cell<u64> = const { Cell::new(0) };
    static MOST: Cell<u64> = const { Cell::new(u64::MAX) };
    /// Whether a piece that was worked out for this one came to the end of its share.
    static CUT_OFF: Cell<bool> = const { Cell::new(false) };
}

/// Of so many pieces each may take all that is left; of more, so many times its equal part.
const UNEVEN: u64 = 4;

/// Counts `effort` more.
pub fn spend(effort: u64) {
    SPENT.set(SPENT.get() + effort);
}

/// What has been spent so far on this piece of work.
pub fn so_far() -> u64 {
    SPENT.get()
}

/// What `work` comes to, and what that cost; not counted any further.
///
/// What a thread does meanwhile for another piece of work is left out of both.
pub fn of<T>(work: impl FnOnce() -> T) -> (T, u64) {
    let piece = piece(u64::MAX, work);
    (piece.found, piece.spent)
}

/// What a piece of work came to by itself.
pub(super) struct Piece<T> {
    pub(super) found: T,
    pub(super) spent: u64,
    /// Whether it came to the end of what it might cost.
    pub(super) cut_off: bool,
}

/// `work` by itself, which is to give up once it has cost `most`.
pub(super) fn piece<T>(most: u64, work: impl FnOnce() -> T) -> Piece<T> {
    let before = (SPENT.replace(0), MOST.replace(most), CUT_OFF.replace(false));
    let found = work();
    let piece = Piece {
        found,
        cut_off: is_over() || CUT_OFF.get(),
        spent: SPENT.replace(before.0),
    };
    MOST.set(before.1);
    CUT_OFF.set(before.2);
    piece
}

/// What each of so many pieces of this work may cost: together at most [`UNEVEN`] times what is
/// left, so that a piece may be dearer than others.
pub(super) fn share(pieces: usize) -> u64 {
    match MOST.get() {
        u64::MAX => u64::MAX,
        most => most.saturating_sub(so_far()) / (pieces as u64).div_ceil(UNEVEN).max(1),
    }
}

/// Counts what a piece has cost as done here.
pub(super) fn bring_home<T>(piece: Piece<T>) -> T {
    spend(piece.spent);
    CUT_OFF.set(CUT_OFF.get() || piece.cut_off);
    piece.found
}

/// Does `work`, which is to give up once it has cost `most` ([`is_over`]).
pub fn within<T>(most: u64, work: impl FnOnce() -> T) -> T {
    told_within(most, work).0
}

/// The same, and whether any of it was given up.
pub fn told_within<T>(most: u64, work: impl FnOnce() -> T) -> (T, bool) {
    let before = (MOST.get(), CUT_OFF.replace(false));
    MOST.set(before.0.min(so_far().saturating_add(most)));
    let found = work();
    let cut_off = is_over() || CUT_OFF.get();
    MOST.set(before.0);
    CUT_OFF.set(before.1);
    (found, cut_off)
}

/// Whether the piece of work that is being done has cost what it may.
pub fn is_over() -> bool {
    so_far() >= MOST.get()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numerics::map_all::map_all;

    #[test]
    fn a_limit_holds_inside_and_no_longer_than_its_work() {
        let (ends, _) = of(|| {
            let inner = within(10, || {
                spend(6);
                let early = is_over();
                // A wider one does not widen it.
                let inside = within(100, || {
                    spend(4);
                    is_over()
                });
                (early, inside && is_over())
            });
            (inner, is_over())
        });
        assert_eq!(ends, ((false, true), false));
    }

    // Threads take work from each other while they wait.
    #[test]
    fn effort_is_the_same_however_the_work_is_shared_out() {
        let piece = |n: u64| {
            let inner = map_all(0..n, |k| {
                spend(k);
                std::hint::black_box((0..2000 * k).sum::<u64>())
            });
            spend(1);
            (inner.len(), so_far())
        };
        for _ in 0..20 {
            let (pieces, all) = of(|| map_all(0..24_u64, piece));
            let own = |n: u64| n * n.saturating_sub(1) / 2 + 1;
            for (n, (_, spent)) in (0_u64..).zip(pieces) {
                assert_eq!(spent, own(n), "piece {n}");
            }
            assert_eq!(all, (0..24).map(own).sum::<u64>());
        }
    }

    /// Spends until it may spend no more, or has spent `most`.
    fn eager(most: u64) -> u64 {
        while !is_over() && so_far() < most {
            spend(1);
        }
        so_far()
    }

    #[test]
    fn pieces_share_what_is_left_and_tell_when_one_came_to_its_end() {
        let ((pieces, all), cut_off) = told_within(1000, || {
            spend(200);
            (map_all(0..16, |_| eager(u64::MAX)), so_far())
        });
        assert_eq!(pieces, vec![200; 16], "a quarter of the 800 that were left");
        assert!(cut_off && all == 200 + 16 * 200, "{all}");
        let (frugal, cut_off) = told_within(1000, || map_all(0..16, |_| eager(50)));
        assert!(!cut_off && frugal == [50; 16]);
        // One that is dearer than its equal part of 62 need not give up.
        let (_, cut_off) = told_within(1000, || map_all(0..16, |k| eager(10 + 15 * k)));
        assert!(cut_off, "what all cost is more than they may");
        let (uneven, cut_off) = told_within(1000, || {
            map_all(0..16, |k| eager(if k == 7 { 240 } else { 10 }))
        });
        assert!(!cut_off && uneven[7] == 240);
    }

    #[test]
    fn what_is_given_up_inside_is_told_there_and_no_farther() {
        let (inner, outer) = told_within(1000, || {
            told_within(100, || map_all(0..2, |_| eager(u64::MAX))).1
        });
        assert!(inner && !outer);
        // Nobody asked: nothing is left over for those who ask later.
        within(100, || map_all(0..2, |_| eager(u64::MAX)));
        assert!(!told_within(1000, || spend(1)).1);
    }

    #[test]
    fn what_was_spent_before_is_no_part_of_a_piece_and_still_there_after_it() {
        let (inner, all) = of(|| {
            spend(5);
            let (seen, spent) = of(|| {
                spend(3);
                so_far()
            });
            (seen, spent, so_far())
        });
        assert_eq!((inner, all), ((3, 3, 5), 5));
    }

    #[test]
    fn one_piece_that_gives_up_is_told_although_all_had_enough() {
        let (later, cut_off) = told_within(1000, || {
            map_all(0..16, |k| eager(if k == 7 { u64::MAX } else { 10 }));
            assert!(!is_over());
            told_within(500, || spend(1)).1
        });
        assert!(
            cut_off && !later,
            "told once, and not again for what comes after"
        );
    }

    #[test]
    fn without_a_limit_pieces_have_none() {
        let (free, _) = of(|| map_all(0..64, |_| eager(10_000)));
        assert_eq!(free, [10_000; 64]);
    }
}
