//! Integration of smooth stretches between events, on `ode_solvers`.

use nalgebra::SVector;
use ode_solvers::continuous_output_model::ContinuousOutputModel;
use ode_solvers::dop_shared::{IntegrationError, OutputType, System};
use ode_solvers::dopri5::Dopri5;
use std::cell::RefCell;

/// A smooth right-hand side of `N` states.
pub trait Rates<const N: usize> {
    /// Writes `dy/dt` at time `t` [s].
    fn rates(&self, t: f64, y: &SVector<f64, N>, dy: &mut SVector<f64, N>);
}

/// How closely to integrate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Relative to each state.
    pub relative: f64,
    /// In the state's own unit.
    pub absolute: f64,
}

/// From when to when, and with what steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Start [s].
    pub from: f64,
    /// End [s].
    pub to: f64,
    /// First step to try [s]; zero: found from the right-hand side.
    pub first_step: f64,
    /// Longest step allowed [s].
    pub longest_step: f64,
}

/// State and its rate at the end of an accepted step.
#[derive(Debug, Clone, Copy)]
pub struct StepEnd<const N: usize> {
    /// Time [s].
    pub t: f64,
    /// State.
    pub y: SVector<f64, N>,
    /// Its rate.
    pub dy: SVector<f64, N>,
}

/// An integrated stretch with its interpolant.
pub struct Trajectory<const N: usize> {
    /// Ends of the accepted steps, in order.
    pub ends: Vec<StepEnd<N>>,
    /// Right-hand-side evaluations spent.
    pub evaluations: u64,
    interpolant: ContinuousOutputModel<f64, SVector<f64, N>>,
}

impl<const N: usize> Trajectory<N> {
    /// State at `t` inside the stretch, to the fourth order of the method's interpolant.
    pub fn at(&self, t: f64) -> SVector<f64, N> {
        let (low, high) = self.interpolant.bounds();
        match self.interpolant.evaluate(t.clamp(low, high)) {
            Some(y) => y,
            // Only for a time that is not a number; the last state is as good an answer as any.
            None => self.ends[self.ends.len() - 1].y,
        }
    }
}

/// Why a stretch could not be integrated.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum IntegrationFailure {
    /// The step shrank to nothing.
    #[error("the time step shrank to nothing at t = {t:.3} s")]
    StepTooSmall {
        /// When [s].
        t: f64,
    },
    /// Too many steps in one stretch.
    #[error("more than {steps} steps were needed up to t = {t:.3} s")]
    TooManySteps {
        /// When [s].
        t: f64,
        /// Steps taken.
        steps: u32,
    },
}

const MOST_STEPS: u32 = 20_000;

/// Dormand-Prince 5(4) over `span` from `y`, until `stop` answers true at the end
/// of a step or the span ends.
///
/// # Errors
/// [`IntegrationFailure`] when the step size collapses or the steps run out.
pub fn integrate<const N: usize>(
    system: &impl Rates<N>,
    span: Span,
    y: SVector<f64, N>,
    tolerance: Tolerance,
    stop: impl FnMut(&StepEnd<N>) -> bool,
) -> Result<Trajectory<N>, IntegrationFailure> {
    let ends = RefCell::new(Vec::with_capacity(8));
    let problem = Watched { system, stop, ends: &ends };
    let mut stepper = Dopri5::from_param(
        problem,
        span.from,
        span.to,
        0.0,
        y,
        tolerance.relative,
        tolerance.absolute,
        0.9,
        0.04,
        0.2,
        10.0,
        span.longest_step.min(span.to - span.from),
        span.first_step.min(span.to - span.from),
        MOST_STEPS,
        u32::MAX,
        OutputType::Continuous,
    );
    let mut interpolant = ContinuousOutputModel::new();
    let stats = stepper.integrate_with_continuous_output_model(&mut interpolant).map_err(
        |error| match error {
            IntegrationError::MaxNumStepReached { x, n_step } => {
                IntegrationFailure::TooManySteps { t: x, steps: n_step }
            }
            IntegrationError::StepSizeUnderflow { x }
            | IntegrationError::StiffnessDetected { x } => {
                IntegrationFailure::StepTooSmall { t: x }
            }
        },
    )?;
    drop(stepper);
    Ok(Trajectory { ends: ends.into_inner(), evaluations: u64::from(stats.num_eval), interpolant })
}

struct Watched<'a, const N: usize, R, S> {
    system: &'a R,
    stop: S,
    ends: &'a RefCell<Vec<StepEnd<N>>>,
}

impl<const N: usize, R: Rates<N>, S: FnMut(&StepEnd<N>) -> bool> System<f64, SVector<f64, N>>
    for Watched<'_, N, R, S>
{
    fn system(&self, t: f64, y: &SVector<f64, N>, dy: &mut SVector<f64, N>) {
        self.system.rates(t, y, dy);
    }

    fn solout(&mut self, t: f64, y: &SVector<f64, N>, dy: &SVector<f64, N>) -> bool {
        let end = StepEnd { t, y: *y, dy: *dy };
        self.ends.borrow_mut().push(end);
        (self.stop)(&end)
    }
}
