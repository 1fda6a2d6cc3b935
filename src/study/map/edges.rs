//! Where between two neighbouring points of a map an answer changes, found by
//! simulating between them, on some lines of the map (`crossings.rs`).

use crate::numerics::root::{Until, halve};
use crate::simulation::Regime;
use crate::study::map::crossings::Lines;
use crate::study::map::plan::MapPlan;
use crate::study::map::point::{Corner, MapPoint, starts};

/// Halvings of the distance between two points: to a sixteenth of it.
const HALVINGS: Until = Until::Halvings(4);

/// All edges of a map.
#[derive(Debug, Clone, PartialEq)]
pub struct MapEdges {
    /// Where the nominal regime changes.
    pub nominal: Edges,
    /// Where the answers to each [`Question`] change.
    pub ends: [Edges; 4],
}

/// What the ends of the bands answer with yes or no.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// Does it start even when it starts latest?
    StartsForCertain,
    /// Does it fail to break when it breaks hardest?
    MayNotBreak,
    /// Does it start when it starts soonest?
    MayStart,
    /// Does it fail to break even when it breaks most easily?
    NeverBreaks,
}

impl Question {
    /// All of them, in the order of [`MapEdges::ends`].
    pub const ALL: [Self; 4] = [
        Self::StartsForCertain,
        Self::MayNotBreak,
        Self::MayStart,
        Self::NeverBreaks,
    ];

    /// The corner of the bands that answers it.
    const fn corner(self) -> Corner {
        match self {
            Self::StartsForCertain | Self::NeverBreaks => Corner::StartsLatest,
            Self::MayNotBreak | Self::MayStart => Corner::BreaksHardest,
        }
    }

    /// The answer at a point; `None` where water goes over the wall or there is no regime.
    pub fn answer(self, point: &MapPoint) -> Option<bool> {
        let MapPoint::Simulated(found) = point else {
            return None;
        };
        let at = Corner::ALL
            .iter()
            .position(|&corner| corner == self.corner())?;
        self.of(found.regimes[at])
    }

    const fn turn(self) -> Turn {
        match self {
            Self::StartsForCertain | Self::MayStart => Turn::Start,
            Self::MayNotBreak | Self::NeverBreaks => Turn::Break,
        }
    }

    fn of(self, regime: Regime) -> Option<bool> {
        match self {
            _ if regime == Regime::Overflows => None,
            Self::StartsForCertain | Self::MayStart => Some(starts(regime)),
            Self::MayNotBreak | Self::NeverBreaks => {
                Some(matches!(regime, Regime::RunsOn | Regime::Stalls))
            }
        }
    }
}

/// What changes at an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Turn {
    /// Whether the siphon starts.
    Start,
    /// Whether it breaks.
    Break,
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
        shares
            .get(row * self.points + column)
            .copied()
            .flatten()
            .unwrap_or(0.5)
    }
}

impl MapEdges {
    /// Finds all edges between `cells`, the points of `plan`; calls `looked` after each simulation.
    pub(super) fn find(plan: &MapPlan, cells: &[MapPoint], looked: &(dyn Fn() + Sync)) -> Self {
        let regime = |corner: Corner, x: f64, y: f64| {
            let found = plan.regime(corner, x, y);
            looked();
            found.ok()
        };
        let nominal = |point: &MapPoint| match point {
            MapPoint::Simulated(found) => Some(found.nominal()),
            _ => None,
        };
        let foretold = |corner: Corner, turn: Turn, x: f64, y: f64| {
            let of = plan.foretold(corner, x, y)?;
            Some(match turn {
                Turn::Start => of.starts,
                Turn::Break => of.breaks,
            })
        };
        Self {
            nominal: edges(
                plan,
                cells,
                nominal,
                |x, y| regime(Corner::Nominal, x, y),
                |(one, other), x, y| {
                    let started = [*one, *other].map(|found| found.is_some_and(starts));
                    let turn = if started[0] == started[1] {
                        Turn::Break
                    } else {
                        Turn::Start
                    };
                    foretold(Corner::Nominal, turn, x, y)
                },
            ),
            ends: Question::ALL.map(|question| {
                let corner = question.corner();
                edges(
                    plan,
                    cells,
                    |point: &MapPoint| question.answer(point),
                    |x, y| regime(corner, x, y).and_then(|found| question.of(found)),
                    |_, x, y| foretold(corner, question.turn(), x, y),
                )
            }),
        }
    }
}

/// Edges between points whose `known` answers differ; `ask` answers anywhere, and `foretold`
/// says without simulating which side of an edge between two such answers it thinks a point on.
fn edges<A: PartialEq + Sync>(
    plan: &MapPlan,
    cells: &[MapPoint],
    known: impl Fn(&MapPoint) -> A + Sync,
    ask: impl Fn(f64, f64) -> A + Sync,
    foretold: impl Fn((&A, &A), f64, f64) -> Option<bool> + Sync,
) -> Edges {
    let n = plan.points;
    let place = |k: usize| (plan.x.value(k % n, n), plan.y.value(k / n, n));
    let answers: Vec<A> = cells.iter().map(known).collect();
    let look = |from: usize, to: usize| {
        let (here, there) = (&answers[from], &answers[to]);
        let ((x0, y0), (x1, y1)) = (place(from), place(to));
        let on_the_way = |way: f64| (x0 + way * (x1 - x0), y0 + way * (y1 - y0));
        let is_here = |way: f64| {
            let (x, y) = on_the_way(way);
            ask(x, y) == *here
        };
        let thought = |way: f64| {
            let (x, y) = on_the_way(way);
            foretold((here, there), x, y)
        };
        let (near, far) = guessed(thought)
            // The ends are known, and what is foretold is only believed where it comes true.
            .filter(|&(near, _)| near == 0.0 || is_here(near))
            .filter(|&(_, far)| far == 1.0 || !is_here(far))
            .unwrap_or_else(|| halve((0.0, 1.0), HALVINGS, is_here));
        0.5 * (near + far)
    };
    Edges {
        points: n,
        across: Lines::Rows.shares(n, &answers, look),
        up: Lines::Columns.shares(n, &answers, look),
    }
}

/// Where halving would end if `thought` were right all the way; `None` where it sees no edge.
fn guessed(thought: impl Fn(f64) -> Option<bool>) -> Option<(f64, f64)> {
    let here = thought(0.0)?;
    (thought(1.0)? != here).then(|| halve((0.0, 1.0), HALVINGS, |way| thought(way) == Some(here)))
}
