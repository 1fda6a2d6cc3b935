//! Integration of smooth stretches between events.

mod dormand_prince;
#[cfg(feature = "ode_solvers")]
mod ode_reference;
mod sdirk;

use dormand_prince::{Curve, Stages};
use nalgebra::SVector;
#[cfg(feature = "ode_solvers")]
use ode_reference::Interpolant;
use sdirk::Cubic;

/// A smooth right-hand side of `N` states.
pub trait Rates<const N: usize> {
    /// How many of the states, from the first on, the rates depend on. The others
    /// are integrals carried along; the size of a step is judged without them.
    const FEEDBACK: usize = N;
    /// What the rates were worked out from, kept at the end of each step.
    type Sight: Copy;

    /// Writes `dy/dt` at time `t` `[s]`, and what it was worked out from.
    ///
    /// Of `y` only the first [`FEEDBACK`](Self::FEEDBACK) states are up to date.
    fn rates(&self, t: f64, y: &SVector<f64, N>, dy: &mut SVector<f64, N>, sight: &mut Self::Sight);

    /// The same inside a step, where `sight` is only room to work in.
    fn rates_between(
        &self,
        t: f64,
        y: &SVector<f64, N>,
        dy: &mut SVector<f64, N>,
        sight: &mut Self::Sight,
    ) {
        self.rates(t, y, dy, sight);
    }
}

/// Which program steps. Both use the method of Dormand and Prince, order 5(4).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Stepper {
    /// This crate's own; it goes over to implicit steps, order 4(3), where explicit ones
    /// are held up by their stability alone.
    #[default]
    Own,
    /// The crate `ode_solvers`, slower: a reference for tests.
    #[cfg(feature = "ode_solvers")]
    OdeSolvers,
}

/// How closely to integrate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Relative to each state.
    pub relative: f64,
    /// In the state's own unit.
    pub absolute: f64,
}

/// Until when, and with what steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// End `[s]`.
    pub to: f64,
    /// First step to try `[s]`, above zero.
    pub first_step: f64,
    /// Longest step allowed `[s]`.
    pub longest_step: f64,
    /// Known to be stiff: to be stepped implicitly from the start.
    pub stiff: bool,
}

/// Why the stepping ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// The span's end is reached.
    AtSpan,
    /// `stop` answered true.
    Stopped,
    /// A trajectory holds no more steps: to be taken up again from its end.
    Full,
    /// Explicit steps are held up by their stability: only inside this module.
    Stiff,
}

/// Most steps that a trajectory holds, so that its memory is bounded.
pub(super) const MOST_AT_ONCE: usize = 256;

/// One accepted step with what interpolates in it.
enum Piece<const N: usize> {
    Explicit(Stages<N>),
    Implicit(Cubic<N>),
}

impl<const N: usize> Piece<N> {
    fn state(&self, t: f64) -> SVector<f64, N> {
        match self {
            Self::Explicit(stages) => stages.state(t),
            Self::Implicit(cubic) => cubic.state(t),
        }
    }

    fn curve(&self, i: usize) -> Curve {
        match self {
            Self::Explicit(stages) => stages.curve(i),
            Self::Implicit(cubic) => cubic.curve(i),
        }
    }
}

/// State and rates at one time: where a stretch starts, or where a step ended.
#[derive(Debug, Clone, Copy)]
pub struct StepEnd<const N: usize, S> {
    /// Time `[s]`.
    pub t: f64,
    /// State.
    pub y: SVector<f64, N>,
    /// Its rate.
    pub dy: SVector<f64, N>,
    /// What the rate was worked out from.
    pub sight: S,
}

/// An integrated stretch with its interpolant; used again for the next stretch.
pub struct Trajectory<const N: usize, S> {
    /// Ends of the accepted steps, in order.
    pub ends: Vec<StepEnd<N, S>>,
    /// Right-hand-side evaluations spent.
    pub evaluations: u64,
    /// Step that would have suited the start of the stretch `[s]`.
    pub first_suited: f64,
    /// Step to go on with after the end of the stretch `[s]`.
    pub next_step: f64,
    /// Whether its last steps were implicit ones.
    pub stiff: bool,
    pieces: Vec<Piece<N>>,
    #[cfg(feature = "ode_solvers")]
    reference: Option<Interpolant<N>>,
}

impl<const N: usize, S: Copy> Trajectory<N, S> {
    /// Room for a stretch.
    pub fn new() -> Self {
        Self {
            ends: Vec::with_capacity(16),
            evaluations: 0,
            first_suited: 0.0,
            next_step: 0.0,
            stiff: false,
            pieces: Vec::with_capacity(16),
            #[cfg(feature = "ode_solvers")]
            reference: None,
        }
    }

