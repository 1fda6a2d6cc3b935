//! Siphon flows and line brought to agree.

use super::newton::Guess;
use super::siphons::Siphons;
use super::{Climb, DrainLineLaw, Each, LineState};
use crate::numerics::root::brent;
use smallvec::smallvec;

/// Newton steps tried before the flows are searched for one by one.
const NEWTON_STEPS: usize = 20;
/// Flows that agree to this share of the largest count as settled where rounding lets no more.
const GOT_THERE: f64 = 1e-9;
/// A grade this far above the outlet is taken for any higher one `[m]`.
const HIGHEST: f64 = 1000.0;
/// A line is thin where siphons left alone would give it more than so many times what it carries.
const THIN: f64 = 8.0;

impl DrainLineLaw {
    /// Settles siphon flows and line together.
    ///
    /// `demand(bed, tail)` is what a siphon gives against a tail level, negative where the line
    /// pushes water up into the bed; it must not rise with `tail`. On return `flows` and
    /// `tails` (both by bed) agree with each other to rounding for every bed on the line;
    /// `outlets` are the siphons' own outlet elevations. Of a line that is shut all beds see
    /// one grade, the lowest at which what comes in goes out again.
    ///
    /// `flows` and `tails` come in as they were a moment ago, or as zeros: in a thin line they
    /// are where to start from. The work goes with the number of beds.
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
        let mut free = Each::from_slice(flows);
        for &(bed, _) in &self.beds {
            free[bed] = demand(bed, outlets[bed]);
        }
        let mut siphons = Siphons {
            demand,
            outlets,
            least: free.clone(),
            most: free,
            held: Each::new(),
        };
        let mut grades: Each<f64> = smallvec![f64::NEG_INFINITY; flows.len()];
        let as_before = self.settle_as_before(sump_level, &mut siphons, flows, tails, &mut grades);
        if let Some(state) = as_before {
            self.tell_tails(outlets, &grades, tails);
            return state;
        }
        let mut state = self.grades(&siphons.most, sump_level, &mut grades);
        // Without any of them held back the grades are the highest they can be.
        for &(bed, _) in self
            .beds
            .iter()
            .filter(|one| grades[one.0] > outlets[one.0])
        {
            let given = siphons.against(bed, grades[bed]);
            if given < siphons.most[bed] {
                siphons.least[bed] = given;
                siphons.held.push(bed);
            }
        }
        if siphons.held.is_empty() {
            flows.copy_from_slice(&siphons.most);
        } else {
            state = if siphons.held.len() > 1 && state.flow > THIN * self.capacity {
                self.settle_thin(sump_level, &siphons, flows, tails, &mut grades)
            } else {
                self.relax_from_before(sump_level, &siphons, flows, &mut grades)
                    .or_else(|| self.relax_from_most(sump_level, &siphons, flows, &mut grades))
                    .unwrap_or_else(|| self.search(sump_level, &siphons, flows, &mut grades))
            };
        }
        self.tell_tails(outlets, &grades, tails);
        state
    }

    fn tell_tails(&self, outlets: &[f64], grades: &[f64], tails: &mut [f64]) {
        for &(bed, _) in &self.beds {
            tails[bed] = grades[bed].max(outlets[bed]);
        }
    }

    /// Settles with the line holding back what it held back a moment ago; how it then stands, if it
    /// got there and holds back nothing else, for then there is no other way for it to stand.
    fn settle_as_before(
        &self,
        sump_level: f64,
        siphons: &mut Siphons,
        flows: &mut [f64],
        tails: &[f64],
        grades: &mut [f64],
    ) -> Option<LineState> {
        let on_line = || self.beds.iter().map(|one| one.0);
        let total: f64 = on_line().map(|bed| siphons.most[bed]).sum();
        if total > THIN * self.capacity {
            return None;
        }
        for bed in on_line() {
            if tails[bed] > siphons.outlets[bed] && flows[bed] != 0.0 {
                siphons.least[bed] = f64::NEG_INFINITY;
                siphons.held.push(bed);
            }
        }
        if siphons.held.is_empty() {
            return None;
        }
        let before = Each::from_slice(flows);
        let state = self
            .relax_from_before(sump_level, siphons, flows, grades)
            .filter(|_| {
                on_line().all(|bed| {
                    siphons.held.contains(&bed)
                        || grades[bed] <= siphons.outlets[bed]
                        || siphons.against(bed, grades[bed]) >= siphons.most[bed]
                })
            });
        if state.is_none() {
            flows.copy_from_slice(&before);
            siphons.least.copy_from_slice(&siphons.most);
            siphons.held.clear();
        }
        state
    }

    /// Settles from the flows of a moment ago, mostly a step or two away; how the line then stands, if
    /// it got there.
    fn relax_from_before(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        flows: &mut [f64],
        grades: &mut [f64],
    ) -> Option<LineState> {
        siphons.knows(flows).then_some(())?;
        siphons.bring_within(flows);
        match *siphons.held {
            [bed] => self.relax_alone(sump_level, siphons, bed, flows, grades),
            _ => self.relax(sump_level, siphons, flows, grades),
        }
    }

    /// Newton's rule on the flow of the only bed held back, inside its bracket; how the line then
    /// stands, if it got there.
    fn relax_alone(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        bed: usize,
        flows: &mut [f64],
        grades: &mut [f64],
    ) -> Option<LineState> {
        let (mut low, mut high) = (siphons.least[bed], siphons.most[bed]);
        let largest = high.abs().max(siphons.most_back(flows));
        let mut feet = Each::with_capacity(self.junctions.len());
        let mut last = None;
        for _ in 0..NEWTON_STEPS {
            feet.clear();
            let state = self.climb(flows, sump_level, grades, |foot| feet.push(foot));
            let (q, grade) = (flows[bed], grades[bed]);
            let given = siphons.against(bed, grade);
            let miss = q - given;
            if miss.abs() <= self.agreement * largest {
                return Some(state);
            }
            last = (miss.abs() <= GOT_THERE * largest).then_some(state);
            if miss > 0.0 {
                high = q;
            } else {
                low = q;
            }
            // The grade rises with the flow, and the siphon gives no more against a higher one.
            let back = siphons.gain(bed, grade, given) * self.own_slope(bed, sump_level, &feet);
            let mut next = q - miss / (1.0 - back).max(1.0);
            if !(next >= low && next <= high) {
                next = 0.5 * (low + high);
            }
            if !next.is_finite() {
                return None;
            }
            flows[bed] = next;
        }
        last
    }

    /// Settles from where the line would hold nothing back, one siphon alone by its bracket; how the
    /// line then stands, if it got there.
    fn relax_from_most(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        flows: &mut [f64],
        grades: &mut [f64],
    ) -> Option<LineState> {
        flows.copy_from_slice(&siphons.most);
        let [bed] = *siphons.held else {
            return self.relax(sump_level, siphons, flows, grades);
        };
        let alone = |q: f64| {
            flows[bed] = q;
            let _ = self.grades(flows, sump_level, grades);
            q - siphons.against(bed, grades[bed])
        };
        let root = brent(alone, siphons.least[bed], siphons.most[bed], 1e-16).ok()?;
        flows[bed] = root;
        Some(self.grades(flows, sump_level, grades))
    }

    /// Newton on the flows of the beds held back, the grades being what these make them; how the
    /// line then stands, if it got there.
    fn relax(
        &self,
        sump_level: f64,
        siphons: &Siphons,
        flows: &mut [f64],
        grades: &mut [f64],
    ) -> Option<LineState> {
        // What a thin line would push up if nothing gave way is no measure of anything.
        let largest = match siphons.largest(&siphons.most) {
            free if free > 0.0 => free,
            _ => siphons.most_back(flows),
        };
        let close = self.agreement * largest;
        let at = |flows: &[f64]| {
            let mut grades: Each<f64> = smallvec![f64::NEG_INFINITY; flows.len()];
            let mut feet = Each::with_capacity(self.junctions.len());
            let state = self.climb(flows, sump_level, &mut grades, |foot| feet.push(foot));
            (
                Guess::new(siphons, Each::from_slice(flows), grades),
                feet,
                state,
            )
        };
        let mut now = at(flows);
        for _ in 0..NEWTON_STEPS {
            let (guess, feet, _) = &now;
            if guess.largest_miss() <= close {
                break;
            }
            let change = self.newton_step(sump_level, siphons, guess, feet);
            let mut share = 1.0;
            let better = loop {
                for &bed in &siphons.held {
                    let next = guess.flows[bed] + share * change.flows[bed];
                    flows[bed] = next.clamp(siphons.least[bed], siphons.most[bed]);
                }
                let next = at(flows);
                if next.0.norm() < (1.0 - 1e-4 * share) * guess.norm() {
                    break Some(next);
                }
                share *= 0.5;
                if share < 1e-3 {
                    break None;
                }
            };
            match better {
                Some(next) => now = next,
                None => break,
            }
        }
        let (guess, _, state) = now;
        flows.copy_from_slice(&guess.flows);
        grades.copy_from_slice(&guess.grades);
        (guess.largest_miss() <= GOT_THERE * largest).then_some(state)
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
