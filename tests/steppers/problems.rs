//! Problems with a closed solution.

use ebbwright::numerics::integrate::{
    Ended, Rates, Span, StepEnd, Stepper, Tolerance, Trajectory, integrate,
};
use ebbwright::numerics::root::brent;
use nalgebra::{SVector, vector};

const BOTH: [Stepper; 2] = [Stepper::Own, Stepper::OdeSolvers];
const TIGHT: Tolerance = Tolerance {
    relative: 1e-10,
    absolute: 1e-12,
};
/// So loose that every step has the longest length allowed.
const NONE: Tolerance = Tolerance {
    relative: 1e6,
    absolute: 1e6,
};

/// A right-hand side from a closure.
struct Problem<F>(F);

impl<const N: usize, F: Fn(f64, &SVector<f64, N>) -> SVector<f64, N>> Rates<N> for Problem<F> {
    type Sight = ();

    fn rates(&self, t: f64, y: &SVector<f64, N>, dy: &mut SVector<f64, N>, _sight: &mut ()) {
        *dy = (self.0)(t, y);
    }
}

/// Integrates from time zero until `stop` or `to`.
fn solve<const N: usize, F: Fn(f64, &SVector<f64, N>) -> SVector<f64, N>>(
    stepper: Stepper,
    f: F,
    y: SVector<f64, N>,
    span: Span,
    tolerance: Tolerance,
    stop: impl FnMut(&StepEnd<N, ()>) -> bool,
) -> Trajectory<N, ()> {
    let start = StepEnd {
        t: 0.0,
        y,
        dy: f(0.0, &y),
        sight: (),
    };
    let mut trajectory = Trajectory::new();
    integrate(
        stepper,
        &Problem(f),
        span,
        &start,
        tolerance,
        &mut trajectory,
        stop,
    )
    .unwrap();
    trajectory
}

fn span(to: f64, step: f64) -> Span {
    Span {
        to,
        first_step: step,
        longest_step: f64::INFINITY,
        stiff: false,
    }
}

/// Steps of one length.
fn fixed(to: f64, step: f64) -> Span {
    Span {
        to,
        first_step: step,
        longest_step: step,
        stiff: false,
    }
}

fn oscillator(_t: f64, y: &SVector<f64, 2>) -> SVector<f64, 2> {
    vector![y[1], -y[0]]
}

/// Observed order from errors at step sizes halved each time.
fn orders(errors: &[f64]) -> Vec<f64> {
    errors
        .windows(2)
        .map(|pair| (pair[0] / pair[1]).log2())
        .collect()
}

#[test]
fn a_constant_inflow_fills_to_rounding() {
    for stepper in BOTH {
        let run = solve(
            stepper,
            |_, _| vector![2.5e-4],
            vector![0.02],
            span(4000.0, 30.0),
            TIGHT,
            |_| false,
        );
        let end = run.ends.last().unwrap();
        assert_eq!(end.t, 4000.0);
        assert!((end.y[0] - 1.02).abs() < 1e-14, "{stepper:?}: {}", end.y[0]);
    }
}

/// Time in which a tank of area `a` falls from `h1` to `h2` through `Q = c sqrt(h)`
/// with inflow `q`: separation of variables, `s = sqrt(h)` (hydraulics textbooks,
/// tank draining under constant inflow).
fn draining_time(a: f64, c: f64, q: f64, h1: f64, h2: f64) -> f64 {
    let (s1, s2) = (h1.sqrt(), h2.sqrt());
    let log = if q > 0.0 {
        q * ((c * s1 - q) / (c * s2 - q)).ln()
    } else {
        0.0
    };
    2.0 * a / (c * c) * (c * (s1 - s2) + log)
}

#[test]
fn a_tank_drains_in_the_closed_forms_time() {
    let (a, c, h1, h2) = (0.48, 5e-4, 0.25, 0.04);
    for q in [0.0, 4e-5, 9e-5] {
        let exact = draining_time(a, c, q, h1, h2);
        for stepper in BOTH {
            let f = move |_: f64, y: &SVector<f64, 1>| vector![(q - c * y[0].max(0.0).sqrt()) / a];
            let stop = |end: &StepEnd<1, ()>| end.y[0] < h2;
            let long = Span {
                to: 1e5,
                first_step: 5.0,
                longest_step: 120.0,
                stiff: false,
            };
            let run = solve(stepper, f, vector![h1], long, TIGHT, stop);
            let last = run.ends.len() - 1;
            let level = run.curve(last, 0);
            let t = brent(
                |t| level(t) - h2,
                run.ends[last - 1].t,
                run.ends[last].t,
                0.0,
            )
            .unwrap();
            assert!(
                (t / exact - 1.0).abs() < 1e-8,
                "{stepper:?}, {q}: {t}, {exact}"
            );
        }
    }
}

