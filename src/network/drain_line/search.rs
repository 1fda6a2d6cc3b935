//! Where Newton's rule is held up: flows searched for from the outlet up, junction by junction.

use super::siphons::Siphons;
use super::{A_LOOK, Climb, DrainLineLaw, Each, LineState};
use crate::numerics::effort;
use crate::numerics::root::{RootError, brent, brent_between};

/// A flow below a junction tells the grades above it as far as one that differs by this share
/// has them at the same place, to within so much `[m]`.
const BESIDE: f64 = 1e-13;
const TOLD: f64 = 1e-9;

/// Least and most that comes in at and above each junction `[m3/s]`.
struct Bounds {
    least: Each<f64>,
    most: Each<f64>,
}

impl DrainLineLaw {
    /// The flow at the outlet is searched for, and at every junction on the way up what joins
    /// there. More flow at the outlet means higher grades, so less joins, and more is left
    /// over at the upper end, where nothing may be: both are roots of rising functions, with
    /// their brackets known.
    ///
    /// In a line as thin as a straw the last digit of a flow decides over the grades farther up.
    /// What it no longer tells is searched for from there on, the line below being settled.
    pub(super) fn search(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        flows: &mut [f64],
        grades: &mut [f64],
    ) -> LineState {
        let n = self.junctions.len();
        let bounds = Bounds {
            least: self.summed_from_top(&siphons.least),
            most: self.summed_from_top(&siphons.most),
        };
        let mut grade = 0.0;
        let mut k = 0;
        while k < n {
            let start = |flow: f64| {
                let under = if k == 0 {
                    self.outlet_grade(flow, sump_level)
                } else {
                    grade
                };
                Climb::from(self, flow, under)
            };
            let (least, most) = (bounds.least[k], bounds.most[k]);
            let left = |flow: f64| self.left_over(k, start(flow), siphons, &bounds);
            let flow = match brent(left, least, most, 0.0) {
                Ok(flow) => flow,
                Err(RootError::NotBracketed { fa, .. }) if fa > 0.0 => least,
                Err(RootError::TooManyIterations { .. }) => last_digit((least, most), left),
                Err(_) => most,
            };
            let (mut way, mut beside) = (start(flow), start(flow + BESIDE * flow.abs()));
            let first = k;
            while k < n {
                let (joining, above) = self.join(k, &mut way, siphons);
                let (joining_beside, above_beside) = self.join(k, &mut beside, siphons);
                if k > first && (above - above_beside).abs() > TOLD {
                    break;
                }
                grade = above;
                for &(bed, _) in &self.beds[self.junctions[k].members.clone()] {
                    flows[bed] = siphons.against(bed, grade);
                    grades[bed] = grade;
                }
                let rounding = BESIDE * way.flow.abs().max(joining.abs());
                way.pass(k, joining, grade);
                beside.pass(k, joining_beside, above_beside);
                // Rounding alone would lead them along one way.
                beside.flow = beside.flow.max(way.flow + rounding);
                beside.grade = beside.grade.max(grade + 4.0 * f64::EPSILON * grade.abs());
                k += 1;
            }
        }
        self.as_it_stands(sump_level, flows, grades)
    }

    /// How the line stands with flows and grades that agree, all by bed.
    pub(super) fn as_it_stands(&self, sump_level: f64, flows: &[f64], grades: &[f64]) -> LineState {
        let below = self.summed_from_top(flows);
        let mut climb = Climb::new(self, below[0], sump_level);
        for (k, junction) in self.junctions.iter().enumerate() {
            let grade = grades[self.beds[junction.members.start].0];
            climb.pass(k, below[k] - below[k + 1], grade);
        }
        climb.finish()
    }

    /// What is left over above the topmost junction on the way up from below junction `k`
    /// `[m3/s]`; or, as soon as that is clear, above a lower one how much more than all that
    /// is above it can give, or less, if negative.
    fn left_over(&self, k: usize, mut climb: Climb, siphons: &Siphons, bounds: &Bounds) -> f64 {
        for k in k..self.junctions.len() {
            let (joining, grade) = self.join(k, &mut climb, siphons);
            climb.pass(k, joining, grade);
            let (least, most) = (bounds.least[k + 1], bounds.most[k + 1]);
            if climb.flow > most {
                return climb.flow - most;
            }
            if climb.flow < least {
                return climb.flow - least;
            }
        }
        climb.flow
    }

    /// What joins at junction `k` `[m3/s]` and the grade above it `[m]`, the flow below it known.
    fn join(&self, k: usize, climb: &mut Climb, siphons: &Siphons) -> (f64, f64) {
        let beds = &self.beds[self.junctions[k].members.clone()];
        let sum = |by_bed: &[f64]| beds.iter().map(|&(bed, _)| by_bed[bed]).sum::<f64>();
        effort::spend(A_LOOK);
        let below = climb.reach(k);
        let given = |grade: f64| siphons.together(beds, grade);
        let (least, most) = (sum(&siphons.least), sum(&siphons.most));
        let excess = |joining: f64| joining - given(below.above(joining));
        let joining = if least < most {
            // Outside the bracket where the total asked for is none that can be.
            let (at_least, at_most) = (excess(least), excess(most));
            if at_least >= 0.0 {
                given(below.above(least))
            } else if at_most <= 0.0 {
                given(below.above(most))
            } else {
                let ends = [(least, at_least), (most, at_most)];
                brent_between(excess, ends, 0.0).unwrap_or(most)
            }
        } else {
            most
        };
        (joining, below.above(joining))
    }
}

/// A root of a rising function to its last digit, however small it is, by halves of the numbers
/// there are between `ends` and not of their width.
fn last_digit((low, high): (f64, f64), rising: impl Fn(f64) -> f64) -> f64 {
    let place = |x: f64| {
        let bits = x.abs().to_bits() as i64;
        if x < 0.0 { -bits } else { bits }
    };
    let number = |place: i64| f64::from_bits(place.unsigned_abs()).copysign(place as f64);
    let (mut low, mut high) = (place(low), place(high));
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if rising(number(middle)) > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    number(low)
}

#[cfg(test)]
mod tests {
    use super::*;

    // What brackets do not come to in their steps: roots far smaller than the bracket is wide.
    #[test]
    fn a_root_is_found_to_its_last_digit_however_small_it_is() {
        for root in [3e-300, 7.1e-12, 0.3, -2e-9, -0.9] {
            let found = last_digit((-1.0, 1.0), |x| x - root);
            assert!(found == root, "{found} for {root}");
            let between = last_digit((-1.0, 1.0), |x| if x > root { 1.0 } else { -1.0 });
            assert!(between == root, "{between} for {root}");
        }
    }
}
