//! Roots of one equation in one unknown, and limits up to which something holds.

use thiserror::Error;

/// Why no root was returned. Each case carries the numbers that led to it.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum RootError {
    /// The function has the same sign at both ends.
    #[error("no change of sign between {a} (value {fa}) and {b} (value {fb})")]
    NotBracketed {
        /// Lower end.
        a: f64,
        /// Value at the lower end.
        fa: f64,
        /// Upper end.
        b: f64,
        /// Value at the upper end.
        fb: f64,
    },
    /// The function gave a value that is not a number.
    #[error("the function is not a number at {x}")]
    NotANumber {
        /// Where it happened.
        x: f64,
    },
    /// An end of the interval is not finite, or the tolerance is negative or not a number.
    #[error("interval {a} to {b} with tolerance {tolerance} cannot be searched")]
    BadInterval {
        /// Lower end.
        a: f64,
        /// Upper end.
        b: f64,
        /// Tolerance asked for.
        tolerance: f64,
    },
    /// The tolerance was not reached.
    #[error("no root to tolerance after {iterations} steps; last estimate {x}")]
    TooManyIterations {
        /// Steps made.
        iterations: u32,
        /// Last estimate.
        x: f64,
    },
}

/// A root of `f` between `a` and `b`, by Brent's method.
///
/// R. P. Brent, Algorithms for Minimization without Derivatives (1973), ch. 4
/// (`zero`): inverse quadratic steps and secants, bisection when they do not
/// pay. The answer is within `tol` plus four rounding errors of a change of
/// sign; `tol = 0` asks for all the digits there are.
///
/// # Errors
/// [`RootError::NotBracketed`] when `f(a)` and `f(b)` have the same sign;
/// the other cases for input or values that are not numbers.
///
/// # Example
/// ```
/// use ebbwright::numerics::root::brent;
/// let root = brent(|x| x * x - 2.0, 0.0, 2.0, 0.0)?;
/// assert!((root - 2.0_f64.sqrt()).abs() < 1e-15);
/// # Ok::<(), ebbwright::numerics::root::RootError>(())
/// ```
pub fn brent(mut f: impl FnMut(f64) -> f64, a: f64, b: f64, tol: f64) -> Result<f64, RootError> {
    if !a.is_finite() || !b.is_finite() {
        return Err(RootError::BadInterval {
            a,
            b,
            tolerance: tol,
        });
    }
    let ends = [(a, f(a)), (b, f(b))];
    brent_between(f, ends, tol)
}

/// The same where the values at both ends, given beside them, are known already.
///
/// # Errors
/// As [`brent`].
pub fn brent_between(
    mut f: impl FnMut(f64) -> f64,
    [(a, f_a), (b, f_b)]: [(f64, f64); 2],
    tol: f64,
) -> Result<f64, RootError> {
    const MOST_STEPS: u32 = 200;
    if !a.is_finite() || !b.is_finite() || tol.is_nan() || tol < 0.0 {
        return Err(RootError::BadInterval {
            a,
            b,
            tolerance: tol,
        });
    }
    let told = |x: f64, y: f64| {
        if y.is_nan() {
            Err(RootError::NotANumber { x })
        } else {
            Ok(y)
        }
    };
    let mut value = |x: f64| told(x, f(x));
    // `best` holds the smallest value so far, `other` the opposite sign, `last` the one before.
    let (mut last, mut best) = (a, b);
    let (mut f_last, mut f_best) = (told(a, f_a)?, told(b, f_b)?);
    if f_last == 0.0 {
        return Ok(a);
    }
    if f_best == 0.0 {
        return Ok(b);
    }
    if f_last.signum() == f_best.signum() {
        return Err(RootError::NotBracketed {
            a,
            fa: f_last,
            b,
            fb: f_best,
        });
    }
    let (mut other, mut f_other) = (last, f_last);
    let mut step = best - last;
    let mut step_before = step;
    for _ in 0..MOST_STEPS {
        if f_other.abs() < f_best.abs() {
            (last, best, other) = (best, other, best);
            (f_last, f_best, f_other) = (f_best, f_other, f_best);
        }
        let tolerance = 2.0 * f64::EPSILON * best.abs() + 0.5 * tol;
        let half = 0.5 * (other - best);
        if half.abs() <= tolerance || f_best == 0.0 {
            return Ok(best);
        }
        if step_before.abs() >= tolerance && f_last.abs() > f_best.abs() {
            let s = f_best / f_last;
            let (mut p, mut q) = if last == other {
                (2.0 * half * s, 1.0 - s)
            } else {
                let q = f_last / f_other;
                let r = f_best / f_other;
                (
                    s * (2.0 * half * q * (q - r) - (best - last) * (r - 1.0)),
                    (q - 1.0) * (r - 1.0) * (s - 1.0),
                )
            };
            if p > 0.0 {
                q = -q;
            } else {
                p = -p;
            }
            // Brent's terms: not past three quarters of the bracket, and less than half of the step
            // before last, or it may creep.
            if 2.0 * p < (3.0 * half * q - (tolerance * q).abs()).min((step_before * q).abs()) {
                step_before = step;
                step = p / q;
            } else {
                step = half;
                step_before = half;
            }
        } else {
            step = half;
            step_before = half;
        }
        last = best;
        f_last = f_best;
        // A shorter step would not get past the root to the other side.
        best += if step.abs() > tolerance {
            step
        } else {
            tolerance.copysign(half)
        };
        f_best = value(best)?;
        if f_best.signum() == f_other.signum() {
            other = last;
            f_other = f_last;
            step = best - last;
            step_before = step;
        }
    }
    Err(RootError::TooManyIterations {
        iterations: MOST_STEPS,
        x: best,
    })
}

