//! An implicit stepper for stiff stretches.
//!
//! Singly diagonally implicit Runge-Kutta of order 4 with five stages, L-stable and
//! stiffly accurate, embedded order 3: E. Hairer, G. Wanner, Solving Ordinary
//! Differential Equations II (1996), IV.6, table 6.5 (coefficients from memory; they meet
//! all eight order conditions exactly, and `tests/steppers` measures the order).
//! Between the ends of a step a cubic through both ends and their rates.

use crate::numerics::integrate::dormand_prince::{Curve, Drive};
use crate::numerics::integrate::{
    Ended, IntegrationFailure, MOST_AT_ONCE, Piece, Rates, Span, StepEnd, Tolerance,
};
use crate::numerics::maths::Maths;
use nalgebra::{DMatrix, DVector, Dyn, LU, SVector};

const GAMMA: f64 = 0.25;
const C: [f64; 5] = [0.25, 0.75, 11.0 / 20.0, 0.5, 1.0];
/// Weights of earlier stages; the last row is also the result's.
const A: [[f64; 5]; 5] = [
    [GAMMA, 0.0, 0.0, 0.0, 0.0],
    [0.5, GAMMA, 0.0, 0.0, 0.0],
    [17.0 / 50.0, -1.0 / 25.0, GAMMA, 0.0, 0.0],
    [371.0 / 1360.0, -137.0 / 2720.0, 15.0 / 544.0, GAMMA, 0.0],
    [25.0 / 24.0, -49.0 / 48.0, 125.0 / 16.0, -85.0 / 12.0, GAMMA],
];
/// Fourth less third order.
const ERROR: [f64; 5] = [
    25.0 / 24.0 - 59.0 / 48.0,
    -49.0 / 48.0 + 17.0 / 96.0,
    125.0 / 16.0 - 225.0 / 32.0,
    0.0,
    GAMMA,
];

const CAUTION: f64 = 0.9;
const SLOWEST: f64 = 0.2;
const FASTEST: f64 = 5.0;
/// A step that would grow by less than this stays as it is: its matrix is factored already.
const WORTH_IT: f64 = 1.2;
const MOST_ITERATIONS: usize = 10;
/// A stage that needs more iterations than this asks for new slopes.
const FEW_ITERATIONS: usize = 3;
/// Newton stops at a correction this small, as a share of the error allowed.
const CLOSE: f64 = 1e-3;
/// Smallest change of a state that slopes are taken from, as a share of its size.
/// The root of the rounding error: as much lost to rounding as to the bend.
const NUDGE: f64 = 1.5e-8;

/// One accepted step as a cubic.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cubic<const N: usize> {
    from: f64,
    step: f64,
    y: SVector<f64, N>,
    rise: SVector<f64, N>,
    rates: [SVector<f64, N>; 2],
}

impl<const N: usize> Cubic<N> {
    pub(super) fn state(&self, t: f64) -> SVector<f64, N> {
        let x = (t - self.from) / self.step;
        let u = 1.0 - x;
        let mut y = self.y;
        y.axpy(x * x * (3.0 - 2.0 * x), &self.rise, 1.0);
        y.axpy(self.step * x * u * u, &self.rates[0], 1.0);
        y.axpy(-self.step * x * x * u, &self.rates[1], 1.0);
        y
    }

    pub(super) fn curve(&self, i: usize) -> Curve {
        let rise = self.rise[i];
        let first = self.step * self.rates[0][i] - rise;
        let last = rise - self.step * self.rates[1][i] - first;
        Curve::new(self.from, self.step, [self.y[i], rise, first, last, 0.0])
    }
}

/// Slopes of the rates and the factored matrix of Newton's iteration.
struct Slopes {
    /// Of every state's rate by every state that feeds back.
    of_rates: DMatrix<f64>,
    factors: Option<(f64, LU<f64, Dyn, Dyn>)>,
    fresh: bool,
}

