//! How grades change, for Newton's rule.

use super::{DrainLineLaw, Foot};
use crate::hydraulics::circular_curves::{
    critical_depth_slope, depth_at_outfall, uniform_depth, uniform_depth_slope,
};
use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::junction::square_entry_slopes;

/// How the grade just above a junction changes.
pub(super) struct GradeSlopes {
    /// With the grade above the junction before, or at the outlet `[-]`.
    pub(super) by_under: f64,
    /// With the flow below it, what joins being kept `[s/m2]`.
    pub(super) by_flow: f64,
    /// With what joins, the flow below it being kept `[s/m2]`.
    pub(super) by_joining: f64,
}

impl DrainLineLaw {
    /// How the grade above junction `k` changes, which stands as `foot` says.
    pub(super) fn grade_slopes(&self, k: usize, foot: &Foot) -> GradeSlopes {
        let (pipe, length) = self.stretch(k);
        let below = &foot.below;
        let last = &below.stretch;
        // Where uniform flow stands higher than what friction carries up, nothing from below tells.
        let backed_up = below.grade <= foot.under + last.friction.0 * length;
        let (by_under, by_flow) = if backed_up {
            (1.0, last.friction.1 * length)
        } else {
            (0.0, uniform_depth_slope(pipe.bore, pipe.full, last.flow))
        };
        if !below.takes(foot.joining) {
            return GradeSlopes {
                by_under,
                by_flow,
                by_joining: 0.0,
            };
        }
        let up = last.flow - foot.joining;
        let rise = (foot.grade - below.grade) / below.entry;
        let entry = square_entry_slopes(below.bore, below.depth, last.flow, up, rise);
        let through = 1.0 + below.entry * entry.by_depth;
        GradeSlopes {
            by_under: by_under * through,
            by_flow: by_flow * through + below.entry * (entry.by_down + entry.by_up),
            by_joining: -below.entry * entry.by_up,
        }
    }

    /// How the grade of `bed` changes with its own flow alone, the line standing as `feet` say `[s/m2]`.
    pub(super) fn own_slope(&self, bed: usize, sump_level: f64, feet: &[Foot]) -> f64 {
        let total = feet.first().map_or(0.0, |foot| foot.below.stretch.flow);
        let mut slope = self.outlet_grade_slope(total, sump_level);
        for (k, (foot, junction)) in feet.iter().zip(&self.junctions).enumerate() {
            let each = self.grade_slopes(k, foot);
            slope = each.by_under * slope + each.by_flow;
            let beds = &self.beds[junction.members.clone()];
            if beds.iter().any(|one| one.0 == bed) {
                return slope + each.by_joining;
            }
        }
        slope
    }

    /// How the grade at the outlet changes with the flow `q` `[m3/s]` that leaves there `[s/m2]`.
    pub(super) fn outlet_grade_slope(&self, q: f64, sump_level: f64) -> f64 {
        let pipe = &self.lowest;
        let brink = depth_at_outfall(pipe.bore, q);
        let depth = uniform_depth(pipe.bore, pipe.full, q);
        let by_depth = if self.line.outlet + depth.max(brink) <= sump_level {
            0.0
        } else if depth >= brink {
            uniform_depth_slope(pipe.bore, pipe.full, q)
        } else if brink < 0.5 * pipe.bore {
            critical_depth_slope(pipe.bore, q)
        } else {
            0.0
        };
        by_depth + self.line.run.k * q.abs() / (GRAVITY * pipe.area * pipe.area)
    }
}
