//! The best fits at places along one axis.
//!
//! The start of the siphon bends the problem most: close to its start flow a bed dribbles
//! for long. How long depends on inflow over start flow alone; with this ratio held the rest
//! is nearly straight. So the posterior is described by a row of places along it, each with
//! the best fit there and the spread of the rest around that (a Laplace approximation at
//! each place; Rue, Martino & Chopin 2009, from memory).

use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;
use crate::study::fit::descent::follow;
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

/// The start Froude number, less what the other unknowns take away from inflow over start
/// flow: along the other unknowns at one place of the axis that ratio stays.
#[derive(Debug, Clone)]
pub(super) struct Axis {
    index: usize,
    tilt: DVector<f64>,
}

impl Axis {
    /// For the start Froude number at `index`; `ratio` is the change of the logarithm of
    /// inflow over start flow with every unknown.
    pub(super) fn new(index: usize, ratio: &DVector<f64>) -> Self {
        let own = ratio[index];
        // A ratio that does not move with the number cannot be held by it: the number alone then.
        let mut tilt = if own.abs() > 1e-9 {
            ratio / own
        } else {
            ratio * 0.0
        };
        tilt[index] = 0.0;
        Self { index, tilt }
    }

    /// Where `u` is along it, in deviations of the start Froude number.
    pub(super) fn place(&self, u: &DVector<f64>) -> f64 {
        u[self.index] + self.tilt.dot(u)
    }

    /// `u` moved along it.
    pub(super) fn moved(&self, u: &mut DVector<f64>, by: f64) {
        u[self.index] += by;
    }

    /// Deviation along it of a spread with this covariance.
    pub(super) fn deviation(&self, covariance: &DMatrix<f64>) -> f64 {
        let mut across = self.tilt.clone();
        across[self.index] = 1.0;
        across.dot(&(covariance * &across)).max(0.0).sqrt()
    }
}

/// The directions in which unknowns move at one place of `axis`, as columns; all where there
/// is none.
pub(super) fn across(n: usize, axis: Option<&Axis>) -> DMatrix<f64> {
    let mut all = DMatrix::identity(n, n);
    match axis {
        Some(axis) => {
            for k in 0..n {
                all[(axis.index, k)] -= axis.tilt[k];
            }
            all.remove_column(axis.index)
        }
        None => all,
    }
}

/// The best fit at a place of the axis.
#[derive(Debug, Clone)]
pub(super) struct Node {
    /// Its place along the axis.
    pub place: f64,
    /// All unknowns.
    pub at: DVector<f64>,
    /// Half the sum of squared pulls.
    pub cost: f64,
    /// Logarithm of the posterior's share there, to an additive constant.
    pub log_share: f64,
    /// Lower triangular root of the covariance across the axis.
    pub root: DMatrix<f64>,
    /// The same without what was read of an edge; `None` where nothing was.
    pub loose: Option<DMatrix<f64>>,
    /// Change of the unknowns along the axis.
    along: DVector<f64>,
}

