//! Momentum where a lateral joins a pipe: how high it stands upstream.
//!
//! A lateral that comes in square to the pipe brings no momentum along; what it is
//! given is taken from the pipe, and the water upstream stands higher for it.

use crate::hydraulics::circular::full_area;
use crate::numerics::maths::Maths;
use std::sync::LazyLock;

use super::circular_curves::{critical_depth, critical_depth_slope};
use super::constants::GRAVITY;
use crate::numerics::hermite::HermiteGrid;
use crate::numerics::root::newton;

/// Share of the flow downstream that a lateral must bring for the pipe upstream to be held
/// back in full: `1 - (Q_u/Q_d)^DROWNS`, 0.99 with a lateral of a quarter.
const DROWNS: i32 = 16;

/// Roots of `Q / (g D^5)^0.5` between which the depth at a dead end is tabulated.
const DEAD_END: (f64, f64) = (0.03, 1.5);
/// Agreement with what is solved for, in diameters.
const TOLERANCE: f64 = 1e-8;

/// Upstream of a square lateral that brings all there is, fast and shallow below: `y/D` by
/// the root of `Q / (g D^5)^0.5`.
static DEAD_END_DEPTH: LazyLock<Option<HermiteGrid>> = LazyLock::new(|| {
    let at = |s: f64, out: &mut [(f64, f64)]| {
        let q = s * s * GRAVITY.sqrt();
        let control = critical_depth(1.0, q);
        let below = Section::new(1.0, control);
        let y = deep_depth(1.0, q, 0.0, control);
        // At critical depth the force changes with the flow alone: dM = 2 Q dQ / (g A).
        let gain = 2.0 * q / (GRAVITY * below.area) * 2.0 * s * GRAVITY.sqrt();
        out[0] = (y, gain / Section::new(1.0, y).area);
    };
    HermiteGrid::adaptive(at, 1, DEAD_END.0, DEAD_END.1, TOLERANCE)
});

/// A wetted section of a circle, full and under pressure above the crown.
struct Section {
    area: f64,
    /// First moment of the area about the surface `[m3]`.
    moment: f64,
    /// Width of the surface `[m]`.
    width: f64,
}

impl Section {
    fn new(d: f64, y: f64) -> Self {
        if y >= d {
            let area = full_area(d);
            return Self {
                area,
                moment: area * (y - 0.5 * d),
                width: 0.0,
            };
        }
        let share = (y / d).max(0.0);
        let half = 2.0 * share.sqrt().arcsine();
        let (cosine, sine) = (1.0 - 2.0 * share, 2.0 * (share * (1.0 - share)).sqrt());
        Self {
            area: 0.25 * d * d * (half - sine * cosine),
            moment: d * d * d / 24.0 * (3.0 * sine - sine * sine * sine - 3.0 * half * cosine),
            width: d * sine,
        }
    }

    fn force(&self, q: f64) -> f64 {
        self.moment + q * q / (GRAVITY * self.area)
    }

    /// Change of the specific force of flow `q` with the depth `[m2]`.
    fn force_by_depth(&self, q: f64) -> f64 {
        self.area - q * q / (GRAVITY * self.area * self.area) * self.width
    }

    /// Slope `[m2]` of the line from depth `y` to where the parabola through value, slope and bend has
    /// `missing` `[m3]` more force with flow `q` (Halley's irrational method, from memory).
    fn chord(&self, d: f64, y: f64, q: f64, missing: f64) -> f64 {
        let (a, w) = (self.area, self.width);
        let drag = q * q / (GRAVITY * a * a);
        let slope = self.force_by_depth(q);
        let bend = w + drag * (2.0 * w * w / a - 2.0 * (d - 2.0 * y) / w);
        let root = slope * slope + 2.0 * bend * missing;
        if root > 0.0 && slope > 0.0 {
            0.5 * (slope + root.sqrt())
        } else {
            slope
        }
    }
}

