//! Part-full flow in a circular section: geometry, uniform flow, critical depth.
//!
//! Depth `y` is measured from the invert. Formulas use the angle `theta` that
//! the water's surface spans at the centre, `y = D sin^2(theta/4)`.

use crate::numerics::maths::Maths;
use std::f64::consts::{FRAC_PI_4, PI};

use super::constants::GRAVITY;
use crate::numerics::root::newton;

/// Relative depth of the greatest uniform flow `[-]` (constant n; textbooks: 0.938).
pub const CAPACITY_DEPTH: f64 = 0.938_181_216_160_607_2;

/// Greatest uniform flow over full flow `[-]` (constant n; textbooks: 1.076).
pub const CAPACITY_RATIO: f64 = 1.075_706_129_400_465;

/// Relative depth below the crown at which flow equals full flow `[-]` (textbooks: 0.82).
pub const FULL_FLOW_DEPTH: f64 = 0.819_629_448_615_042_9;

/// Angle of the surface at [`FULL_FLOW_DEPTH`] `[rad]`.
const FULL_FLOW_ANGLE: f64 = 4.528_660_945_313_213;

/// Surface angle `[rad]`, 0 to 2 pi, of a relative depth.
fn angle(d: f64, y: f64) -> f64 {
    // The half-angle form keeps its digits at small depths, where acos loses them.
    4.0 * (y / d).clamp(0.0, 1.0).sqrt().arcsine()
}

/// `theta - sin(theta)` without cancellation at small angles.
pub(super) fn angle_less_sine(theta: f64) -> f64 {
    if theta > 1.0 {
        return theta - theta.sine();
    }
    let t2 = theta * theta;
    // Taylor terms to theta^17: the next is below 1e-16 of the sum at theta = 1.
    let mut tail = 1.0;
    for n in (2..=8).rev() {
        let n = f64::from(n);
        tail = 1.0 - tail * t2 / ((2.0 * n) * (2.0 * n + 1.0));
    }
    theta * t2 / 6.0 * tail
}

/// Area of a whole circle of diameter `d` `[m2]`. Valid for any diameter. Exact geometry.
pub fn full_area(d: f64) -> f64 {
    FRAC_PI_4 * d * d
}

/// Flow `[m3/s]` at which a full pipe of bore `d` `[m]` has this pipe Froude number
/// `V / sqrt(g D)` `[-]`. Valid for any bore, not negative. A definition.
pub fn flow_at_froude(d: f64, froude: f64) -> f64 {
    froude * full_area(d) * (GRAVITY * d).sqrt()
}

/// Wetted area `[m2]` at depth `y` `[m]` in a circle of diameter `d` `[m]`.
///
/// Valid for any depth; below the invert it is zero, above the crown the full
/// circle. Exact geometry.
pub fn area(d: f64, y: f64) -> f64 {
    d * d / 8.0 * angle_less_sine(angle(d, y))
}

/// Wetted perimeter `[m]` at depth `y` `[m]` in a circle of diameter `d` `[m]`.
///
/// Valid for any depth, clamped to the section. Exact geometry.
pub fn wetted_perimeter(d: f64, y: f64) -> f64 {
    0.5 * d * angle(d, y)
}

/// Hydraulic radius, area over wetted perimeter `[m]`, at depth `y` `[m]` in
/// a circle of diameter `d` `[m]`; zero when dry.
///
/// Valid for any depth, clamped to the section. Exact geometry.
pub fn hydraulic_radius(d: f64, y: f64) -> f64 {
    let wetted = wetted_perimeter(d, y);
    if wetted > 0.0 {
        area(d, y) / wetted
    } else {
        0.0
    }
}

/// Width of the free surface `[m]` at depth `y` `[m]` in a circle of diameter `d` `[m]`.
///
/// Valid for any depth; zero when dry or full. Exact geometry.
pub fn top_width(d: f64, y: f64) -> f64 {
    let y = y.clamp(0.0, d);
    2.0 * (y * (d - y)).sqrt()
}