impl Node {
    /// The best fit near `at` at its place of `axis`; `None` where the model does not do what
    /// was measured.
    pub(super) fn new(
        problem: &Problem,
        axis: Option<&Axis>,
        mut at: DVector<f64>,
    ) -> Option<Self> {
        let across = across(at.len(), axis);
        let mut here = problem.weighed(&at)?;
        let mut slopes = problem.all_slopes(&at);
        for round in 1.. {
            let free = &slopes * &across;
            let factor = (free.transpose() * &free).cholesky()?;
            let down = free.transpose() * &here.residuals;
            let step = -factor.solve(&down);
            let promised = -0.5 * down.dot(&step);
            // Where the problem bends the whole step may overshoot: then shorter ones.
            let moved = [1.0, 0.4, 0.1].into_iter().find_map(|share| {
                let there = &at + &across * &step * share;
                let weighed = problem.weighed(&there)?;
                (weighed.cost < here.cost).then_some((there, weighed))
            });
            let last = promised < SETTLED || moved.is_none() || round == ROUNDS;
            if let Some((there, weighed)) = moved {
                let (by, change) = (&there - &at, &weighed.residuals - &here.residuals);
                (at, here) = (there, weighed);
                if !last {
                    // A place is found to draw around it, and draws are weighed by what the
                    // simulation says: slopes that are only nearly right do.
                    follow(&mut slopes, &by, &change);
                    continue;
                }
            }
            let root = factor.inverse().cholesky()?.l();
            let loose = match problem.edge_rows() {
                none if none.is_empty() => None,
                rows => Some(root_without(&free, &rows)?),
            };
            let along = axis.map_or_else(
                || DVector::zeros(at.len()),
                |axis| {
                    let mut along =
                        &across * -factor.solve(&(free.transpose() * slopes.column(axis.index)));
                    axis.moved(&mut along, 1.0);
                    along
                },
            );
            return Some(Self {
                place: axis.map_or(0.0, |axis| axis.place(&at)),
                log_share: log_size(&root) - here.cost,
                at,
                cost: here.cost,
                root,
                loose,
                along,
            });
        }
        None
    }

    /// The next node `by` along `axis`.
    pub(super) fn beside(&self, problem: &Problem, axis: &Axis, by: f64) -> Option<Self> {
        Self::new(problem, Some(axis), &self.at + &self.along * by)
    }
}

/// Root of the covariance that these slopes leave without the rows `left_out`.
fn root_without(slopes: &DMatrix<f64>, left_out: &[usize]) -> Option<DMatrix<f64>> {
    let rest = slopes.clone().remove_rows_at(left_out);
    let factor = (rest.transpose() * &rest).cholesky()?;
    Some(factor.inverse().cholesky()?.l())
}

/// Logarithm of the determinant of a triangular matrix.
pub(super) fn log_size(root: &DMatrix<f64>) -> f64 {
    root.diagonal().iter().map(|d| d.log_natural()).sum()
}

/// Best fits along `axis` from each of `minima` outwards, in rising order of the axis.
/// `spread` is the deviation along it. Without an axis, the fit itself.
pub(super) fn profile(
    problem: &Problem,
    axis: Option<&Axis>,
    minima: &[DVector<f64>],
    spread: f64,
) -> Vec<Node> {
    let mut nodes: Vec<Node> = Vec::new();
    for minimum in minima {
        let Some(first) = Node::new(problem, axis, minimum.clone()) else {
            continue;
        };
        let Some(axis) = axis else {
            return vec![first];
        };
        let low = nodes.iter().map(|n| n.place).fold(f64::INFINITY, f64::min);
        let high = nodes
            .iter()
            .map(|n| n.place)
            .fold(f64::NEG_INFINITY, f64::max);
        // Walks from another minimum have been here.
        if (low..=high).contains(&first.place) {
            continue;
        }
        for sign in [-1.0, 1.0] {
            walk(problem, axis, &first, sign, spread, &mut nodes);
        }
        nodes.push(first);
    }
    nodes.order_by(|a, b| a.place.total_cmp(&b.place));
    // Two walks may have met.
    nodes.dedup_by(|b, a| b.place - a.place < 1e-9);
    nodes
}

fn walk(
    problem: &Problem,
    axis: &Axis,
    first: &Node,
    sign: f64,
    spread: f64,
    nodes: &mut Vec<Node>,
) {
    // Less than a deviation, since nodes are joined by straight lines of their logarithms.
    let mut step = (0.7 * spread).clamp(STEPS.0, STEPS.1);
    let mut here = first.clone();
    let mut least = first.cost;
    for _ in 0..MOST {
        if (here.place + sign * step).abs() > RANGE {
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
        // The cost is to change by about 1 from node to node: less wastes simulations, more is
        // no longer straight in between.
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
