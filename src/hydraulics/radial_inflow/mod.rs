//! Water level in a media guard while a siphon draws through the gravel.
//!
//! Free surface in a flat bed, steady radial flow towards a column in its
//! middle (Dupuit: level paths, the whole wet depth carries water), with a
//! gravel that resists by `a u + b u^2`:
//!
//! `dh/dr = a u + b u^2`, `u = Q / (2 pi r h)`,
//!
//! `h` the depth of water above the bed's floor, from the guard's radius to
//! the bed's half width. For `b = 0` this is the formula of Dupuit and Thiem for a well,
//! `h2^2 - h1^2 = a Q ln(r2/r1) / pi`; for `a = 0` it is
//! `h2^3 - h1^3 = 3 b (Q/2pi)^2 (1/r1 - 1/r2)`.
//!
//! What it leaves out: all water is taken to come from the outer radius, while
//! a draining bed gives it up on the way, so the loss is overstated (by 20 to
//! 40 % where the bed itself is the only source); corners beyond the half
//! width are left out, which understates it; where the surface falls steeply (slope above 0.3 or so)
//! water in the gravel stands higher at the guard than inside it (seepage
//! face), which the formula for the flow bears well and the depth in the
//! gravel beside the guard does not.

mod surface;

use crate::numerics::maths::Maths;
use std::f64::consts::PI;

use thiserror::Error;

use crate::hydraulics::guard_openings::GuardOpenings;
use crate::hydraulics::packed_bed::Resistance;
use crate::numerics::root::brent;
use surface::{NO_DEPTH, Surface};

/// Steps a walk inward through the gravel takes at least; twice as many at most.
/// Six keep gravel of 6 mm and more within 1e-6 m (see the tests).
const STEPS: u32 = 6;
/// Steps outward, always as many: the depth is as smooth in flow and guard depth as
/// the law itself, on which every table and root search rests. Ten keep gravel of 6 mm
/// and more well within 1e-6 m (see the tests).
const OUTWARD_STEPS: usize = 10;

/// Why figures make no way through the gravel.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum RadialInflowError {
    /// A guard radius that is not above zero, or an outer radius not above it.
    #[error("no gravel between a guard of radius {guard} m and an outer radius of {outer} m")]
    Radii {
        /// Radius of the guard `[m]`.
        guard: f64,
        /// Outer radius `[m]`.
        outer: f64,
    },
    /// A coefficient that is negative, infinite or not a number.
    #[error("resistance {linear} s/m and {square} s2/m2: both must be 0 or more")]
    Resistance {
        /// Coefficient of the velocity `[s/m]`.
        linear: f64,
        /// Coefficient of the velocity squared `[s2/m2]`.
        square: f64,
    },
}

/// The way from a bed's edge through gravel and guard openings to the siphon.
///
/// Depths are above the bed's floor. `bed_depth` is the water at the outer
/// radius, `guard_depth` that inside the guard. With water standing over the
/// gravel the loss is overstated: the bare water on top runs freely.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::{
///     packed_bed::GravelLaw, radial_inflow::RadialInflow, water::Water,
/// };
/// // A guard of 110 mm in a bed 1.0 m wide, gravel of 12 mm.
/// let gravel = GravelLaw::Ergun.resistance(0.012, 0.40, &Water::at(20.0)?)?;
/// let way = RadialInflow::new(gravel, 0.055, 0.50, None)?;
/// let q = 40.0 / 60_000.0; // 40 L/min
/// // The siphon breaks at 30 mm in the guard and leaves 20 mm more in the bed.
/// let left = way.bed_depth(0.030, q);
/// assert!((left - 0.0495).abs() < 0.0005); // m
/// let guard = way.guard_depth(left, q).unwrap();
/// assert!((guard - 0.030).abs() < 1e-6);
/// assert!((way.flow(left, 0.030) / q - 1.0).abs() < 1e-9);
/// // 35 mm in the bed cannot feed 40 L/min, however low the guard stands.
/// assert!(way.guard_depth(0.035, q).is_none());
/// assert!(way.greatest_flow(0.035) * 60_000.0 < 30.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RadialInflow {
    resistance: Resistance,
    guard_radius: f64,
    openings: Option<GuardOpenings>,
    /// `ln(outer / guard)` `[-]`.
    log_ratio: f64,
    /// `1/guard - 1/outer` `[1/m]`.
    inverse_gap: f64,
    /// Ends and middles of the steps outward.
    nodes: [Node; 2 * OUTWARD_STEPS + 1],
}

