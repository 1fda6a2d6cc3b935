//! The solvers, each driven as its documentation shows, and as cheaply as it allows.

use crate::beds::{Beds, Left};
use differential_equations::prelude::{Event, EventConfig, ExplicitRungeKutta, IVP, ODE};
use diffsol::{NalgebraMat, OdeBuilder, OdeSolverMethod, OdeSolverStopReason, Vector};
use nalgebra::SVector;
use ode_solvers::continuous_output_model::ContinuousOutputModel;
use ode_solvers::dop_shared::{OutputType, System};
use ode_solvers::dopri5::Dopri5;
use std::cell::RefCell;

/// Absolute tolerance over the relative one: levels are some 0.2 m.
pub const ABSOLUTE: f64 = 1e-2;

/// A day by `diffsol`, the explicit method of order 5(4) (Tsitouras 2011): one solver, taken back to
/// each event.
pub fn by_diffsol<const N: usize>(beds: Beds<N>, rtol: f64) -> [Vec<f64>; N] {
    let now = RefCell::new(beds);
    let problem = OdeBuilder::<NalgebraMat<f64>>::new()
        .rtol(rtol)
        .atol([ABSOLUTE * rtol; N])
        .rhs(|levels, _, _, rates| now.borrow().rates(levels, rates))
        .init(|_, _, levels| levels.fill(0.0), N)
        .root(
            |levels, _, _, watches| now.borrow().watches(levels, watches),
            N,
        )
        .build()
        .expect("a problem");
    let mut solver = problem.tsit45().expect("a solver");
    let mut stretch = |beds: &Beds<N>, t: f64, levels: [f64; N], until: f64| {
        *now.borrow_mut() = *beds;
        let mut state = solver.state_mut();
        *state.t = t;
        let mut rates = [0.0; N];
        beds.rates(&levels, &mut rates);
        for i in 0..N {
            state.y.set_index(i, levels[i]);
            state.dy.set_index(i, rates[i]);
        }
        // The step that it would begin with by itself, for its order.
        state.set_step_size(problem.h0, &problem.atol, rtol, &problem.eqn, 4);
        if solver.set_stop_time(until).is_err() {
            return Left { t: until, levels };
        }
        loop {
            match solver.step().expect("a step") {
                OdeSolverStopReason::RootFound(at, _) => {
                    solver.state_mut_back(at).expect("a way back");
                    break;
                }
                OdeSolverStopReason::TstopReached => break,
                OdeSolverStopReason::InternalTimestep => {}
            }
        }
        let state = solver.state();
        let levels = std::array::from_fn(|i| state.y.get_index(i));
        Left { t: state.t, levels }
    };
    crate::beds::day(beds, &mut stretch)
}

struct Watched<'a, const N: usize>(&'a Beds<N>);

impl<const N: usize> System<f64, SVector<f64, N>> for Watched<'_, N> {
    fn system(&self, _: f64, y: &SVector<f64, N>, dy: &mut SVector<f64, N>) {
        self.0.rates(y.as_slice(), dy.as_mut_slice());
    }

    fn solout(&mut self, _: f64, y: &SVector<f64, N>, _: &SVector<f64, N>) -> bool {
        self.0.next(y.as_slice()) <= 0.0
    }
}

/// A day by `ode_solvers`, Dormand and Prince 5(4): stops after the step in which a watch falls, and
/// the moment is found in its continuous output by bisection.
pub fn by_ode_solvers<const N: usize>(beds: Beds<N>, rtol: f64) -> [Vec<f64>; N] {
    let mut stretch = |beds: &Beds<N>, t: f64, levels: [f64; N], until: f64| {
        let y = SVector::from(levels);
        let mut stepper = Dopri5::from_param(
            Watched(beds),
            t,
            until,
            0.0,
            y,
            rtol,
            ABSOLUTE * rtol,
            0.9,
            0.04,
            0.2,
            10.0,
            until - t,
            0.0,
            100_000,
            u32::MAX,
            OutputType::Continuous,
        );
        let mut output = ContinuousOutputModel::new();
        stepper
            .integrate_with_continuous_output_model(&mut output)
            .expect("a stretch");
        let (_, end) = output.bounds();
        let at = |t: f64| output.evaluate(t).expect("a state inside");
        let last = at(end);
        if beds.next(last.as_slice()) > 0.0 {
            return Left {
                t: until,
                levels: last.into(),
            };
        }
        // Nothing has fired at the end of any step before the last.
        let (mut low, mut high) = (t, end);
        while high - low > 1e-9 {
            let middle = 0.5 * (low + high);
            if beds.next(at(middle).as_slice()) <= 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        Left {
            t: high,
            levels: at(high).into(),
        }
    };
    crate::beds::day(beds, &mut stretch)
}

struct Both<'a, const N: usize>(&'a Beds<N>);

impl<const N: usize> ODE<f64, [f64; N]> for Both<'_, N> {
    fn diff(&self, _: f64, levels: &[f64; N], rates: &mut [f64; N]) {
        self.0.rates(levels, rates);
    }
}

impl<const N: usize> Event<f64, [f64; N]> for Both<'_, N> {
    fn config(&self) -> EventConfig {
        EventConfig::default().terminal()
    }

    fn event(&self, _: f64, levels: &[f64; N]) -> f64 {
        self.0.next(levels)
    }
}

/// Method of `differential-equations`.
#[derive(Clone, Copy, PartialEq)]
pub enum Order {
    Five,
    Eight,
}

/// A day by `differential-equations`, Dormand and Prince 5(4) or 8(5,3), with its own events.
pub fn by_differential_equations<const N: usize>(
    beds: Beds<N>,
    rtol: f64,
    order: Order,
) -> [Vec<f64>; N] {
    let mut stretch = |beds: &Beds<N>, t: f64, levels: [f64; N], until: f64| {
        let both = Both(beds);
        let problem = IVP::ode(&both, t, until, levels);
        let atol = ABSOLUTE * rtol;
        let solution = if order == Order::Five {
            let method = ExplicitRungeKutta::dopri5().rtol(rtol).atol(atol);
            problem.event(&both).method(method).solve()
        } else {
            let method = ExplicitRungeKutta::dop853().rtol(rtol).atol(atol);
            problem.event(&both).method(method).solve()
        };
        let solution = solution.ok().expect("a stretch");
        Left {
            t: *solution.t.last().expect("an end"),
            levels: *solution.y.last().expect("an end"),
        }
    };
    crate::beds::day(beds, &mut stretch)
}
