//! Smooth functions tabulated once and looked up often.

/// A piecewise cubic through values and slopes of a smooth function.
#[derive(Debug, Clone)]
pub struct HermiteTable {
    x: Vec<f64>,
    /// Value and slope at each point.
    y: Vec<(f64, f64)>,
}

const FIRST_INTERVALS: u32 = 8;
const DEEPEST_SPLIT: u32 = 8;

impl HermiteTable {
    /// Tabulates `f` on `[low, high]` so that halfway between any two points
    /// the table agrees with `f` to `tolerance`, relative to the largest value.
    ///
    /// Slopes come from central differences inside the interval and one-sided
    /// ones at its ends. `None` when the interval is empty or `f` is not finite.
    pub fn adaptive(f: impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Option<Self> {
        if !(low < high && low.is_finite() && high.is_finite()) {
            return None;
        }
        let step = 1e-4 * (high - low);
        let point = |x: f64| {
            let slope = if x - 2.0 * step < low {
                one_sided_slope(&f, x, step)
            } else if x + 2.0 * step > high {
                one_sided_slope(&f, x, -step)
            } else {
                (8.0 * (f(x + step) - f(x - step)) - (f(x + 2.0 * step) - f(x - 2.0 * step)))
                    / (12.0 * step)
            };
            (f(x), slope)
        };
        let mut x = vec![low];
        let mut y = vec![point(low)];
        let scale = f(low).abs().max(f(high).abs());
        for i in 1..=FIRST_INTERVALS {
            let end = low + (high - low) * f64::from(i) / f64::from(FIRST_INTERVALS);
            let end_value = point(end);
            let start = (x[x.len() - 1], y[y.len() - 1]);
            split(&f, &point, start, (end, end_value), tolerance * scale, 0, &mut x, &mut y);
            x.push(end);
            y.push(end_value);
        }
        y.iter().all(|(v, s)| v.is_finite() && s.is_finite()).then_some(Self { x, y })
    }

    /// Whether `x` lies inside the table.
    pub fn covers(&self, x: f64) -> bool {
        x >= self.x[0] && x <= self.x[self.x.len() - 1]
    }

    /// The value at `x`, which must lie inside the table.
    pub fn value(&self, x: f64) -> f64 {
        let i = self.x.partition_point(|&p| p <= x).clamp(1, self.x.len() - 1);
        cubic(x, (self.x[i - 1], self.y[i - 1]), (self.x[i], self.y[i]))
    }
}

/// Several smooth functions of one variable on shared, evenly spaced points.
#[derive(Debug, Clone)]
pub struct HermiteGrid {
    low: f64,
    step: f64,
    intervals: usize,
    outputs: usize,
    /// Value and slope, output by output within each point.
    data: Vec<(f64, f64)>,
}

const FEWEST_INTERVALS: usize = 16;
const MOST_INTERVALS: usize = 1024;

impl HermiteGrid {
    /// Tabulates `f`, which writes value and slope of each output, on
    /// `[low, high]`, doubling the points until halfway between them every
    /// output agrees to `tolerance` relative to the largest of all values.
    ///
    /// `None` when 1024 intervals do not reach it, when the interval is empty,
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
        let mut intervals = FEWEST_INTERVALS;
        let mut row = vec![(0.0, 0.0); outputs];
        let mut data = Vec::new();
        for i in 0..=intervals {
            f(low + (high - low) * i as f64 / intervals as f64, &mut row);
            data.extend_from_slice(&row);
        }
        while intervals <= MOST_INTERVALS {
            let step = (high - low) / intervals as f64;
            let grid = Self { low, step, intervals, outputs, data };
            if grid.data.iter().any(|(v, s)| !v.is_finite() || !s.is_finite()) {
                return None;
            }
            let scale = grid.data.iter().fold(0.0_f64, |m, (v, _)| m.max(v.abs()));
            let mut worst = 0.0_f64;
            let mut finer = Vec::with_capacity(2 * grid.data.len());
            for i in 0..intervals {
                let middle = low + (i as f64 + 0.5) * step;
                f(middle, &mut row);
                for (k, (exact, _)) in row.iter().enumerate() {
                    worst = worst.max((grid.value(k, middle) - exact).abs());
                }
                finer.extend_from_slice(&grid.data[i * outputs..(i + 1) * outputs]);
                finer.extend_from_slice(&row);
            }
            if worst <= tolerance * scale {
                return Some(grid);
            }
            finer.extend_from_slice(&grid.data[intervals * outputs..]);
            data = finer;
            intervals *= 2;
        }
        None
    }

