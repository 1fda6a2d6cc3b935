//! The posterior as a cloud of weighted draws.
//!
//! Importance sampling (Robert & Casella, Monte Carlo Statistical Methods, chapter 3, from
//! memory): draws from the row of best fits along the axis and their spreads, on a fixed
//! Latin hypercube, each weighted by what the simulation says there over how likely it was
//! to be drawn. The weights make good for whatever that description lacks.

use crate::numerics::in_order::InOrder;
use crate::numerics::map_all::map_all;
use crate::numerics::maths::Maths;
use crate::numerics::normal::quantile;
use crate::study::fit::problem::Problem;
use crate::study::fit::profile::{Axis, Node, across, log_size};
use crate::study::vary::design::latin_hypercube;
use nalgebra::{DMatrix, DVector};

/// Draws of one round.
const DRAWS: u32 = 600;
/// Most rounds, numbered as their designs are seeded.
const ROUNDS: u64 = 6;
/// Rounds end when the draws are worth so many independent ones: 2 % in a share of 16 %.
const ENOUGH: f64 = 400.0;
/// Nodes with less than e to minus this of the greatest share count for nothing.
const COUNTS: f64 = 4.0;
/// Draws are wider than the description by these, in these shares.
/// A source with thinner tails than the posterior would let a few draws carry all the weight.
const WIDER: [(f64, f64); 3] = [(0.65, 1.03), (0.25, 1.2), (0.1, 1.8)];
/// Cells of the distribution along the axis.
const CELLS: usize = 400;
/// Share of draws spread evenly along the axis.
/// No place is so unlikely that it must never be looked at.
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
    /// `None` without nodes.
    fn new(nodes: &[Node]) -> Option<Self> {
        let (first, last) = (nodes.first()?.place, nodes.last()?.place);
        // The nodes end where little is left, not where nothing is.
        let pad = 0.1 * (last - first).max(0.2);
        let (from, to) = (first - pad, last + pad);
        let cell = (to - from) / CELLS as f64;
        let shares = nodes.iter().map(|node| node.log_share);
        let most = shares.fold(f64::NEG_INFINITY, f64::max);
        let raw: Vec<f64> = (0..CELLS)
            .map(|k| {
                let x = from + (k as f64 + 0.5) * cell;
                let (left, right, share) = between(nodes, x);
                let log = left.log_share + share * (right.log_share - left.log_share);
                // Flatter than described, for the same reason; past the last node a line may rise,
                // but not without end.
                (0.9 * (log - most)).min(2.0).exponential()
            })
            .collect();
        let total: f64 = raw.iter().sum();
        let even = EVEN / CELLS as f64;
        Some(Self {
            from,
            cell,
            share: raw
                .iter()
                .map(|r| (1.0 - EVEN) * r / total + even)
                .collect(),
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
                    (share / self.cell).log_natural(),
                );
            }
            left -= share;
        }
        (self.from, 0.0)
    }
}

/// The nodes to the left and right of `x`, and how far it is from one to the other.
fn between(nodes: &[Node], x: f64) -> (&Node, &Node, f64) {
    let last = nodes.len() - 1;
    let after = nodes
        .partition_point(|node| node.place < x)
        .clamp(1.min(last), last);
    let (left, right) = (&nodes[after.saturating_sub(1)], &nodes[after]);
    let gap = right.place - left.place;
    let share = if gap > 0.0 {
        (x - left.place) / gap
    } else {
        0.0
    };
    (left, right, share)
}

/// Triangular root of the mean of covariances given by theirs; `None` for none.
fn mean_root<'a>(roots: impl Iterator<Item = &'a DMatrix<f64>>) -> Option<DMatrix<f64>> {
    let all: Vec<DMatrix<f64>> = roots.map(|root| root * root.transpose()).collect();
    let count = all.len() as f64;
    let sum = all.into_iter().reduce(|sum, one| sum + one)?;
    (sum / count).cholesky().map(|factor| factor.l())
}

/// Where draws come from.
struct Source<'a> {
    nodes: &'a [Node],
    axis: Option<(&'a Axis, Along)>,
    across: DMatrix<f64>,
    /// Triangular root of the mean covariance of the nodes that count: a kink that narrows
    /// one of them is not everywhere.
    common: DMatrix<f64>,
    /// The same without what was read of an edge.
    loose: Option<DMatrix<f64>>,
}

/// Share of the draws that take no notice of what was read of an edge, where something was: it tells
/// less and less on one side of the best fit, and the tail there is fatter than its slope says.
const LOOSE: f64 = 0.25;

impl<'a> Source<'a> {
    /// `None` without nodes.
    fn new(nodes: &'a [Node], axis: Option<&'a Axis>) -> Option<Self> {
        let across = across(nodes.first()?.at.len(), axis);
        let shares = nodes.iter().map(|node| node.log_share);
        let most = shares.fold(f64::NEG_INFINITY, f64::max);
        let counting = nodes.iter().filter(|node| node.log_share > most - COUNTS);
        let counting: Vec<&Node> = counting.collect();
        let common = mean_root(counting.iter().map(|node| &node.root))?;
        let loose = mean_root(counting.iter().filter_map(|node| node.loose.as_ref()));
        let along = Along::new(nodes)?;
        Some(Self {
            nodes,
            axis: axis.map(|axis| (axis, along)),
            across,
            common,
            loose,
        })
    }

