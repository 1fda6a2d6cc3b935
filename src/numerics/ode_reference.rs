//! The same method by the crate `ode_solvers`: the reference that tests compare with.

use crate::numerics::integrate::{IntegrationFailure, MOST_STEPS, Rates, Span, StepEnd, Tolerance};
use nalgebra::SVector;
use ode_solvers::continuous_output_model::ContinuousOutputModel;
use ode_solvers::dop_shared::{IntegrationError, OutputType, System};
use ode_solvers::dopri5::Dopri5;
use std::cell::RefCell;

pub(super) type Interpolant<const N: usize> = ContinuousOutputModel<f64, SVector<f64, N>>;

/// Evaluations spent and the interpolant; step ends go to `ends`.
pub(super) fn drive<const N: usize, R: Rates<N>>(
    system: &R,
    span: Span,
    start: &StepEnd<N, R::Sight>,
    tolerance: Tolerance,
    ends: &mut Vec<StepEnd<N, R::Sight>>,
    stop: impl FnMut(&StepEnd<N, R::Sight>) -> bool,
) -> Result<(u64, Interpolant<N>), IntegrationFailure> {
    let problem = Watched {
        system,
        stop,
        ends,
        sight: RefCell::new(start.sight),
    };
    let length = span.to - start.t;
    let mut stepper = Dopri5::from_param(
        problem,
        start.t,
        span.to,
        0.0,
        start.y,
        tolerance.relative,
        tolerance.absolute,
        0.9,
        0.04,
        0.2,
        10.0,
        span.longest_step.min(length),
        span.first_step.min(length),
        MOST_STEPS,
        u32::MAX,
        OutputType::Continuous,
    );
    let mut interpolant = ContinuousOutputModel::new();
    let stats = stepper
        .integrate_with_continuous_output_model(&mut interpolant)
        .map_err(|error| match error {
            IntegrationError::MaxNumStepReached { x, n_step } => IntegrationFailure::TooManySteps {
                t: x,
                steps: n_step,
            },
            IntegrationError::StepSizeUnderflow { x }
            | IntegrationError::StiffnessDetected { x } => {
                IntegrationFailure::StepTooSmall { t: x }
            }
        })?;
    Ok((u64::from(stats.num_eval), interpolant))
}

struct Watched<'a, const N: usize, R: Rates<N>, S> {
    system: &'a R,
    stop: S,
    ends: &'a mut Vec<StepEnd<N, R::Sight>>,
    /// Of the last evaluation; at the end of a step that is the step's end.
    sight: RefCell<R::Sight>,
}

impl<const N: usize, R: Rates<N>, S: FnMut(&StepEnd<N, R::Sight>) -> bool>
    System<f64, SVector<f64, N>> for Watched<'_, N, R, S>
{
    fn system(&self, t: f64, y: &SVector<f64, N>, dy: &mut SVector<f64, N>) {
        self.system.rates(t, y, dy, &mut self.sight.borrow_mut());
    }

    fn solout(&mut self, t: f64, y: &SVector<f64, N>, dy: &SVector<f64, N>) -> bool {
        let end = StepEnd {
            t,
            y: *y,
            dy: *dy,
            sight: *self.sight.borrow(),
        };
        self.ends.push(end);
        (self.stop)(&end)
    }
}
