//! Friction factor of a full circular pipe (Darcy's; Fanning's is a quarter of it).

use crate::numerics::maths::Maths;
use std::f64::consts::LN_10;

/// Absolute roughness of drawn or extruded plastic pipe `[m]`.
///
/// Moody 1944 and the textbooks after him list 1.5e-6 m for drawn tubing and
/// plastic (from memory). Slime in a real system is far rougher; a roughness
/// of 0.05 to 0.3 mm stands for a fouled pipe.
pub const PLASTIC_ROUGHNESS: f64 = 1.5e-6;

/// Reynolds number up to which flow is taken as laminar `[-]`.
pub const LAMINAR_LIMIT: f64 = 2000.0;

/// Reynolds number from which flow is taken as turbulent `[-]`.
pub const TURBULENT_LIMIT: f64 = 4000.0;

/// Friction factor of Colebrook and White for turbulent flow `[-]`.
///
/// `1/sqrt(f) = -2 log10(k/(3.7 D) + 2.51/(Re sqrt(f)))`, C. F. Colebrook,
/// J. Inst. Civ. Eng. 11 (1939) 133, solved to rounding error by the two
/// fourth-order steps of D. Clamond, Ind. Eng. Chem. Res. 48 (2009) 3665
/// (three logarithms, no loop).
///
/// # Arguments
/// * `re` - Reynolds number `[-]`
/// * `rel_rough` - roughness over bore `[-]`, 0 for a smooth wall
///
/// Valid for `re` from 4000 to 1e8 and `rel_rough` from 0 to 0.05. Below
/// `re` = 4000 use [`darcy_friction_factor`].
///
/// # Example
/// ```
/// use ebbwright::hydraulics::friction::colebrook;
/// assert!((colebrook(1e5, 1e-4) - 0.018_513_866).abs() < 1e-9);
/// ```
pub fn colebrook(re: f64, rel_rough: f64) -> f64 {
    Colebrook::solve(re, rel_rough).factor()
}

/// Darcy's friction factor over the whole range of flow `[-]`.
///
/// 64/Re up to Re = 2000 (Hagen and Poiseuille), [`colebrook`] from 4000 on.
/// Between the two `f Re^2`, which is what head loss is proportional to,
/// follows the cubic that joins both ends in value and slope. The textbooks
/// give no law there; this one makes head loss smooth and strictly rising
/// with flow, so that it can be inverted.
///
/// # Arguments
/// * `re` - Reynolds number `[-]`; zero or less gives infinity, the limit of
///   64/Re (head loss itself is zero there, see
///   [`PipeRun::head_loss`](super::pipe_run::PipeRun::head_loss))
/// * `rel_rough` - roughness over bore `[-]`
///
/// Valid for `re` up to 1e8, `rel_rough` from 0 to 0.05.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::friction::darcy_friction_factor;
/// assert_eq!(darcy_friction_factor(1000.0, 0.0), 0.064);
/// assert!((darcy_friction_factor(4000.0, 0.0) - 0.0399).abs() < 5e-5);
/// ```
pub fn darcy_friction_factor(re: f64, rel_rough: f64) -> f64 {
    if re <= 0.0 {
        f64::INFINITY
    } else if re <= LAMINAR_LIMIT {
        64.0 / re
    } else {
        friction_number(re, rel_rough).0 / (re * re)
    }
}

/// `f Re^2` `[-]` and its derivative with respect to Re `[-]`.
///
/// This product, not `f`, is finite and smooth at rest, and head loss is
/// `f Re^2 (L/D) nu^2 / (2 g D^2)`.
///
/// Valid for `re` from 0 (and below: taken as 0) to 1e8, `rel_rough` from 0
/// to 0.05.
pub fn friction_number(re: f64, rel_rough: f64) -> (f64, f64) {
    if re <= LAMINAR_LIMIT {
        return (64.0 * re.max(0.0), 64.0);
    }
    if re >= TURBULENT_LIMIT {
        return turbulent_number(re, rel_rough);
    }
    let width = TURBULENT_LIMIT - LAMINAR_LIMIT;
    let (y0, m0) = (64.0 * LAMINAR_LIMIT, 64.0);
    let (y1, m1) = turbulent_number(TURBULENT_LIMIT, rel_rough);
    let t = (re - LAMINAR_LIMIT) / width;
    let chord = (y1 - y0) / width;
    // Hermite cubic in Newton's form: exact at both ends, in value and slope.
    let c2 = 3.0 * chord - 2.0 * m0 - m1;
    let c3 = m0 + m1 - 2.0 * chord;
    let value = y0 + width * t * (m0 + t * (c2 + t * c3));
    let slope = m0 + t * (2.0 * c2 + 3.0 * t * c3);
    (value, slope)
}