    /// State at `t` `[s]` inside step `step` (the one that ends at `ends[step]`),
    /// by the method's fourth-order interpolant (third order for implicit steps).
    pub fn state(&self, step: usize, t: f64) -> SVector<f64, N> {
        #[cfg(feature = "ode_solvers")]
        if let Some(model) = &self.reference {
            let (low, high) = model.bounds();
            // Only for a time that is not a number; the step's end is as good an answer as any.
            return model
                .evaluate(t.clamp(low, high))
                .unwrap_or(self.ends[step].y);
        }
        self.pieces[step].state(t)
    }

    /// Whether this crate's own stepper made the stretch.
    fn is_own(&self) -> bool {
        #[cfg(feature = "ode_solvers")]
        let own = self.reference.is_none();
        #[cfg(not(feature = "ode_solvers"))]
        let own = true;
        own
    }

    /// State `i` alone over step `step`, at a fraction of the cost of [`state`](Self::state).
    pub fn curve(&self, step: usize, i: usize) -> impl Fn(f64) -> f64 {
        let own = self.is_own().then(|| self.pieces[step].curve(i));
        move |t| {
            own.as_ref()
                .map_or_else(|| self.state(step, t)[i], |curve| curve.at(t))
        }
    }

    /// How state `i` changes with the time over step `step`; `None` of an integrator that does not
    /// tell.
    pub fn slope(&self, step: usize, i: usize) -> Option<impl Fn(f64) -> f64> {
        let curve = self.is_own().then(|| self.pieces[step].curve(i))?;
        Some(move |t| curve.slope(t))
    }
}

impl<const N: usize, S: Copy> Default for Trajectory<N, S> {
    fn default() -> Self {
        Self::new()
    }
}

/// Why a stretch could not be integrated.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum IntegrationFailure {
    /// The step shrank to nothing.
    #[error("the time step shrank to nothing at t = {t:.3} s")]
    StepTooSmall {
        /// When `[s]`.
        t: f64,
    },
    /// The stretch is too stiff for a stepper that has only explicit steps.
    #[error("explicit steps are held up by their stability from t = {t:.3} s on")]
    TooStiff {
        /// When `[s]`.
        t: f64,
    },
}

/// Integrates from `start` over `span`, until `stop` answers true at the end of a step, the
/// span ends, or the trajectory is full; the stretch replaces what `trajectory` held.
///
/// `start` holds the rates at its state, so that what an event handler has just
/// worked out is not worked out again.
///
/// # Errors
/// [`IntegrationFailure`] when the step size collapses, or a stretch is too stiff for the reference.
pub fn integrate<const N: usize, R: Rates<N>>(
    stepper: Stepper,
    system: &R,
    span: Span,
    start: &StepEnd<N, R::Sight>,
    tolerance: Tolerance,
    trajectory: &mut Trajectory<N, R::Sight>,
    mut stop: impl FnMut(&StepEnd<N, R::Sight>) -> bool,
) -> Result<Ended, IntegrationFailure> {
    let Trajectory { ends, pieces, .. } = trajectory;
    ends.clear();
    pieces.clear();
    match stepper {
        Stepper::Own => {}
        #[cfg(feature = "ode_solvers")]
        Stepper::OdeSolvers => {
            let drive = ode_reference::drive(system, span, start, tolerance, ends, stop)?;
            trajectory.evaluations = drive.evaluations;
            trajectory.first_suited = span.first_step;
            trajectory.next_step = span.first_step;
            trajectory.stiff = false;
            trajectory.reference = Some(drive.interpolant);
            return Ok(drive.ended);
        }
    }
    let implicit = |span, from: &_, ends: &mut _, pieces: &mut _, stop: &mut _| {
        sdirk::drive(system, span, from, tolerance, ends, pieces, stop)
    };
    let mut drive = if span.stiff {
        implicit(span, start, ends, pieces, &mut stop)?
    } else {
        dormand_prince::drive(system, span, start, tolerance, ends, pieces, &mut stop)?
    };
    trajectory.stiff = span.stiff;
    if drive.ended == Ended::Stiff
        && let Some(&from) = ends.last()
    {
        let rest = Span {
            first_step: drive.next_step,
            ..span
        };
        let onward = implicit(rest, &from, ends, pieces, &mut stop)?;
        drive.evaluations += onward.evaluations;
        drive.next_step = onward.next_step;
        drive.ended = onward.ended;
        trajectory.stiff = true;
    }
    trajectory.evaluations = drive.evaluations;
    trajectory.first_suited = drive.first_suited;
    trajectory.next_step = drive.next_step;
    #[cfg(feature = "ode_solvers")]
    {
        trajectory.reference = None;
    }
    Ok(drive.ended)
}
