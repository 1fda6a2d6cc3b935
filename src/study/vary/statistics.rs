//! Shares with their sampling error, and rank correlation with its noise.

use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;

/// Two-sided 95 % point of the normal distribution.
pub const NORMAL_95: f64 = 1.959_964;

/// A share of draws with its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// Draws that count.
    pub hits: usize,
    /// Draws in all.
    pub of: usize,
    /// Their ratio; 0 of none is 0.
    pub share: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Share {
    /// `hits` out of `of` with the interval of Wilson 1927 at 95 % (from memory).
    ///
    /// It is that of independent draws. A Latin hypercube's share varies no more
    /// than theirs but for a factor of n / (n - 1) in the variance (Owen 1997, from
    /// memory), so that the interval is wide rather than narrow. Of no draws
    /// everything from 0 to 1 is possible.
    pub fn new(hits: usize, of: usize) -> Self {
        let (n, z2) = (as_f64(of), NORMAL_95 * NORMAL_95);
        let share = if of == 0 { 0.0 } else { as_f64(hits) / n };
        let (low, high) = if of == 0 {
            (0.0, 1.0)
        } else {
            let middle = (share + z2 / (2.0 * n)) / (1.0 + z2 / n);
            let half = NORMAL_95 / (1.0 + z2 / n)
                * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).sqrt();
            // Rounding must not take the ends from where they are known exactly.
            let low = if hits == 0 { 0.0 } else { middle - half };
            let high = if hits == of { 1.0 } else { middle + half };
            (low, high)
        };
        Self {
            hits,
            of,
            share,
            low,
            high,
        }
    }
}

/// Spearman's rank correlation of pairs, ties at their mean rank; 0 where one
/// side does not vary at all or there are fewer than three pairs.
pub fn rank_correlation(pairs: &[(f64, f64)]) -> f64 {
    if pairs.len() < 3 {
        return 0.0;
    }
    let first = ranks(pairs.iter().map(|pair| pair.0));
    let second = ranks(pairs.iter().map(|pair| pair.1));
    let middle = 0.5 * (as_f64(pairs.len()) - 1.0);
    let (mut both, mut one, mut other) = (0.0, 0.0, 0.0);
    for (a, b) in first.iter().zip(&second) {
        let (a, b) = (a - middle, b - middle);
        both += a * b;
        one += a * a;
        other += b * b;
    }
    if one > 0.0 && other > 0.0 {
        both / (one * other).sqrt()
    } else {
        0.0
    }
}

/// Size that the rank correlations of `inputs` unrelated inputs with one margin all
/// stay below in at least 95 of 100 cases, `pairs` draws each; 1 where there are
/// too few to tell.
///
/// A rank correlation of unrelated pairs is close to normal with variance
/// 1 / (n - 1) (Kendall, from memory); of several the chances to stand out add up
/// at most (Bonferroni).
pub fn correlation_noise(pairs: usize, inputs: usize) -> f64 {
    if pairs < 3 {
        return 1.0;
    }
    // Either sign may stand out: 2.5 of 100 for each.
    let point = upper_point(0.025 / as_f64(inputs.max(1)));
    (point / (as_f64(pairs) - 1.0).sqrt()).min(1.0)
}

/// Value that a standard normal number exceeds with the chance `p`, above 0 to 0.5,
/// to 4.5e-4 (Abramowitz & Stegun 1964, 26.2.23, from memory).
fn upper_point(p: f64) -> f64 {
    let t = (-2.0 * p.log_natural()).sqrt();
    let above = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let below = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    t - above / below
}

fn ranks(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut order: Vec<(f64, usize)> = values.zip(0..).collect();
    order.order_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut ranks = vec![0.0; order.len()];
    let mut from = 0;
    while from < order.len() {
        let mut to = from;
        while to + 1 < order.len() && order[to + 1].0 == order[from].0 {
            to += 1;
        }
        let mean = 0.5 * (as_f64(from) + as_f64(to));
        for (_, index) in &order[from..=to] {
            ranks[*index] = mean;
        }
        from = to + 1;
    }
    ranks
}

