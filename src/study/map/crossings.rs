//! Where an edge of a map crosses its lines: looked for on some of them, and drawn between where it
//! runs straight.

use crate::numerics::map_all::map_all;

/// Every so many lines crossings are looked for, and on the last.
const STRIDE: usize = 4;
/// An edge runs straight enough between two such lines where its slope there takes it no further
/// aside on the next ones `[steps]`: between them an even bend then lies an eighth of that off, a kink a half.
/// A notch between the two is drawn within its gap, which is known, and no closer.
const STRAIGHT: f64 = 0.125;

/// Which way the lines of a map run.
#[derive(Debug, Clone, Copy)]
pub(super) enum Lines {
    /// From each point to the next in its row.
    Rows,
    /// From each point to the one above.
    Columns,
}

/// Two neighbours in a line whose answers differ.
#[derive(Debug, Clone, Copy)]
struct Gap {
    line: usize,
    /// Place of the first in its line.
    at: usize,
}

/// A gap with where the answer changes.
struct Crossing {
    gap: Gap,
    /// Place in its line.
    place: f64,
}

impl Lines {
    fn point(self, n: usize, line: usize, at: usize) -> usize {
        match self {
            Self::Rows => line * n + at,
            Self::Columns => at * n + line,
        }
    }

    fn ends(self, n: usize, gap: Gap) -> (usize, usize) {
        let point = |at| self.point(n, gap.line, at);
        (point(gap.at), point(gap.at + 1))
    }

    /// For each of the `n` by `n` points with these `answers`, row by row, the share of the way to
    /// the next at which the answer changes, if it does; `look` finds it between two neighbours.
    pub(super) fn shares<A: PartialEq + Sync>(
        self,
        n: usize,
        answers: &[A],
        look: impl Fn(usize, usize) -> f64 + Sync,
    ) -> Vec<Option<f64>> {
        let differs = |gap: &Gap| {
            let (here, there) = self.ends(n, *gap);
            answers[here] != answers[there]
        };
        let all = (0..n).flat_map(|line| (0..n - 1).map(move |at| Gap { line, at }));
        let (sought, between): (Vec<Gap>, Vec<Gap>) = all
            .filter(differs)
            .partition(|gap| gap.line.is_multiple_of(STRIDE) || gap.line + 1 == n);
        let looked = |gap: Gap| {
            let (here, there) = self.ends(n, gap);
            look(here, there)
        };
        let found = map_all(sought.iter().copied(), looked);
        let mut known: Vec<Vec<Crossing>> = (0..n).map(|_| Vec::new()).collect();
        for (&gap, &share) in sought.iter().zip(&found) {
            let place = gap.at as f64 + share;
            known[gap.line].push(Crossing { gap, place });
        }
        let same = |one: Gap, other: Gap| {
            let (one, other) = (self.ends(n, one), self.ends(n, other));
            answers[one.0] == answers[other.0] && answers[one.1] == answers[other.1]
        };
        let drawn = map_all(between.iter().copied(), |gap| {
            straight(&known, gap, same).unwrap_or_else(|| looked(gap))
        });
        let mut shares = vec![None; n * n];
        let pairs = sought.iter().zip(&found).chain(between.iter().zip(&drawn));
        for (&gap, &share) in pairs {
            shares[self.ends(n, gap).0] = Some(share);
        }
        shares
    }
}

