//! One step of Newton's rule for siphons on a line.

use super::siphons::Siphons;
use super::slopes::GradeSlopes;
use super::{A_LOOK, Climb, DrainLineLaw, Each, Foot};
use crate::numerics::effort;
use smallvec::smallvec;

/// Grades this far apart tell how a siphon's flow changes `[m]`.
const GRADE_STEP: f64 = 1e-7;

impl Siphons<'_> {
    /// How much less the siphon of `bed` gives against a higher `grade` `[m]`, where it gives
    /// `given` `[m3/s]`: 0 or less `[m2/s]`.
    pub(super) fn gain(&self, bed: usize, grade: f64, given: f64) -> f64 {
        let hair = GRADE_STEP * grade.abs().max(1.0);
        (given - self.against(bed, grade - hair)) / hair
    }
}

/// Flows and grades that may not yet agree, all by bed.
pub(super) struct Guess {
    pub(super) flows: Each<f64>,
    pub(super) grades: Each<f64>,
    /// Whether the line holds the bed back, and by how much its flow then passes what its
    /// siphon gives against the grade `[m3/s]`.
    held: Each<bool>,
    misses: Each<f64>,
}

impl Guess {
    pub(super) fn new(siphons: &Siphons, flows: Each<f64>, grades: Each<f64>) -> Self {
        let mut held: Each<bool> = smallvec![false; flows.len()];
        for &bed in &siphons.held {
            held[bed] = true;
        }
        let mut guess = Self {
            misses: smallvec![0.0; flows.len()],
            flows,
            grades,
            held,
        };
        guess.look(siphons);
        guess
    }

    /// Brings the misses up to date.
    pub(super) fn look(&mut self, siphons: &Siphons) {
        for &bed in &siphons.held {
            self.misses[bed] = self.flows[bed] - siphons.against(bed, self.grades[bed]);
        }
    }

    pub(super) fn largest_miss(&self) -> f64 {
        self.misses
            .iter()
            .fold(0.0, |most, miss| most.max(miss.abs()))
    }

    pub(super) fn norm(&self) -> f64 {
        self.misses
            .iter()
            .map(|miss| miss * miss)
            .sum::<f64>()
            .sqrt()
    }
}

/// By how much flows and grades are to change, all by bed.
pub(super) struct Change {
    pub(super) flows: Each<f64>,
    pub(super) grades: Each<f64>,
}

impl DrainLineLaw {
    /// What Newton's rule would have changed in `now`, the line standing as `feet` say.
    ///
    /// A bed looks at one grade, and a grade at what comes from above and at the grade below: one
    /// pass down the line leaves the flow at each junction as a straight line of the grade
    /// below it, and one pass up fills them in. The work goes with the beds, not with their
    /// cube. (Elimination in a band; flows and grades as unknowns side by side: E. Todini and
    /// S. Pilati, A gradient algorithm for the analysis of pipe networks, 1988, from memory.)
    pub(super) fn newton_step(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        now: &Guess,
        feet: &[Foot],
    ) -> Change {
        let n = self.junctions.len();
        let mut gives: Each<f64> = smallvec![0.0; now.flows.len()];
        // Change of the grade above a junction: the first times that below it, and the second.
        let mut lines: Each<(f64, f64)> = smallvec![(0.0, 0.0); n];
        // What comes from above a junction: the first, and the second times its grade's change.
        let (mut own, mut per_grade) = (0.0, 0.0);
        for (k, junction) in self.junctions.iter().enumerate().rev() {
            let beds = &self.beds[junction.members.clone()];
            let (mut joins, mut joins_per_grade) = (0.0, 0.0);
            for &(bed, _) in beds.iter().filter(|bed| now.held[bed.0]) {
                let given = now.flows[bed] - now.misses[bed];
                gives[bed] = siphons.gain(bed, now.grades[bed], given);
                joins -= now.misses[bed];
                joins_per_grade += gives[bed];
            }
            let GradeSlopes {
                by_under,
                by_flow,
                by_joining,
            } = self.grade_slopes(k, &feet[k]);
            let (flow, flow_per_grade) = (own + joins, per_grade + joins_per_grade);
            let stiff = 1.0 - by_flow * flow_per_grade - by_joining * joins_per_grade;
            let off = feet[k].grade - now.grades[beds[0].0];
            let gain = by_under / stiff;
            let rest = (by_flow * flow + by_joining * joins + off) / stiff;
            lines[k] = (gain, rest);
            (own, per_grade) = (flow + flow_per_grade * rest, flow_per_grade * gain);
        }
        let total = feet.first().map_or(0.0, |foot| foot.below.stretch.flow);
        let outlet = self.outlet_grade_slope(total, sump_level);
        let mut rise = outlet * own / (1.0 - outlet * per_grade);
        let mut flows: Each<f64> = smallvec![0.0; gives.len()];
        let mut grades = flows.clone();
        for (junction, (gain, rest)) in self.junctions.iter().zip(lines) {
            rise = gain * rise + rest;
            for &(bed, _) in &self.beds[junction.members.clone()] {
                grades[bed] = rise;
                if now.held[bed] {
                    flows[bed] = gives[bed] * rise - now.misses[bed];
                }
            }
        }
        Change { flows, grades }
    }

    /// How every junction stands with flows and grades that may not agree.
    pub(super) fn feet(&self, sump_level: f64, now: &Guess) -> Each<Foot> {
        let below = self.summed_from_top(&now.flows);
        let mut under = self.outlet_grade(below[0], sump_level);
        let mut feet = Each::with_capacity(self.junctions.len());
        for (k, junction) in self.junctions.iter().enumerate() {
            effort::spend(A_LOOK);
            let joining = below[k] - below[k + 1];
            feet.push(Climb::from(self, below[k], under).foot(k, joining));
            under = now.grades[self.beds[junction.members.start].0];
        }
        feet
    }

    /// What comes in at and above every junction, and nothing above the last.
    pub(super) fn summed_from_top(&self, by_bed: &[f64]) -> Each<f64> {
        let mut sums: Each<f64> = smallvec![0.0; self.junctions.len() + 1];
        for (k, junction) in self.junctions.iter().enumerate().rev() {
            let beds = &self.beds[junction.members.clone()];
            sums[k] = sums[k + 1] + beds.iter().map(|&(bed, _)| by_bed[bed]).sum::<f64>();
        }
        sums
    }

    /// Grade just above junction `k` with `flow` below it, `joining` of it coming in there
    /// `[m3/s]`, and the grade `under` just above the junction before or at the outlet `[m]`.
    pub(super) fn grade_above(&self, k: usize, flow: f64, under: f64, joining: f64) -> f64 {
        effort::spend(A_LOOK);
        Climb::from(self, flow, under).foot(k, joining).grade
    }
}