/// A place on the way outward.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Node {
    /// `1 - guard/r`: share of the square term's gain.
    gained: f64,
    /// Change of `ln r` per step `[-]`.
    pace: f64,
}

impl RadialInflow {
    /// A way through gravel of a given resistance `[s/m]`, `[s2/m2]` from
    /// `outer_radius` `[m]` (the bed's half width) in to `guard_radius` `[m]` (the
    /// bell's outside radius without a guard), and through the guard's openings.
    ///
    /// Valid for any radii; the resistance of [`fouled`](Resistance::fouled)
    /// gravel is given as such. Both coefficients 0: no loss in the gravel.
    ///
    /// # Errors
    /// [`RadialInflowError`] for radii with no gravel between them or a
    /// negative or infinite resistance.
    pub fn new(
        resistance: Resistance,
        guard_radius: f64,
        outer_radius: f64,
        openings: Option<GuardOpenings>,
    ) -> Result<RadialInflow, RadialInflowError> {
        if !(guard_radius > 0.0 && outer_radius > guard_radius && outer_radius.is_finite()) {
            return Err(RadialInflowError::Radii {
                guard: guard_radius,
                outer: outer_radius,
            });
        }
        let Resistance { linear, square } = resistance;
        if !(linear >= 0.0 && linear.is_finite() && square >= 0.0 && square.is_finite()) {
            return Err(RadialInflowError::Resistance { linear, square });
        }
        let log_ratio = (outer_radius / guard_radius).log_natural();
        let mut nodes = [Node::default(); 2 * OUTWARD_STEPS + 1];
        for (k, node) in nodes.iter_mut().enumerate() {
            // Evenly spaced in the cube root of the way: short steps by the guard,
            // where the surface is steep.
            let share = k as f64 / (2 * OUTWARD_STEPS) as f64;
            node.gained = -(-log_ratio * share.powi(3)).exponential_m1();
            node.pace = 3.0 * share * share * log_ratio / OUTWARD_STEPS as f64;
        }
        Ok(RadialInflow {
            resistance,
            guard_radius,
            openings,
            log_ratio,
            inverse_gap: 1.0 / guard_radius - 1.0 / outer_radius,
            nodes,
        })
    }

    /// Depth in the bed `[m]` that feeds `flow` `[m3/s]` to a guard with
    /// `guard_depth` `[m]` in it.
    ///
    /// Rises with both (with the last millimetres in the guard by less than the
    /// error) and always exists; without inward flow both depths are
    /// equal. Within 1e-6 m for gravel of 6 mm and more, 3e-5 of the depth down to
    /// 3 mm, 2e-4 for coarse sand. Valid for flows of 0 and more; the cheapest and steadiest of
    /// the four methods, so solve for the guard's depth where there is a choice.
    pub fn bed_depth(&self, guard_depth: f64, flow: f64) -> f64 {
        if flow <= 0.0 {
            return guard_depth;
        }
        let beside = self.beside(guard_depth, flow);
        if self.resists() {
            self.outward(beside, flow)
        } else {
            beside
        }
    }

    /// Depth `[m]` in the gravel beside a guard with `guard_depth` in it.
    pub(crate) fn beside(&self, guard_depth: f64, flow: f64) -> f64 {
        self.openings
            .map_or(guard_depth.max(0.0), |o| o.outside_depth(guard_depth, flow))
    }

    /// Mean over `ln r` of the depth `[m]` from `beside` the guard to the bed's edge, for
    /// flows above 0: between both depths, and smooth where they are.
    pub(crate) fn mean_depth(&self, beside: f64, flow: f64) -> f64 {
        let (cubes, linear) = self.gains(flow);
        (self.outward(beside, flow).powi(3) - beside.powi(3) - cubes) / linear
    }

