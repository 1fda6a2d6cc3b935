//! Piecewise cubic through points that never overshoots them.

use crate::numerics::root::newton;
use thiserror::Error;

/// Why points do not make a curve.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum PchipError {
    /// Fewer than two points.
    #[error("a curve needs at least two points, got {count}")]
    TooFewPoints {
        /// Points given.
        count: usize,
    },
    /// A coordinate that is infinite or not a number.
    #[error("point {index} (counting from 0) is not finite")]
    NotFinite {
        /// Which point.
        index: usize,
    },
    /// An abscissa not above the one before it.
    #[error("the x of point {index} (counting from 0) is not above the one before it")]
    NotIncreasing {
        /// Which point.
        index: usize,
    },
}

/// Monotone cubic interpolation (PCHIP).
///
/// Slopes: F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300
/// (weighted harmonic mean of the neighbouring chords, zero at a turning
/// point), which fulfil the condition of F. N. Fritsch, R. E. Carlson, SIAM J.
/// Numer. Anal. 17 (1980) 238; three-point formula of Moler at the ends. The
/// same choices as `scipy.interpolate.PchipInterpolator`, checked in
/// `tests/values`. Continuous in value and slope; rises where the points rise.
#[derive(Debug, Clone, PartialEq)]
pub struct Pchip {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Pchip {
    /// A curve through `(x, y)` points with strictly increasing `x`.
    ///
    /// # Errors
    /// [`PchipError`] for fewer than two points, points out of order, or
    /// coordinates that are not finite.
    ///
    /// # Example
    /// ```
    /// use ebbwright::numerics::pchip::Pchip;
    /// let curve = Pchip::new(&[(0.0, 0.0), (1.0, 1.0), (3.0, 2.0)])?;
    /// assert_eq!(curve.value(1.0), 1.0);
    /// assert!(curve.value(2.0) > 1.0 && curve.value(2.0) < 2.0);
    /// # Ok::<(), ebbwright::numerics::pchip::PchipError>(())
    /// ```
    pub fn new(points: &[(f64, f64)]) -> Result<Pchip, PchipError> {
        if points.len() < 2 {
            return Err(PchipError::TooFewPoints {
                count: points.len(),
            });
        }
        for (index, &(x, y)) in points.iter().enumerate() {
            if !x.is_finite() || !y.is_finite() {
                return Err(PchipError::NotFinite { index });
            }
            if index > 0 && x <= points[index - 1].0 {
                return Err(PchipError::NotIncreasing { index });
            }
        }
        Ok(Pchip::from_table(points))
    }

    /// For tables written in the code, known to be in order; a test holds each of them to it.
    pub(crate) fn from_table(points: &[(f64, f64)]) -> Pchip {
        let x: Vec<f64> = points.iter().map(|p| p.0).collect();
        let y: Vec<f64> = points.iter().map(|p| p.1).collect();
        let slope = slopes(&x, &y);
        Pchip { x, y, slope }
    }

    /// The points `(x, y)`, by rising `x`.
    pub fn points(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.x.iter().copied().zip(self.y.iter().copied())
    }

    /// Lowest and highest `x` of the points.
    pub fn domain(&self) -> (f64, f64) {
        (self.x[0], self.x[self.x.len() - 1])
    }

    /// The points' ordinates at both ends of the domain.
    pub fn end_values(&self) -> (f64, f64) {
        (self.y[0], self.y[self.y.len() - 1])
    }

    /// The curve's slopes at both ends of the domain.
    pub fn end_slopes(&self) -> (f64, f64) {
        (self.slope[0], self.slope[self.slope.len() - 1])
    }

    /// Value at `x`. Outside the domain the end cubic goes on; callers that
    /// want something else there ask [`domain`](Self::domain) first.
    pub fn value(&self, x: f64) -> f64 {
        self.at(self.piece(x), x).0
    }

    /// Slope at `x`, the exact derivative of [`value`](Self::value).
    pub fn slope(&self, x: f64) -> f64 {
        self.at(self.piece(x), x).1
    }

    /// The `x` in the domain where the curve has the value `y`.
    ///
    /// For points whose ordinates strictly rise or strictly fall. A value
    /// beyond the ends gives the nearer end. Accurate to rounding error.
    pub fn inverse(&self, y: f64) -> f64 {
        let last = self.x.len() - 1;
        let rising = self.y[last] > self.y[0];
        let before = |value: f64| if rising { value <= y } else { value >= y };
        if !before(self.y[0]) {
            return self.x[0];
        }
        let i = self.y.partition_point(|&v| before(v));
        if i > last {
            return self.x[last];
        }
        let i = i - 1;
        let (low, high) = (self.x[i], self.x[i + 1]);
        let guess = low + (high - low) * (y - self.y[i]) / (self.y[i + 1] - self.y[i]);
        let sign = if rising { 1.0 } else { -1.0 };
        let close = |step: f64, x: f64| step <= f64::EPSILON * x.abs();
        newton((low, high), guess, close, |x| {
            let (value, slope) = self.at(i, x);
            (sign * (value - y), sign * slope)
        })
    }

    /// The same curve with both axes multiplied.
    pub fn scaled(&self, by_x: f64, by_y: f64) -> Pchip {
        Pchip {
            x: self.x.iter().map(|v| v * by_x).collect(),
            y: self.y.iter().map(|v| v * by_y).collect(),
            slope: self.slope.iter().map(|v| v * by_y / by_x).collect(),
        }
    }

