//! The posterior as a cloud of weighted draws.
//!
//! Importance sampling (Robert & Casella, Monte Carlo Statistical Methods, chapter 3, from
//! memory): draws from the row of best fits along the axis and their spreads, on a fixed
//! Latin hypercube, each weighted by what the simulation says there over how likely it was
//! to be drawn. The weights make good for whatever that description lacks.

use crate::numerics::normal::quantile;
use crate::study::fit::problem::Problem;
use crate::study::fit::profile::{Node, rest};
use crate::study::vary::design::latin_hypercube;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

/// Draws.
const DRAWS: u32 = 600;
/// Seed of the design; any does.
const SEED: u64 = 5;
/// Draws are wider than the description by these, in these shares.
const WIDER: [(f64, f64); 2] = [(0.9, 1.12), (0.1, 1.7)];
/// Cells of the distribution along the axis.
const CELLS: usize = 400;
/// Share of draws spread evenly along the axis.
const EVEN: f64 = 0.05;

/// Weighted draws from the posterior.
#[derive(Debug, Clone)]
pub(super) struct Cloud {
    /// Places, and their weights, which sum to 1.
    pub draws: Vec<(DVector<f64>, f64)>,
    /// Independent draws that would be worth as much.
    pub effective: f64,
}

/// A distribution of the axis in cells of equal width.
struct Along {
    from: f64,
    cell: f64,
    /// Probability of each cell.
    share: Vec<f64>,
}

impl Along {
    fn new(nodes: &[Node], axis: usize) -> Option<Self> {
        let (first, last) = (nodes.first()?, nodes.last()?);
        let ends = |node: &Node| node.at[axis];
        let pad = 0.1 * (ends(last) - ends(first)).max(0.2);
        let (from, to) = (ends(first) - pad, ends(last) + pad);
        let cell = (to - from) / CELLS as f64;
        let most = nodes
            .iter()
            .map(|node| node.log_share)
            .fold(f64::NEG_INFINITY, f64::max);
        let raw: Vec<f64> = (0..CELLS)
            .map(|k| {
                let x = from + (k as f64 + 0.5) * cell;
                let (left, right, share) = between(nodes, axis, x);
                let log = left.log_share + share * (right.log_share - left.log_share);
                (0.9 * (log - most)).exp()
            })
            .collect();
        let total: f64 = raw.iter().sum();
        let even = EVEN / CELLS as f64;
        Some(Self {
            from,
            cell,
            share: raw.iter().map(|r| (1.0 - EVEN) * r / total + even).collect(),
        })
    }

    /// The place below which the share `p` lies, and the logarithm of the density there.
    fn place(&self, p: f64) -> (f64, f64) {
        let mut left = p;
        for (k, share) in self.share.iter().enumerate() {
            if left <= *share || k + 1 == self.share.len() {
                let within = (left / share).clamp(0.0, 1.0);
                return (
                    self.from + (k as f64 + within) * self.cell,
                    (share / self.cell).ln(),
                );
            }
            left -= share;
        }
        (self.from, 0.0)
    }
}

/// The nodes to the left and right of `x`, and how far it is from one to the other.
fn between(nodes: &[Node], axis: usize, x: f64) -> (&Node, &Node, f64) {
    let after = nodes
        .partition_point(|node| node.at[axis] < x)
        .clamp(1, nodes.len().max(2) - 1)
        .min(nodes.len() - 1);
    let (left, right) = (&nodes[after.saturating_sub(1)], &nodes[after]);
    let gap = right.at[axis] - left.at[axis];
    let share = if gap > 0.0 {
        (x - left.at[axis]) / gap
    } else {
        0.0
    };
    (left, right, share)
}

