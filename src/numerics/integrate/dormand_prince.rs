//! Dormand-Prince 5(4) on arrays of fixed size, with its interpolant.
//!
//! Coefficients: J. R. Dormand, P. J. Prince, J. Comput. Appl. Math. 6 (1980) 19;
//! interpolant and step control as in the code DOPRI5 of E. Hairer, S. P. Norsett,
//! G. Wanner, Solving Ordinary Differential Equations I (1993), II.4 to II.6.
//! Held against `ode_solvers` and closed forms in `tests/steppers`.

use crate::numerics::integrate::{
    Ended, IntegrationFailure, MOST_AT_ONCE, Piece, Rates, Span, StepEnd, Tolerance,
};
use crate::numerics::maths::Maths;
use nalgebra::SVector;

const A2: [f64; 1] = [1.0 / 5.0];
const A3: [f64; 2] = [3.0 / 40.0, 9.0 / 40.0];
const A4: [f64; 3] = [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0];
const A5: [f64; 4] = [
    19_372.0 / 6561.0,
    -25_360.0 / 2187.0,
    64_448.0 / 6561.0,
    -212.0 / 729.0,
];
const A6: [f64; 5] = [
    9017.0 / 3168.0,
    -355.0 / 33.0,
    46_732.0 / 5247.0,
    49.0 / 176.0,
    -5103.0 / 18_656.0,
];
/// Weights of the fifth-order result, which is also the last stage's state.
const B: [f64; 6] = [
    35.0 / 384.0,
    0.0,
    500.0 / 1113.0,
    125.0 / 192.0,
    -2187.0 / 6784.0,
    11.0 / 84.0,
];
const C: [f64; 4] = [1.0 / 5.0, 3.0 / 10.0, 4.0 / 5.0, 8.0 / 9.0];
/// Fifth less fourth order.
const ERROR: [f64; 7] = [
    71.0 / 57_600.0,
    0.0,
    -71.0 / 16_695.0,
    71.0 / 1920.0,
    -17_253.0 / 339_200.0,
    22.0 / 525.0,
    -1.0 / 40.0,
];
/// Weights of the interpolant's last term.
const D: [f64; 7] = [
    -12_715_105_075.0 / 11_282_082_432.0,
    0.0,
    87_487_479_700.0 / 32_700_410_799.0,
    -10_690_763_975.0 / 1_880_347_072.0,
    701_980_252_875.0 / 199_316_789_632.0,
    -1_453_857_185.0 / 822_651_844.0,
    69_997_945.0 / 29_380_423.0,
];

const CAUTION: f64 = 0.8;
/// Least and greatest factor from one step to the next, as in DOPRI5.
const SLOWEST: f64 = 0.2;
const FASTEST: f64 = 10.0;
/// Weight of the step before in the control of the next.
const MEMORY: f64 = 0.04;

/// Steps of a stretch before it is looked at for stiffness: most stretches have fewer.
const UNTRIED: usize = 20;
/// Step times the largest slope of the rates beyond which the method is not stable, and
/// how many steps in all must say so, no six of them in a row saying otherwise (Hairer
/// & Wanner, Solving Ordinary Differential Equations II (1996), IV.2, as in DOPRI5).
const STABLE: f64 = 3.25;
const ENOUGH: u32 = 15;
const RECOVERED: u32 = 6;

/// One accepted step: its start and the rates at its seven stages.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stages<const N: usize> {
    from: f64,
    step: f64,
    y: SVector<f64, N>,
    k: [SVector<f64, N>; 7],
}

impl<const N: usize> Stages<N> {
    /// What each stage's rate counts for at `t`, times the step.
    fn weights(&self, t: f64) -> [f64; 7] {
        let x = (t - self.from) / self.step;
        let u = 1.0 - x;
        let all = self.step * x * (1.0 - u * (1.0 - 2.0 * x));
        let bend = self.step * (x * u) * (x * u);
        let mut weights = [0.0; 7];
        for ((weight, b), d) in weights.iter_mut().zip(B.iter().chain(&[0.0])).zip(D) {
            *weight = all * b + bend * d;
        }
        weights[0] += self.step * x * u * u;
        weights[6] -= self.step * x * x * u;
        weights
    }

