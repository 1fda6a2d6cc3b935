//! Smooth functions tabulated once and looked up often.

/// Several smooth functions of one variable on shared, evenly spaced points.
#[derive(Debug, Clone)]
pub struct HermiteGrid {
    low: f64,
    step: f64,
    per_x: f64,
    intervals: usize,
    outputs: usize,
    /// Interval by interval, each output's cubic in the share of the interval passed.
    cubics: Vec<[f64; 4]>,
}

const FEWEST_INTERVALS: usize = 16;
/// The same beyond this tolerance: a cubic that has to agree less may be longer.
const FEWEST_LOOSE: usize = 4;
const LOOSE: f64 = 1e-6;
const MOST_INTERVALS: usize = 1024;

/// Errors of single steps beyond this are rough ones ...
const ROUGH_STEP: f64 = 1e-6;
/// ... for which a table may be off by this share of theirs.
const PER_STEP: f64 = 0.2;

/// Whether steps that may each make the error `relative` are rough ones, for what is only
/// ranked, drawn or mapped.
pub fn is_rough(relative: f64) -> bool {
    relative > ROUGH_STEP
}

/// How closely a table has to agree that usually does to `usual`, for steps that may each make
/// the error `relative`: what only ranks or maps gets by with less.
pub fn agreement(usual: f64, relative: f64) -> f64 {
    if is_rough(relative) {
        usual.max(PER_STEP * relative)
    } else {
        usual
    }
}

impl HermiteGrid {
    /// Tabulates `f`, which writes value and slope of each output, on
    /// `[low, high]`, doubling the points until every output agrees between
    /// them to `tolerance` relative to the largest of all values.
    ///
    /// `None` when 2048 intervals do not reach it, when the interval is empty,
    /// or when a value is not finite.
    pub fn adaptive(
        f: impl Fn(f64, &mut [(f64, f64)]),
        outputs: usize,
        low: f64,
        high: f64,
        tolerance: f64,
    ) -> Option<Self> {
        if !(low < high && low.is_finite() && high.is_finite()) {
            return None;
        }
        let mut intervals = if tolerance <= LOOSE {
            FEWEST_INTERVALS
        } else {
            FEWEST_LOOSE
        };
        let mut row = vec![(0.0, 0.0); outputs];
        let mut nodes = Vec::new();
        for i in 0..=intervals {
            f(low + (high - low) * i as f64 / intervals as f64, &mut row);
            nodes.extend_from_slice(&row);
        }
        while intervals <= MOST_INTERVALS {
            let grid = Self::through(&nodes, outputs, low, high, intervals)?;
            let scale = nodes.iter().fold(0.0_f64, |m, (v, _)| m.max(v.abs()));
            let mut worst = 0.0_f64;
            let mut finer = Vec::with_capacity(2 * nodes.len());
            for (i, node) in nodes.chunks_exact(outputs).enumerate() {
                finer.extend_from_slice(node);
                if i == intervals {
                    break;
                }
                let middle = low + (i as f64 + 0.5) * grid.step;
                f(middle, &mut row);
                for (k, (exact, _)) in row.iter().enumerate() {
                    worst = worst.max((grid.value(k, middle) - exact).abs());
                }
                finer.extend_from_slice(&row);
            }
            intervals *= 2;
            // The points that judged the coarse table make a table of half the
            // spacing: its error is a sixteenth, a quarter where curvature jumps.
            if worst <= 4.0 * tolerance * scale {
                return Self::through(&finer, outputs, low, high, intervals);
            }
            nodes = finer;
        }
        None
    }

    /// The table through evenly spaced `nodes`; `None` when one is not finite.
    fn through(
        nodes: &[(f64, f64)],
        outputs: usize,
        low: f64,
        high: f64,
        intervals: usize,
    ) -> Option<Self> {
        let step = (high - low) / intervals as f64;
        let mut cubics = Vec::with_capacity(nodes.len());
        for (a, b) in nodes.iter().zip(&nodes[outputs..]) {
            let (slope_a, slope_b, rise) = (a.1 * step, b.1 * step, b.0 - a.0);
            let bend = 3.0 * rise - 2.0 * slope_a - slope_b;
            cubics.push([a.0, slope_a, bend, slope_a + slope_b - 2.0 * rise]);
        }
        let finite = cubics.iter().flatten().all(|c| c.is_finite());
        finite.then_some(Self {
            low,
            step,
            per_x: 1.0 / step,
            intervals,
            outputs,
            cubics,
        })
    }

