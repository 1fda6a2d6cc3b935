//! Uniform and critical depth of a circle as what they are: one dimensionless curve each,
//! tabulated once for every pipe there is.

use crate::numerics::maths::Maths;
use std::sync::LazyLock;

use super::circular::{self, CAPACITY_RATIO, angle_less_sine, full_flow};
use super::constants::GRAVITY;
use crate::numerics::hermite::HermiteGrid;

/// Agreement with the solved curves, in diameters.
const TOLERANCE: f64 = 1e-10;
/// Roots of flow over full flow between which uniform depth is tabulated; thinner films have a
/// series.
const UNIFORM: (f64, f64) = (0.01, 1.0);
/// Roots of `Q / (g D^5)^0.5` between which critical depth is tabulated.
const CRITICAL: (f64, f64) = (0.01, 1.1);
/// `Q / (g D^5)^0.5` above which critical depth is over half the bore: there `Q^2 = g A^3 / T`
/// with A = pi D^2/8 and T = D, `(pi/8)^1.5 = 0.24609`.
const HALF_FULL: f64 = 0.2461;

/// `y/D` by the root of flow over full flow.
static UNIFORM_DEPTH: LazyLock<Option<HermiteGrid>> = LazyLock::new(|| {
    // The pipe whose full flow is 1 by Manning.
    let (slope, n) = (1.0, full_flow(1.0, 1.0, 1.0));
    let at = |s: f64, out: &mut [(f64, f64)]| {
        let ratio = (s * s).min(1.0);
        let y = circular::normal_depth(1.0, slope, n, ratio * (1.0 - 1e-15));
        let theta = 4.0 * y.sqrt().arcsine();
        // d ln Q / d ln theta of Manning's flow, and dy = sin(theta/2)/4 dtheta.
        let gain = 5.0 / 3.0 * theta * (1.0 - theta.cosine()) / angle_less_sine(theta) - 2.0 / 3.0;
        out[0] = (y, 0.25 * (0.5 * theta).sine() * theta / gain * 2.0 / s);
    };
    HermiteGrid::adaptive(at, 1, UNIFORM.0, UNIFORM.1, TOLERANCE)
});

/// `y/D` by the root of `Q / (g D^5)^0.5`.
static CRITICAL_DEPTH: LazyLock<Option<HermiteGrid>> = LazyLock::new(|| {
    let at = |s: f64, out: &mut [(f64, f64)]| {
        let y = circular::critical_depth(1.0, s * s * GRAVITY.sqrt());
        let width = circular::top_width(1.0, y);
        // From `Q^2 T = g A^3`: 2 dQ/Q = 3 T/A dy - dT/T.
        let gain = 3.0 * width / circular::area(1.0, y) - (1.0 - 2.0 * y) / (2.0 * y * (1.0 - y));
        out[0] = (y, 2.0 / gain * 2.0 / s);
    };
    HermiteGrid::adaptive(at, 1, CRITICAL.0, CRITICAL.1, TOLERANCE)
});

/// Depth of uniform flow `[m]` in a circle of diameter `d` `[m]` whose full flow by Manning is
/// `full` `[m3/s]`, at flow `q` `[m3/s]`; at most `d`.
///
/// [`circular::normal_depth`] from a table or a series, within 1e-10 of the diameter. Valid for
/// any flow.
pub fn uniform_depth(d: f64, full: f64, q: f64) -> f64 {
    if q <= 0.0 {
        return 0.0;
    }
    let ratio = q / full;
    if ratio >= CAPACITY_RATIO || full <= 0.0 {
        return d;
    }
    if ratio < 1.0 {
        let s = ratio.sqrt();
        if s < UNIFORM.0 {
            return d * film_depth(ratio);
        }
        if let Some(table) = UNIFORM_DEPTH.as_ref()
            && table.covers(s)
        {
            return d * table.value(0, s);
        }
    }
    d * circular::normal_depth(1.0, 1.0, full_flow(1.0, 1.0, 1.0), ratio)
}

/// Change of [`uniform_depth`] with the flow `[s/m2]`: what Newton's rule needs of it, to a
/// thousandth. Nothing at rest and where the pipe runs full. Valid for any flow.
pub fn uniform_depth_slope(d: f64, full: f64, q: f64) -> f64 {
    let ratio = q / full;
    if q <= 0.0 || ratio >= CAPACITY_RATIO || full <= 0.0 {
        return 0.0;
    }
    let s = ratio.sqrt();
    if s < UNIFORM.0 {
        // The film's depth goes with q^(6/13), all but for what makes it a film.
        return 6.0 / 13.0 * uniform_depth(d, full, q) / q;
    }
    if let Some(table) = UNIFORM_DEPTH.as_ref()
        && table.covers(s)
    {
        return d * table.slope(0, s) * 0.5 / (s * full);
    }
    let step = 1e-6 * q;
    (uniform_depth(d, full, q) - uniform_depth(d, full, q - step)) / step
}

