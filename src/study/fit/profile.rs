//! The best fits with one unknown held, at places along it.
//!
//! The start Froude number bends the problem most: close to its start flow a bed dribbles
//! for long. With it held the rest is nearly straight, so the posterior is described by a
//! row of places along it, each with the best fit there and the spread of the rest around
//! that (a Laplace approximation at each place; Rue, Martino & Chopin 2009, from memory).

use crate::study::fit::problem::Problem;
use nalgebra::{DMatrix, DVector};

/// Rounds of the minimiser at one place.
const ROUNDS: usize = 4;
/// Promised fall of the cost that is not worth another round.
const SETTLED: f64 = 0.02;
/// Cost above the least at which a walk ends: what lies beyond has e^-8 of the weight.
const FAR: f64 = 8.0;
/// Places looked at in each direction from where a walk begins.
const MOST: usize = 12;
/// Widest and narrowest step, in units of the prior's deviation.
const STEPS: (f64, f64) = (0.03, 1.0);
/// Places beyond this many deviations of the prior are not looked at.
const RANGE: f64 = 4.5;

/// The best fit with the axis held.
#[derive(Debug, Clone)]
pub(super) struct Node {
    /// All unknowns.
    pub at: DVector<f64>,
    /// Half the sum of squared pulls.
    pub cost: f64,
    /// Logarithm of the posterior's share there, to an additive constant.
    pub log_share: f64,
    /// Lower triangular root of the covariance of the unknowns that are not held.
    pub root: DMatrix<f64>,
    /// Change of these with the axis.
    along: DVector<f64>,
}

/// Indices of the unknowns beside `axis`.
pub(super) fn rest(n: usize, axis: Option<usize>) -> Vec<usize> {
    (0..n).filter(|i| Some(*i) != axis).collect()
}

impl Node {
    /// The best fit near `at` with `axis` held; `None` where the model does not do what was
    /// measured.
    fn new(problem: &Problem, axis: Option<usize>, at: DVector<f64>) -> Option<Self> {
        let free = rest(at.len(), axis);
        let mut at = at;
        let mut cost = problem.exact_cost(&at)?;
        let mut round = 0;
        loop {
            let slopes = problem.pull_slopes(&at);
            let pulls = problem.residual_vector(&at);
            let free_slopes = slopes.select_columns(&free);
            let n = free.len();
            let information = free_slopes.transpose() * &free_slopes + DMatrix::identity(n, n);
            let factor = information.cholesky()?;
            let down = free_slopes.transpose() * pulls.rows(0, slopes.nrows())
                + DVector::from_iterator(n, free.iter().map(|&i| at[i]));
            let step = -factor.solve(&down);
            let promised = -0.5 * down.dot(&step);
            round += 1;
            let moved = [1.0, 0.4, 0.1].into_iter().find_map(|share| {
                let mut there = at.clone();
                for (k, &i) in free.iter().enumerate() {
                    there[i] += share * step[k];
                }
                let cost_there = problem.exact_cost(&there)?;
                (cost_there < cost).then_some((there, cost_there))
            });
            let stuck = moved.is_none();
            if let Some((there, cost_there)) = moved {
                (at, cost) = (there, cost_there);
            }
            if promised < SETTLED || stuck || round == ROUNDS {
                let covariance = factor.inverse();
                let root = covariance.cholesky()?.l();
                let along = axis.map_or_else(
                    || DVector::zeros(n),
                    |axis| -factor.solve(&(free_slopes.transpose() * slopes.column(axis))),
                );
                return Some(Self {
                    log_share: root.diagonal().iter().map(|d| d.ln()).sum::<f64>() - cost,
                    at,
                    cost,
                    root,
                    along,
                });
            }
        }
    }

    /// The next node `by` along `axis`.
    fn beside(&self, problem: &Problem, axis: usize, by: f64) -> Option<Self> {
        let mut at = self.at.clone();
        at[axis] += by;
        for (k, i) in rest(at.len(), Some(axis)).into_iter().enumerate() {
            at[i] += by * self.along[k];
        }
        Self::new(problem, Some(axis), at)
    }
}

/// Best fits along `axis` from each of `minima` outwards, in rising order of the axis.
/// `spread` is the axis's own, where it is known. Without an axis, the fit itself.
pub(super) fn profile(
    problem: &Problem,
    axis: Option<usize>,
    minima: &[DVector<f64>],
    spread: f64,
) -> Vec<Node> {
    let mut nodes: Vec<Node> = Vec::new();
    for minimum in minima {
        let Some(first) = Node::new(problem, axis, minimum.clone()) else {
            continue;
        };
        let Some(axis) = axis else {
            nodes.push(first);
            break;
        };
        let (low, high) = nodes.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |ends, node| {
            (ends.0.min(node.at[axis]), ends.1.max(node.at[axis]))
        });
        // Walks from another minimum have been here.
        if (low..=high).contains(&first.at[axis]) {
            continue;
        }
        for sign in [-1.0, 1.0] {
            walk(problem, axis, &first, sign, spread, &mut nodes);
        }
        nodes.push(first);
    }
    if let Some(axis) = axis {
        nodes.sort_by(|a, b| a.at[axis].total_cmp(&b.at[axis]));
        nodes.dedup_by(|b, a| b.at[axis] - a.at[axis] < 1e-9);
    }
    nodes
}

fn walk(
    problem: &Problem,
    axis: usize,
    first: &Node,
    sign: f64,
    spread: f64,
    nodes: &mut Vec<Node>,
) {
    let mut step = (0.7 * spread).clamp(STEPS.0, STEPS.1);
    let mut here = first.clone();
    let mut least = first.cost;
    for _ in 0..MOST {
        if (here.at[axis] + sign * step).abs() > RANGE {
            return;
        }
        let Some(next) = here.beside(problem, axis, sign * step) else {
            // The edge of what the model can do: come closer to it.
            step *= 0.4;
            if step < STEPS.0 {
                return;
            }
            continue;
        };
        let rise = (next.cost - here.cost).abs();
        here = next;
        nodes.push(here.clone());
        least = least.min(here.cost);
        if here.cost > least + FAR {
            return;
        }
        let stretch = if rise < 0.4 {
            1.7
        } else if rise > 1.6 {
            0.6
        } else {
            1.0
        };
        step = (step * stretch).clamp(STEPS.0, STEPS.1);
    }
}