/// The share at which an edge crosses `gap` if it runs straight between the lines beside that were
/// looked at, `known`; `None` where it does not, or crosses the line elsewhere.
fn straight(known: &[Vec<Crossing>], gap: Gap, same: impl Fn(Gap, Gap) -> bool) -> Option<f64> {
    let nearest = |line: usize, place: f64| {
        let alike = known.get(line)?.iter().filter(|one| same(one.gap, gap));
        alike
            .map(|one| one.place)
            .min_by(|a, b| (a - place).abs().total_cmp(&(b - place).abs()))
    };
    let middle = gap.at as f64 + 0.5;
    let below = gap.line - gap.line % STRIDE;
    let above = (below + STRIDE).min(known.len() - 1);
    let (low, high) = (nearest(below, middle)?, nearest(above, middle)?);
    let slope = (high - low) / (above - below) as f64;
    // Whether the line through the two meets the edge one line further on; there must be one.
    let goes_on = |line: usize| {
        let place = low + slope * (line as f64 - below as f64);
        nearest(line, place).is_some_and(|found| (found - place).abs() <= STRAIGHT)
    };
    let further = [below.checked_sub(STRIDE), Some(above + STRIDE)];
    let mut inside = further
        .into_iter()
        .flatten()
        .filter(|&line| line < known.len());
    if known.len() <= 2 * STRIDE || !inside.all(goes_on) {
        return None;
    }
    let share = low + slope * (gap.line - below) as f64 - gap.at as f64;
    (0.0..=1.0).contains(&share).then_some(share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    // How far what is drawn lies from the truth, and how many crossings there are and were looked for.
    fn crossed(inside: impl Fn(f64, f64) -> bool + Sync) -> (f64, usize, usize) {
        let n = 100;
        let point = |k: usize| ((k % n) as f64, (k / n) as f64);
        let answers: Vec<bool> = (0..n * n)
            .map(|k| {
                let (x, y) = point(k);
                inside(x, y)
            })
            .collect();
        let looked = AtomicUsize::new(0);
        let true_share = |from: usize, to: usize| {
            let ((x0, y0), (x1, y1)) = (point(from), point(to));
            let (near, far) = crate::numerics::root::halve(
                (0.0, 1.0),
                crate::numerics::root::Until::Halvings(20),
                |way| inside(x0 + way * (x1 - x0), y0 + way * (y1 - y0)) == answers[from],
            );
            0.5 * (near + far)
        };
        let (mut worst, mut crossings) = (0.0_f64, 0);
        for lines in [Lines::Rows, Lines::Columns] {
            let shares = lines.shares(n, &answers, |from, to| {
                looked.fetch_add(1, Ordering::Relaxed);
                true_share(from, to)
            });
            let step = match lines {
                Lines::Rows => 1,
                Lines::Columns => n,
            };
            for (k, share) in shares.iter().enumerate() {
                if let Some(share) = share {
                    crossings += 1;
                    worst = worst.max((share - true_share(k, k + step)).abs());
                } else if step == n || k % n + 1 < n {
                    let next = answers.get(k + step);
                    assert!(next.is_none_or(|next| *next == answers[k]), "missed at {k}");
                }
            }
        }
        (worst, crossings, looked.into_inner())
    }

    #[test]
    fn a_smooth_edge_is_drawn_within_a_sixteenth_and_mostly_unseen() {
        let (worst, crossings, looked) = crossed(|x, y| y > 10.2 + 0.4 * x + 0.002 * x * x);
        assert!(worst < 1.0 / 16.0, "{worst}");
        assert!(3 * looked < 2 * crossings, "{looked} of {crossings}");
        let (worst, crossings, looked) =
            crossed(|x, y| (0.37 * x - 0.21..0.37 * x + 9.4).contains(&y));
        assert!(worst < 1e-5, "{worst}");
        assert!(2 * looked < crossings, "{looked} of {crossings}");
    }

    #[test]
    fn an_edge_that_ends_is_looked_at_where_it_does() {
        let (worst, ..) = crossed(|x, y| y < 46.3 && y > 22.7 && x > 30.4 + 0.1 * y);
        assert!(worst < 1e-5, "{worst}");
    }

    #[test]
    fn a_corner_is_looked_at() {
        let (worst, _, _) = crossed(|x, y| (x < 41.3 && y < 62.6) || y < 30.4 - 0.2 * x);
        assert!(worst < 1.0 / 16.0, "{worst}");
    }
}