#[test]
fn an_exponential_decays_to_its_value() {
    for stepper in BOTH {
        let run = solve(
            stepper,
            |_, y| -y,
            vector![1.0],
            span(5.0, 0.01),
            TIGHT,
            |_| false,
        );
        let end = run.ends.last().unwrap().y[0];
        assert!(
            (end / (-5.0_f64).exp() - 1.0).abs() < 1e-8,
            "{stepper:?}: {end}"
        );
    }
}

#[test]
fn an_oscillator_comes_back_after_ten_turns() {
    let turns = 20.0 * std::f64::consts::PI;
    for stepper in BOTH {
        let start = vector![1.0, 0.0];
        let (_, end) = solve_on(stepper, oscillator, start, span(turns, 0.01), TIGHT);
        assert!(
            (end - vector![1.0, 0.0]).norm() < 1e-7,
            "{stepper:?}: {end}"
        );
    }
}

/// `y = 1 - 16 k t^2 (1 - t)^2` is 1 at both ends of the step and 1 - k halfway; a
/// polynomial of fourth degree, which an interpolant of fourth order meets exactly.
#[test]
fn a_dip_inside_one_step_is_on_the_interpolant() {
    let k = 0.7;
    let f = move |t: f64, _: &SVector<f64, 1>| vector![-32.0 * k * t * (1.0 - t) * (1.0 - 2.0 * t)];
    for stepper in BOTH {
        let run = solve(stepper, f, vector![1.0], fixed(1.0, 1.0), NONE, |_| false);
        assert_eq!(run.ends.len(), 1, "{stepper:?}");
        assert!((run.ends[0].y[0] - 1.0).abs() < 1e-13);
        for i in 0..=20 {
            let t = f64::from(i) / 20.0;
            let exact = 1.0 - 16.0 * k * (t * (1.0 - t)).powi(2);
            let (whole, alone) = (run.state(0, t)[0], run.curve(0, 0)(t));
            assert!(
                (whole - exact).abs() < 1e-13,
                "{stepper:?} at {t}: {whole}, {exact}"
            );
            assert!(
                (alone - whole).abs() < 1e-14,
                "{stepper:?} at {t}: {alone}, {whole}"
            );
        }
    }
}

#[test]
fn the_order_of_convergence_is_five() {
    for stepper in BOTH {
        let errors: Vec<f64> = [0.2, 0.1, 0.05, 0.025]
            .iter()
            .map(|&h| {
                let run = solve(
                    stepper,
                    oscillator,
                    vector![1.0, 0.0],
                    fixed(4.0, h),
                    NONE,
                    |_| false,
                );
                (run.ends.last().unwrap().y - vector![4.0_f64.cos(), -4.0_f64.sin()]).norm()
            })
            .collect();
        for order in orders(&errors) {
            assert!(
                (order - 5.0).abs() < 0.2,
                "{stepper:?}: {order} from {errors:?}"
            );
        }
    }
}

/// Inside a single step from an exact start the error of an interpolant of order 4
/// shrinks with the fifth power of the step, at its end with the sixth.
#[test]
fn the_order_of_the_interpolant_is_four() {
    for stepper in BOTH {
        let errors: Vec<f64> = [0.4, 0.2, 0.1, 0.05]
            .iter()
            .map(|&h| {
                let start = vector![1.0, 0.5];
                let run = solve(stepper, oscillator, start, fixed(h, h), NONE, |_| false);
                let error = |i: i32| {
                    let t = 0.02 * f64::from(i) * h;
                    let exact = vector![t.cos() + 0.5 * t.sin(), 0.5 * t.cos() - t.sin()];
                    (run.state(0, t) - exact).norm()
                };
                (0..=50).map(error).fold(0.0, f64::max)
            })
            .collect();
        for order in orders(&errors) {
            assert!(
                (order - 5.0).abs() < 0.2,
                "{stepper:?}: {order} from {errors:?}"
            );
        }
    }
}

#[test]
fn both_steppers_agree_between_their_steps() {
    let at = |stepper| {
        let run = solve(
            stepper,
            oscillator,
            vector![0.3, 0.9],
            span(6.0, 0.1),
            TIGHT,
            |_| false,
        );
        (0..60)
            .map(|i| {
                let t = 0.1 * f64::from(i);
                let step = run.ends.iter().position(|end| end.t >= t).unwrap();
                run.state(step, t)[0]
            })
            .collect::<Vec<f64>>()
    };
    for (own, reference) in at(Stepper::Own).iter().zip(at(Stepper::OdeSolvers)) {
        assert!((own - reference).abs() < 1e-8, "{own}, {reference}");
    }
}

