//! The supply pipes while the pump stands still: what they hold, what runs back.

use crate::hydraulics::back_siphon::{SupplyPiece, VesselInlet};
use crate::network::outlet::OutletEnd;
use crate::network::supply::SupplyTree;
use crate::numerics::effort;
use crate::numerics::root::brent;

/// What the flow of one pipe into another costs, and a manifold for each that meets there.
const A_PIPE: u64 = 80;
const A_MANIFOLD: u64 = 400;

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
        if let [source] = sources {
            // Branch and trunk in one: no manifold has to be found.
            effort::spend(A_PIPE);
            flows.fill(self.back_flow(sump_level, *source));
            return;
        }
        effort::spend(A_MANIFOLD * sources.len() as u64);
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
        let manifold = if self.trunk_resists() && highest > sump_level {
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

    fn trunk_resists(&self) -> bool {
        self.trunk.length > 0.0 || self.trunk.k > 0.0
    }

    /// The same of one source alone, whose branch and the trunk take all the fall between them.
    fn back_flow(&self, sump_level: f64, (end, level): (OutletEnd, f64)) -> f64 {
        let fall = level - sump_level;
        let outlet = self.outlets.iter().find(|outlet| outlet.end == end);
        let Some(outlet) = outlet.filter(|_| fall > 0.0) else {
            return 0.0;
        };
        let most = outlet.run.flow(fall, &self.water);
        if !self.trunk_resists() {
            return most;
        }
        let lost = |q: f64| {
            self.trunk.head_loss(q, &self.water) + outlet.run.head_loss(q, &self.water) - fall
        };
        let most = most.min(self.trunk.flow(fall, &self.water));
        // A hair over it, lest rounding leaves the root outside.
        brent(lost, 0.0, most * (1.0 + 1e-9), 0.0).unwrap_or(most)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::scenario::parse;

    // Two ways to the same flow: pipes in a row lose all of the fall between them, and a second
    // source that lies as low as the sump sends nothing and leaves the manifold to be searched for.
    #[test]
    fn what_one_vessel_sends_back_takes_all_of_the_fall() {
        let text = include_str!("../../scenarios/whole-loop.toml");
        let system = parse(text, "whole-loop.toml").unwrap().system;
        let tree = SupplyTree::new(&system);
        let sump = 0.30;
        for millimetres in [1, 20, 300, 900] {
            let level = sump + f64::from(millimetres) * 1e-3;
            let mut alone = [0.0];
            let source = (OutletEnd::Bed(0), level);
            tree.back_flows(sump, &[source], &mut alone);
            let outlet = tree.outlets.iter().find(|one| one.end == OutletEnd::Bed(0));
            let (branch, q) = (&outlet.unwrap().run, alone[0]);
            let lost = tree.trunk.head_loss(q, &tree.water) + branch.head_loss(q, &tree.water);
            let fall = level - sump;
            assert!(
                (lost / fall - 1.0).abs() < 1e-12,
                "{millimetres} mm: {lost}"
            );
            let mut both = [0.0; 2];
            let other = (OutletEnd::Bed(1), sump);
            tree.back_flows(sump, &[source, other], &mut both);
            assert!((both[0] / q - 1.0).abs() < 1e-9, "{both:?} {q}");
        }
        let mut none = [1.0];
        tree.back_flows(sump, &[(OutletEnd::Bed(0), sump - 0.1)], &mut none);
        assert_eq!(none, [0.0]);
    }
}