    pub(super) fn state(&self, t: f64) -> SVector<f64, N> {
        let weights = self.weights(t);
        let mut y = self.y;
        for (k, weight) in self.k.iter().zip(weights) {
            y.axpy(weight, k, 1.0);
        }
        y
    }

    /// State `i` alone over the step, as a polynomial of fourth degree.
    pub(super) fn curve(&self, i: usize) -> Curve {
        let sum = |weights: &[f64]| {
            let terms = self.k.iter().zip(weights).map(|(k, weight)| weight * k[i]);
            self.step * terms.sum::<f64>()
        };
        let rise = sum(&B);
        let first = self.step * self.k[0][i] - rise;
        let last = rise - self.step * self.k[6][i] - first;
        let terms = [self.y[i], rise, first, last, sum(&D)];
        Curve::new(self.from, self.step, terms)
    }
}

/// One state over one step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Curve {
    from: f64,
    per_step: f64,
    terms: [f64; 5],
}

impl Curve {
    /// The polynomial `a + x (b + u (c + x (d + u e)))` of the share `x` of the step that
    /// has passed, `u = 1 - x`.
    pub(super) fn new(from: f64, step: f64, terms: [f64; 5]) -> Self {
        Self {
            from,
            per_step: 1.0 / step,
            terms,
        }
    }

    pub(super) fn at(&self, t: f64) -> f64 {
        let x = (t - self.from) * self.per_step;
        let u = 1.0 - x;
        let [a, b, c, d, e] = self.terms;
        a + x * (b + u * (c + x * (d + u * e)))
    }

    /// Its change with the time.
    pub(super) fn slope(&self, t: f64) -> f64 {
        let x = (t - self.from) * self.per_step;
        let u = 1.0 - x;
        let [_, b, c, d, e] = self.terms;
        let s = d + u * e;
        let r = c + x * s;
        let r_slope = s - x * e;
        let q_slope = u * r_slope - r;
        (b + u * r + x * q_slope) * self.per_step
    }
}

/// What a drive cost and what it learned about steps.
pub(super) struct Drive {
    pub(super) evaluations: u64,
    pub(super) first_suited: f64,
    pub(super) next_step: f64,
    pub(super) ended: Ended,
}

/// Counts the steps whose length only stability limits.
#[derive(Default)]
struct Stiffness {
    held_up: u32,
    free: u32,
}

impl Stiffness {
    /// Takes in a step `h`: the change of state and of rate between its last two stages.
    fn see<const N: usize>(
        &mut self,
        m: usize,
        h: f64,
        k: &[SVector<f64, N>; 7],
        near: &SVector<f64, N>,
        next: &SVector<f64, N>,
    ) -> bool {
        let (mut rates, mut states) = (0.0, 0.0);
        for i in 0..m {
            rates += (k[6][i] - k[5][i]).powi(2);
            states += (next[i] - near[i]).powi(2);
        }
        if h * h * rates > STABLE * STABLE * states {
            self.held_up += 1;
            self.free = 0;
        } else {
            self.free += 1;
            if self.free >= RECOVERED {
                self.held_up = 0;
            }
        }
        self.held_up >= ENOUGH
    }
}

/// First `m` of `y + h sum(weights k)`; the rest as in `y`.
#[inline(always)]
fn blend<const N: usize, const J: usize>(
    m: usize,
    y: &SVector<f64, N>,
    h: f64,
    k: &[SVector<f64, N>; 7],
    weights: [f64; J],
) -> SVector<f64, N> {
    let weights = weights.map(|w| h * w);
    let mut out = *y;
    // States inside, so that the compiler can take two at a time.
    for (weight, k) in weights.iter().zip(k) {
        for i in 0..m {
            out[i] += weight * k[i];
        }
    }
    out
}

