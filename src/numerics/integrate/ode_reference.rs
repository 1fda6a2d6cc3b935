//! The same method by the crate `ode_solvers`: the reference that tests compare with.

use crate::numerics::integrate::{
    Ended, IntegrationFailure, MOST_AT_ONCE, Rates, Span, StepEnd, Tolerance,
};
use nalgebra::SVector;
use ode_solvers::continuous_output_model::ContinuousOutputModel;
use ode_solvers::dop_shared::{IntegrationError, OutputType, System};
use ode_solvers::dopri5::Dopri5;
use std::cell::RefCell;

/// More than a trajectory holds, those included that were tried in vain.
const MOST_STEPS: u32 = 20_000;

pub(super) type Interpolant<const N: usize> = ContinuousOutputModel<f64, SVector<f64, N>>;

/// What a drive cost, why it ended, and its interpolant.
pub(super) struct Reference<const N: usize> {
    pub(super) evaluations: u64,
    pub(super) ended: Ended,
    pub(super) interpolant: Interpolant<N>,
}

/// Step ends go to `ends`.
pub(super) fn drive<const N: usize, R: Rates<N>>(
    system: &R,
    span: Span,
    start: &StepEnd<N, R::Sight>,
    tolerance: Tolerance,
    ends: &mut Vec<StepEnd<N, R::Sight>>,
    stop: impl FnMut(&StepEnd<N, R::Sight>) -> bool,
) -> Result<Reference<N>, IntegrationFailure> {
    let mut ended = Ended::AtSpan;
    let problem = Watched {
        system,
        stop,
        ends,
        sight: RefCell::new(start.sight),
        ended: &mut ended,
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
            // The latter is never looked for.
            IntegrationError::MaxNumStepReached { x, .. }
            | IntegrationError::StiffnessDetected { x } => IntegrationFailure::TooStiff { t: x },
            IntegrationError::StepSizeUnderflow { x } => IntegrationFailure::StepTooSmall { t: x },
        })?;
    drop(stepper);
    Ok(Reference {
        evaluations: u64::from(stats.num_eval),
        ended,
        interpolant,
    })
}

struct Watched<'a, const N: usize, R: Rates<N>, S> {
    system: &'a R,
    stop: S,
    ends: &'a mut Vec<StepEnd<N, R::Sight>>,
    /// Of the last evaluation; at the end of a step that is the step's end.
    sight: RefCell<R::Sight>,
    ended: &'a mut Ended,
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
        if (self.stop)(&end) {
            *self.ended = Ended::Stopped;
        } else if self.ends.len() >= MOST_AT_ONCE {
            *self.ended = Ended::Full;
        }
        *self.ended != Ended::AtSpan
    }
}
