//! A smooth function of two variables tabulated once and looked up often.

/// Bicubic patches on an even grid, smooth from patch to patch.
#[derive(Debug, Clone)]
pub struct BicubicGrid {
    low: [f64; 2],
    per: [f64; 2],
    patches: usize,
    /// Row by row: value, both slopes and the mixed one, per patch.
    nodes: Vec<[f64; 4]>,
}

impl BicubicGrid {
    /// `f` on `low` to `high` in both variables, by `patches` patches each way.
    ///
    /// Slopes are differences of fourth order, for which `f` is asked two nodes beyond
    /// every edge. `None` for an empty range or a value that is not finite.
    pub fn new(
        f: impl Fn(f64, f64) -> f64,
        low: [f64; 2],
        high: [f64; 2],
        patches: usize,
    ) -> Option<Self> {
        let step = [0, 1].map(|k| (high[k] - low[k]) / patches as f64);
        if !step.iter().all(|s| *s > 0.0 && s.is_finite()) {
            return None;
        }
        // One node more than patches, and two beyond either edge.
        let wide = patches + 5;
        let at = |k: usize, i: usize| low[k] + (i as f64 - 2.0) * step[k];
        let values: Vec<f64> = (0..wide * wide)
            .map(|n| f(at(0, n % wide), at(1, n / wide)))
            .collect();
        if !values.iter().all(|v| v.is_finite()) {
            return None;
        }
        let slope = |of: &[f64], n: usize, by: usize| {
            (of[n - 2 * by] - of[n + 2 * by] + 8.0 * (of[n + by] - of[n - by])) / 12.0
        };
        // Rows beyond the edges have slopes along themselves, for the mixed one.
        let along: Vec<f64> = (0..wide * wide)
            .map(|n| {
                if (2..wide - 2).contains(&(n % wide)) {
                    slope(&values, n, 1)
                } else {
                    0.0
                }
            })
            .collect();
        let nodes = (0..=patches)
            .flat_map(|j| (0..=patches).map(move |i| (j + 2) * wide + i + 2))
            .map(|n| {
                [
                    values[n],
                    along[n],
                    slope(&values, n, wide),
                    slope(&along, n, wide),
                ]
            })
            .collect();
        Some(Self {
            low,
            per: step.map(|s| 1.0 / s),
            patches,
            nodes,
        })
    }

    /// The function at `(x, y)`; `None` outside the table.
    #[inline]
    pub fn value(&self, x: f64, y: f64) -> Option<f64> {
        let place = [
            (x - self.low[0]) * self.per[0],
            (y - self.low[1]) * self.per[1],
        ];
        let most = self.patches as f64;
        if !place.iter().all(|p| *p >= 0.0 && *p <= most) {
            return None;
        }
        // The upper edge belongs to the last patch.
        let [i, j] = place.map(|p| (p as usize).min(self.patches - 1));
        let row = self.patches + 1;
        let at = j * row + i;
        let across = hermite(place[0] - i as f64);
        let up = hermite(place[1] - j as f64);
        let mix = |n: usize, k: usize| {
            let (a, b) = (&self.nodes[n], &self.nodes[n + 1]);
            across[0] * a[k] + across[1] * a[k + 1] + across[2] * b[k] + across[3] * b[k + 1]
        };
        Some(
            up[0] * mix(at, 0)
                + up[1] * mix(at, 2)
                + up[2] * mix(at + row, 0)
                + up[3] * mix(at + row, 2),
        )
    }
}

/// Weights of value and slope at the start, value and slope at the end of a unit piece.
#[inline]
fn hermite(t: f64) -> [f64; 4] {
    let rest = 1.0 - t;
    [
        (1.0 + 2.0 * t) * rest * rest,
        t * rest * rest,
        t * t * (3.0 - 2.0 * t),
        -t * t * rest,
    ]
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;
    use crate::numerics::maths::Maths;

    #[test]
    fn a_grid_agrees_with_its_function_between_its_nodes() {
        let f = |x: f64, y: f64| (x * y).sine() + (x - 2.0 * y).exponential();
        let grid = BicubicGrid::new(f, [0.0, 1.0], [2.0, 2.0], 40).unwrap();
        for k in 0..3000 {
            let x = 2.0 * f64::from(k % 61) / 60.0;
            let y = 1.0 + f64::from(k % 53) / 52.0;
            let off = (grid.value(x, y).unwrap() - f(x, y)).abs();
            assert!(off < 1e-6, "{x} {y}: {off}");
        }
    }

    #[test]
    fn cubics_are_met_to_rounding() {
        let f = |x: f64, y: f64| x * x * x * y - 2.0 * y * y * y + x;
        let grid = BicubicGrid::new(f, [-1.0, 0.0], [1.0, 3.0], 7).unwrap();
        for k in 0..500 {
            let (x, y) = (f64::from(k % 23) / 11.5 - 1.0, f64::from(k % 37) / 12.5);
            assert!(
                (grid.value(x, y).unwrap() - f(x, y)).abs() < 1e-12,
                "{x} {y}"
            );
        }
    }

    #[test]
    fn outside_is_not_guessed() {
        let grid = BicubicGrid::new(|x, y| x + y, [0.0, 0.0], [1.0, 1.0], 4).unwrap();
        assert_eq!(grid.value(1.0, 1.0), Some(2.0));
        assert_eq!(grid.value(1.0 + 1e-9, 0.5), None);
        assert_eq!(grid.value(0.5, f64::NAN), None);
        assert!(BicubicGrid::new(|x, y| x + y, [0.0, 1.0], [1.0, 1.0], 4).is_none());
        let hole = |x: f64, _: f64| (x - 0.5).log_natural();
        assert!(BicubicGrid::new(hole, [0.0, 0.0], [1.0, 1.0], 4).is_none());
    }
}