    /// Depth at the bed's edge `[m]` from [`mean_depth`](Self::mean_depth), a small part
    /// of whose error remains.
    pub(crate) fn edge_depth(&self, beside: f64, flow: f64, mean: f64) -> f64 {
        let (cubes, linear) = self.gains(flow);
        (beside.powi(3) + cubes + linear * mean).cube_root()
    }

    /// Gain of the depth's cube by the square term `[m3]`, and by the linear one per
    /// mean depth `[m2]`.
    fn gains(&self, flow: f64) -> (f64, f64) {
        let q = flow / (2.0 * PI);
        let Resistance { linear, square } = self.resistance;
        (
            3.0 * square * q * q * self.inverse_gap,
            3.0 * linear * q * self.log_ratio,
        )
    }

    /// Depth in the guard `[m]` while `flow` `[m3/s]` comes from a bed with
    /// `bed_depth` `[m]`; `None` when no depth in the guard passes that flow.
    ///
    /// Rises with the bed's depth and falls with the flow; without inward flow
    /// both depths are equal. Where the guard runs almost dry its depth is ill
    /// defined, it falls without limit: then [`bed_depth`](Self::bed_depth) of
    /// the answer still meets the bed's depth within 1e-6 m. Valid for flows of 0 and more.
    pub fn guard_depth(&self, bed_depth: f64, flow: f64) -> Option<f64> {
        if flow <= 0.0 {
            return Some(bed_depth);
        }
        if bed_depth <= 0.0 {
            return None;
        }
        let beside = if self.resists() {
            self.inward(bed_depth, flow)?
        } else {
            bed_depth
        };
        match self.openings {
            Some(openings) => openings.inside_depth(beside, flow),
            None => Some(beside),
        }
    }

    /// Flow `[m3/s]` from `bed_depth` to `guard_depth`, both in `[m]`; zero
    /// unless the bed stands higher.
    ///
    /// Inverse of [`bed_depth`](Self::bed_depth); infinite when nothing
    /// resists. Valid for any depths; some ten times the work of the other methods.
    pub fn flow(&self, bed_depth: f64, guard_depth: f64) -> f64 {
        let guard_depth = guard_depth.max(0.0);
        if bed_depth <= guard_depth {
            return 0.0;
        }
        let most = self.flow_bound(bed_depth, guard_depth);
        if !most.is_finite() {
            return most;
        }
        let miss = |q: f64| self.bed_depth(guard_depth, q) - bed_depth;
        // Where only one thing resists the bound is the answer, and rounding may lose the bracket.
        brent(miss, 0.0, most, 1e-13 * most).unwrap_or(most)
    }

    /// The most that a bed with `bed_depth` `[m]` delivers: the flow `[m3/s]`
    /// into an empty guard.
    ///
    /// Range: 0 for an empty bed. Where the siphon could draw more, it empties the guard to its
    /// break level first.
    pub fn greatest_flow(&self, bed_depth: f64) -> f64 {
        self.flow(bed_depth, 0.0)
    }

    fn resists(&self) -> bool {
        self.resistance.linear > 0.0 || self.resistance.square > 0.0
    }

    /// Depth at the outer radius with `beside` at the guard.
    ///
    /// `d(h^3)/d(ln r) = 3 (a q h + b q^2 / r)` with `q = Q / 2 pi`: the square term is
    /// integrated as it stands, the linear one by classic Runge-Kutta. Both stay finite
    /// where the guard runs dry.
    fn outward(&self, beside: f64, flow: f64) -> f64 {
        let q = flow / (2.0 * PI);
        if self.resistance.square == 0.0 {
            let gain = 2.0 * self.resistance.linear * q * self.log_ratio;
            return beside.max(0.0).hypotenuse(gain.sqrt());
        }
        let linear = 3.0 * self.resistance.linear * q;
        let square = 3.0 * self.resistance.square * q * q / self.guard_radius;
        let start = beside.max(0.0).powi(3);
        let depth = |gain: f64, node: &Node| (start + square * node.gained + gain).cube_root();
        let rate = |gain: f64, node: &Node| linear * node.pace * depth(gain, node);
        let mut gain = 0.0;
        for step in self.nodes.windows(3).step_by(2) {
            let k1 = rate(gain, &step[0]);
            let k2 = rate(gain + 0.5 * k1, &step[1]);
            let k3 = rate(gain + 0.5 * k2, &step[1]);
            let k4 = rate(gain + k3, &step[2]);
            gain += (k1 + 2.0 * (k2 + k3) + k4) / 6.0;
        }
        depth(gain, &self.nodes[2 * OUTWARD_STEPS])
    }