    /// Whether `x` lies inside the table.
    pub fn covers(&self, x: f64) -> bool {
        x >= self.low && x <= self.low + self.step * self.intervals as f64
    }

    /// Output `k` at `x`, which must lie inside the table.
    pub fn value(&self, k: usize, x: f64) -> f64 {
        let (i, t) = self.place(x);
        self.at(k, i, t)
    }

    /// The first outputs at `x`, as many as `out` holds.
    pub fn values(&self, x: f64, out: &mut [f64]) {
        let (i, t) = self.place(x);
        for (k, value) in out.iter_mut().enumerate() {
            *value = self.at(k, i, t);
        }
    }

    fn place(&self, x: f64) -> (usize, f64) {
        let place = (x - self.low) / self.step;
        let i = (place.max(0.0) as usize).min(self.intervals - 1);
        (i, place - i as f64)
    }

    fn at(&self, k: usize, i: usize, t: f64) -> f64 {
        let (va, sa) = self.data[i * self.outputs + k];
        let (vb, sb) = self.data[(i + 1) * self.outputs + k];
        let u = 1.0 - t;
        u * u * ((1.0 + 2.0 * t) * va + t * self.step * sa)
            + t * t * ((1.0 + 2.0 * u) * vb - u * self.step * sb)
    }
}

fn one_sided_slope(f: &impl Fn(f64) -> f64, x: f64, h: f64) -> f64 {
    (-25.0 * f(x) + 48.0 * f(x + h) - 36.0 * f(x + 2.0 * h) + 16.0 * f(x + 3.0 * h)
        - 3.0 * f(x + 4.0 * h))
        / (12.0 * h)
}

/// Cubic through two points `(x, (value, slope))`.
fn cubic(x: f64, a: (f64, (f64, f64)), b: (f64, (f64, f64))) -> f64 {
    let h = b.0 - a.0;
    let t = (x - a.0) / h;
    let u = 1.0 - t;
    let (va, sa) = a.1;
    let (vb, sb) = b.1;
    u * u * ((1.0 + 2.0 * t) * va + t * h * sa) + t * t * ((1.0 + 2.0 * u) * vb - u * h * sb)
}

/// Puts points between `a` and `b` until the middle of every interval agrees.
#[allow(clippy::too_many_arguments)]
fn split(
    f: &impl Fn(f64) -> f64,
    point: &impl Fn(f64) -> (f64, f64),
    a: (f64, (f64, f64)),
    b: (f64, (f64, f64)),
    tolerance: f64,
    depth: u32,
    x: &mut Vec<f64>,
    y: &mut Vec<(f64, f64)>,
) {
    let middle = 0.5 * (a.0 + b.0);
    if depth == DEEPEST_SPLIT || (cubic(middle, a, b) - f(middle)).abs() <= tolerance {
        return;
    }
    let m = (middle, point(middle));
    split(f, point, a, m, tolerance, depth + 1, x, y);
    x.push(m.0);
    y.push(m.1);
    split(f, point, m, b, tolerance, depth + 1, x, y);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_a_smooth_function_between_its_points() {
        let table = HermiteTable::adaptive(f64::sqrt, 0.1, 4.0, 1e-9).expect("a table");
        for i in 0..=1000 {
            let x = 0.1 + 3.9 * f64::from(i) / 1000.0;
            assert!((table.value(x) - x.sqrt()).abs() < 1e-8, "at {x}");
        }
        assert!(table.x.len() < 200, "{} points", table.x.len());
    }

    #[test]
    fn a_grid_agrees_with_its_functions_between_its_points() {
        let f = |x: f64, out: &mut [(f64, f64)]| {
            out[0] = (x.sin(), x.cos());
            out[1] = (x * x * x, 3.0 * x * x);
        };
        let grid = HermiteGrid::adaptive(f, 2, 0.0, 2.0, 1e-9).expect("a grid");
        let mut out = [0.0; 2];
        for i in 0..=777 {
            let x = 2.0 * f64::from(i) / 777.0;
            grid.values(x, &mut out);
            assert!((out[0] - x.sin()).abs() < 1e-7 && (out[1] - x.powi(3)).abs() < 1e-7, "{x}");
            assert_eq!(out[1], grid.value(1, x));
        }
    }

    #[test]
    fn refuses_an_empty_interval_and_a_function_without_value() {
        assert!(HermiteTable::adaptive(|x| x, 1.0, 1.0, 1e-9).is_none());
        assert!(HermiteTable::adaptive(f64::ln, -1.0, 1.0, 1e-9).is_none());
    }
}