    /// The roots that draws are spread with, and the share of each.
    fn roots<'b>(&'b self, own: &'b DMatrix<f64>) -> Vec<(&'b DMatrix<f64>, f64)> {
        let loose = self.loose.as_ref().map(|root| (root, LOOSE));
        let left = 0.5 * (1.0 - loose.map_or(0.0, |(_, share)| share));
        let tight = [(own, left), (&self.common, left)];
        tight.into_iter().chain(loose).collect()
    }

    /// Coordinates of the unit cube that one draw takes.
    fn inputs(&self) -> usize {
        self.across.ncols() + 2
    }

    /// One draw from a point of the unit cube, and the logarithm of its density.
    fn draw(&self, point: &[f64]) -> (DVector<f64>, f64) {
        let (x, density) = match &self.axis {
            Some((_, along)) => along.place(point[0]),
            None => (0.0, 0.0),
        };
        let (left, right, share) = between(self.nodes, x);
        // Beyond the last node the rest stays as it is there.
        let share = share.clamp(0.0, 1.0);
        let mut u = left.at.lerp(&right.at, share);
        if let Some((axis, _)) = &self.axis {
            let by = x - axis.place(&u);
            axis.moved(&mut u, by);
        }
        let own = &left.root * (1.0 - share) + &right.root * share;
        let roots = self.roots(&own);
        // So many draws with each root; of each some wider than others.
        let mut left_over = point[1];
        let mut root = &own;
        for (one, share) in &roots {
            root = one;
            if left_over < *share {
                left_over /= share;
                break;
            }
            left_over -= share;
        }
        let mut wider = WIDER[0].1;
        for (share, wide) in WIDER {
            wider = wide;
            left_over -= share;
            if left_over < 0.0 {
                break;
            }
        }
        let n = self.across.ncols();
        let z = DVector::from_iterator(n, point[2..].iter().map(|p| wider * quantile(*p)));
        let step = root * z;
        let normal: f64 = roots
            .into_iter()
            .filter_map(|(root, of_all)| {
                let square = root.solve_lower_triangular(&step)?.norm_squared();
                let size = log_size(root);
                let parts = WIDER.iter().map(|(share, wide)| {
                    let log = -0.5 * square / (wide * wide) - n as f64 * wide.log_natural() - size;
                    of_all * share * log.exponential()
                });
                Some(parts.sum::<f64>())
            })
            .sum();
        u += &self.across * step;
        (u, density + normal.log_natural())
    }
}

/// Largest logarithm of a weight.
fn most(weighed: &[(DVector<f64>, f64)]) -> f64 {
    let logs = weighed.iter().map(|(_, log)| *log);
    logs.fold(f64::NEG_INFINITY, f64::max)
}

/// How many equal weights are worth as much (Kish 1965, from memory).
fn effective(weighed: &[(DVector<f64>, f64)]) -> f64 {
    let most = most(weighed);
    if !most.is_finite() {
        return 0.0;
    }
    let (sum, squares) = weighed.iter().fold((0.0, 0.0), |(sum, squares), (_, log)| {
        // Against the greatest: the exponential of a bare logarithm may overflow.
        let weight = (log - most).exponential();
        (sum + weight, squares + weight * weight)
    });
    sum * sum / squares
}

impl Cloud {
    /// Draws around `nodes`; `None` where there are none or no draw does what was measured.
    pub(super) fn new(problem: &Problem, axis: Option<&Axis>, nodes: &[Node]) -> Option<Self> {
        let source = Source::new(nodes, axis)?;
        let mut weighed: Vec<(DVector<f64>, f64)> = Vec::new();
        for seed in 0..ROUNDS {
            let points = latin_hypercube(DRAWS, source.inputs(), seed);
            weighed.extend(map_all(&points, |point| {
                let (u, density) = source.draw(point);
                let cost = problem.exact_cost(&u);
                (u, cost.map_or(f64::NEG_INFINITY, |cost| -cost - density))
            }));
            if effective(&weighed) >= ENOUGH {
                break;
            }
        }
        let effective = effective(&weighed);
        let most = most(&weighed);
        if !most.is_finite() {
            return None;
        }
        let total: f64 = weighed
            .iter()
            .map(|(_, log)| (log - most).exponential())
            .sum();
        let draws = weighed
            .into_iter()
            .map(|(u, log)| (u, (log - most).exponential() / total))
            .collect();
        Some(Self { draws, effective })
    }

    /// The distribution of unknown `i`.
    pub(super) fn marginal(&self, i: usize) -> Marginal {
        self.of(|u| u[i])
    }

    /// The distribution of what `read` takes from each draw.
    pub(super) fn of(&self, read: impl Fn(&DVector<f64>) -> f64) -> Marginal {
        let mut all: Vec<(f64, f64)> = self
            .draws
            .iter()
            .filter(|(_, weight)| *weight > 0.0)
            .map(|(u, weight)| (read(u), *weight))
            .collect();
        all.order_by(|a, b| a.0.total_cmp(&b.0));
        let mut below = 0.0;
        let points = all
            .into_iter()
            .map(|(value, weight)| {
                below += weight;
                // Half of its own weight lies under a draw, half over it.
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
    pub(super) fn at(&self, p: f64) -> f64 {
        let k = self.0.partition_point(|point| point.1 < p);
        match (k.checked_sub(1).and_then(|k| self.0.get(k)), self.0.get(k)) {
            (Some(a), Some(b)) => a.0 + (b.0 - a.0) * (p - a.1) / (b.1 - a.1).max(1e-12),
            (Some(one), None) | (None, Some(one)) => one.0,
            (None, None) => 0.0,
        }
    }

    /// The share below `x`.
    pub(super) fn below(&self, x: f64) -> f64 {
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
        (self.at(below).min(best), self.at(below + held).max(best))
    }
}
