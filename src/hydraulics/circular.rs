//! Part-full flow in a circular section: geometry, uniform flow, critical depth.
//!
//! Depth `y` is measured from the invert. Formulas use the angle `theta` that
//! the water's surface spans at the centre, `y = D sin^2(theta/4)`.

use std::f64::consts::PI;

use super::constants::GRAVITY;

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
    4.0 * (y / d).clamp(0.0, 1.0).sqrt().asin()
}

/// `theta - sin(theta)` without cancellation at small angles.
pub(super) fn angle_less_sine(theta: f64) -> f64 {
    if theta > 1.0 {
        return theta - theta.sin();
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
    let theta = angle(d, y);
    if theta <= 0.0 {
        return 0.0;
    }
    0.25 * d * angle_less_sine(theta) / theta
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
    area(d, y) * hydraulic_radius(d, y).cbrt().powi(2) * slope.sqrt() / n
}

/// Uniform flow `[m3/s]` of the just-full section; lengths in `[m]`, `slope` `[-]`.
///
/// Valid as [`manning_flow`].
pub fn full_flow(d: f64, slope: f64, n: f64) -> f64 {
    if slope <= 0.0 {
        return 0.0;
    }
    0.25 * PI * d * d * (0.25 * d).cbrt().powi(2) * slope.sqrt() / n
}

/// Greatest uniform flow `[m3/s]`, reached at y/D = 0.938; lengths in `[m]`, `slope` `[-]`.
///
/// Valid as [`manning_flow`]. A line that runs within 7 % of it can fill
/// suddenly, because less flow fits into the full section.
pub fn capacity(d: f64, slope: f64, n: f64) -> f64 {
    CAPACITY_RATIO * full_flow(d, slope, n)
}

/// Uniform flow `[m3/s]` at half the bore, exactly half of [`full_flow`];
/// lengths in `[m]`, `slope` `[-]`. Valid as [`manning_flow`].
pub fn half_full_flow(d: f64, slope: f64, n: f64) -> f64 {
    0.5 * full_flow(d, slope, n)
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
/// bounded slope. Beyond capacity the line is full (D). Valid as [`manning_flow`].
///
/// # Example
/// ```
/// use ebbwright::hydraulics::circular::{half_full_flow, normal_depth};
/// let q = half_full_flow(0.05, 0.02, 0.010);
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
    let half_chord = (0.25 * angle_of_flow(ratio)).sin();
    d * half_chord * half_chord
}

/// Angle at which flow over full flow is `ratio`, 0 to 1, on the lower branch.
fn angle_of_flow(ratio: f64) -> f64 {
    // Q/Qf = (theta - sin theta)^(5/3) / (2 pi theta^(2/3)); at small angles
    // theta^(13/3) / (2 pi 6^(5/3)). In logarithms the curve is concave, so
    // Newton from below cannot overshoot.
    let target = ratio.ln() + (2.0 * PI).ln();
    let mut log_theta = (target + 5.0 / 3.0 * 6.0_f64.ln()) * 3.0 / 13.0;
    for _ in 0..40 {
        let theta = log_theta.exp();
        let segment = angle_less_sine(theta);
        let value = 5.0 / 3.0 * segment.ln() - 2.0 / 3.0 * log_theta;
        let half = (0.5 * theta).sin();
        let slope = 5.0 / 3.0 * 2.0 * half * half * theta / segment - 2.0 / 3.0;
        let step = (target - value) / slope;
        log_theta += step;
        if step.abs() < 1e-14 {
            break;
        }
    }
    log_theta.exp().min(FULL_FLOW_ANGLE)
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
/// assert!((critical_depth(0.2, 0.010) - 0.0845).abs() < 5e-5);
/// ```
pub fn critical_depth(d: f64, q: f64) -> f64 {
    if q <= 0.0 {
        return 0.0;
    }
    // With A and T in theta: ln A^3/T = ln(Q^2/g), rising from -inf to +inf.
    let target = (q * q / GRAVITY).ln() - 5.0 * d.ln() + 512.0_f64.ln();
    let value = |theta: f64| {
        let half = (0.5 * theta).sin();
        let segment = angle_less_sine(theta);
        let value = 3.0 * segment.ln() - half.ln();
        let slope = 6.0 * half * half / segment - 0.5 * (0.5 * theta).cos() / half;
        (value - target, slope)
    };
    let (mut low, mut high) = (0.0, 2.0 * PI);
    // Exact at small angles: theta^9 / 216 over theta / 2 is theta^8 / 108.
    let mut theta = ((target + 108.0_f64.ln()) / 8.0).exp().min(4.0);
    for _ in 0..100 {
        let (excess, slope) = value(theta);
        if excess < 0.0 {
            low = theta;
        } else {
            high = theta;
        }
        let mut next = theta - excess / slope;
        if !(next > low && next < high) {
            next = 0.5 * (low + high);
        }
        let done = (next - theta).abs() <= 1e-15 * theta;
        theta = next;
        if done {
            break;
        }
    }
    let half_chord = (0.25 * theta).sin();
    d * half_chord * half_chord
}