/// Momentum and pressure of flow `q` `[m3/s]` at depth `y` `[m]`, above 0, in a circle of diameter
/// `d` `[m]`, over `rho g` `[m3]`: `M = A y_c + Q^2 / (g A)`.
///
/// Valid, and exact, for evenly spread velocity; at or above the crown the pipe is full and `y` is its
/// grade. Chow, Open-Channel Hydraulics (1959), ch. 3 (from memory).
pub fn specific_force(d: f64, y: f64, q: f64) -> f64 {
    Section::new(d, y).force(q)
}

/// How far the water stands higher upstream of a square lateral than downstream `[m]`.
///
/// # Arguments
/// * `d` - bore of the pipe `[m]`
/// * `y` - depth of the grade over the invert just downstream `[m]`, above the crown under pressure
/// * `down`, `up` - flow downstream and upstream `[m3/s]`, both 0 or more
///
/// The momentum balance `M(y_u, Q_u) = M(y, Q_d)` for the deep, subcritical `y_u`; shallow fast
/// flow downstream starts there from its critical depth. With the pipe full this is
/// `2 (V_d^2 - V_u^2) / 2g`. A lateral too small to hold the pipe up lets fast flow through: from
/// the depth downstream to the critical one the rise goes with `1 - (Q_u/Q_d)^16`, a convention of
/// this project that keeps the grade continuous and rising. Zero where the flow divides.
/// Derived here. Valid for flows of 0 or more and no level difference between lateral and pipe.
pub fn square_entry_rise(d: f64, y: f64, down: f64, up: f64) -> f64 {
    let up = up.max(0.0);
    if down <= up {
        return 0.0;
    }
    // Under pressure the pipe stands over any critical depth.
    let control = if y >= d {
        y
    } else {
        y.max(critical_depth(d, down))
    };
    let held = control - y;
    if up == 0.0 && held > 0.0 {
        let s = (down / (GRAVITY.sqrt() * d * d * d.sqrt())).sqrt();
        if let Some(table) = DEAD_END_DEPTH.as_ref()
            && table.covers(s)
        {
            return d * table.value(0, s) - y;
        }
    }
    let share = if held > 0.0 {
        1.0 - (up / down).powi(DROWNS)
    } else {
        0.0
    };
    share * held + deep_depth(d, down, up, control) - control
}

/// How a [`square_entry_rise`] changes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct RiseSlopes {
    /// With the depth downstream `[-]`.
    pub by_depth: f64,
    /// With the flow downstream, that upstream kept `[s/m2]`.
    pub by_down: f64,
    /// With the flow upstream, that downstream kept `[s/m2]`.
    pub by_up: f64,
}

/// Least share of the area with which the force upstream is taken to change with the depth: at
/// the critical depth it does not.
const LEAST_GAIN: f64 = 1e-6;

/// How the `rise` `[m]` that [`square_entry_rise`] tells of the same changes with each.
///
/// The momentum balance differentiated, `dM = (A - Q^2 T / (g A^2)) dy + 2 Q / (g A) dQ`. Derived
/// here. Valid as that is.
pub fn square_entry_slopes(d: f64, y: f64, down: f64, up: f64, rise: f64) -> RiseSlopes {
    let up = up.max(0.0);
    if down <= up {
        return RiseSlopes::default();
    }
    let critical = if y >= d { y } else { critical_depth(d, down) };
    let held = (critical - y).max(0.0);
    let (control, passed) = (y + held, up / down);
    // What of the rise is not the shallow water's own: the lateral's share of it, and the rest.
    let (share, share_by_down, share_by_up) = if held > 0.0 {
        let through = passed.powi(DROWNS);
        let bend = f64::from(DROWNS) * passed.powi(DROWNS - 1) / down;
        (1.0 - through, bend * passed, -bend)
    } else {
        (0.0, 0.0, 0.0)
    };
    let upstream = rise - share * held + control;
    let (below, above) = (Section::new(d, control), Section::new(d, upstream));
    let gain = above.force_by_depth(up).max(LEAST_GAIN * above.area);
    let by_flow = |section: &Section, q: f64| 2.0 * q / (GRAVITY * section.area) / gain;
    let (control_by_depth, control_by_down) = if held > 0.0 {
        (0.0, critical_depth_slope(d, down))
    } else {
        (1.0, 0.0)
    };
    // Of the depth upstream less the control's.
    let by_control = below.force_by_depth(down) / gain - 1.0;
    RiseSlopes {
        by_depth: share * (control_by_depth - 1.0) + by_control * control_by_depth,
        by_down: share * control_by_down
            + held * share_by_down
            + by_control * control_by_down
            + by_flow(&below, down),
        by_up: held * share_by_up - by_flow(&above, up),
    }
}

