//! What a bed does over any two quantities, from simulated points.
//!
//! Every point is simulated three times: with the nominal coefficients, and
//! with each of the two unfavourable corners of their bands, the one in which the
//! siphon starts latest and the one in which it breaks hardest. Where all three
//! agree the answer holds anywhere within the bands; where they do not it is
//! uncertain.

mod crossings;
mod edges;
mod fill;
mod plan;
mod point;
pub mod quantity;
pub mod range;
mod sump;

pub use edges::{Edges, MapEdges, Question};
pub use plan::{MOST_POINTS, MapAxis, MapError, MapPlan};
pub use point::{Corner, Doubt, MapPoint, Simulated, lasting_regime};

/// A finished map.
#[derive(Debug, Clone)]
pub struct RegimeMap {
    /// What was mapped.
    pub plan: MapPlan,
    /// Row by row from the lowest `y`, each from the lowest `x`.
    pub cells: Vec<MapPoint>,
    /// Where answers change between points.
    pub edges: MapEdges,
}

impl RegimeMap {
    /// The point in column `column` and row `row`, both from the lowest value.
    pub fn cell(&self, column: usize, row: usize) -> &MapPoint {
        &self.cells[row * self.plan.points + column]
    }
}

impl MapPlan {
    /// Simulates the points, on all cores, and calls `done` after each; then looks between
    /// neighbours that differ for the edge. The result does not depend on the number of threads.
    pub fn simulate(self, done: &(dyn Fn() + Sync)) -> RegimeMap {
        let cells = self.cells(done);
        self.with_edges(cells, &|| {})
    }

    /// Looks for the edges between `cells`, the points of this plan, the second half of
    /// [`simulate`](Self::simulate); calls `looked` after each simulation.
    pub fn with_edges(self, cells: Vec<MapPoint>, looked: &(dyn Fn() + Sync)) -> RegimeMap {
        let edges = MapEdges::find(&self, &cells, looked);
        RegimeMap {
            plan: self,
            cells,
            edges,
        }
    }
}
