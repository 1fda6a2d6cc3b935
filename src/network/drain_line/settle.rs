//! Siphon flows and line brought to agree.

use super::{Climb, DrainLineLaw, LineState};
use crate::numerics::root::brent;
use nalgebra::{DMatrix, DVector};

/// Newton steps tried before the flows are searched for one by one.
const NEWTON_STEPS: usize = 20;
/// A grade this far above the outlet is taken for any higher one `[m]`.
const HIGHEST: f64 = 1000.0;

/// What siphons give and between which flows they settle, all by bed.
struct Siphons<'a> {
    demand: &'a dyn Fn(usize, f64) -> f64,
    outlets: &'a [f64],
    /// With the line at its highest and empty `[m3/s]`.
    least: Vec<f64>,
    most: Vec<f64>,
}

impl Siphons<'_> {
    /// What the siphon of `bed` gives against a grade of the line `[m3/s]`.
    fn against(&self, bed: usize, grade: f64) -> f64 {
        (self.demand)(bed, grade.max(self.outlets[bed]))
    }
}

impl DrainLineLaw {
    /// Settles siphon flows and line together.
    ///
    /// `demand(bed, tail)` is what a siphon gives against a tail level, negative where the line
    /// pushes water up into the bed; it must not rise with `tail`. On return `flows` and
    /// `tails` (both by bed) agree with each other to rounding for every bed on the line;
    /// `outlets` are the siphons' own outlet elevations. Of a line that is shut all beds see
    /// one grade, the lowest at which what comes in goes out again.
    pub fn settle(
        &self,
        sump_level: f64,
        outlets: &[f64],
        demand: &dyn Fn(usize, f64) -> f64,
        flows: &mut [f64],
        tails: &mut [f64],
    ) -> LineState {
        if self.shut {
            return self.settle_shut(outlets, demand, flows, tails);
        }
        for &(bed, _) in &self.beds {
            flows[bed] = demand(bed, outlets[bed]);
        }
        let mut grades = vec![f64::NEG_INFINITY; flows.len()];
        let mut state = self.grades(flows, sump_level, &mut grades);
        let mut siphons = Siphons {
            demand,
            outlets,
            least: Vec::new(),
            most: Vec::new(),
        };
        // Without any of them held back the grades are the highest they can be.
        let is_held = |&(bed, _): &(usize, f64)| {
            grades[bed] > outlets[bed] && siphons.against(bed, grades[bed]) < flows[bed]
        };
        let active: Vec<usize> = self
            .beds
            .iter()
            .filter(|bed| is_held(bed))
            .map(|bed| bed.0)
            .collect();
        if !active.is_empty() {
            siphons.most = flows.to_vec();
            siphons.least = flows.to_vec();
            for &bed in &active {
                siphons.least[bed] = siphons.against(bed, grades[bed]);
            }
            state = if self.relax(sump_level, &siphons, &active, flows) {
                self.grades(flows, sump_level, &mut grades)
            } else {
                self.search(sump_level, &siphons, flows, &mut grades)
            };
        }
        for &(bed, _) in &self.beds {
            tails[bed] = grades[bed].max(outlets[bed]);
        }
        state
    }

    /// Newton on the flows of the beds held back; whether it got there.
    fn relax(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        active: &[usize],
        flows: &mut [f64],
    ) -> bool {
        let mut grades = vec![f64::NEG_INFINITY; flows.len()];
        let size = |by_bed: &[f64]| {
            let each = active.iter().map(|&bed| by_bed[bed].abs());
            each.fold(0.0, f64::max)
        };
        // What a thin line would push up if nothing gave way is no measure of anything.
        let largest = match size(&siphons.most) {
            free if free > 0.0 => free,
            _ => size(&siphons.least),
        };
        let close = 1e-13 * largest;
        if let [bed] = *active {
            let alone = |q: f64| {
                flows[bed] = q;
                let _ = self.grades(flows, sump_level, &mut grades);
                q - siphons.against(bed, grades[bed])
            };
            let root = brent(alone, siphons.least[bed], siphons.most[bed], 1e-16);
            flows[bed] = root.unwrap_or(siphons.most[bed]);
            return root.is_ok();
        }
        let mut miss = |flows: &[f64]| -> DVector<f64> {
            let _ = self.grades(flows, sump_level, &mut grades);
            let each = active
                .iter()
                .map(|&bed| flows[bed] - siphons.against(bed, grades[bed]));
            DVector::from_iterator(active.len(), each)
        };
        let m = active.len();
        let mut now = miss(flows);
        for _ in 0..NEWTON_STEPS {
            if now.amax() <= close {
                return true;
            }
            let mut jacobian = DMatrix::zeros(m, m);
            let step = 1e-7 * largest;
            for c in 0..m {
                let old = flows[active[c]];
                flows[active[c]] = old - step;
                let moved = miss(flows);
                flows[active[c]] = old;
                jacobian.set_column(c, &((&now - moved) / step));
            }
            let Some(change) = jacobian.lu().solve(&now) else {
                break;
            };
            let old: Vec<f64> = active.iter().map(|&bed| flows[bed]).collect();
            let mut share = 1.0;
            let better = loop {
                for (r, &bed) in active.iter().enumerate() {
                    let next = old[r] - share * change[r];
                    flows[bed] = next.clamp(siphons.least[bed], siphons.most[bed]);
                }
                let next = miss(flows);
                if next.norm() < (1.0 - 1e-4 * share) * now.norm() {
                    break Some(next);
                }
                share *= 0.5;
                if share < 1e-3 {
                    break None;
                }
            };
            match better {
                Some(next) => now = next,
                None => {
                    for (&bed, &q) in active.iter().zip(&old) {
                        flows[bed] = q;
                    }
                    break;
                }
            }
        }
        now.amax() <= 1e-9 * largest
    }

