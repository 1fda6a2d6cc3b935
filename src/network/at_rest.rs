//! The supply pipes while the pump stands still: what they hold, what runs back.

use crate::hydraulics::back_siphon::{SupplyPiece, VesselInlet};
use crate::network::supply::{OutletEnd, SupplyTree};
use crate::numerics::root::brent;

impl SupplyTree {
    /// The pipes as straight pieces: the trunk from `intake` `[m]` up to the manifold,
    /// and the branches from there to their outlets.
    ///
    /// The manifold's elevation is not part of a system: it is taken at the lowest
    /// outlet (at `else_at` `[m]` without one), so that every branch runs back.
    pub fn pieces(&self, intake: f64, else_at: f64) -> Vec<SupplyPiece> {
        let lowest = self
            .outlets
            .iter()
            .map(|outlet| outlet.level)
            .fold(f64::INFINITY, f64::min);
        let manifold = if lowest.is_finite() { lowest } else { else_at };
        let mut pieces = vec![SupplyPiece::of_pipe(&self.trunk, intake, manifold)];
        pieces.extend(
            self.outlets
                .iter()
                .map(|outlet| SupplyPiece::of_pipe(&outlet.run, manifold, outlet.level)),
        );
        pieces
    }

    /// The end of a branch as its vessel sees it; `None` for what the tree does not feed.
    pub fn vessel_inlet(&self, end: OutletEnd) -> Option<VesselInlet> {
        self.outlets
            .iter()
            .find(|outlet| outlet.end == end)
            .map(|outlet| VesselInlet {
                end: outlet.level,
                anti_siphon_hole: outlet.hole,
            })
    }

    /// Flow `[m3/s]` that each of `sources` (branch, level of its vessel `[m]`) sends back
    /// to a sump at `sump_level` `[m]` through its branch, the trunk and the still pump,
    /// whose own resistance is left out. Written to `flows`, in the same order.
    pub fn back_flows(&self, sump_level: f64, sources: &[(OutletEnd, f64)], flows: &mut [f64]) {
        let flow_at = |(end, level): (OutletEnd, f64), manifold: f64| {
            self.outlets
                .iter()
                .find(|outlet| outlet.end == end)
                .map_or(0.0, |outlet| {
                    outlet.run.flow((level - manifold).max(0.0), &self.water)
                })
        };
        let highest = sources
            .iter()
            .map(|source| source.1)
            .fold(sump_level, f64::max);
        let resists = self.trunk.length > 0.0 || self.trunk.k > 0.0;
        let manifold = if resists && highest > sump_level {
            let excess = |head: f64| {
                sources
                    .iter()
                    .map(|&source| flow_at(source, head))
                    .sum::<f64>()
                    - self.trunk.flow(head - sump_level, &self.water)
            };
            brent(excess, sump_level, highest, 0.0).unwrap_or(sump_level)
        } else {
            sump_level
        };
        for (flow, &source) in flows.iter_mut().zip(sources) {
            *flow = flow_at(source, manifold);
        }
    }
}