/// Steps of [`newton`] at most: a bracket of any width has long shrunk to rounding.
const NEWTON_STEPS: u32 = 100;

/// A root between `low` and `high` by Newton's rule from `x`, held inside a bracket that
/// shrinks: a step that leaves it halves it instead.
///
/// `f` gives value and slope and must rise from below 0 at `low` to above 0 at `high`.
/// Stops when `close` takes the size of the last step and the root so far. Steps shrink
/// quadratically: one of 1e-8 of the root says that the next is below rounding.
#[inline]
pub fn newton(
    (mut low, mut high): (f64, f64),
    mut x: f64,
    close: impl Fn(f64, f64) -> bool,
    mut f: impl FnMut(f64) -> (f64, f64),
) -> f64 {
    for _ in 0..NEWTON_STEPS {
        let (value, slope) = f(x);
        if value > 0.0 {
            high = x;
        } else {
            low = x;
        }
        let mut next = x - value / slope;
        // Written so that a slope of 0 or a value that is not a number halves, too.
        if !(next >= low && next <= high) {
            next = 0.5 * (low + high);
        }
        let step = (next - x).abs();
        x = next;
        if close(step, x) {
            break;
        }
    }
    x
}

/// How far a search by halves goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Until {
    /// So many halvings.
    Halvings(u32),
    /// Until the two ends are no farther apart.
    Width(f64),
}

impl Until {
    fn reached(self, halvings: u32, width: f64) -> bool {
        match self {
            Self::Halvings(most) => halvings >= most,
            Self::Width(least) => width <= least,
        }
    }
}

/// Narrows two values, of which at the first something `holds` and at the second it does
/// not; both is taken for granted, and either may be the greater. Returns them in this order.
///
/// # Errors
/// The first that `holds` gives.
pub fn try_halve<E>(
    (mut inside, mut outside): (f64, f64),
    until: Until,
    mut holds: impl FnMut(f64) -> Result<bool, E>,
) -> Result<(f64, f64), E> {
    let mut halvings = 0;
    while !until.reached(halvings, (outside - inside).abs()) {
        let middle = 0.5 * (inside + outside);
        if holds(middle)? {
            inside = middle;
        } else {
            outside = middle;
        }
        halvings += 1;
    }
    Ok((inside, outside))
}

/// [`try_halve`] for what cannot fail.
pub fn halve(ends: (f64, f64), until: Until, mut holds: impl FnMut(f64) -> bool) -> (f64, f64) {
    let never = |x| Ok::<bool, std::convert::Infallible>(holds(x));
    match try_halve(ends, until, never) {
        Ok(found) => found,
    }
}

/// The greatest value from `least`, which is taken to be bearable, up to `most` that still is;
/// less is never worse.
///
/// # Example
/// ```
/// use ebbwright::numerics::root::{Until, greatest_bearable};
/// let root = greatest_bearable(0.0, 2.0, Until::Width(1e-9), |x| x * x <= 2.0);
/// assert!((root - 2.0_f64.sqrt()).abs() < 1e-9 && root * root <= 2.0);
/// ```
pub fn greatest_bearable(
    least: f64,
    most: f64,
    until: Until,
    bearable: impl FnMut(f64) -> bool,
) -> f64 {
    halve((least, most), until, bearable).0
}

