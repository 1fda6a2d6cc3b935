//! Openings in the wall of a media guard: slots or holes between gravel and column.

use crate::numerics::maths::Maths;
use thiserror::Error;

use super::constants::GRAVITY;

/// Nominal discharge coefficient of slots `[-]`; literature 0.55 to 0.70 (from memory).
pub const SLOT_COEFFICIENT: f64 = 0.60;

/// Why figures make no openings.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("{measure} of {value} is not allowed for the openings of a guard")]
pub struct OpeningsError {
    /// Which figure.
    pub measure: &'static str,
    /// Its value `[m2]`, `[m]` or `[-]`.
    pub value: f64,
}

/// Openings spread evenly from the bed's floor up to a height.
///
/// Water drops from outside to inside as through a long narrow weir: below the
/// inside level each layer is a submerged orifice, above it a free one,
/// `Q = Cd w sqrt(2 g) (D^0.5 h_in + 2/3 D^1.5)` with the drop `D` and the
/// width `w = area / height` (textbook drowned slot; the free part is the
/// usual integral of an orifice over its depth). With `height` 0 every opening
/// sits at the floor and is always submerged: `Q = Cd area sqrt(2 g D)`.
///
/// Gravel that lies against an opening and closes part of it is not counted:
/// give the area that stays open.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::guard_openings::{GuardOpenings, SLOT_COEFFICIENT};
/// // 60 cm2 over 300 mm: little of it is wet when the water is 40 mm deep.
/// let openings = GuardOpenings::new(60e-4, 0.30, SLOT_COEFFICIENT)?;
/// let q = 5.0 / 60_000.0; // 5 L/min
/// let drop_when_full = 0.25 - openings.inside_depth(0.25, q).unwrap();
/// let drop_at_the_end = 0.04 - openings.inside_depth(0.04, q).unwrap();
/// assert!(drop_when_full < 0.0001 && drop_at_the_end > 0.001);
/// # Ok::<(), ebbwright::hydraulics::guard_openings::OpeningsError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GuardOpenings {
    /// `Cd area sqrt(2 g)` `[m2.5/s]`.
    full: f64,
    /// `[m]`.
    height: f64,
}

impl GuardOpenings {
    /// Openings of a total `area` `[m2]`, spread from the floor up to `height`
    /// `[m]`, with discharge coefficient `cd` `[-]`.
    ///
    /// Valid for openings wider than a few millimetres, small against the
    /// guard's wall.
    ///
    /// # Errors
    /// [`OpeningsError`] for an area or coefficient that is not above zero, or
    /// a height below zero; none may be infinite.
    pub fn new(area: f64, height: f64, cd: f64) -> Result<GuardOpenings, OpeningsError> {
        for (measure, value) in [("area", area), ("discharge coefficient", cd)] {
            if !(value > 0.0 && value.is_finite()) {
                return Err(OpeningsError { measure, value });
            }
        }
        if !(height >= 0.0 && height.is_finite()) {
            return Err(OpeningsError {
                measure: "height",
                value: height,
            });
        }
        Ok(GuardOpenings {
            full: cd * area * (2.0 * GRAVITY).sqrt(),
            height,
        })
    }

    /// Flow `[m3/s]` inward between water `outside` and `inside` the guard,
    /// depths `[m]` above the bed's floor; negative when it runs outward.
    ///
    /// Valid for any depths; below the floor counts as at the floor.
    pub fn flow(&self, outside: f64, inside: f64) -> f64 {
        if inside > outside {
            return -self.flow(inside, outside);
        }
        let (outside, inside) = (outside.max(0.0), inside.max(0.0));
        let root = (outside - inside).sqrt();
        if inside >= self.height {
            return self.full * root;
        }
        let over = (outside - self.height).max(0.0);
        let free = root.powi(3) - over * over.sqrt();
        self.full / self.height * (inside * root + 2.0 / 3.0 * free)
    }

