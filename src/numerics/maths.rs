//! Functions of real numbers whose last digit hangs on the library that computes them: from one
//! library here and in a browser, so that the same scenario gives the same figures on both.
//!
//! What every machine rounds alike (`sqrt`, `abs`, `floor`, whole powers) is taken from the language.

/// Transcendental functions of an `f64`, each within one unit in the last place or two of the true
/// value (the `libm` crate, after FreeBSD's and musl's).
pub trait Maths {
    /// Natural logarithm; NaN below 0.
    #[must_use]
    fn log_natural(self) -> f64;
    /// Natural logarithm of this and one, also where this is small.
    #[must_use]
    fn log_natural_1p(self) -> f64;
    /// Logarithm to base 10.
    #[must_use]
    fn log_decimal(self) -> f64;
    /// `e` to this power.
    #[must_use]
    fn exponential(self) -> f64;
    /// `e` to this power less one, also where this is small.
    #[must_use]
    fn exponential_m1(self) -> f64;
    /// This to a power that need not be whole; NaN where there is none.
    #[must_use]
    fn to_the(self, power: f64) -> f64;
    /// Cube root.
    #[must_use]
    fn cube_root(self) -> f64;
    /// Length of the hypotenuse over these legs.
    #[must_use]
    fn hypotenuse(self, other: f64) -> f64;
    /// Sine of an angle `[rad]`.
    #[must_use]
    fn sine(self) -> f64;
    /// Cosine of an angle `[rad]`.
    #[must_use]
    fn cosine(self) -> f64;
    /// Both.
    #[must_use]
    fn sine_cosine(self) -> (f64, f64);
    /// Angle `[rad]` whose sine this is; NaN outside -1 to 1.
    #[must_use]
    fn arcsine(self) -> f64;
    /// Angle `[rad]` whose tangent this is.
    #[must_use]
    fn arctangent(self) -> f64;
    /// Hyperbolic sine.
    #[must_use]
    fn sine_hyperbolic(self) -> f64;
    /// What has this hyperbolic sine.
    #[must_use]
    fn area_sine_hyperbolic(self) -> f64;
}

impl Maths for f64 {
    fn log_natural(self) -> f64 {
        libm::log(self)
    }

    fn log_natural_1p(self) -> f64 {
        libm::log1p(self)
    }

    fn log_decimal(self) -> f64 {
        libm::log10(self)
    }

    fn exponential(self) -> f64 {
        libm::exp(self)
    }

    fn exponential_m1(self) -> f64 {
        libm::expm1(self)
    }

    fn to_the(self, power: f64) -> f64 {
        libm::pow(self, power)
    }

    fn cube_root(self) -> f64 {
        libm::cbrt(self)
    }

    fn hypotenuse(self, other: f64) -> f64 {
        libm::hypot(self, other)
    }

    fn sine(self) -> f64 {
        libm::sin(self)
    }

    fn cosine(self) -> f64 {
        libm::cos(self)
    }

    fn sine_cosine(self) -> (f64, f64) {
        libm::sincos(self)
    }

    fn arcsine(self) -> f64 {
        libm::asin(self)
    }

    fn arctangent(self) -> f64 {
        libm::atan(self)
    }

    fn sine_hyperbolic(self) -> f64 {
        libm::sinh(self)
    }

    fn area_sine_hyperbolic(self) -> f64 {
        libm::asinh(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Against the platform's own library: two ulp of each may lie between them.
    #[test]
    fn functions_agree_with_the_platform_s_to_rounding() {
        for k in 1..2000 {
            let x = 0.003 * f64::from(k);
            let pairs = [
                (x.log_natural(), x.ln()),
                (x.log_natural_1p(), x.ln_1p()),
                (x.log_decimal(), x.log10()),
                ((-x).exponential(), (-x).exp()),
                ((-x).exponential_m1(), (-x).exp_m1()),
                (x.to_the(2.63), x.powf(2.63)),
                (x.cube_root(), x.cbrt()),
                (x.hypotenuse(3.0), x.hypot(3.0)),
                (x.sine(), x.sin()),
                (x.cosine(), x.cos()),
                (x.sine_cosine().0, x.sin_cos().0),
                ((x / 6.0).arcsine(), (x / 6.0).asin()),
                (x.arctangent(), x.atan()),
                (x.sine_hyperbolic(), x.sinh()),
                (x.area_sine_hyperbolic(), x.asinh()),
            ];
            for (i, (ours, theirs)) in pairs.into_iter().enumerate() {
                let apart = (ours - theirs).abs();
                assert!(
                    apart <= 4.0 * f64::EPSILON * theirs.abs().max(1e-3),
                    "{i} of {x}: {ours} {theirs}"
                );
            }
        }
    }
}