/// Reynolds number from which on the friction factor of turbulent flow stays at or below
/// `factor` `[-]`; infinite where the wall's roughness alone gives as much.
///
/// [`colebrook`]'s equation turned round, at least [`TURBULENT_LIMIT`], since the factor falls with
/// the Reynolds number from there on. Valid for `factor` above 0, `rel_rough` from 0 to 0.05.
pub fn turbulent_reynolds(factor: f64, rel_rough: f64) -> f64 {
    let root = factor.sqrt();
    let smooth = 10.0_f64.to_the(-0.5 / root) - rel_rough.max(0.0) / 3.7;
    if smooth > 0.0 {
        (2.51 / (root * smooth)).max(TURBULENT_LIMIT)
    } else {
        f64::INFINITY
    }
}

fn turbulent_number(re: f64, rel_rough: f64) -> (f64, f64) {
    let law = Colebrook::solve(re, rel_rough);
    let f = law.factor();
    (f * re * re, f * re * (2.0 + law.log_slope()))
}

/// Clamond's unknowns: `F = ln(10) / (2 sqrt f)` solves `F + ln(X1 + F) = X2`.
struct Colebrook {
    x1: f64,
    big_f: f64,
}

impl Colebrook {
    fn solve(re: f64, rel_rough: f64) -> Colebrook {
        let x1 = rel_rough.max(0.0) * re * (LN_10 / 18.574); // 18.574 = 2 x 2.51 x 3.7
        let x2 = re.log_natural() - 0.779_397_488_455_682; // ln(2 x 2.51 / ln 10)
        let mut f = x2 - 0.2;
        for _ in 0..2 {
            let s = x1 + f;
            let e = (s.log_natural() + f - x2) / (1.0 + s);
            f -= (1.0 + s + 0.5 * e) * e * s / (1.0 + s + e * (1.0 + e / 3.0));
        }
        Colebrook { x1, big_f: f }
    }

    fn factor(&self) -> f64 {
        let x = 0.5 * LN_10 / self.big_f;
        x * x
    }

    /// d ln f / d ln Re, from differentiating the equation itself.
    fn log_slope(&self) -> f64 {
        -2.0 / (1.0 + self.x1 + self.big_f)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn the_three_laws_meet_without_a_step_or_a_kink() {
        for rough in [0.0, 1e-5, 1e-3, 0.05] {
            for limit in [LAMINAR_LIMIT, TURBULENT_LIMIT] {
                let (below, above) = (limit * (1.0 - 1e-9), limit * (1.0 + 1e-9));
                let (y0, m0) = friction_number(below, rough);
                let (y1, m1) = friction_number(above, rough);
                assert!((y1 / y0 - 1.0).abs() < 1e-8, "value at {limit}, {rough}");
                assert!((m1 / m0 - 1.0).abs() < 1e-7, "slope at {limit}, {rough}");
            }
        }
    }

    #[test]
    fn head_loss_rises_with_flow_through_the_blend() {
        for rough in [0.0, 1e-5, 1e-4, 1e-3, 1e-2, 0.05] {
            let mut last = (friction_number(1000.0, rough).0, 0.0);
            for i in 1..=5000 {
                let re = 1000.0 + f64::from(i);
                let (value, slope) = friction_number(re, rough);
                assert!(value > last.0 && slope > 0.0, "Re {re}, k/D {rough}");
                // The law never falls below laminar nor exceeds turbulent friction.
                let f = darcy_friction_factor(re, rough);
                assert!(f >= 64.0 / re && f <= colebrook(re, rough).max(64.0 / re) * 1.001);
                last = (value, slope);
            }
        }
    }

    #[test]
    fn slope_agrees_with_a_central_difference() {
        for rough in [0.0, 1e-4, 0.01] {
            for re in [10.0, 1999.0, 2001.0, 2700.0, 3990.0, 4010.0, 2e4, 1e6, 1e8] {
                let step = 1e-5 * re;
                let (up, down) = (
                    friction_number(re + step, rough).0,
                    friction_number(re - step, rough).0,
                );
                let difference = (up - down) / (2.0 * step);
                let slope = friction_number(re, rough).1;
                assert!((difference / slope - 1.0).abs() < 1e-6, "Re {re}: {slope}");
            }
        }
    }

    #[test]
    fn rest_is_finite_where_it_counts() {
        assert_eq!(friction_number(0.0, 0.01), (0.0, 64.0));
        assert_eq!(friction_number(-5.0, 0.01), (0.0, 64.0));
        assert_eq!(darcy_friction_factor(0.0, 0.0), f64::INFINITY);
        assert_eq!(darcy_friction_factor(-1.0, 0.0), f64::INFINITY);
    }

    #[test]
    fn from_the_reynolds_number_turned_round_the_factor_is_no_greater() {
        for rel_rough in [0.0, 3e-5, 1e-3, 0.02] {
            for factor in [0.012, 0.02, 0.0338, 0.05] {
                let re = turbulent_reynolds(factor, rel_rough);
                if re.is_infinite() {
                    assert!(colebrook(1e8, rel_rough) > factor);
                    continue;
                }
                assert!(colebrook(1.000_001 * re, rel_rough) < factor);
                let edge = re > TURBULENT_LIMIT;
                assert!(!edge || (colebrook(re, rel_rough) / factor - 1.0).abs() < 1e-9);
            }
        }
    }
}