    /// Depth inside `[m]` while `flow` `[m3/s]` enters from water `outside` `[m]`
    /// deep; `None` when not even an empty guard takes that flow.
    ///
    /// Without inward flow both stand equal. Valid for any depth.
    pub fn inside_depth(&self, outside: f64, flow: f64) -> Option<f64> {
        if flow <= 0.0 {
            return Some(outside);
        }
        let over = (outside - self.height).max(0.0);
        let submerged = flow / self.full;
        if submerged * submerged <= over {
            return Some(outside - submerged * submerged);
        }
        if self.height == 0.0 || outside <= 0.0 {
            return None;
        }
        // Of the drop's root x remains  h x - x^3 / 3 = Q/K + 2/3 over^1.5 : a
        // cubic with three real roots, of which the middle one counts.
        let left = flow * self.height / self.full + 2.0 / 3.0 * over * over.sqrt();
        let sine = 1.5 * left / (outside * outside.sqrt());
        if sine > 1.0 {
            return None;
        }
        let root = 2.0 * outside.sqrt() * (sine.arcsine() / 3.0).sine();
        Some((outside - root * root).max(0.0))
    }

    /// Depth outside `[m]` that drives `flow` `[m3/s]` into a guard with water
    /// `inside` `[m]` deep; inverse of [`inside_depth`](Self::inside_depth).
    ///
    /// Valid for any depth; without inward flow both stand equal.
    pub fn outside_depth(&self, inside: f64, flow: f64) -> f64 {
        if flow <= 0.0 {
            return inside;
        }
        let inside = inside.max(0.0);
        if inside >= self.height {
            let submerged = flow / self.full;
            return inside + submerged * submerged;
        }
        let needed = flow * self.height / self.full;
        let mut root = positive_root(0.5 * inside, 1.5 * needed);
        // Water above the topmost opening adds depth but no opening: concave
        // beyond that, so Newton's rule rises to the root and never passes it.
        let dry = self.height - inside;
        for _ in 0..60 {
            let over = root * root - dry;
            if over <= 0.0 {
                break;
            }
            let top = over.sqrt();
            let free = dry * (root * root + root * top + over) / (root + top);
            let miss = needed - inside * root - 2.0 / 3.0 * free;
            let step = miss / (inside + 2.0 * root * dry / (root + top));
            root += step;
            if step.abs() <= 1e-15 * root {
                break;
            }
        }
        inside + root * root
    }
}