    /// Where Newton is held up at a bend: the flow at the outlet is searched for, and at every
    /// junction on the way up what joins there. More flow at the outlet means higher
    /// grades, so less joins, and more is left over at the upper end, where nothing may be:
    /// both are roots of rising functions, with their brackets known.
    ///
    /// The grades are those found on the way up: in a line as thin as a straw, what rounding
    /// leaves in the sum of the flows would already move them.
    fn search(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        flows: &mut [f64],
        grades: &mut [f64],
    ) -> LineState {
        let sum = |by_bed: &[f64]| self.beds.iter().map(|&(bed, _)| by_bed[bed]).sum::<f64>();
        let (least, most) = (sum(&siphons.least), sum(&siphons.most));
        let total = brent(
            |total| self.climb(total, sump_level, siphons, flows, grades).flow,
            least,
            most,
            0.0,
        );
        let mut state = self
            .climb(total.unwrap_or(most), sump_level, siphons, flows, grades)
            .finish();
        state.flow = sum(flows);
        state
    }

    /// Up the line with `total` at the outlet `[m3/s]`: its flow at the end is what is left
    /// above the topmost junction. The flows that join on the way and the grades that
    /// they look at are left in `flows` and `grades`.
    fn climb(
        &self,
        total: f64,
        sump_level: f64,
        siphons: &Siphons,
        flows: &mut [f64],
        grades: &mut [f64],
    ) -> Climb<'_> {
        let mut climb = Climb::new(self, total, sump_level);
        for (k, junction) in self.junctions.iter().enumerate() {
            let beds = &self.beds[junction.members.clone()];
            let sum = |by_bed: &[f64]| beds.iter().map(|&(bed, _)| by_bed[bed]).sum::<f64>();
            let below = climb.reach(k);
            let given = |grade: f64| {
                let each = beds.iter().map(|&(bed, _)| siphons.against(bed, grade));
                each.sum::<f64>()
            };
            let (least, most) = (sum(&siphons.least), sum(&siphons.most));
            let excess = |joining: f64| joining - given(below.above(joining));
            let joining = if least < most {
                // Outside the bracket where the total asked for is none that can be.
                if excess(least) >= 0.0 {
                    given(below.above(least))
                } else if excess(most) <= 0.0 {
                    given(below.above(most))
                } else {
                    brent(excess, least, most, 0.0).unwrap_or(most)
                }
            } else {
                most
            };
            let grade = below.above(joining);
            for &(bed, _) in beds {
                flows[bed] = siphons.against(bed, grade);
                grades[bed] = grade;
            }
            climb.pass(k, joining, grade);
        }
        climb
    }

    /// One grade for all beds, at which nothing is left to go out.
    fn settle_shut(
        &self,
        outlets: &[f64],
        demand: &dyn Fn(usize, f64) -> f64,
        flows: &mut [f64],
        tails: &mut [f64],
    ) -> LineState {
        let given = |grade: f64| {
            let each = self
                .beds
                .iter()
                .map(|&(bed, _)| demand(bed, grade.max(outlets[bed])));
            each.sum::<f64>()
        };
        // Nothing given counts as settled, so that the grade is the lowest of many.
        let excess = |grade: f64| {
            let given = given(grade);
            if given > 0.0 {
                -given
            } else {
                f64::MIN_POSITIVE - given
            }
        };
        let low = self.line.outlet;
        let mut high = low + 1.0;
        while high < low + HIGHEST && excess(high) < 0.0 {
            high = low + 4.0 * (high - low);
        }
        let grade = if excess(low) >= 0.0 {
            low
        } else {
            brent(excess, low, high, 1e-13).unwrap_or(high)
        };
        let mut state = Climb::new(self, 0.0, grade);
        for (k, junction) in self.junctions.iter().enumerate() {
            for &(bed, _) in &self.beds[junction.members.clone()] {
                tails[bed] = grade.max(outlets[bed]);
                flows[bed] = demand(bed, tails[bed]);
            }
            let below = state.reach(k).grade;
            state.pass(k, 0.0, below);
        }
        self.without_rest(flows);
        state.finish()
    }

    /// Takes what rounding left between beds out of the largest flow of a shut line: water must
    /// neither come nor go there.
    fn without_rest(&self, flows: &mut [f64]) {
        let rest: f64 = self.beds.iter().map(|&(bed, _)| flows[bed]).sum();
        let largest = self
            .beds
            .iter()
            .max_by(|a, b| flows[a.0].abs().total_cmp(&flows[b.0].abs()));
        if let Some(&(bed, _)) = largest {
            flows[bed] -= rest;
        }
    }
}