/// A decaying state and its integral, which nothing depends on.
struct Carried;

impl Rates<2> for Carried {
    const FEEDBACK: usize = 1;
    type Sight = f64;

    fn rates(&self, t: f64, y: &SVector<f64, 2>, dy: &mut SVector<f64, 2>, sight: &mut f64) {
        *sight = t;
        *dy = vector![-y[0], y[0]];
    }
}

#[test]
fn a_carried_integral_keeps_the_balance_and_ends_know_their_time() {
    for stepper in BOTH {
        let start = StepEnd {
            t: 0.0,
            y: vector![1.0, 0.0],
            dy: vector![-1.0, 1.0],
            sight: 0.0,
        };
        let mut run = Trajectory::new();
        integrate(
            stepper,
            &Carried,
            span(3.0, 0.1),
            &start,
            TIGHT,
            &mut run,
            |_| false,
        )
        .unwrap();
        for end in &run.ends {
            assert!(
                (end.y[0] + end.y[1] - 1.0).abs() < 1e-14,
                "{stepper:?}: {}",
                end.y
            );
            assert_eq!(end.sight, end.t, "{stepper:?}");
            assert!((end.dy[0] + end.y[0]).abs() < 1e-15);
        }
        assert!((run.ends.last().unwrap().y[0] / (-3.0_f64).exp() - 1.0).abs() < 1e-8);
    }
}

#[test]
fn a_right_hand_side_without_value_ends_in_an_error() {
    for stepper in BOTH {
        let start = StepEnd {
            t: 0.0,
            y: vector![1.0],
            dy: vector![f64::NAN],
            sight: (),
        };
        let nothing = Problem(|_: f64, _: &SVector<f64, 1>| vector![f64::NAN]);
        let mut run = Trajectory::new();
        let ended = integrate(
            stepper,
            &nothing,
            span(1.0, 0.1),
            &start,
            TIGHT,
            &mut run,
            |_| false,
        );
        assert!(ended.is_err(), "{stepper:?}");
    }
}

/// A stiff span: implicit from the start, or left to be found out.
fn stiff_span(to: f64, step: f64, stiff: bool) -> Span {
    Span {
        stiff,
        ..span(to, step)
    }
}

/// Solves in as many trajectories as it takes; steps taken and the last state.
fn solve_on<const N: usize, F: Fn(f64, &SVector<f64, N>) -> SVector<f64, N>>(
    stepper: Stepper,
    f: F,
    y: SVector<f64, N>,
    mut span: Span,
    tolerance: Tolerance,
) -> (usize, SVector<f64, N>) {
    let mut here = StepEnd {
        t: 0.0,
        dy: f(0.0, &y),
        y,
        sight: (),
    };
    let problem = Problem(f);
    let mut trajectory = Trajectory::new();
    let mut steps = 0;
    loop {
        let ended = integrate(
            stepper,
            &problem,
            span,
            &here,
            tolerance,
            &mut trajectory,
            |_| false,
        )
        .unwrap();
        steps += trajectory.ends.len();
        here = *trajectory.ends.last().unwrap();
        if ended == Ended::AtSpan {
            return (steps, here.y);
        }
        span.stiff = trajectory.stiff;
        span.first_step = trajectory.next_step;
    }
}

/// Robertson's kinetics: the stiff test problem of E. Hairer, G. Wanner, Solving Ordinary
/// Differential Equations II (1996), IV.10 (from memory; the state at t = 40 as published
/// with LSODE's example: 0.71582, 9.1855e-6, 0.28416, from memory as well).
#[test]
fn robertsons_kinetics_are_solved_in_few_steps() {
    let f = |_: f64, y: &SVector<f64, 3>| {
        let (slow, fast, back) = (0.04 * y[0], 3e7 * y[1] * y[1], 1e4 * y[1] * y[2]);
        vector![back - slow, slow - back - fast, fast]
    };
    let tolerance = Tolerance {
        relative: 1e-6,
        absolute: 1e-11,
    };
    for stiff in [false, true] {
        let (steps, y) = solve_on(
            Stepper::Own,
            f,
            vector![1.0, 0.0, 0.0],
            stiff_span(40.0, 1e-5, stiff),
            tolerance,
        );
        assert!((y[0] / 0.715_82 - 1.0).abs() < 2e-5, "{y}");
        assert!((y[1] / 9.185_5e-6 - 1.0).abs() < 2e-5, "{y}");
        assert!((y[2] / 0.284_16 - 1.0).abs() < 2e-5, "{y}");
        assert!((y.sum() - 1.0).abs() < 1e-14, "{}", y.sum() - 1.0);
        // Explicit steps would be held to 3.3 over the largest slope, some 2500 1/s.
        assert!(steps < 3000, "{stiff}: {steps} steps");
    }
}