/// Uniform flow `[m3/s]` by Manning: `Q = A R^(2/3) sqrt(S) / n`.
///
/// # Arguments
/// * `d` - bore `[m]`
/// * `slope` - fall per length `[-]`; zero or less gives no flow
/// * `n` - Manning's roughness `[s/m1/3]`, constant with depth; smooth
///   plastic 0.009 to 0.010, old plumbing tables 0.015
/// * `y` - depth `[m]`, clamped to the section
///
/// Valid for turbulent rough flow in long straight lines; in small pipes near
/// the laminar limit it reads high. Source: Manning 1891 as in Chow,
/// Open-Channel Hydraulics (1959), ch. 5 (from memory).
///
/// # Example
/// ```
/// use ebbwright::hydraulics::circular::manning_flow;
/// // Half-full 3 in drain at 1/4 in per foot, n = 0.015.
/// let q = manning_flow(0.0762, 1.0 / 48.0, 0.015, 0.0381);
/// assert!((q * 60_000.0 - 93.9).abs() < 0.1); // L/min
/// ```
pub fn manning_flow(d: f64, slope: f64, n: f64, y: f64) -> f64 {
    if slope <= 0.0 {
        return 0.0;
    }
    area(d, y) * hydraulic_radius(d, y).cube_root().powi(2) * slope.sqrt() / n
}

/// Uniform flow `[m3/s]` of the just-full section; lengths in `[m]`, `slope` `[-]`.
///
/// Valid as [`manning_flow`].
pub fn full_flow(d: f64, slope: f64, n: f64) -> f64 {
    manning_flow(d, slope, n, d)
}

/// Greatest uniform flow `[m3/s]`, reached at y/D = 0.938; lengths in `[m]`, `slope` `[-]`.
///
/// Valid as [`manning_flow`]. A line that runs within 7 % of it can fill
/// suddenly, because less flow fits into the full section.
pub fn capacity(d: f64, slope: f64, n: f64) -> f64 {
    CAPACITY_RATIO * full_flow(d, slope, n)
}

/// Depth of uniform flow `[m]`.
///
/// # Arguments
/// * `d` - bore `[m]`
/// * `slope` - fall per length `[-]`; zero or less: full as soon as water flows
/// * `n` - Manning's roughness `[s/m1/3]`
/// * `q` - flow `[m3/s]`; zero or less gives depth 0
///
/// Up to full flow the exact inverse of [`manning_flow`], y/D to 0.8196.
/// Between full flow and [`capacity`] two depths carry the same flow and the
/// line is unstable; there the depth rises in a straight line from 0.8196 D to
/// D, a convention of this project that keeps depth continuous, rising, and of
/// bounded slope there. Beyond capacity the line is full (D). The first drop
/// raises the depth steeply, with about `q^(6/13)`. Valid as [`manning_flow`].
///
/// # Example
/// ```
/// use ebbwright::hydraulics::circular::{full_flow, normal_depth};
/// let q = 0.5 * full_flow(0.05, 0.02, 0.010);
/// assert!((normal_depth(0.05, 0.02, 0.010, q) - 0.025).abs() < 1e-12);
/// ```
pub fn normal_depth(d: f64, slope: f64, n: f64, q: f64) -> f64 {
    if q <= 0.0 {
        return 0.0;
    }
    let ratio = q / full_flow(d, slope, n);
    if ratio >= CAPACITY_RATIO {
        return d;
    }
    if ratio >= 1.0 {
        let share = (ratio - 1.0) / (CAPACITY_RATIO - 1.0);
        return d * (FULL_FLOW_DEPTH + share * (1.0 - FULL_FLOW_DEPTH));
    }
    let half_chord = (0.25 * angle_of_flow(ratio)).sine();
    d * half_chord * half_chord
}

