//! Depth of a lying cylinder from its share filled.

use crate::numerics::maths::Maths;
use std::f64::consts::PI;
use std::sync::LazyLock;

use super::quintic::{quintic, quintic_at};
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
    if share >= LEAST_TABLED {
        return SEGMENTS.depth(share);
    }
    let quarter = (0.25 * segment_angle(2.0 * PI * share)).sine();
    quarter * quarter
}

/// Angle whose excess over its sine is `mean`, 0 to pi.
fn segment_angle(mean: f64) -> f64 {
    // Inverse series of theta - sin(theta), within 0.4 % up to half full.
    let s = (6.0 * mean).cube_root();
    let s2 = s * s;
    let mut theta = s * (1.0 + s2 * (1.0 / 60.0 + s2 * (1.0 / 1400.0 + s2 / 25_200.0)));
    // Two Halley steps leave rounding error only.
    for _ in 0..2 {
        let excess = circular::angle_less_sine(theta) - mean;
        let half = (0.5 * theta).sine();
        let slope = 2.0 * half * half;
        theta -= excess / (slope - 0.5 * excess * theta.sine() / slope);
    }
    theta
}

/// Shares of a circle from which segments are tabulated; below, the depth bends too much.
const LEAST_TABLED: f64 = 0.05;
/// Steps from there to one half: enough for 1e-13 of the diameter.
const SEGMENT_STEPS: u16 = 256;

/// Depths of circular segments at evenly spaced shares, each step a polynomial of fifth degree
/// that meets value, slope and bend at both ends: a sump's level is asked for at every step of
/// a simulation.
struct Segments(Vec<[f64; 6]>);

static SEGMENTS: LazyLock<Segments> = LazyLock::new(|| {
    let step = (0.5 - LEAST_TABLED) / f64::from(SEGMENT_STEPS);
    // With s the sine of half the angle: depth' = pi / 4s, depth'' = -pi^2 cos / 8s^4.
    let node = |k: u16| {
        let angle = segment_angle(2.0 * PI * (LEAST_TABLED + f64::from(k) * step));
        let (quarter, (half, cosine)) = ((0.25 * angle).sine(), (0.5 * angle).sine_cosine());
        let bend = -PI * PI * cosine / (8.0 * half.powi(4));
        (
            quarter * quarter,
            step * PI / (4.0 * half),
            step * step * bend,
        )
    };
    let nodes: Vec<(f64, f64, f64)> = (0..=SEGMENT_STEPS).map(node).collect();
    let pieces = nodes.iter().zip(&nodes[1..]);
    Segments(pieces.map(|(&a, &b)| quintic(a, b)).collect())
});

impl Segments {
    /// The depth at `share`, [`LEAST_TABLED`] to one half.
    fn depth(&self, share: f64) -> f64 {
        let place = (share - LEAST_TABLED) * (f64::from(SEGMENT_STEPS) / (0.5 - LEAST_TABLED));
        let k = (place as usize).min(self.0.len() - 1);
        quintic_at(&self.0[k], place - k as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_tells_depths_to_rounding() {
        let mut worst = 0.0_f64;
        for k in 1..9999_u16 {
            let share = 1e-4 * f64::from(k);
            let half = share.min(1.0 - share);
            let quarter = (0.25 * segment_angle(2.0 * PI * half)).sine();
            let solved = quarter * quarter;
            let solved = if share > 0.5 { 1.0 - solved } else { solved };
            worst = worst.max((segment_depth(share) - solved).abs());
        }
        assert!(worst < 1e-13, "{worst}");
    }
}