#[test]
fn a_stiff_relaxation_follows_its_slow_course() {
    // y' = -L (y - cos t) - sin t has the solution cos t for y(0) = 1 (Prothero & Robinson 1974).
    let f = |t: f64, y: &SVector<f64, 1>| vector![-1e5 * (y[0] - t.cos()) - t.sin()];
    let (steps, y) = solve_on(
        Stepper::Own,
        f,
        vector![1.0],
        stiff_span(20.0, 1e-4, false),
        Tolerance {
            relative: 1e-7,
            absolute: 1e-9,
        },
    );
    assert!((y[0] - 20.0_f64.cos()).abs() < 1e-6, "{y}");
    assert!(steps < 3000, "{steps} steps");
}

#[test]
fn the_order_of_the_implicit_steps_is_four_and_of_their_interpolant_three() {
    let run = |to: f64, h: f64| {
        let span = Span {
            stiff: true,
            ..fixed(to, h)
        };
        // Tight, so that Newton converges; the length of the steps is fixed by the span.
        let loose = Tolerance {
            relative: 1e-3,
            absolute: 1e-3,
        };
        solve(
            Stepper::Own,
            oscillator,
            vector![1.0, 0.5],
            span,
            loose,
            |_| false,
        )
    };
    let exact = |t: f64| vector![t.cos() + 0.5 * t.sin(), 0.5 * t.cos() - t.sin()];
    let whole: Vec<f64> = [0.2, 0.1, 0.05]
        .iter()
        .map(|&h| (run(4.0, h).ends.last().unwrap().y - exact(4.0)).norm())
        .collect();
    for order in orders(&whole) {
        assert!((order - 4.0).abs() < 0.3, "{order} from {whole:?}");
    }
    let within: Vec<f64> = [0.2, 0.1, 0.05]
        .iter()
        .map(|&h| {
            let run = run(h, h);
            let error = |i: i32| {
                let t = 0.02 * f64::from(i) * h;
                assert!((run.curve(0, 0)(t) - run.state(0, t)[0]).abs() < 1e-14);
                (run.state(0, t) - exact(t)).norm()
            };
            (0..=50).map(error).fold(0.0, f64::max)
        })
        .collect();
    for order in orders(&within) {
        assert!((order - 4.0).abs() < 0.3, "{order} from {within:?}");
    }
}

#[test]
fn a_stiff_carried_integral_keeps_the_balance() {
    struct Leaking;
    impl Rates<2> for Leaking {
        const FEEDBACK: usize = 1;
        type Sight = ();
        fn rates(&self, _: f64, y: &SVector<f64, 2>, dy: &mut SVector<f64, 2>, _: &mut ()) {
            let flow = 1e-3 * y[0].max(0.0).powf(1.5) - 2e-5;
            *dy = vector![-1e3 * flow, 1e3 * flow];
        }
    }
    let mut here = StepEnd {
        t: 0.0,
        y: vector![1.0, 0.0],
        dy: vector![-0.98, 0.98],
        sight: (),
    };
    let mut run = Trajectory::new();
    let span = stiff_span(500.0, 0.01, true);
    let usual = Tolerance {
        relative: 1e-7,
        absolute: 1e-9,
    };
    let ended = integrate(Stepper::Own, &Leaking, span, &here, usual, &mut run, |_| {
        false
    });
    here = *run.ends.last().unwrap();
    assert_eq!(ended, Ok(Ended::AtSpan));
    for end in &run.ends {
        assert!((end.y.sum() - 1.0).abs() < 1e-14, "{}", end.y);
    }
    // It comes to rest where the flow is nothing.
    assert!(
        (here.y[0] - 0.02_f64.powf(2.0 / 3.0)).abs() < 1e-7,
        "{}",
        here.y
    );
}

/// No trajectory may grow without bounds, however many steps a stretch takes.
#[test]
fn a_long_stretch_comes_in_pieces_of_bounded_size() {
    for stepper in BOTH {
        let run = solve(
            stepper,
            oscillator,
            vector![1.0, 0.0],
            fixed(100.0, 0.01),
            NONE,
            |_| false,
        );
        assert_eq!(run.ends.len(), 256, "{stepper:?}");
        assert!((run.ends.last().unwrap().t - 2.56).abs() < 1e-9);
    }
}