/// The least value from `least` up to `most`, which is taken to be enough, that still is;
/// more is never worse.
pub fn least_enough(least: f64, most: f64, until: Until, enough: impl FnMut(f64) -> bool) -> f64 {
    halve((most, least), until, enough).0
}

/// Of whole numbers between two, at the first of which something `holds` and at the second
/// not, the last at which it does; both is taken for granted, and either may be the greater.
pub fn last_whole(mut inside: f64, mut outside: f64, mut holds: impl FnMut(f64) -> bool) -> f64 {
    while (outside - inside).abs() > 1.0 {
        let middle = (0.5 * (inside + outside)).floor();
        if holds(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;
    use crate::numerics::maths::Maths;

    #[test]
    fn newton_stays_in_its_bracket() {
        // From 3, Newton's rule alone runs away on this one: atan is flat out there.
        let f = |x: f64| ((x - 1.0).arctangent(), 1.0 / (1.0 + (x - 1.0).powi(2)));
        let root = newton((-20.0, 30.0), 3.5, |step, _| step <= 1e-12, f);
        assert!((root - 1.0).abs() < 1e-12, "{root}");
    }

    #[test]
    fn limits_are_found_from_either_side() {
        let most = greatest_bearable(0.0, 1.0, Until::Halvings(50), |x| x <= 0.3);
        assert!(most <= 0.3 && most > 0.3 - 1e-14);
        let least = least_enough(0.0, 1.0, Until::Width(1e-6), |x| x >= 0.3);
        assert!((0.3..0.3 + 1e-6).contains(&least));
        assert_eq!(last_whole(0.0, 100.0, |n| n < 37.5), 37.0);
        assert_eq!(last_whole(100.0, 0.0, |n| n > 37.5), 38.0);
        let failed = try_halve((0.0, 1.0), Until::Halvings(9), |x| {
            if x > 0.7 { Err(x) } else { Ok(true) }
        });
        assert_eq!(failed, Err(0.75));
    }

    #[test]
    fn finds_roots_of_every_steepness() {
        type Case = (fn(f64) -> f64, f64, f64, f64);
        let cases: [Case; 5] = [
            (|x| x.cosine() - x, 0.0, 1.0, 0.739_085_133_215_160_6),
            (|x| x.powi(9), -1.0, 2.0, 0.0),
            (|x| (x - 1.0).cube_root(), -3.0, 2.5, 1.0),
            (
                |x| x.exponential() - 1e-3,
                -50.0,
                50.0,
                -6.907_755_278_982_137,
            ),
            (|x| if x < 0.25 { -1.0 } else { 1.0 }, 0.0, 1.0, 0.25),
        ];
        for (f, a, b, exact) in cases {
            for (from, to) in [(a, b), (b, a)] {
                let root = brent(f, from, to, 1e-13).unwrap();
                assert!((root - exact).abs() < 2e-13, "{exact}: {root}");
            }
        }
    }

    #[test]
    fn ends_that_are_roots_are_taken() {
        assert_eq!(brent(|x| x, 0.0, 1.0, 0.0), Ok(0.0));
        assert_eq!(brent(|x| x - 1.0, 0.0, 1.0, 0.0), Ok(1.0));
    }

    #[test]
    fn spends_few_evaluations() {
        let mut calls = 0;
        let f = |x: f64| {
            calls += 1;
            x.powi(3) - 2.0 * x - 5.0
        };
        brent(f, 2.0, 3.0, 0.0).unwrap();
        assert!(calls <= 8, "{calls}"); // bisection takes 52
    }

    #[test]
    fn refusals_carry_their_numbers() {
        let none = brent(|x| x * x + 1.0, -1.0, 2.0, 0.0);
        assert_eq!(
            none,
            Err(RootError::NotBracketed {
                a: -1.0,
                fa: 2.0,
                b: 2.0,
                fb: 5.0
            })
        );
        let hole = brent(|x| (x - 0.5).sqrt(), 0.0, 1.0, 0.0);
        assert_eq!(hole, Err(RootError::NotANumber { x: 0.0 }));
        assert!(matches!(
            brent(|x| x, f64::NEG_INFINITY, 1.0, 0.0),
            Err(RootError::BadInterval { .. })
        ));
        assert!(matches!(
            brent(|x| x, -1.0, 1.0, f64::NAN),
            Err(RootError::BadInterval { .. })
        ));
        assert!(matches!(
            brent(|x| x, -1.0, 1.0, -1.0),
            Err(RootError::BadInterval { .. })
        ));
    }
}