impl Cloud {
    /// Draws around `nodes`; `None` where there are none or no draw does what was measured.
    pub(super) fn new(problem: &Problem, axis: Option<usize>, nodes: &[Node]) -> Option<Self> {
        let first = nodes.first()?;
        let n = first.at.len();
        let free = rest(n, axis);
        let along = match axis {
            Some(axis) => Some((axis, Along::new(nodes, axis)?)),
            None => None,
        };
        let points = latin_hypercube(DRAWS, free.len() + 2, SEED);
        let weighed: Vec<(DVector<f64>, f64)> = points
            .par_iter()
            .map(|point| {
                let (mut log_density, mut u, root) = match &along {
                    Some((axis, along)) => {
                        let (x, log) = along.place(point[0]);
                        let (left, right, share) = between(nodes, *axis, x);
                        // Beyond the last node the description stays as it is there.
                        let share = share.clamp(0.0, 1.0);
                        let mut u = left.at.lerp(&right.at, share);
                        u[*axis] = x;
                        let root: DMatrix<f64> = &left.root * (1.0 - share) + &right.root * share;
                        (log, u, root)
                    }
                    None => (0.0, first.at.clone(), first.root.clone()),
                };
                let wider = if point[1] < WIDER[0].0 {
                    WIDER[0].1
                } else {
                    WIDER[1].1
                };
                let z = DVector::from_iterator(
                    free.len(),
                    point[2..].iter().map(|p| wider * quantile(*p)),
                );
                let step = &root * &z;
                for (k, &i) in free.iter().enumerate() {
                    u[i] += step[k];
                }
                let square = z.norm_squared();
                let normal: f64 = WIDER
                    .iter()
                    .map(|(share, wide)| {
                        share
                            * (-0.5 * square / (wide * wide)
                                - free.len() as f64 * wide.ln())
                            .exp()
                    })
                    .sum();
                log_density += normal.ln() - root.diagonal().iter().map(|d| d.ln()).sum::<f64>();
                let log = problem
                    .exact_cost(&u)
                    .map_or(f64::NEG_INFINITY, |cost| -cost - log_density);
                (u, log)
            })
            .collect();
        let most = weighed
            .iter()
            .map(|(_, log)| *log)
            .fold(f64::NEG_INFINITY, f64::max);
        if !most.is_finite() {
            return None;
        }
        let total: f64 = weighed.iter().map(|(_, log)| (log - most).exp()).sum();
        let draws: Vec<(DVector<f64>, f64)> = weighed
            .into_iter()
            .map(|(u, log)| (u, (log - most).exp() / total))
            .collect();
        let squares: f64 = draws.iter().map(|(_, weight)| weight * weight).sum();
        Some(Self {
            draws,
            effective: 1.0 / squares,
        })
    }

    /// The shares below given values of unknown `i`.
    pub(super) fn marginal(&self, i: usize) -> Marginal {
        let mut all: Vec<(f64, f64)> = self
            .draws
            .iter()
            .filter(|(_, weight)| *weight > 0.0)
            .map(|(u, weight)| (u[i], *weight))
            .collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut below = 0.0;
        let points = all
            .into_iter()
            .map(|(value, weight)| {
                below += weight;
                (value, below - 0.5 * weight)
            })
            .collect();
        Marginal(points)
    }
}

/// The distribution of one unknown: values in rising order, each with the share below it.
#[derive(Debug, Clone)]
pub(super) struct Marginal(Vec<(f64, f64)>);

impl Marginal {
    /// The value with the share `p` below it.
    fn at(&self, p: f64) -> f64 {
        let k = self.0.partition_point(|point| point.1 < p);
        match (k.checked_sub(1).and_then(|k| self.0.get(k)), self.0.get(k)) {
            (Some(a), Some(b)) => a.0 + (b.0 - a.0) * (p - a.1) / (b.1 - a.1).max(1e-12),
            (Some(one), None) | (None, Some(one)) => one.0,
            (None, None) => 0.0,
        }
    }

    /// The share below `x`.
    fn below(&self, x: f64) -> f64 {
        let k = self.0.partition_point(|point| point.0 < x);
        match (k.checked_sub(1).and_then(|k| self.0.get(k)), self.0.get(k)) {
            (Some(a), Some(b)) => a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0).max(1e-12),
            (Some(_), None) => 1.0,
            _ => 0.0,
        }
    }

    /// An interval that holds the share `held` and the place `best`: as much is left out
    /// below as above, unless `best` would be left out too.
    pub(super) fn interval(&self, held: f64, best: f64) -> (f64, f64) {
        let here = self.below(best);
        let below = (0.5 * (1.0 - held)).clamp((here - held).max(0.0), here.min(1.0 - held));
        (
            self.at(below).min(best),
            self.at(below + held).max(best),
        )
    }
}