/// One step's problem: where it starts and how it is judged.
struct Problem<'a, const N: usize, R: Rates<N>> {
    system: &'a R,
    m: usize,
    tolerance: Tolerance,
    sight: R::Sight,
    evaluations: u64,
}

impl<const N: usize, R: Rates<N>> Problem<'_, N, R> {
    fn rates(&mut self, t: f64, y: &SVector<f64, N>) -> SVector<f64, N> {
        let mut dy = SVector::zeros();
        self.system.rates(t, y, &mut dy, &mut self.sight);
        self.evaluations += 1;
        dy
    }

    /// Slopes at `y`, whose rate is `dy`, by differences.
    fn slopes(&mut self, t: f64, y: &SVector<f64, N>, dy: &SVector<f64, N>, slopes: &mut Slopes) {
        // Where the absolute tolerance takes over from the relative one.
        let floor = self.tolerance.absolute / self.tolerance.relative;
        let mut moved = *y;
        for j in 0..self.m {
            let old = y[j];
            moved[j] = old + NUDGE * old.abs().max(floor);
            let by = moved[j] - old;
            let there = self.rates(t, &moved);
            for i in 0..N {
                slopes.of_rates[(i, j)] = (there[i] - dy[i]) / by;
            }
            moved[j] = old;
        }
        slopes.factors = None;
        slopes.fresh = true;
    }

    /// Size of `change` against the error allowed at `y`.
    fn size(&self, change: &DVector<f64>, y: &SVector<f64, N>) -> f64 {
        let Tolerance { relative, absolute } = self.tolerance;
        let worst = (0..self.m).fold(0.0_f64, |worst, i| {
            worst.max((change[i] / (absolute + relative * y[i].abs())).abs())
        });
        if change.iter().all(|c| c.is_finite()) {
            worst
        } else {
            f64::INFINITY
        }
    }

    /// Rates at the stage whose state is `base + h GAMMA k`; how many iterations it took.
    ///
    /// The rates end with the slopes' share of the last correction, so that the stage's
    /// equation holds to rounding, and with it every balance that the rates keep.
    fn stage(
        &mut self,
        t: f64,
        base: &SVector<f64, N>,
        h: f64,
        guess: &SVector<f64, N>,
        slopes: &Slopes,
    ) -> Option<(SVector<f64, N>, usize)> {
        let (_, factors) = slopes.factors.as_ref()?;
        let mut y = base + guess * (h * GAMMA);
        let mut before = f64::INFINITY;
        for iteration in 1..=MOST_ITERATIONS {
            let mut k = self.rates(t, &y);
            let miss = DVector::from_fn(self.m, |i, _| base[i] + h * GAMMA * k[i] - y[i]);
            let change = factors.solve(&miss)?;
            let size = self.size(&change, &y);
            // The first corrections may grow while the guess is poor; later ones that do never end.
            if !size.is_finite() || (iteration > 2 && size > 2.0 * before) {
                return None;
            }
            for j in 0..self.m {
                y[j] += change[j];
                for i in 0..N {
                    k[i] += slopes.of_rates[(i, j)] * change[j];
                }
            }
            if size <= CLOSE {
                return Some((k, iteration));
            }
            before = size;
        }
        None
    }
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
    let mut problem = Problem {
        system,
        m,
        tolerance,
        sight: start.sight,
        evaluations: 0,
    };
    let mut slopes = Slopes {
        of_rates: DMatrix::zeros(N, m),
        factors: None,
        fresh: false,
    };
    let longest = span.longest_step.min(span.to - start.t);
    let mut h = span.first_step.min(longest);
    let first_suited = h;
    let (mut t, mut y, mut dy) = (start.t, start.y, start.dy);
    problem.slopes(t, &y, &dy, &mut slopes);
    let mut rejected = false;
    let ended = loop {
        if ends.len() >= MOST_AT_ONCE {
            break Ended::Full;
        }
        // A tenth of the step would be lost in the digits of the time.
        if 0.1 * h <= f64::EPSILON * t.abs() {
            return Err(IntegrationFailure::StepTooSmall { t });
        }
        // Rather one step a hair longer than a sliver left at the end.
        let last = t + 1.01 * h > span.to;
        let tried = if last { span.to - t } else { h };
        let Some((k, slow)) = stages(&mut problem, t, &y, &dy, tried, &mut slopes) else {
            // First better slopes, then a shorter step.
            if slopes.fresh {
                h = 0.25 * tried;
                rejected = true;
            }
            problem.slopes(t, &y, &dy, &mut slopes);
            continue;
        };
        let next = blend(&y, tried, &k, &A[4]);
        let off = blend(&SVector::zeros(), tried, &k, &ERROR);
        let off = DVector::from_fn(m, |i, _| off[i]);
        // What is stiff has died away: the estimate must not see it (Hairer & Wanner, IV.8).
        let filtered = slopes.factors.as_ref().and_then(|(_, lu)| lu.solve(&off));
        let error = problem.size(&filtered.unwrap_or(off), &next);
        // A quarter, for an estimate of third order.
        let growth = (CAUTION * error.max(1e-8).to_the(-0.25)).clamp(SLOWEST, FASTEST);
        if error > 1.0 || !error.is_finite() {
            h = tried * growth.min(CAUTION);
            rejected = true;
            continue;
        }
        let to = if last { span.to } else { t + tried };
        let there = problem.rates(to, &next);
        pieces.push(Piece::Implicit(Cubic {
            from: t,
            step: tried,
            y,
            rise: next - y,
            rates: [dy, there],
        }));
        (t, y, dy) = (to, next, there);
        let end = StepEnd {
            t,
            y,
            dy,
            sight: problem.sight,
        };
        ends.push(end);
        if !(last && tried < h) && growth > WORTH_IT && !rejected {
            h = (h * growth).min(longest);
        } else if growth < 1.0 {
            h = tried * growth;
        }
        rejected = false;
        slopes.fresh = false;
        if last {
            break Ended::AtSpan;
        }
        if stop(&end) {
            break Ended::Stopped;
        }
        if slow {
            problem.slopes(t, &y, &dy, &mut slopes);
        }
    };
    Ok(Drive {
        evaluations: problem.evaluations,
        first_suited,
        next_step: h,
        ended,
    })
}

