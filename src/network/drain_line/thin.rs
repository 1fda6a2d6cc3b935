//! A line that carries next to nothing of what its siphons would give.
//!
//! There a flow's last digits decide over grades, and siphons hang between giving and taking within
//! a hair of one grade: flows and grades are unknowns side by side.

use super::newton::Guess;
use super::siphons::Siphons;
use super::{DrainLineLaw, Each, LineState};
use crate::numerics::root::brent_between;
use smallvec::smallvec;

/// Steps tried before the flows are searched for.
const STEPS: usize = 25;
/// Steps that may go astray before they are shortened, and by how much at most.
const FREE_STEPS: usize = 3;
const LEAST_SHARE: f64 = 0.05;
/// Settled: what is left to change, as a share of the largest flow and in metres.
const CLOSE: (f64, f64) = (1e-12, 1e-11);
/// Flows below this are all alike `[m3/s]`.
const LEAST_FLOW: f64 = 1e-9;
/// A grade looked for near another: first and last reach, and to what width `[m]`.
const NEAR: (f64, f64) = (1e-4, 1.0);
const WIDTH: f64 = 1e-7;
/// Grades stay below the highest one guessed and so much `[m]`.
const HEADROOM: f64 = 0.5;

impl DrainLineLaw {
    /// Settles a thin line from `flows` and `tails` of a moment ago, where there are any.
    pub(super) fn settle_thin(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        flows: &mut [f64],
        tails: &[f64],
        grades: &mut [f64],
    ) -> LineState {
        let known = siphons.knows(flows);
        siphons.bring_within(flows);
        let settled = known.then(|| {
            let near = self.near(sump_level, siphons, flows, tails);
            self.settle_from(
                sump_level,
                siphons,
                Guess::new(siphons, Each::from_slice(flows), near),
            )
        });
        let settled = settled.flatten().or_else(|| {
            let _ = self.search(sump_level, siphons, flows, grades);
            let found = Guess::new(siphons, Each::from_slice(flows), Each::from_slice(grades));
            self.settle_from(sump_level, siphons, found)
        });
        if let Some(guess) = settled {
            flows.copy_from_slice(&guess.flows);
            grades.copy_from_slice(&guess.grades);
        }
        self.as_it_stands(sump_level, flows, grades)
    }

    /// Grades `[m]`, by bed, at which siphons give `flows` `[m3/s]` today, near those of a moment ago.
    fn near(&self, sump_level: f64, siphons: &Siphons, flows: &[f64], tails: &[f64]) -> Each<f64> {
        let mut grades: Each<f64> = smallvec![f64::NEG_INFINITY; flows.len()];
        let below = self.summed_from_top(flows);
        let mut under = self.outlet_grade(below[0], sump_level);
        for (k, junction) in self.junctions.iter().enumerate() {
            let beds = &self.beds[junction.members.clone()];
            let joining = below[k] - below[k + 1];
            // A tail at the outlet tells nothing of a grade below it.
            let told = beds
                .iter()
                .find(|bed| tails[bed.0] > siphons.outlets[bed.0]);
            under = match told {
                Some(bed) => tails[bed.0],
                None => self.grade_above(k, below[k], under, joining),
            };
            let asked: f64 = beds.iter().map(|bed| flows[bed.0]).sum();
            under = same_flow(under, |grade| siphons.together(beds, grade) - asked);
            for &(bed, _) in beds {
                grades[bed] = under;
            }
        }
        grades
    }

    /// Newton's rule with flows and grades as unknowns; `None` where it does not get there.
    fn settle_from(&self, sump_level: f64, siphons: &Siphons, mut now: Guess) -> Option<Guess> {
        let ceiling = HEADROOM + now.grades.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (mut share, mut best) = (1.0_f64, f64::INFINITY);
        for step in 0..STEPS {
            let largest = siphons.largest(&now.flows).max(LEAST_FLOW);
            let change = self.newton_step(sump_level, siphons, &now, &self.feet(sump_level, &now));
            let moved = siphons.largest(&change.flows) / largest;
            let risen = siphons.largest(&change.grades);
            if moved < CLOSE.0 && risen < CLOSE.1 {
                return Some(now);
            }
            let size = moved.max(risen);
            if size < 0.7 * best {
                best = size;
                share = (2.0 * share).min(1.0);
            } else if step > FREE_STEPS {
                share *= 0.5;
            }
            if !size.is_finite() || share < LEAST_SHARE {
                return None;
            }
            for &bed in &siphons.held {
                let next = now.flows[bed] + share * change.flows[bed];
                now.flows[bed] = next.clamp(siphons.least[bed], siphons.most[bed]);
            }
            for &(bed, _) in &self.beds {
                now.grades[bed] = (now.grades[bed] + share * change.grades[bed]).min(ceiling);
            }
            now.look(siphons);
        }
        None
    }
}

/// Where `miss`, which does not rise with the grade, is zero near `grade` `[m]`; `grade` itself where
/// that is not near.
fn same_flow(grade: f64, miss: impl Fn(f64) -> f64) -> f64 {
    let here = miss(grade);
    let mut reach = NEAR.0;
    while here != 0.0 && reach <= NEAR.1 {
        let other = grade + reach.copysign(here);
        let there = miss(other);
        if (there > 0.0) != (here > 0.0) {
            return brent_between(miss, [(grade, here), (other, there)], WIDTH).unwrap_or(grade);
        }
        reach *= 10.0;
    }
    grade
}