    /// Index of the piece that holds `x`.
    fn piece(&self, x: f64) -> usize {
        self.x
            .partition_point(|&v| v <= x)
            .clamp(1, self.x.len() - 1)
            - 1
    }

    /// Value and slope of piece `i` at `x`.
    fn at(&self, i: usize, x: f64) -> (f64, f64) {
        let h = self.x[i + 1] - self.x[i];
        let chord = (self.y[i + 1] - self.y[i]) / h;
        let (m0, m1) = (self.slope[i], self.slope[i + 1]);
        let t = (x - self.x[i]) / h;
        let c2 = 3.0 * chord - 2.0 * m0 - m1;
        let c3 = m0 + m1 - 2.0 * chord;
        // Measured from the nearer end, so that both ends are met exactly.
        let value = if t <= 0.5 {
            self.y[i] + h * t * (m0 + t * (c2 + t * c3))
        } else {
            let s = 1.0 - t;
            let d2 = 3.0 * chord - 2.0 * m1 - m0;
            self.y[i + 1] - h * s * (m1 + s * (d2 + s * c3))
        };
        (value, m0 + t * (2.0 * c2 + 3.0 * t * c3))
    }
}

fn slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let pieces = x.len() - 1;
    let h: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
    let chord: Vec<f64> = (0..pieces).map(|i| (y[i + 1] - y[i]) / h[i]).collect();
    if pieces == 1 {
        return vec![chord[0]; 2];
    }
    let mut slope = vec![0.0; x.len()];
    for i in 1..pieces {
        let (before, after) = (chord[i - 1], chord[i]);
        if before * after > 0.0 {
            let w1 = 2.0 * h[i] + h[i - 1];
            let w2 = h[i] + 2.0 * h[i - 1];
            slope[i] = (w1 + w2) / (w1 / before + w2 / after);
        }
    }
    slope[0] = end_slope(h[0], h[1], chord[0], chord[1]);
    slope[pieces] = end_slope(
        h[pieces - 1],
        h[pieces - 2],
        chord[pieces - 1],
        chord[pieces - 2],
    );
    slope
}

/// One-sided three-point slope, cut back where it would break monotony.
fn end_slope(h0: f64, h1: f64, chord0: f64, chord1: f64) -> f64 {
    let slope = ((2.0 * h0 + h1) * chord0 - h0 * chord1) / (h0 + h1);
    if slope * chord0 <= 0.0 {
        0.0
    } else if chord0 * chord1 <= 0.0 && slope.abs() > 3.0 * chord0.abs() {
        3.0 * chord0
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn rises_where_the_points_rise() {
        let curve =
            Pchip::new(&[(0.0, 0.0), (1.0, 0.01), (1.1, 5.0), (4.0, 5.2), (9.0, 30.0)]).unwrap();
        let mut last = -1.0;
        for i in 0..=9000 {
            let (x, y) = (f64::from(i) * 1e-3, curve.value(f64::from(i) * 1e-3));
            assert!(y > last, "at {x}");
            assert!(curve.slope(x) >= 0.0, "at {x}");
            last = y;
        }
    }

    #[test]
    fn inverse_finds_its_way_back_rising_and_falling() {
        for sign in [1.0, -1.0] {
            let curve = Pchip::new(&[
                (0.0, 0.0),
                (1.0, sign * 0.01),
                (1.1, sign * 5.0),
                (4.0, sign * 5.2),
            ])
            .unwrap();
            for i in 1..4000 {
                let x = f64::from(i) * 1e-3;
                let back = curve.inverse(curve.value(x));
                // Flat pieces magnify the rounding of the value.
                let allowed = 1e-14 + 4e-15 / curve.slope(x).abs();
                assert!((back - x).abs() < allowed, "{x} came back as {back}");
            }
            assert_eq!(curve.inverse(sign * 99.0), 4.0);
            assert_eq!(curve.inverse(sign * -99.0), 0.0);
        }
    }

    #[test]
    fn meets_its_points_exactly() {
        let points = [(0.1, 0.3), (0.7, 1.0 / 3.0), (1.9, -2.0)];
        let curve = Pchip::new(&points).unwrap();
        for (x, y) in points {
            assert_eq!(curve.value(x), y);
        }
        assert_eq!(curve.domain(), (0.1, 1.9));
        assert_eq!(curve.end_values(), (0.3, -2.0));
    }

    #[test]
    fn scaling_scales_both_axes() {
        let curve = Pchip::new(&[(0.0, 3.0), (1.0, 2.0), (2.0, 0.5)]).unwrap();
        let scaled = curve.scaled(0.5, 0.25);
        for i in 0..=20 {
            let x = f64::from(i) * 0.1;
            assert!((scaled.value(0.5 * x) - 0.25 * curve.value(x)).abs() < 1e-15);
            assert!((scaled.slope(0.5 * x) - 0.5 * curve.slope(x)).abs() < 1e-15);
        }
    }

    #[test]
    fn refuses_what_is_no_curve() {
        assert_eq!(Pchip::new(&[]), Err(PchipError::TooFewPoints { count: 0 }));
        assert_eq!(
            Pchip::new(&[(0.0, 1.0), (0.0, 2.0)]),
            Err(PchipError::NotIncreasing { index: 1 })
        );
        assert_eq!(
            Pchip::new(&[(0.0, 1.0), (1.0, f64::NAN)]),
            Err(PchipError::NotFinite { index: 1 })
        );
    }
}