/// Angle at which flow over full flow is `ratio`, 0 to 1, on the lower branch.
fn angle_of_flow(ratio: f64) -> f64 {
    // Q/Qf = (theta - sin theta)^(5/3) / (2 pi theta^(2/3)); at small angles
    // theta^(13/3) / (2 pi 6^(5/3)). In logarithms the curve is concave, so
    // Newton cannot run away.
    let target = ratio.log_natural() + (2.0 * PI).log_natural();
    let small = (target + 5.0 / 3.0 * 6.0_f64.log_natural()) * 3.0 / 13.0;
    // Correction fitted to this very curve, within 1.2 %: saves three steps.
    let z = (2.0 * small).exponential();
    let fit = z * (0.010_23 + z * (0.008_682 + z * (-0.001_825 + z * 0.000_146_7)));
    let mut log_theta = small + fit.log_natural_1p();
    for _ in 0..40 {
        let theta = log_theta.exponential();
        let segment = angle_less_sine(theta);
        let value = 5.0 / 3.0 * segment.log_natural() - 2.0 / 3.0 * log_theta;
        let half = (0.5 * theta).sine();
        let slope = 5.0 / 3.0 * 2.0 * half * half * theta / segment - 2.0 / 3.0;
        let step = (target - value) / slope;
        log_theta += step;
        // Steps shrink quadratically: the next one would be below rounding.
        if step.abs() < 1e-8 {
            break;
        }
    }
    log_theta.exponential().min(FULL_FLOW_ANGLE)
}