/// Rates at the five stages of a step, and whether they came slowly.
fn stages<const N: usize, R: Rates<N>>(
    problem: &mut Problem<'_, N, R>,
    t: f64,
    y: &SVector<f64, N>,
    dy: &SVector<f64, N>,
    h: f64,
    slopes: &mut Slopes,
) -> Option<([SVector<f64, N>; 5], bool)> {
    let m = problem.m;
    if slopes
        .factors
        .as_ref()
        .is_none_or(|(factored, _)| *factored != h)
    {
        let matrix = DMatrix::from_fn(m, m, |i, j| {
            let unit = if i == j { 1.0 } else { 0.0 };
            unit - h * GAMMA * slopes.of_rates[(i, j)]
        });
        slopes.factors = Some((h, matrix.lu()));
    }
    let mut k = [SVector::<f64, N>::zeros(); 5];
    let mut guess = *dy;
    let mut slow = false;
    for j in 0..5 {
        let base = blend(y, h, &k[..j], &A[j][..j]);
        let (rates, iterations) = problem.stage(t + C[j] * h, &base, h, &guess, slopes)?;
        slow |= iterations > FEW_ITERATIONS;
        k[j] = rates;
        guess = rates;
    }
    Some((k, slow))
}

/// `y + h sum(weights k)`.
fn blend<const N: usize>(
    y: &SVector<f64, N>,
    h: f64,
    k: &[SVector<f64, N>],
    weights: &[f64],
) -> SVector<f64, N> {
    let mut out = *y;
    for (k, weight) in k.iter().zip(weights) {
        out.axpy(h * weight, k, 1.0);
    }
    out
}