/// `y/D` of a film that carries `ratio` of the full flow, at most 1e-4.
///
/// Derived here: Manning's `Q/Qf = (theta - sin theta)^(5/3) / (2 pi theta^(2/3))` written as a series
/// in `theta^2`, turned round, and put into `y/D = sin^2(theta/4)`; the first term left out is
/// under 1e-11 of the whole.
fn film_depth(ratio: f64) -> f64 {
    // (2 pi 6^(5/3))^(6/13): what theta^2 is times the flow's power when thinnest.
    let z = 9.2676280080003 * ratio.to_the(6.0 / 13.0);
    let rest = 5.182_380_754_449_91e-5 + z * 3.662_261_170_242_88e-6;
    z / 16.0 * (1.0 + z * (11.0 / 624.0 + z * (1139.0 / 1_362_816.0 + z * rest)))
}

/// Critical depth `[m]` of flow `q` `[m3/s]` in a circle of diameter `d` `[m]`.
///
/// [`circular::critical_depth`] from a table, within 1e-10 of the diameter. Valid for any flow.
pub fn critical_depth(d: f64, q: f64) -> f64 {
    if q <= 0.0 {
        return 0.0;
    }
    let s = (q / (GRAVITY.sqrt() * d * d * d.sqrt())).sqrt();
    match CRITICAL_DEPTH.as_ref() {
        Some(table) if table.covers(s) => d * table.value(0, s),
        _ => circular::critical_depth(d, q),
    }
}

/// Change of [`critical_depth`] with the flow `[s/m2]`: what Newton's rule needs of it, to a
/// thousandth. Nothing at rest. Valid for any flow.
pub fn critical_depth_slope(d: f64, q: f64) -> f64 {
    if q <= 0.0 {
        return 0.0;
    }
    let s = (q / (GRAVITY.sqrt() * d * d * d.sqrt())).sqrt();
    match CRITICAL_DEPTH.as_ref() {
        Some(table) if table.covers(s) => d * table.slope(0, s) * 0.5 * s / q,
        _ => {
            let step = 1e-6 * q;
            (critical_depth(d, q) - critical_depth(d, q - step)) / step
        }
    }
}

/// Depth `[m]` at which flow `q` `[m3/s]` leaves a pipe of diameter `d` `[m]` part full into
/// the air: the critical depth, at most half the bore.
///
/// Valid for any flow. The half bore keeps a full pipe's grade at its centre (derived here).
pub fn depth_at_outfall(d: f64, q: f64) -> f64 {
    if q > HALF_FULL * GRAVITY.sqrt() * d * d * d.sqrt() {
        0.5 * d
    } else {
        critical_depth(d, q).min(0.5 * d)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn a_thin_film_is_as_deep_as_solving_says() {
        let (d, slope, n) = (0.002, 0.01, 0.0095);
        let full = full_flow(d, slope, n);
        for k in 0..400 {
            let q = full * 10.0_f64.to_the(-4.0 - 0.05 * f64::from(k));
            let exact = circular::normal_depth(d, slope, n, q);
            let film = uniform_depth(d, full, q);
            assert!((film / exact - 1.0).abs() < 1e-9, "{q}: {film}, {exact}");
            // And with as much of the full flow left as Manning's own formula says.
            let carried = circular::manning_flow(d, slope, n, film);
            assert!((carried / q - 1.0).abs() < 1e-8, "{q}: {carried}");
        }
    }

    // Of a step as short as rounding allows, away from where the curves bend.
    #[test]
    fn slopes_are_those_of_the_curves() {
        let (d, slope, n) = (0.0814, 0.02, 0.0095);
        let full = full_flow(d, slope, n);
        let of = |f: &dyn Fn(f64) -> f64, q: f64| (f(q * 1.0001) - f(q * 0.9999)) / (2e-4 * q);
        for k in 0..240 {
            let q = full * 10.0_f64.to_the(-6.0 + 0.025 * f64::from(k));
            let (told, found) = (
                uniform_depth_slope(d, full, q),
                of(&|q| uniform_depth(d, full, q), q),
            );
            // A film is taken for the thinnest there is.
            assert!((told / found - 1.0).abs() < 6e-3, "{q}: {told} {found}");
            let (told, found) = (critical_depth_slope(d, q), of(&|q| critical_depth(d, q), q));
            assert!((told / found - 1.0).abs() < 1e-3, "{q}: {told} {found}");
        }
        for full_or_none in [0.0, 1.2 * full] {
            assert_eq!(uniform_depth_slope(d, full, full_or_none), 0.0);
        }
        assert_eq!(critical_depth_slope(d, 0.0), 0.0);
    }

    #[test]
    fn tables_tell_what_solving_tells() {
        assert!(UNIFORM_DEPTH.is_some() && CRITICAL_DEPTH.is_some());
        let (d, slope, n) = (0.0814, 0.02, 0.0095);
        let full = full_flow(d, slope, n);
        for i in 1..=4000 {
            let q = 1.1 * full * f64::from(i) / 4000.0;
            let exact = circular::normal_depth(d, slope, n, q);
            let off = (uniform_depth(d, full, q) - exact).abs() / d;
            assert!(off < 3e-10, "{i}: {off}");
            let exact = circular::critical_depth(d, q);
            let off = (critical_depth(d, q) - exact).abs() / d;
            assert!(off < 3e-10, "{i}: {off}");
        }
        for q in [1e-9, 1e-7, 1e-6] {
            let exact = circular::normal_depth(d, slope, n, q);
            assert!((uniform_depth(d, full, q) / exact - 1.0).abs() < 1e-9);
        }
    }
}