/// Critical depth `[m]`: where `Q^2 T = g A^3`, so that the Froude number is 1.
///
/// # Arguments
/// * `d` - bore `[m]`
/// * `q` - flow `[m3/s]`; zero or less gives depth 0
///
/// Valid for any flow; it approaches the crown as flow grows, where a free
/// surface no longer lasts (above about 0.9 D the number means little).
///
/// # Example
/// ```
/// use ebbwright::hydraulics::circular::critical_depth;
/// assert!((critical_depth(0.2, 0.010) - 0.0846).abs() < 1e-4);
/// ```
pub fn critical_depth(d: f64, q: f64) -> f64 {
    if q <= 0.0 {
        return 0.0;
    }
    // With A and T in theta: ln A^3/T = ln(Q^2/g), rising from -inf to +inf.
    let target = (q * q / GRAVITY).log_natural() - 5.0 * d.log_natural() + 512.0_f64.log_natural();
    let value = |theta: f64| {
        let half = (0.5 * theta).sine();
        let segment = angle_less_sine(theta);
        let value = 3.0 * segment.log_natural() - half.log_natural();
        let slope = 6.0 * half * half / segment - 0.5 * (0.5 * theta).cosine() / half;
        (value - target, slope)
    };
    // Exact at small angles: theta^9 / 216 over theta / 2 is theta^8 / 108.
    let small = ((target + 108.0_f64.log_natural()) / 8.0)
        .exponential()
        .min(4.0);
    let close = |step: f64, theta: f64| step <= 1e-9 * theta;
    let theta = newton((0.0, 2.0 * PI), small, close, value);
    let half_chord = (0.25 * theta).sine();
    d * half_chord * half_chord
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    /// Small repeatable number source (xorshift); a failing case prints its seed.
    fn dice(seed: u64) -> impl FnMut(f64, f64) -> f64 {
        let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        move |low, high| {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            #[allow(clippy::cast_precision_loss)] // 53 bits fit
            let share = (state >> 11) as f64 / (1u64 << 53) as f64;
            low + (high - low) * share
        }
    }

    #[test]
    fn normal_depth_is_the_inverse_of_manning_on_the_lower_branch() {
        for seed in 1..=512 {
            let mut roll = dice(seed);
            let (d, slope, n) = (roll(0.01, 0.2), roll(1e-4, 0.2), roll(0.008, 0.016));
            let y = d * 10.0_f64.to_the(roll(-6.0, (FULL_FLOW_DEPTH - 1e-6).log_decimal()));
            let back = normal_depth(d, slope, n, manning_flow(d, slope, n, y));
            assert!(
                (back / y - 1.0).abs() < 1e-9,
                "seed {seed}: {y} came back as {back}"
            );
            if y < 0.75 * d {
                // Nearer to the top of the curve rounding of the flow is magnified.
                assert!((back / y - 1.0).abs() < 1e-12, "seed {seed}: {y}, {back}");
            }
        }
    }

    #[test]
    fn normal_depth_rises_without_steps_from_dry_to_full() {
        let (d, slope, n) = (0.05, 0.02, 0.010);
        let most = capacity(d, slope, n);
        let mut last = 0.0;
        for i in 1..=20_000 {
            let y = normal_depth(d, slope, n, most * f64::from(i) / 20_000.0);
            assert!(y > last, "{i}");
            // A flow of 1/20000 of capacity raises a dry line by 1 % of its bore.
            assert!(
                y - last < if i == 1 { 0.01 * d } else { 0.003 * d },
                "{i}: {y}, {last}"
            );
            last = y;
        }
        assert!((last - d).abs() < 1e-15);
        assert_eq!(normal_depth(d, slope, n, 1.5 * most), d);
        let at_full = normal_depth(d, slope, n, full_flow(d, slope, n) * (1.0 - 1e-13));
        assert!((at_full / d - FULL_FLOW_DEPTH).abs() < 1e-9);
    }

    #[test]
    fn dry_level_and_uphill_lines_have_limits_not_nonsense() {
        assert_eq!(normal_depth(0.05, 0.02, 0.010, 0.0), 0.0);
        assert_eq!(normal_depth(0.05, 0.0, 0.010, 1e-6), 0.05);
        assert_eq!(normal_depth(0.05, -0.02, 0.010, 1e-6), 0.05);
        assert_eq!(manning_flow(0.05, -0.02, 0.010, 0.02), 0.0);
        assert_eq!(critical_depth(0.05, 0.0), 0.0);
        assert_eq!((area(0.05, -0.01), top_width(0.05, -0.01)), (0.0, 0.0));
        assert_eq!(hydraulic_radius(0.05, 0.0), 0.0);
        assert!((area(0.05, 0.06) / area(0.05, 0.05) - 1.0).abs() < 1e-15);
        assert!((hydraulic_radius(0.05, 0.05) / 0.0125 - 1.0).abs() < 1e-15);
        assert_eq!(top_width(0.05, 0.05), 0.0);
    }

    #[test]
    fn critical_depth_satisfies_its_equation() {
        for seed in 1..=512 {
            let mut roll = dice(seed);
            let d = roll(0.01, 0.2);
            let y = d * 10.0_f64.to_the(roll(-5.0, -1e-3));
            let a = area(d, y);
            let q = (GRAVITY * a.powi(3) / top_width(d, y)).sqrt();
            let back = critical_depth(d, q);
            assert!((back / y - 1.0).abs() < 1e-11, "seed {seed}: {y}, {back}");
        }
        let mut last = 0.0;
        for i in 1..=1000 {
            let y = critical_depth(0.05, f64::from(i) * 1e-5);
            assert!(y >= last && y <= 0.05, "{i}: {y}");
            last = y;
        }
    }

    #[test]
    fn area_keeps_its_digits_in_a_film_of_water() {
        // Parabola: A = (4/3) y sqrt(D y) for y << D.
        let (d, y): (f64, f64) = (0.1, 1e-10);
        let film = 4.0 / 3.0 * y * (d * y).sqrt();
        assert!((area(d, y) / film - 1.0).abs() < 1e-8);
        // The series and the plain difference meet at theta = 1.
        let (below, above) = (angle_less_sine(1.0), angle_less_sine(1.0 + 1e-15));
        assert!((below / above - 1.0).abs() < 1e-14, "{below}, {above}");
    }

    #[test]
    fn width_is_the_derivative_of_area() {
        let d = 0.1;
        for i in 1..100 {
            let (y, e) = (d * f64::from(i) / 100.0, 1e-6 * d);
            let rise = (area(d, y + e) - area(d, y - e)) / (2.0 * e);
            assert!((rise / top_width(d, y) - 1.0).abs() < 1e-7, "{i}");
        }
    }
}
