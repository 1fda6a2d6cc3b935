//! Where between two neighbouring points of a map the answer changes, found by
//! simulating between them.

use crate::simulation::{Regime, Sampling, simulate_with};
use crate::study::map::{Corner, MapPlan, MapPoint, lasting_regime};
use rayon::prelude::*;

/// Halvings of the distance between two points: to a sixteenth of it.
const HALVINGS: usize = 4;

/// The answer at a point as far as an edge is concerned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Answer {
    Nominal(Option<Regime>),
    Certain(bool),
}

/// Crossings of one kind of edge between neighbouring points.
#[derive(Debug, Clone, PartialEq)]
pub struct Edges {
    points: usize,
    /// From each point to the next in its row: share of the way, 0 to 1.
    across: Vec<Option<f64>>,
    /// From each point to the one above.
    up: Vec<Option<f64>>,
}

impl Edges {
    /// Share of the way from point (`column`, `row`) to the next in its row at
    /// which the answer changes; one half where nobody looked.
    pub fn across(&self, column: usize, row: usize) -> f64 {
        self.at(&self.across, column, row)
    }

    /// The same on the way to the point above.
    pub fn up(&self, column: usize, row: usize) -> f64 {
        self.at(&self.up, column, row)
    }

    fn at(&self, shares: &[Option<f64>], column: usize, row: usize) -> f64 {
        shares.get(row * self.points + column).copied().flatten().unwrap_or(0.5)
    }

    /// Edges between nominal regimes.
    pub(super) fn nominal(plan: &MapPlan, cells: &[MapPoint]) -> Self {
        let known = |point: &MapPoint| {
            Answer::Nominal(match point {
                MapPoint::Simulated(found) => Some(found.nominal()),
                _ => None,
            })
        };
        Self::find(plan, cells, known, |x, y| {
            Answer::Nominal(regime(plan, Corner::Nominal, x, y))
        })
    }

    /// Edges of what cycles at every corner of the bands.
    pub(super) fn certain(plan: &MapPlan, cells: &[MapPoint]) -> Self {
        let known = |point: &MapPoint| {
            Answer::Certain(
                matches!(point, MapPoint::Simulated(found) if found.certainly_cycles()),
            )
        };
        // The corners that fail first come first.
        let order = [Corner::StartsLatest, Corner::BreaksHardest, Corner::Nominal];
        Self::find(plan, cells, known, |x, y| {
            let cycles = |corner| regime(plan, corner, x, y) == Some(Regime::Cycles);
            Answer::Certain(order.into_iter().all(cycles))
        })
    }

    fn find(
        plan: &MapPlan,
        cells: &[MapPoint],
        known: impl Fn(&MapPoint) -> Answer + Sync,
        ask: impl Fn(f64, f64) -> Answer + Sync,
    ) -> Self {
        let n = plan.points;
        let place = |k: usize| (plan.x.value(k % n, n), plan.y.value(k / n, n));
        let crossing = |from: usize, to: usize| {
            let here = known(&cells[from]);
            if here == known(&cells[to]) {
                return None;
            }
            let ((x0, y0), (x1, y1)) = (place(from), place(to));
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                let there = ask(x0 + middle * (x1 - x0), y0 + middle * (y1 - y0));
                if there == here { low = middle } else { high = middle }
            }
            Some(0.5 * (low + high))
        };
        let all = 0..n * n;
        Self {
            points: n,
            across: all
                .clone()
                .into_par_iter()
                .map(|k| if k % n + 1 < n { crossing(k, k + 1) } else { None })
                .collect(),
            up: all
                .into_par_iter()
                .map(|k| if k / n + 1 < n { crossing(k, k + n) } else { None })
                .collect(),
        }
    }
}

/// The regime at one point and corner; `None` where it cannot be built or simulated.
fn regime(plan: &MapPlan, corner: Corner, x: f64, y: f64) -> Option<Regime> {
    let system = plan.system_at(x, y).ok()?;
    let values = corner.values(&system.coefficients);
    let run = simulate_with(&system, &values, Sampling::None).ok()?;
    Some(lasting_regime(&run, 0))
}