    /// Whether `x` lies inside the table.
    #[inline]
    pub fn covers(&self, x: f64) -> bool {
        x >= self.low && x <= self.low + self.step * self.intervals as f64
    }

    /// Output `k` at `x`, which must lie inside the table.
    #[inline]
    pub fn value(&self, k: usize, x: f64) -> f64 {
        let (cubics, t) = self.place(x);
        cubic(&cubics[k], t)
    }

    /// Slope of output `k` at `x`, which must lie inside the table.
    #[inline]
    pub fn slope(&self, k: usize, x: f64) -> f64 {
        let (cubics, t) = self.place(x);
        let c = &cubics[k];
        (c[1] + t * (2.0 * c[2] + t * 3.0 * c[3])) * self.per_x
    }

    /// The first outputs at `x`, as many as `out` holds; returns the look-up of
    /// any other output at the same place.
    #[inline]
    pub fn values<'a>(&'a self, x: f64, out: &mut [f64]) -> impl Fn(usize) -> f64 + use<'a> {
        let (cubics, t) = self.place(x);
        for (value, c) in out.iter_mut().zip(cubics) {
            *value = cubic(c, t);
        }
        move |k| cubic(&cubics[k], t)
    }

    /// The cubics of the interval that holds `x`, and the share of it passed.
    #[inline]
    fn place(&self, x: f64) -> (&[[f64; 4]], f64) {
        let place = (x - self.low) * self.per_x;
        let i = (place.max(0.0) as usize).min(self.intervals - 1);
        (
            &self.cubics[i * self.outputs..(i + 1) * self.outputs],
            place - i as f64,
        )
    }
}

#[inline]
fn cubic(c: &[f64; 4], t: f64) -> f64 {
    c[0] + t * (c[1] + t * (c[2] + t * c[3]))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;
    use crate::numerics::maths::Maths;

    #[test]
    fn a_grid_agrees_with_its_functions_between_its_points() {
        let f = |x: f64, out: &mut [(f64, f64)]| {
            out[0] = (x.sine(), x.cosine());
            out[1] = (x * x * x, 3.0 * x * x);
        };
        let grid = HermiteGrid::adaptive(f, 2, 0.0, 2.0, 1e-9).expect("a grid");
        let mut out = [0.0; 2];
        for i in 0..=777 {
            let x = 2.0 * f64::from(i) / 777.0;
            let other = grid.values(x, &mut out[..1]);
            out[1] = other(1);
            assert!(
                (out[0] - x.sine()).abs() < 1e-7 && (out[1] - x.powi(3)).abs() < 1e-7,
                "{x}"
            );
            assert_eq!(out[1], grid.value(1, x));
            assert!((grid.slope(0, x) - x.cosine()).abs() < 1e-4, "{x}");
            assert!((grid.slope(1, x) - 3.0 * x * x).abs() < 1e-4, "{x}");
        }
    }

    #[test]
    fn covers_its_interval_and_meets_its_ends() {
        let f = |x: f64, out: &mut [(f64, f64)]| out[0] = (x.sqrt(), 0.5 / x.sqrt());
        let grid = HermiteGrid::adaptive(f, 1, 0.25, 4.0, 1e-9).expect("a grid");
        assert!(grid.covers(0.25) && grid.covers(4.0) && !grid.covers(0.2) && !grid.covers(4.1));
        assert!((grid.value(0, 0.25) - 0.5).abs() < 1e-15);
        assert!((grid.value(0, 4.0) - 2.0).abs() < 1e-15);
    }

    #[test]
    fn refuses_an_empty_interval_and_a_function_without_value() {
        let line = |x: f64, out: &mut [(f64, f64)]| out[0] = (x, 1.0);
        assert!(HermiteGrid::adaptive(line, 1, 1.0, 1.0, 1e-9).is_none());
        let log = |x: f64, out: &mut [(f64, f64)]| out[0] = (x.log_natural(), 1.0 / x);
        assert!(HermiteGrid::adaptive(log, 1, -1.0, 1.0, 1e-9).is_none());
    }
}
