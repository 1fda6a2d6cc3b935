//! How much has been worked out, counted and not timed: the same on any machine, whatever the
//! number of threads.
//!
//! One is some 25 nanoseconds: a bed looked at for one moment, or a stretch of drain line.

use std::cell::Cell;

thread_local! {
    static SPENT: Cell<u64> = const { Cell::new(0) };
    static MOST: Cell<u64> = const { Cell::new(u64::MAX) };
}

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
    let (before, most) = (SPENT.replace(0), MOST.replace(u64::MAX));
    let found = work();
    MOST.set(most);
    (found, SPENT.replace(before))
}

/// Does `work`, which is to give up once it has cost `most` ([`is_over`]).
pub fn within<T>(most: u64, work: impl FnOnce() -> T) -> T {
    let before = MOST.get();
    MOST.set(before.min(so_far().saturating_add(most)));
    let found = work();
    MOST.set(before);
    found
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
                within(100, || spend(4));
                (early, is_over())
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
}