/// Size of the last step toward a depth, in diameters: it shrinks with its third power, but where the
/// crown is near with that of its distance.
const CLOSE: f64 = 1e-5;
const NEAR_CROWN: f64 = 1e-4;
const CLOSEST: f64 = 1e-8;

/// The subcritical depth `[m]` at which `up` `[m3/s]` has the specific force of the larger `down` at
/// depth `y` `[m]`, at or above the critical one of that.
fn deep_depth(d: f64, down: f64, up: f64, y: f64) -> f64 {
    let below = Section::new(d, y);
    let force = below.force(down);
    let full = Section::new(d, d);
    let at_crown = full.force(up);
    if force >= at_crown {
        return d + (force - at_crown) / full.area;
    }
    let mut first = Some(below);
    newton(
        (y, d),
        y,
        |step, y| step <= CLOSEST * d || (step <= CLOSE * d && step <= NEAR_CROWN * (d - y)),
        |y| {
            let here = first.take().unwrap_or_else(|| Section::new(d, y));
            let missing = force - here.force(up);
            (-missing, here.chord(d, y, up, missing))
        },
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::super::circular::area;
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn the_first_moment_is_the_integral_of_area() {
        let d = 0.08;
        let mut sum = 0.0;
        let pieces = 4000;
        for i in 0..pieces {
            let y = d * (f64::from(i) + 0.5) / f64::from(pieces);
            sum += area(d, y) * d / f64::from(pieces);
            let top = d * f64::from(i + 1) / f64::from(pieces);
            assert!(
                (Section::new(d, top).moment - sum).abs() < 1e-8 * d.powi(3),
                "{i}"
            );
        }
        // Half a circle: D^3/12; a full one: its area half a diameter deep.
        assert!((Section::new(d, 0.5 * d).moment / (d.powi(3) / 12.0) - 1.0).abs() < 1e-14);
        assert!((Section::new(d, d).moment / (PI * d.powi(3) / 8.0) - 1.0).abs() < 1e-14);
    }

    #[test]
    fn momentum_is_kept_across_a_square_entry() {
        let d = 0.0814;
        for (down, up) in [
            (2.667e-3, 2.0e-3),
            (2.0e-3, 1.333e-3),
            (1e-3, 0.0),
            (8e-3, 4e-3),
        ] {
            for share in [0.7, 0.9, 1.0, 1.5] {
                let y = d * share;
                if y < critical_depth(d, down) {
                    continue;
                }
                let upstream = y + square_entry_rise(d, y, down, up);
                let balance = specific_force(d, upstream, up) / specific_force(d, y, down);
                assert!(
                    (balance - 1.0).abs() < 1e-12,
                    "{down} {up} {share}: {balance}"
                );
            }
        }
    }

    // Full pipe: 2 (V_d^2 - V_u^2)/2g.
    #[test]
    fn a_full_pipe_rises_by_twice_the_difference_of_velocity_heads() {
        let (d, down, up) = (0.05, 3e-3, 1e-3);
        let full = full_area(d);
        let head = |q: f64| (q / full).powi(2) / (2.0 * GRAVITY);
        let rise = square_entry_rise(d, 0.2, down, up);
        assert!((rise - 2.0 * (head(down) - head(up))).abs() < 1e-14);
    }

    #[test]
    fn the_level_upstream_rises_with_either_flow_and_with_the_level_downstream() {
        let d = 0.0814;
        let level = |y: f64, up: f64, side: f64| y + square_entry_rise(d, y, up + side, up);
        let step = 1e-6;
        for a in 0..60 {
            for b in 0..60 {
                let (up, side) = (f64::from(a) * 1.1e-4, f64::from(b) * 1.1e-4);
                let full = super::super::circular::full_flow(d, 0.02, 0.0095);
                let depth =
                    |q: f64| super::super::circular_curves::uniform_depth(d, full, q).max(1e-4);
                let here = level(depth(up + side), up, side);
                let more_up = level(depth(up + side + step), up + step, side);
                let more_side = level(depth(up + side + step), up, side + step);
                assert!(more_up >= here - 1e-12, "{up} {side}: {here} {more_up}");
                assert!(more_side > here, "{up} {side}: {here} {more_side}");
                for y in [0.3, 0.6, 0.95, 1.4] {
                    let low = level(y * d, up, side);
                    assert!(
                        level(y * d + 1e-5, up, side) >= low - 1e-15,
                        "{up} {side} {y}"
                    );
                }
            }
        }
    }

    // Fast and shallow, slow and deep, brim-full and under pressure, dead ends and passing water.
    #[test]
    fn the_slopes_of_a_rise_are_those_of_its_differences() {
        let d = 0.0814;
        let mut held = 0;
        for down in [2e-4, 8e-4, 2e-3, 4e-3, 7e-3] {
            for passed in [0.0, 0.3, 0.6, 0.9, 0.97] {
                for share in [0.1, 0.3, 0.55, 0.75, 0.93, 1.3] {
                    let (y, up) = (share * d, passed * down);
                    let rise = |y: f64, down: f64, up: f64| square_entry_rise(d, y, down, up);
                    let here = rise(y, down, up);
                    let (dy, dq) = (1e-4 * y, 1e-4 * down);
                    let told = square_entry_slopes(d, y, down, up, here);
                    let found = [
                        (rise(y + dy, down, up) - rise(y - dy, down, up)) / (2.0 * dy),
                        (rise(y, down + dq, up) - rise(y, down - dq, up)) / (2.0 * dq),
                        (rise(y, down, up + dq) - rise(y, down, (up - dq).max(0.0)))
                            / (up + dq - (up - dq).max(0.0)),
                    ];
                    // A full crown within the step is a kink, and so is a critical depth.
                    let crown = (y + here - d).abs() < 2e-3 * d;
                    let critical = critical_depth(d, down);
                    if crown || (critical - y).abs() < 1e-3 * d {
                        continue;
                    }
                    held += usize::from(critical > y);
                    let scale = [1.0, here / down, here / down];
                    for ((told, found), scale) in [told.by_depth, told.by_down, told.by_up]
                        .iter()
                        .zip(found)
                        .zip(scale)
                    {
                        let off = (told - found).abs() / found.abs().max(scale);
                        assert!(off < 5e-3, "{down} {passed} {share}: {told} {found}");
                    }
                }
            }
        }
        assert!(held > 20, "{held}");
        assert_eq!(
            square_entry_slopes(d, 0.03, 1e-3, 1e-3, 0.0),
            RiseSlopes::default()
        );
    }

    #[test]
    fn the_table_of_dead_ends_tells_what_solving_tells() {
        assert!(DEAD_END_DEPTH.is_some());
        let d = 0.0814;
        for i in 1..=500 {
            let q = 2e-5 * f64::from(i);
            let control = critical_depth(d, q);
            let solved = deep_depth(d, q, 0.0, control);
            let told = 1e-3 + square_entry_rise(d, 1e-3, q, 0.0);
            assert!((told - solved).abs() < 3e-8 * d, "{q}: {told} {solved}");
        }
    }
}