pub(super) fn as_f64(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::vary::design::Even;

    #[test]
    fn the_interval_has_its_stated_coverage() {
        // Independent draws of a known chance: the interval must hold it about 95 of
        // 100 times. Wilson's is a little off for single chances; 93 to 97 is what
        // 4000 repetitions of these allow.
        for chance in [0.05, 0.3, 0.5, 0.9] {
            let mut random = Even::new(7);
            let mut held = 0;
            for _ in 0..4000 {
                let hits = (0..200).filter(|_| random.unit() < chance).count();
                let found = Share::new(hits, 200);
                held += usize::from(found.low <= chance && chance <= found.high);
            }
            let share = as_f64(held) / 4000.0;
            assert!((0.93..0.97).contains(&share), "{chance}: {share}");
        }
    }

    #[test]
    fn the_ends_stay_within_0_and_1() {
        for of in [1, 2, 10, 1000] {
            for hits in [0, 1, of / 2, of] {
                let found = Share::new(hits, of);
                assert!(0.0 <= found.low && found.low <= found.share, "{found:?}");
                assert!(found.share <= found.high && found.high <= 1.0, "{found:?}");
            }
        }
        // Newcombe 1998, Statistics in Medicine 17, 857, table I: 0 of 20 gives
        // 0 to 0.1611, 15 of 148 gives 0.0624 to 0.1605 (from memory).
        assert!((Share::new(0, 20).high - 0.1611).abs() < 5e-5);
        assert!((Share::new(15, 148).low - 0.0624).abs() < 5e-5);
        assert!((Share::new(15, 148).high - 0.1605).abs() < 5e-5);
    }

    #[test]
    fn ranks_see_order_and_nothing_else() {
        let cubes: Vec<(f64, f64)> = (0..50).map(f64::from).map(|x| (x, x.powi(3))).collect();
        assert!((rank_correlation(&cubes) - 1.0).abs() < 1e-12);
        let down: Vec<(f64, f64)> = cubes.iter().map(|&(x, y)| (x, -y)).collect();
        assert!((rank_correlation(&down) + 1.0).abs() < 1e-12);
        let flat: Vec<(f64, f64)> = cubes.iter().map(|&(x, _)| (x, 1.0)).collect();
        assert_eq!(rank_correlation(&flat), 0.0);
        // By hand: ranks 0 1.5 1.5 3 against 0 1 2 3 give 4.5 / sqrt(4.5 x 5).
        let tied = [(1.0, 1.0), (2.0, 2.0), (2.0, 3.0), (9.0, 4.0)];
        assert!((rank_correlation(&tied) - 4.5 / 22.5_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn unrelated_pairs_stay_below_the_noise_95_times_of_100() {
        let mut random = Even::new(11);
        let above = (0..2000)
            .filter(|_| {
                let pairs: Vec<(f64, f64)> =
                    (0..60).map(|_| (random.unit(), random.unit())).collect();
                rank_correlation(&pairs).abs() > correlation_noise(60, 1)
            })
            .count();
        assert!((60..=140).contains(&above), "{above} of 2000");
    }

    #[test]
    fn of_many_unrelated_inputs_none_stands_out_95_times_of_100() {
        let mut random = Even::new(12);
        let above = (0..400)
            .filter(|_| {
                let margins: Vec<f64> = (0..60).map(|_| random.unit()).collect();
                (0..30).any(|_| {
                    let pairs: Vec<(f64, f64)> =
                        margins.iter().map(|&y| (random.unit(), y)).collect();
                    rank_correlation(&pairs).abs() > correlation_noise(60, 30)
                })
            })
            .count();
        // 20 of 400 at most by the bound, give or take 4.4.
        assert!((4..=33).contains(&above), "{above} of 400");
    }

    #[test]
    fn points_of_the_normal_distribution() {
        // Tables of the normal distribution (from memory).
        for (p, point) in [
            (0.5, 0.0),
            (0.05, 1.644_854),
            (0.025, 1.959_964),
            (0.005, 2.575_829),
            (0.0005, 3.290_527),
            (0.000_05, 3.890_592),
        ] {
            assert!(
                (upper_point(p) - point).abs() < 4.5e-4,
                "{p}: {}",
                upper_point(p)
            );
        }
    }
}