/// Steps from `start` until `stop` answers true at the end of a step or `span` ends.
pub(super) fn drive<const N: usize, R: Rates<N>>(
    system: &R,
    span: Span,
    start: &StepEnd<N, R::Sight>,
    tolerance: Tolerance,
    ends: &mut Vec<StepEnd<N, R::Sight>>,
    pieces: &mut Vec<Piece<N>>,
    stop: &mut impl FnMut(&StepEnd<N, R::Sight>) -> bool,
) -> Result<Drive, IntegrationFailure> {
    let m = R::FEEDBACK.min(N);
    let longest = span.longest_step.min(span.to - start.t);
    let mut h = span.first_step.min(longest);
    let mut drive = Drive {
        evaluations: 0,
        first_suited: h,
        next_step: h,
        ended: Ended::AtSpan,
    };
    let mut stiffness = Stiffness::default();
    let (mut t, mut y) = (start.t, start.y);
    let mut sight = start.sight;
    let mut k = [SVector::<f64, N>::zeros(); 7];
    k[0] = start.dy;
    // As in DOPRI5: there was no step before the first.
    let mut error_before: f64 = 1e-4;
    let mut rejected = false;
    loop {
        // A tenth of the step would be lost in the digits of the time.
        if 0.1 * h <= f64::EPSILON * t.abs() {
            return Err(IntegrationFailure::StepTooSmall { t });
        }
        // Rather one step a hair longer than a sliver left at the end.
        let last = t + 1.01 * h > span.to;
        // A step cut short by the end says nothing against the one that was wanted.
        let cut_from = if last { h } else { 0.0 };
        if last {
            h = span.to - t;
        }
        let mut stage = |j: usize, at: f64, y: &SVector<f64, N>, k: &mut [SVector<f64, N>; 7]| {
            system.rates_between(at, y, &mut k[j], &mut sight);
        };
        stage(1, t + C[0] * h, &blend(m, &y, h, &k, A2), &mut k);
        stage(2, t + C[1] * h, &blend(m, &y, h, &k, A3), &mut k);
        stage(3, t + C[2] * h, &blend(m, &y, h, &k, A4), &mut k);
        stage(4, t + C[3] * h, &blend(m, &y, h, &k, A5), &mut k);
        let near = blend(m, &y, h, &k, A6);
        stage(5, t + h, &near, &mut k);
        // States that nothing depends on are needed at the end of a step only.
        let next = blend(N, &y, h, &k, B);
        system.rates(t + h, &next, &mut k[6], &mut sight);
        drive.evaluations += 6;

        let mut error = 0.0_f64;
        for i in 0..m {
            let mut off = 0.0;
            for j in 0..7 {
                off += ERROR[j] * k[j][i];
            }
            let allowed = tolerance.absolute + tolerance.relative * y[i].abs().max(next[i].abs());
            error = error.max((h * off / allowed).abs());
        }
        // A rate that is not a number must not pass as no error.
        if !k[6].iter().take(m).all(|rate| rate.is_finite()) {
            error = f64::INFINITY;
        }
        // Below this error the step grows as fast as it may whatever it is.
        let growth = if error < 1e-6 {
            FASTEST / CAUTION
        } else {
            // A fifth, for fifth order, less what the memory takes up.
            error.to_the(-0.2 + 0.75 * MEMORY)
        };
        if error > 1.0 {
            h *= (CAUTION * growth).max(SLOWEST);
            rejected = true;
            continue;
        }
        let mut factor = (CAUTION * growth * error_before.to_the(MEMORY)).clamp(SLOWEST, FASTEST);
        // The estimate was wrong a moment ago: no longer step straight after it.
        if rejected {
            factor = factor.min(1.0);
        }
        // Or a step almost without error would hold back the growth after the next.
        error_before = error.max(1e-4);
        rejected = false;
        pieces.push(Piece::Explicit(Stages {
            from: t,
            step: h,
            y,
            k,
        }));
        if ends.is_empty() {
            drive.first_suited = (h * (CAUTION * growth).min(FASTEST)).max(cut_from);
        }
        t = if last { span.to } else { t + h };
        y = next;
        let end = StepEnd {
            t,
            y,
            dy: k[6],
            sight,
        };
        ends.push(end);
        let stiff = ends.len() > UNTRIED && stiffness.see(m, h, &k, &near, &next);
        drive.next_step = (h * factor).max(cut_from);
        h = drive.next_step.min(longest);
        if last {
            return Ok(drive);
        }
        drive.ended = if stop(&end) {
            Ended::Stopped
        } else if ends.len() >= MOST_AT_ONCE {
            Ended::Full
        } else if stiff {
            Ended::Stiff
        } else {
            k[0] = k[6];
            continue;
        };
        return Ok(drive);
    }
}
