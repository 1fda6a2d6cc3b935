//! A smooth stretch between events: its rates, its clock, its first step.

use crate::numerics::integrate::{Rates, Trajectory};
use crate::simulation::modes::Modes;
use crate::simulation::plant::{Layout, Moment, Plant};
use nalgebra::SVector;

/// Longest step [s]: no level may rise and fall again unseen for longer.
pub(super) const LONGEST_STEP: f64 = 120.0;

/// The variable that a stretch is integrated over.
///
/// Flow over a lip starts with the power 1.5 of the head, and so of time: a
/// kink that would cost many small steps. In the root of the time since then
/// the power is 3, and everything smooth stays smooth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Clock {
    /// Time itself [s].
    Plain,
    /// The root of the time since a level came over its lip [s^0.5].
    Rooted {
        /// When that was [s].
        since: f64,
    },
}

impl Clock {
    /// What the clock shows at time `t` [s].
    pub(super) fn reading(self, t: f64) -> f64 {
        match self {
            Self::Plain => t,
            Self::Rooted { since } => (t - since).max(0.0).sqrt(),
        }
    }

    /// Time at a reading [s].
    pub(super) fn time(self, reading: f64) -> f64 {
        match self {
            Self::Plain => reading,
            Self::Rooted { since } => since + reading * reading,
        }
    }

    /// Seconds that pass per unit of the reading.
    pub(super) fn pace(self, reading: f64) -> f64 {
        match self {
            Self::Plain => 1.0,
            Self::Rooted { .. } => 2.0 * reading,
        }
    }

    /// When a stretch on this clock has to end at the latest [s].
    pub(super) fn limit(self) -> f64 {
        match self {
            Self::Plain => f64::INFINITY,
            Self::Rooted { since } => since + LONGEST_STEP,
        }
    }
}

/// The right-hand side while no mode changes.
pub(super) struct Stretch<'a, const B: usize> {
    pub(super) plant: &'a Plant,
    pub(super) modes: &'a Modes<B>,
    pub(super) clock: Clock,
}

impl<const B: usize, const N: usize> Rates<N> for Stretch<'_, B> {
    const FEEDBACK: usize = Layout::<B>::FEEDBACK;
    type Sight = Moment<B>;

    fn rates(
        &self,
        reading: f64,
        y: &SVector<f64, N>,
        dy: &mut SVector<f64, N>,
        sight: &mut Moment<B>,
    ) {
        self.plant.rates(y, self.modes, dy, sight);
        if self.clock != Clock::Plain {
            *dy *= self.clock.pace(reading);
        }
    }
}

/// First steps to try, from what suited the stretches before [s].
pub(super) struct StepHints {
    /// As the stretch before ended.
    onward: f64,
    /// From the moment a level comes over its lip.
    over_lip: f64,
}

impl StepHints {
    pub(super) fn new() -> Self {
        Self { onward: 30.0, over_lip: 10.0 }
    }

    /// First step on `clock` from time `t` [s], in its reading.
    pub(super) fn first(&self, clock: Clock, t: f64) -> f64 {
        let fresh = clock == Clock::Rooted { since: t };
        let step = if fresh { self.over_lip } else { self.onward };
        clock.reading(t + step) - clock.reading(t)
    }

    /// Learns from a stretch that began at time `t` [s].
    pub(super) fn learn<const N: usize, S: Copy>(
        &mut self,
        clock: Clock,
        t: f64,
        trajectory: &Trajectory<N, S>,
    ) {
        let limits = |step: f64| step.clamp(1e-3, LONGEST_STEP);
        if clock == (Clock::Rooted { since: t }) {
            self.over_lip = limits(clock.time(trajectory.first_suited) - t);
        }
        if let Some(end) = trajectory.ends.last() {
            let next = clock.time(end.t + trajectory.next_step) - clock.time(end.t);
            self.onward = limits(next);
        }
    }
}
