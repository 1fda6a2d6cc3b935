//! The siphons that a line takes.

use super::{A_LOOK, Each};
use crate::numerics::effort;

/// What siphons give and between which flows they settle, all by bed.
pub(super) struct Siphons<'a> {
    pub(super) demand: &'a dyn Fn(usize, f64) -> f64,
    pub(super) outlets: &'a [f64],
    /// With the line at its highest, minus infinity where that is not known, and empty `[m3/s]`.
    pub(super) least: Each<f64>,
    pub(super) most: Each<f64>,
    /// Beds that the line holds back.
    pub(super) held: Each<usize>,
}

impl Siphons<'_> {
    /// What the siphon of `bed` gives against a grade of the line `[m3/s]`.
    pub(super) fn against(&self, bed: usize, grade: f64) -> f64 {
        effort::spend(A_LOOK);
        (self.demand)(bed, grade.max(self.outlets[bed]))
    }

    /// Brings the flows of a moment ago, `flows` by bed, within what these siphons can give; those
    /// that are not held back to what they give `[m3/s]`.
    pub(super) fn bring_within(&self, flows: &mut [f64]) {
        for (bed, flow) in flows.iter_mut().enumerate() {
            *flow = if self.held.contains(&bed) {
                flow.clamp(self.least[bed], self.most[bed])
            } else {
                self.most[bed]
            };
        }
    }

    /// Whether anything is known of a moment ago.
    pub(super) fn knows(&self, flows: &[f64]) -> bool {
        self.held.iter().any(|&bed| flows[bed] != 0.0)
    }

    /// What beds that join at one place give together `[m3/s]`.
    pub(super) fn together(&self, beds: &[(usize, f64)], grade: f64) -> f64 {
        beds.iter().map(|&(bed, _)| self.against(bed, grade)).sum()
    }

    /// The largest that the line could push up, or, where that is not known, of `flows` by bed
    /// `[m3/s]`.
    pub(super) fn most_back(&self, flows: &[f64]) -> f64 {
        let back = self.largest(&self.least);
        if back.is_finite() {
            back
        } else {
            self.largest(flows)
        }
    }

    /// The largest of the flows `by_bed` that the line holds back `[m3/s]`.
    pub(super) fn largest(&self, by_bed: &[f64]) -> f64 {
        let each = self.held.iter().map(|&bed| by_bed[bed].abs());
        each.fold(0.0, f64::max)
    }
}