/// The real root of `x^3 + 3 t x = c` for `t >= 0`, `c > 0`.
fn positive_root(t: f64, c: f64) -> f64 {
    let ratio = 0.5 * c / (t * t.sqrt());
    if ratio > 1e12 {
        let root = c.cube_root();
        return root - t / root;
    }
    2.0 * t.sqrt() * (ratio.area_sine_hyperbolic() / 3.0).sine_hyperbolic()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    fn cases() -> Vec<GuardOpenings> {
        [(60e-4, 0.30), (60e-4, 0.0), (10e-4, 0.05), (2e-4, 0.30)]
            .map(|(area, height)| GuardOpenings::new(area, height, 0.6).unwrap())
            .to_vec()
    }

    /// Flow by summing thin orifices, each with the head over its own middle.
    fn by_layers(area: f64, height: f64, outside: f64, inside: f64) -> f64 {
        let layers = 20_000;
        let thick = height / f64::from(layers);
        (0..layers)
            .map(|i| {
                let z = (f64::from(i) + 0.5) * thick;
                let head = (outside - z.max(inside)).max(0.0);
                0.6 * area / f64::from(layers) * (2.0 * GRAVITY * head).sqrt()
            })
            .sum()
    }

    #[test]
    fn flow_is_the_sum_of_thin_orifices() {
        let (area, height) = (60e-4, 0.20);
        let openings = GuardOpenings::new(area, height, 0.6).unwrap();
        for (outside, inside) in [
            (0.10, 0.0),
            (0.10, 0.05),
            (0.15, 0.149),
            (0.25, 0.0),
            (0.25, 0.12),
            (0.30, 0.22),
        ] {
            let sum = by_layers(area, height, outside, inside);
            let q = openings.flow(outside, inside);
            assert!(
                (q / sum - 1.0).abs() < 1e-5,
                "{outside} {inside}: {q} {sum}"
            );
        }
    }

    #[test]
    fn a_submerged_opening_follows_the_orifice_formula() {
        // 10 cm2, 5 cm of drop: 0.6 x 0.001 x sqrt(2 x 9.80665 x 0.05) = 35.65 L/min.
        let openings = GuardOpenings::new(10e-4, 0.02, 0.6).unwrap();
        let q = openings.flow(0.15, 0.10);
        assert!((q * 60_000.0 - 35.65).abs() < 0.01, "{}", q * 60_000.0);
        assert_eq!(openings.flow(0.10, 0.15), -q);
        assert_eq!(openings.flow(0.10, 0.10), 0.0);
    }

    #[test]
    fn depths_are_inverse_of_the_flow_and_of_each_other() {
        let mut held = 0;
        for openings in cases() {
            let shallow = [1e-15, 1e-12, 1e-9, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3];
            for inside in (0..=30).map(|i| f64::from(i) * 0.012).chain(shallow) {
                for flow in [1e-7, 1e-5, 1e-4, 4e-4, 2e-3] {
                    let outside = openings.outside_depth(inside, flow);
                    let q = openings.flow(outside, inside);
                    // The drop is the difference of two depths: its digits are what is left.
                    let lost = 4.0 * f64::EPSILON * outside / (outside - inside);
                    assert!(
                        (q / flow - 1.0).abs() < 1e-13 + lost,
                        "{openings:?} {inside} {flow}: {q}"
                    );
                    if let Some(back) = openings.inside_depth(outside, flow) {
                        // An almost empty guard is where flow hardly depends on its depth.
                        let near = if inside < 0.01 { 1e-6 } else { 1e-9 };
                        assert!((back - inside).abs() < near, "{inside} {back}");
                        held += 1;
                    } else {
                        // Only where rounding puts the flow above the greatest.
                        assert!(inside < 1e-6);
                    }
                }
            }
        }
        assert!(held > 600, "{held}");
    }

    #[test]
    fn rises_with_depth_and_falls_with_flow() {
        for openings in cases() {
            for flow in [1e-5, 1e-4, 5e-4] {
                let mut last = -1.0;
                for i in 0..=4000 {
                    let outside = f64::from(i) * 1e-4;
                    let Some(inside) = openings.inside_depth(outside, flow) else {
                        assert!(last < 0.0, "stopped passing at {outside}");
                        assert!(openings.flow(outside, 0.0) <= flow);
                        continue;
                    };
                    assert!(inside >= last && inside < outside);
                    let more = openings.inside_depth(outside, 1.01 * flow);
                    assert!(more.is_none_or(|depth| depth < inside));
                    last = inside;
                }
            }
        }
    }

    #[test]
    fn edges_are_answered() {
        for openings in cases() {
            assert_eq!(openings.inside_depth(0.1, 0.0), Some(0.1));
            assert_eq!(openings.inside_depth(0.1, -1.0), Some(0.1));
            assert_eq!(openings.inside_depth(0.0, 1e-6), None);
            assert_eq!(openings.outside_depth(0.1, 0.0), 0.1);
            assert!(openings.outside_depth(0.0, 1e-6) > 0.0);
            assert!(openings.flow(-0.1, -0.2).abs() < 1e-300);
            for i in 1..=1000 {
                let outside = 3.7e-4 * f64::from(i);
                let most = openings.flow(outside, 0.0);
                let inside = openings.inside_depth(outside, most);
                assert!(inside.is_none_or(|depth| (0.0..1e-5).contains(&depth)));
            }
        }
        for (area, height, cd) in [
            (0.0, 0.3, 0.6),
            (1e-3, -0.1, 0.6),
            (1e-3, 0.3, 0.0),
            (f64::NAN, 0.3, 0.6),
            (1e-3, f64::INFINITY, 0.6),
        ] {
            assert!(GuardOpenings::new(area, height, cd).is_err());
        }
    }
}
