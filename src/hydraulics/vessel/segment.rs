//! Depth of a lying cylinder from its share filled.

use std::f64::consts::PI;
use std::sync::LazyLock;

use crate::hydraulics::circular;

/// Relative depth of a circular segment from its share of the circle, 0 to 1.
///
/// `theta - sin(theta) = 2 pi share`: Kepler's equation with eccentricity 1.
pub(super) fn segment_depth(share: f64) -> f64 {
    if share >= 1.0 {
        return 1.0;
    }
    if share > 0.5 {
        return 1.0 - segment_depth(1.0 - share);
    }
    let mean = 2.0 * PI * share;
    let theta = match SEGMENTS.angle(share) {
        // One Newton step from the table leaves rounding error only.
        Some(near) => {
            let half = (0.5 * near).sin();
            near - (near - near.sin() - mean) / (2.0 * half * half)
        }
        None => segment_angle(mean),
    };
    let quarter = (0.25 * theta).sin();
    quarter * quarter
}

/// Angle whose excess over its sine is `mean`, 0 to pi.
fn segment_angle(mean: f64) -> f64 {
    // Inverse series of theta - sin(theta), within 0.4 % up to half full.
    let s = (6.0 * mean).cbrt();
    let s2 = s * s;
    let mut theta = s * (1.0 + s2 * (1.0 / 60.0 + s2 * (1.0 / 1400.0 + s2 / 25_200.0)));
    // Two Halley steps leave rounding error only.
    for _ in 0..2 {
        let excess = circular::angle_less_sine(theta) - mean;
        let half = (0.5 * theta).sin();
        let slope = 2.0 * half * half;
        theta -= excess / (slope - 0.5 * excess * theta.sin() / slope);
    }
    theta
}

/// Shares of a circle from which segments are tabulated; below, the angle bends too much.
const LEAST_TABLED: f64 = 0.05;
/// Steps from there to one half.
const SEGMENT_STEPS: u16 = 512;

/// Angles of circular segments at evenly spaced shares, with their slopes: a
/// sump's level is asked for at every step of a simulation.
struct Segments(Vec<(f64, f64)>);

static SEGMENTS: LazyLock<Segments> = LazyLock::new(|| {
    let step = (0.5 - LEAST_TABLED) / f64::from(SEGMENT_STEPS);
    let node = |k: u16| {
        let angle = segment_angle(2.0 * PI * (LEAST_TABLED + f64::from(k) * step));
        let half = (0.5 * angle).sin();
        (angle, step * PI / (half * half))
    };
    Segments((0..=SEGMENT_STEPS).map(node).collect())
});

impl Segments {
    /// The angle by cubics, to 1e-9; `None` outside the table.
    fn angle(&self, share: f64) -> Option<f64> {
        let place = (share - LEAST_TABLED) / (0.5 - LEAST_TABLED) * f64::from(SEGMENT_STEPS);
        if place < 0.0 {
            return None;
        }
        // Whole and below 2^16 after the comparison of the caller.
        let k = (place as usize).min(usize::from(SEGMENT_STEPS) - 1);
        let (&(a, da), &(b, db)) = (self.0.get(k)?, self.0.get(k + 1)?);
        let t = place - k as f64;
        let rest = 1.0 - t;
        Some(
            rest * rest * ((1.0 + 2.0 * t) * a + t * da)
                + t * t * ((3.0 - 2.0 * t) * b - rest * db),
        )
    }
}
