//! The shared drain line of a plant: what it can do to the siphons, and what it does.

use super::{Moment, Plant};
use crate::model::{Band, System};
use crate::network::drain_line::{DrainLineLaw, LineState};
use crate::simulation::modes::Modes;

/// What a drain line can do beside carrying water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LineReach {
    /// It can come to stand over an outlet.
    Siphons,
    /// It can come under pressure, but stays below every outlet.
    Itself,
    /// Neither.
    Nothing,
}

/// The drain line of `system` at both ends of the bands of its own coefficients.
pub(super) fn line_ends(system: &System) -> Option<[DrainLineLaw; 2]> {
    let bands = &system.coefficients;
    let low = DrainLineLaw::new(system, &bands.line_at(|band| band.low))?;
    let high = DrainLineLaw::new(system, &bands.line_at(|band| band.high))?;
    Some([low, high])
}

/// A siphon that hangs between running on and full bore gives what comes in, which may pass
/// the flow at the rim by some of this share.
const FULLEST: f64 = 1.3;
/// How far water may stand over a wall or the sump's overflow `[m]`.
const OVER_RIM: f64 = 0.02;
impl Plant {
    /// Finds what the line can do with all siphons at their fullest and the sump at its
    /// highest; it can do no more with less, for its grades rise with every flow.
    pub(super) fn find_reached(&mut self) {
        let Some(line) = &self.line else {
            return;
        };
        let most: Vec<f64> = (self.laws.iter().zip(&self.rims))
            .map(|(law, rim)| FULLEST * law.most_flow(rim + OVER_RIM))
            .collect();
        let state = line.below(&self.outlets, &most, self.overflow_level + OVER_RIM);
        self.line_reach = match state {
            None => LineReach::Siphons,
            Some(state) if state.surcharged() => LineReach::Itself,
            Some(_) => LineReach::Nothing,
        };
        self.reached.clear();
        let siphons = self.line_reaches();
        self.reached
            .extend(self.on_line.iter().map(|on| *on && siphons));
    }

    /// Whether the line can hold back any siphon.
    pub(in crate::simulation) fn line_reaches(&self) -> bool {
        self.line.is_some() && self.line_reach == LineReach::Siphons
    }

    /// Whether the line can come under pressure.
    pub(in crate::simulation) fn line_can_fill(&self) -> bool {
        self.line.is_some() && self.line_reach != LineReach::Nothing
    }

    /// How the line stands at `now`.
    pub(in crate::simulation) fn line_state<const B: usize>(
        &self,
        now: &Moment<B>,
    ) -> Option<LineState> {
        now.line.or_else(|| {
            let mut grades = [0.0; B];
            let line = self.line.as_ref()?;
            Some(line.grades(&now.outflow, now.sump_level, &mut grades))
        })
    }

    /// The sump level as the line sees it `[m]`: below its outlet it makes no difference.
    pub(in crate::simulation) fn line_tail<const B: usize>(&self, now: &Moment<B>) -> f64 {
        let outlet = self
            .line
            .as_ref()
            .map_or(f64::INFINITY, DrainLineLaw::outlet);
        now.sump_level.max(outlet)
    }

    /// Leaves only the share `open` of the drain line's area free.
    pub(in crate::simulation) fn narrow_line(&mut self, open: f64) {
        let ends = self.line_ends.iter_mut().flatten();
        for line in self.line.iter_mut().chain(ends) {
            line.narrow(open);
        }
        self.find_reached();
    }

    /// How full the drain line stands with these flows, over the bands of its own
    /// coefficients `[-]`.
    pub(in crate::simulation) fn line_fill<const B: usize>(
        &self,
        now: &Moment<B>,
        nominal: f64,
    ) -> Band {
        let Some(ends) = self.line_ends.as_ref().filter(|ends| !ends[0].is_shut()) else {
            return Band::exact(nominal);
        };
        let [low, high] = ends.each_ref().map(|line| {
            let mut grades = [0.0; B];
            line.grades(&now.outflow, now.sump_level, &mut grades).fill
        });
        Band::new(low.min(nominal), nominal, high.max(nominal))
    }

    /// What the drain line has to stand over before it pushes water up into bed `i` `[m]`: the
    /// bed's water, at least its lip.
    pub(in crate::simulation) fn back_up_level<const B: usize>(
        &self,
        i: usize,
        now: &Moment<B>,
    ) -> f64 {
        now.level[i].max(self.laws[i].lip())
    }

    /// Level that the outlet of bed `i` looks at `[m]`; not for beds that the line reaches.
    pub(super) fn free_tail(&self, i: usize, sump_level: f64) -> f64 {
        if self.on_line[i] {
            self.outlets[i]
        } else {
            self.outlets[i].max(sump_level)
        }
    }

    /// Looks how a line stands that can fill but holds nothing back; one that does comes with
    /// the flows.
    pub(in crate::simulation) fn see_line<const B: usize>(&self, now: &mut Moment<B>) {
        if self.line_reach == LineReach::Itself {
            now.line = None;
            now.line = self.line_state(now);
        }
    }

    /// Siphon flows and the tails they see, the line included.
    pub(super) fn drain<const B: usize>(&self, now: &mut Moment<B>, modes: &Modes<B>) {
        let n = self.laws.len().min(B);
        for i in 0..n {
            if !self.reached[i] {
                now.tail[i] = self.free_tail(i, now.sump_level);
                (now.outflow[i], now.guard[i]) = self.siphon(i, now, modes, now.tail[i]);
            }
        }
        if let Some(line) = self.line.as_ref().filter(|_| self.line_reaches()) {
            let mut flows = now.outflow;
            let mut tails = now.tail;
            let demand = |i: usize, tail: f64| self.siphon(i, now, modes, tail).0;
            let state = line.settle(
                now.sump_level,
                &self.outlets,
                &demand,
                &mut flows[..n],
                &mut tails[..n],
            );
            for i in (0..n).filter(|&i| self.reached[i]) {
                now.outflow[i] = flows[i];
                now.tail[i] = tails[i];
                now.guard[i] = if self.has_gravel(i) {
                    self.siphon(i, now, modes, tails[i]).1
                } else {
                    now.level[i]
                };
            }
            now.line = Some(state);
        }
    }

    /// Submergence of bed `i`'s outlet `[m]`.
    pub(in crate::simulation) fn submergence<const B: usize>(
        &self,
        i: usize,
        now: &Moment<B>,
    ) -> f64 {
        now.tail[i] - self.outlets[i]
    }
}