    /// A flow that is never too small `[m3/s]`: the least of what each
    /// resistance alone would pass.
    fn flow_bound(&self, bed: f64, guard: f64) -> f64 {
        let Resistance { linear, square } = self.resistance;
        let by_linear = (bed - guard) * (bed + guard) / (2.0 * linear * self.log_ratio);
        let cubes = (bed - guard) * (bed * bed + bed * guard + guard * guard);
        let by_square = (cubes / (3.0 * square * self.inverse_gap)).sqrt();
        let by_gravel = 2.0 * PI * by_linear.min(by_square);
        self.openings
            .map_or(by_gravel, |o| by_gravel.min(o.flow(bed, guard)))
    }

    /// Follows the water surface inward: the depth at the guard.
    ///
    /// Neither radius nor depth serves as the running variable: the depth
    /// falls without limit where the guard runs dry, the radius changes
    /// without limit where nothing resists. Their sum, each as a share of its
    /// scale, does: with `x` the share of `ln r` covered from the guard and
    /// `t = x + h / scale` both `dx/dt` and `dh/dt` stay between 0 and their
    /// scale. Classic Runge-Kutta in `t`, the last step cut where `x` arrives.
    /// `None` when the depth is used up before.
    fn inward(&self, bed_depth: f64, flow: f64) -> Option<f64> {
        let q = flow / (2.0 * PI);
        let surface = Surface {
            scale: bed_depth,
            linear: self.resistance.linear * q * self.log_ratio,
            square: self.resistance.square * q * q * self.log_ratio / self.guard_radius,
            log_ratio: self.log_ratio,
        };
        let full = 1.0 / f64::from(STEPS);
        let mut at = (bed_depth.max(NO_DEPTH), 1.0);
        // One unit of t for the way, at most one for the depth.
        for _ in 0..2 * STEPS + 2 {
            let next = surface.step(at, full);
            if next.1 <= 0.0 {
                let guess = full * at.1 / (at.1 - next.1);
                return surface.last_step(at, guess, full);
            }
            if next.0 <= NO_DEPTH {
                return None;
            }
            at = next;
        }
        None
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    fn way(linear: f64, square: f64) -> RadialInflow {
        RadialInflow::new(Resistance { linear, square }, 0.055, 0.50, None).unwrap()
    }

    /// Gravel of 12 and 6 mm, and coarse sand: `a` and `b` by Ergun, rounded.
    const GRAVELS: [(f64, f64); 3] = [(0.6, 139.0), (2.4, 279.0), (345.0, 3350.0)];

    fn slotted(linear: f64, square: f64) -> RadialInflow {
        let openings = GuardOpenings::new(60e-4, 0.30, 0.6).unwrap();
        RadialInflow {
            openings: Some(openings),
            ..way(linear, square)
        }
    }

    #[test]
    fn without_inertia_it_is_the_formula_for_a_well() {
        // Dupuit and Thiem: h2^2 - h1^2 = a Q ln(r2/r1) / pi.
        for linear in [0.01, 0.6, 30.0, 300.0] {
            let way = way(linear, 0.0);
            for flow in [1e-6, 1e-4, 1e-3] {
                let gain = linear * flow * (0.50_f64 / 0.055).log_natural() / PI;
                for guard in [0.0, 0.001, 0.03, 0.2] {
                    let bed = (guard * guard + gain).sqrt();
                    let ours = way.bed_depth(guard, flow);
                    // Steep where the guard runs dry.
                    let near = if guard < 0.1 * bed { 1e-4 } else { 1e-5 };
                    assert!(
                        (ours - bed).abs() < 2e-9 + near * bed,
                        "{linear} {flow} {guard}: {ours} {bed}"
                    );
                    let q = way.flow(bed, guard);
                    assert!(
                        (q / flow - 1.0).abs() < 1e-5 + (2.0 * near * bed + 1e-8) / bed,
                        "{linear} {guard}: {q} {flow}"
                    );
                }
            }
        }
    }

    #[test]
    fn without_viscosity_cubes_of_the_depths_differ_by_a_constant() {
        let way = way(0.0, 140.0);
        for flow in [1e-5, 1e-4, 1e-3] {
            let q = flow / (2.0 * PI);
            let gain = 3.0 * 140.0 * q * q * (1.0 / 0.055 - 1.0 / 0.50);
            for guard in [0.0, 0.001, 0.03, 0.2] {
                let bed = (f64::powi(guard, 3) + gain).cube_root();
                let ours = way.bed_depth(guard, flow);
                assert!((ours - bed).abs() < 1e-6, "{flow} {guard}: {ours} {bed}");
                let back = way.flow(bed, guard);
                assert!((back / flow - 1.0).abs() < 1e-4, "{guard}: {back} {flow}");
            }
        }
    }

    #[test]
    fn guard_depth_undoes_bed_depth() {
        for (linear, square) in GRAVELS {
            for way in [way(linear, square), slotted(linear, square)] {
                for flow in [1e-6, 1e-5, 1e-4, 4e-4, 7e-4] {
                    for guard in [0.0, 0.001, 0.01, 0.03, 0.05, 0.1, 0.3] {
                        let bed = way.bed_depth(guard, flow);
                        assert!(bed > guard);
                        let Some(back) = way.guard_depth(bed, flow) else {
                            assert!(guard <= 0.001, "{linear} {flow} {guard}");
                            continue;
                        };
                        let off = way.bed_depth(back, flow) - bed;
                        let near = if linear > 100.0 { 2e-4 * bed } else { 1e-6 };
                        assert!(off.abs() < near, "{linear} {flow} {guard}: {off}");
                        if guard > 0.3 * bed {
                            assert!((back - guard).abs() < 4.0 * near, "{guard} {back}");
                        }
                        let q = way.flow(bed, guard);
                        assert!((q / flow - 1.0).abs() < 1e-9, "{q} {flow}");
                    }
                }
            }
        }
    }

    #[test]
    fn guard_falls_with_flow_and_rises_with_the_bed() {
        for (linear, square) in GRAVELS {
            for way in [way(linear, square), slotted(linear, square)] {
                // Steps far below a millimetre, where an uneven walk would show.
                for bed in [0.03, 0.06, 0.12, 0.3] {
                    let most = way.greatest_flow(bed);
                    let mut last = bed;
                    let mut passed = 0;
                    for i in 1..=3000 {
                        let flow = most * f64::from(i) / 3000.0;
                        let Some(guard) = way.guard_depth(bed, flow) else {
                            assert!(flow > 0.999 * most, "{linear} {bed}: {i}");
                            continue;
                        };
                        assert!(guard < last && guard > 0.0, "{linear} {bed}: {i}");
                        last = guard;
                        passed += 1;
                    }
                    assert!(passed >= 2997, "{passed}");
                    let mut last = 0.0;
                    for i in 0..1000 {
                        let higher = bed + f64::from(i) * 1e-5;
                        let guard = way.guard_depth(higher, 0.9 * most).unwrap();
                        assert!(guard > last, "{linear} {bed}: {i}");
                        last = guard;
                    }
                }
            }
        }
    }

    #[test]
    fn bed_rises_with_flow_and_with_the_guard() {
        for (linear, square) in GRAVELS {
            for way in [way(linear, square), slotted(linear, square)] {
                for guard in [0.0, 0.03, 0.2] {
                    let mut last = guard;
                    for i in 1..=3000 {
                        let bed = way.bed_depth(guard, f64::from(i) * 3e-7);
                        assert!(bed > last, "{linear} {guard}: {i}");
                        last = bed;
                    }
                }
                let mut last = 0.0;
                for i in 0..3000 {
                    let bed = way.bed_depth(f64::from(i) * 1e-4, 4e-4);
                    // Below 2 mm in the guard the bed hardly feels it: less
                    // than the steps of the walk can tell.
                    let least = if i <= 20 { last - 1e-7 } else { last };
                    assert!(bed > least, "{linear}: {i} {bed} {last}");
                    last = bed;
                }
            }
        }
    }

    #[test]
    fn greatest_flow_divides_what_passes_from_what_does_not() {
        for (linear, square) in GRAVELS {
            for way in [way(linear, square), slotted(linear, square)] {
                for bed in [0.005, 0.03, 0.06, 0.3] {
                    let most = way.greatest_flow(bed);
                    assert!(way.guard_depth(bed, 0.999 * most).is_some());
                    assert!(way.guard_depth(bed, 1.001 * most).is_none());
                    for i in -1000..=1000 {
                        let close = most * (1.0 + 1e-6 * f64::from(i));
                        let guard = way.guard_depth(bed, close);
                        assert!(guard.is_none_or(|depth| depth >= 0.0));
                    }
                    assert!(way.greatest_flow(1.01 * bed) > most);
                }
            }
        }
        let gravel = way(0.6, 139.0);
        assert_eq!(gravel.greatest_flow(0.0), 0.0);
        assert_eq!(gravel.greatest_flow(-0.1), 0.0);
    }

    #[test]
    fn openings_in_a_row_with_gravel_take_more_than_either() {
        let (bare, both) = (way(0.6, 139.0), slotted(0.6, 139.0));
        let openings = both.openings.unwrap();
        let no_gravel = RadialInflow {
            openings: Some(openings),
            ..way(0.0, 0.0)
        };
        for flow in [5e-5, 2e-4, 6e-4] {
            let bed = both.bed_depth(0.03, flow);
            let beside = openings.outside_depth(0.03, flow);
            assert_eq!(bed, bare.bed_depth(beside, flow));
            assert!(bed > bare.bed_depth(0.03, flow) && bed > beside);
            assert_eq!(no_gravel.bed_depth(0.03, flow), beside);
            assert!(both.greatest_flow(bed) < bare.greatest_flow(bed));
            assert!(both.greatest_flow(bed) < openings.flow(bed, 0.0));
        }
        for i in 1..=500 {
            let bed = 0.03 + 7e-4 * f64::from(i);
            let ratio = no_gravel.flow(bed, 0.03) / openings.flow(bed, 0.03);
            assert!((ratio - 1.0).abs() < 1e-9, "{bed}: {ratio}");
        }
    }

    #[test]
    fn rest_and_nothing_in_the_way_change_no_level() {
        let gravel = slotted(0.6, 139.0);
        for flow in [0.0, -1e-3] {
            assert_eq!(gravel.bed_depth(0.1, flow), 0.1);
            assert_eq!(gravel.guard_depth(0.1, flow), Some(0.1));
        }
        assert_eq!(gravel.flow(0.1, 0.1), 0.0);
        assert_eq!(gravel.flow(0.1, 0.2), 0.0);
        assert_eq!(gravel.guard_depth(0.0, 1e-6), None);
        assert_eq!(gravel.flow(0.05, -0.1), gravel.greatest_flow(0.05));
        let clear = way(0.0, 0.0);
        assert_eq!(clear.bed_depth(0.1, 1e-3), 0.1);
        assert_eq!(clear.guard_depth(0.1, 1e-3), Some(0.1));
        assert_eq!(clear.flow(0.1, 0.05), f64::INFINITY);
        assert_eq!(clear.guard_depth(0.0, 1e-6), None);
    }

    #[test]
    fn refusals_and_wild_numbers_end() {
        let gravel = Resistance {
            linear: 0.6,
            square: 139.0,
        };
        for (guard, outer) in [(0.0, 0.5), (0.5, 0.5), (0.6, 0.5), (0.05, f64::INFINITY)] {
            assert!(RadialInflow::new(gravel, guard, outer, None).is_err());
        }
        for (linear, square) in [(-1.0, 1.0), (1.0, f64::NAN), (f64::INFINITY, 1.0)] {
            let bad = Resistance { linear, square };
            assert!(RadialInflow::new(bad, 0.05, 0.5, None).is_err());
        }
        let way = way(0.6, 139.0);
        for wild in [f64::NAN, f64::INFINITY, 1e300, 1e-300] {
            way.bed_depth(0.03, wild);
            way.guard_depth(0.03, wild);
            way.guard_depth(wild, 1e-4);
            way.flow(wild, 0.03);
        }
        assert_eq!(way.guard_depth(0.03, f64::INFINITY), None);
    }
}
