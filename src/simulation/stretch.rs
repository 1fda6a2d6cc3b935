//! A smooth stretch between events: its rates, its clock, its first step.

use crate::numerics::integrate::{Rates, Trajectory};
use crate::simulation::modes::Modes;
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::units::HOUR;
use nalgebra::SVector;

/// Longest step `[s]`: no level may rise and fall again unseen for longer.
pub(super) const LONGEST_STEP: f64 = 120.0;
/// Where nothing has happened for long, steps may be this share of that time long ...
const QUIET_SHARE: f64 = 0.02;
/// ... but no longer than this `[s]`.
const LONGEST_QUIET_STEP: f64 = HOUR;

/// A smooth stretch that goes on over several trajectories.
#[derive(Debug, Clone, Copy)]
pub(super) struct Quiet {
    /// When it began `[s]`.
    pub(super) since: f64,
    /// Since when everything has stood `[s]`.
    pub(super) still_since: Option<f64>,
    /// Step to go on with, once there was a trajectory, in the clock's reading.
    pub(super) next_step: Option<f64>,
    /// Whether it has turned out to be stiff.
    pub(super) stiff: bool,
}

impl Quiet {
    pub(super) fn new(since: f64) -> Self {
        Self {
            since,
            still_since: None,
            next_step: None,
            stiff: false,
        }
    }

    /// Longest step at `t` `[s]`.
    pub(super) fn longest_step(&self, t: f64) -> f64 {
        (QUIET_SHARE * (t - self.since)).clamp(LONGEST_STEP, LONGEST_QUIET_STEP)
    }
}

/// The variable that a stretch is integrated over.
///
/// Flow over a lip starts with the power 1.5 of the head, and so of time: a
/// kink that would cost many small steps. In the root of the time since then
/// the power is 3, and everything smooth stays smooth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Clock {
    /// Time itself `[s]`.
    Plain,
    /// The root of the time since a level came over its lip [s^0.5].
    Rooted {
        /// When that was `[s]`.
        since: f64,
    },
}

impl Clock {
    /// What the clock shows at time `t` `[s]`.
    pub(super) fn reading(self, t: f64) -> f64 {
        match self {
            Self::Plain => t,
            Self::Rooted { since } => (t - since).max(0.0).sqrt(),
        }
    }

    /// Time at a reading `[s]`.
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

    /// A difference of readings that is nowhere more than `seconds`.
    pub(super) fn width(self, seconds: f64) -> f64 {
        match self {
            Self::Plain => seconds,
            Self::Rooted { .. } => seconds / (2.0 * LONGEST_STEP.sqrt()),
        }
    }

    /// When a stretch on this clock has to end at the latest `[s]`.
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

    fn rates_between(
        &self,
        reading: f64,
        y: &SVector<f64, N>,
        dy: &mut SVector<f64, N>,
        sight: &mut Moment<B>,
    ) {
        self.plant.rates_between(y, self.modes, dy, sight);
        if self.clock != Clock::Plain {
            *dy *= self.clock.pace(reading);
        }
    }
}

/// What a stretch begins with, where that decides what step suits it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Beginning {
    /// A level has come over its lip.
    OverLip,
    /// A siphon has begun to run full, no other is at its lip.
    FullBore,
    /// Everything fills or drains.
    Smooth,
    /// Another siphon is at its lip: its pace goes on.
    Onward,
}

/// First steps to try, from what suited the stretches before `[s]`.
#[derive(Clone)]
pub(super) struct StepHints {
    onward: f64,
    over_lip: f64,
    full_bore: f64,
    smooth: f64,
}

impl StepHints {
    pub(super) fn new() -> Self {
        Self {
            onward: 10.0,
            over_lip: 2.0,
            full_bore: 30.0,
            smooth: 60.0,
        }
    }

    /// First step on `clock` from time `t` `[s]`, in its reading.
    pub(super) fn first(&self, beginning: Beginning, clock: Clock, t: f64) -> f64 {
        let step = match beginning {
            Beginning::OverLip => self.over_lip,
            Beginning::FullBore => self.full_bore,
            Beginning::Smooth => self.smooth,
            Beginning::Onward => self.onward,
        };
        clock.reading(t + step) - clock.reading(t)
    }

    /// Learns from a stretch that began at time `t` `[s]`.
    pub(super) fn learn<const N: usize, S: Copy>(
        &mut self,
        beginning: Beginning,
        clock: Clock,
        t: f64,
        trajectory: &Trajectory<N, S>,
    ) {
        let length = |from: f64, step: f64| {
            (clock.time(from + step) - clock.time(from)).clamp(1e-3, LONGEST_STEP)
        };
        let suited = length(clock.reading(t), trajectory.first_suited);
        match beginning {
            Beginning::OverLip => self.over_lip = suited,
            Beginning::FullBore => self.full_bore = suited,
            Beginning::Smooth => self.smooth = suited,
            Beginning::Onward => {}
        }
        if let Some(end) = trajectory.ends.last() {
            self.onward = length(end.t, trajectory.next_step);
        }
    }
}
