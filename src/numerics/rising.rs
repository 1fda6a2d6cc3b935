//! Rising functions tabulated once and turned round often.

use crate::numerics::root::newton;

/// Cubic pieces along a rising function, short where it bends, to find its
/// argument from its value.
#[derive(Debug, Clone)]
pub struct RisingTable {
    pieces: Vec<Piece>,
    /// Largest value.
    top: f64,
}

/// One cubic in the share of the piece passed.
#[derive(Debug, Clone, Copy)]
struct Piece {
    from: f64,
    width: f64,
    cubic: [f64; 4],
}

/// Argument, value and slope.
type Node = (f64, f64, f64);

const MOST_PIECES: usize = 1024;
/// Pieces to begin with.
const FIRST_PIECES: u32 = 8;
/// Shortest piece, as a share of the whole: over a kink no length is short enough.
const SHORTEST: f64 = 1e-4;

impl RisingTable {
    /// Tabulates `f`, rising and smooth but for kinks, on `[low, high]`, halving pieces
    /// until each agrees with it to `tolerance` in its middle, or is a ten-thousandth of
    /// the whole. Slopes are taken from differences.
    ///
    /// `None` when 1024 pieces do not reach it, when the interval is empty, or when a
    /// value is not finite or does not rise.
    pub fn new(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Option<Self> {
        if !(low < high && low.is_finite() && high.is_finite()) {
            return None;
        }
        // About the root of the rounding error: as much lost to rounding as to the bend.
        let step = 1e-7 * (high - low);
        let node = |x: f64| -> Node {
            // Nothing is asked beyond the upper end.
            let step = if x + step <= high { step } else { -step };
            let value = f(x);
            (x, value, (f(x + step) - value) / step)
        };
        let mut pieces: Vec<Piece> = Vec::with_capacity(64);
        let mut last = node(low);
        // Pieces still to be made, the lowest on top.
        let mut ends: Vec<Node> = (1..=FIRST_PIECES)
            .rev()
            .map(|i| {
                let share = f64::from(i) / f64::from(FIRST_PIECES);
                node(low + share * (high - low))
            })
            .collect();
        while let Some(end) = ends.pop() {
            let middle = node(0.5 * (last.0 + end.0));
            // Pieces too long for their bend are no cubics that rise: halved like the others.
            let close = Piece::between(last, end).is_some_and(|whole| {
                // Halves are sixteen times closer, four times where curvature jumps.
                (whole.value(0.5) - middle.1).abs() <= 4.0 * tolerance
            });
            if close || end.0 - last.0 <= SHORTEST * (high - low) {
                pieces.push(Piece::between(last, middle)?);
                pieces.push(Piece::between(middle, end)?);
                last = end;
            } else {
                ends.push(end);
                ends.push(middle);
            }
            if pieces.len() + ends.len() > MOST_PIECES {
                return None;
            }
        }
        Some(Self {
            pieces,
            top: last.1,
        })
    }

    /// Whether `value` is one of the function's.
    #[inline]
    pub fn reaches(&self, value: f64) -> bool {
        self.pieces
            .first()
            .is_some_and(|first| value >= first.cubic[0] && value <= self.top)
    }

    /// Argument, value and slope of the argument at the lowest end.
    #[inline]
    pub fn bottom(&self) -> Option<(f64, f64, f64)> {
        let first = self.pieces.first()?;
        let slope = first.width / first.cubic[1];
        slope
            .is_finite()
            .then_some((first.from, first.cubic[0], slope))
    }

    /// Where the function has `value`, which it must reach.
    #[inline]
    pub fn argument(&self, value: f64) -> f64 {
        let after = self.pieces.partition_point(|p| p.cubic[0] <= value);
        self.pieces
            .get(after.saturating_sub(1))
            .map_or(f64::NAN, |piece| piece.argument(value))
    }
}

impl Piece {
    /// `None` when it does not rise or is not finite.
    fn between(a: Node, b: Node) -> Option<Self> {
        let width = b.0 - a.0;
        let (slope_a, slope_b, rise) = (a.2 * width, b.2 * width, b.1 - a.1);
        // A cubic with end slopes up to three times the mean rises throughout
        // (Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238).
        let rises = |slope: f64| slope >= 0.0 && slope <= 3.0 * rise;
        let bend = 3.0 * rise - 2.0 * slope_a - slope_b;
        (rise > 0.0 && rises(slope_a) && rises(slope_b)).then_some(Self {
            from: a.0,
            width,
            cubic: [a.1, slope_a, bend, slope_a + slope_b - 2.0 * rise],
        })
    }

    fn value(&self, t: f64) -> f64 {
        let c = &self.cubic;
        c[0] + t * (c[1] + t * (c[2] + t * c[3]))
    }

    /// By Newton's rule, held inside the piece.
    fn argument(&self, value: f64) -> f64 {
        let [start, slope, bend, twist] = self.cubic;
        let sought = value - start;
        let guess = (sought / (slope + bend + twist)).clamp(0.0, 1.0);
        let miss = |t: f64| {
            (
                t * (slope + t * (bend + t * twist)) - sought,
                slope + t * (2.0 * bend + 3.0 * t * twist),
            )
        };
        let t = newton((0.0, 1.0), guess, |step, _| step <= 1e-8, miss);
        self.from + t * self.width
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;
    use crate::numerics::maths::Maths;

    #[test]
    fn arguments_are_those_of_the_function() {
        let f = |x: f64| x.exponential() - 1.0;
        let table = RisingTable::new(f, 0.0, 3.0, 1e-9).expect("a table");
        for i in 0..=1000 {
            let x = 3.0 * f64::from(i) / 1000.0;
            assert!(table.reaches(f(x).min(table.top)));
            assert!((table.argument(f(x)) - x).abs() < 1e-9, "{x}");
        }
        assert!(!table.reaches(-1e-9) && !table.reaches(f(3.0) + 1e-9));
        assert_eq!(table.argument(0.0), 0.0);
    }

    #[test]
    fn a_kink_and_a_flat_start_are_followed() {
        let f = |x: f64| (x * x * x + 1.0).cube_root() + 0.01 * x + 0.1 * (x - 0.7).max(0.0);
        let table = RisingTable::new(f, 0.0, 1.0, 1e-9).expect("a table");
        for i in 0..=1000 {
            let x = f64::from(i) / 1000.0;
            let near = if (x - 0.7).abs() < 1e-3 { 1e-5 } else { 1e-6 };
            assert!((table.argument(f(x)) - x).abs() < near, "{x}");
        }
        assert!(table.pieces.len() < 200, "{}", table.pieces.len());
    }

    #[test]
    fn refuses_what_does_not_rise_or_is_no_interval() {
        assert!(RisingTable::new(|x| -x, 0.0, 1.0, 1e-9).is_none());
        assert!(RisingTable::new(<f64 as Maths>::log_natural, -1.0, 1.0, 1e-9).is_none());
        assert!(RisingTable::new(|x| x, 1.0, 1.0, 1e-9).is_none());
    }
}
