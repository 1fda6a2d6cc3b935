//! One run of full pipe: friction plus minor losses on the bore velocity.

use crate::hydraulics::circular::full_area;
use crate::numerics::maths::Maths;
use std::f64::consts::PI;

use super::constants::GRAVITY;
use super::friction::{LAMINAR_LIMIT, TURBULENT_LIMIT, friction_number};
use super::water::Water;

/// A full circular pipe of one bore with its fittings.
///
/// Head loss `(f L/D + K) V^2 / 2g` (Darcy and Weisbach), V on the bore. An
/// entrance, an exit or the velocity head of a free jet counts only if it is
/// in `k`.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::{friction::PLASTIC_ROUGHNESS, pipe_run::PipeRun, water::Water};
/// let water = Water::at(20.0)?;
/// let pipe = PipeRun { bore: 0.0266, length: 2.0, roughness: PLASTIC_ROUGHNESS, k: 2.0 };
/// let q = 20.0 / 60_000.0; // 20 L/min
/// let head = pipe.head_loss(q, &water);
/// assert!((head - 0.0745).abs() < 0.0005); // m
/// assert!((pipe.flow(head, &water) / q - 1.0).abs() < 1e-12);
/// # Ok::<(), ebbwright::hydraulics::water::OutOfRange>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PipeRun {
    /// Inside diameter `[m]`, above 0.
    pub bore: f64,
    /// Length along the centre line `[m]`, 0 or more.
    pub length: f64,
    /// Absolute roughness of the wall `[m]`, 0 or more.
    pub roughness: f64,
    /// Sum of minor-loss coefficients on the bore velocity `[-]`, 0 or more.
    /// Infinity stands for a shut valve: no flow at any head.
    pub k: f64,
}

impl PipeRun {
    /// Cross-section of the bore `[m2]`. Valid for any bore.
    pub fn area(&self) -> f64 {
        full_area(self.bore)
    }

    /// Water held when full `[m3]`. Valid for any bore and length.
    pub fn volume(&self) -> f64 {
        self.area() * self.length
    }

    /// Reynolds number of a flow `q` `[m3/s]` on the bore `[-]`, never negative.
    /// Valid for any flow.
    pub fn reynolds(&self, q: f64, water: &Water) -> f64 {
        4.0 * q.abs() / (PI * self.bore * water.kinematic_viscosity())
    }

    /// Head lost along the run `[m]` at a flow `q` `[m3/s]`; odd in `q`, zero at rest.
    ///
    /// Valid for Reynolds numbers up to 1e8; friction law and its sources at
    /// [`darcy_friction_factor`](super::friction::darcy_friction_factor).
    pub fn head_loss(&self, q: f64, water: &Water) -> f64 {
        if q == 0.0 {
            return 0.0;
        }
        self.loss_and_slope(q.abs(), water).0.copysign(q)
    }

    /// Derivative of [`head_loss`](Self::head_loss) with respect to flow `[s/m2]`.
    ///
    /// Even in `q` `[m3/s]`; at rest it is the laminar slope, which is zero
    /// only for a run without length. A shut run (K infinite) has an infinite
    /// slope. Valid for Reynolds numbers up to 1e8.
    pub fn head_loss_slope(&self, q: f64, water: &Water) -> f64 {
        if self.k == f64::INFINITY {
            return f64::INFINITY;
        }
        self.loss_and_slope(q.abs(), water).1
    }

    /// Flow `[m3/s]` that loses a given head `[m]`; odd in the head, and the
    /// inverse of [`head_loss`](Self::head_loss) to 1e-12 relative.
    ///
    /// A run without any resistance (no length, no K) passes infinite flow;
    /// a shut one (K infinite) none. Valid for any head.
    pub fn flow(&self, head: f64, water: &Water) -> f64 {
        if head == 0.0 || self.k == f64::INFINITY {
            return 0.0;
        }
        self.flow_for_positive(head.abs(), water).copysign(head)
    }

    fn friction_scale(&self, nu: f64) -> f64 {
        self.length * nu * nu / (2.0 * GRAVITY * self.bore.powi(3))
    }

    fn minor_scale(&self) -> f64 {
        let area = self.area();
        self.k / (2.0 * GRAVITY * area * area)
    }

    /// Loss `[m]` and its slope `[s/m2]` for `q >= 0`.
    fn loss_and_slope(&self, q: f64, water: &Water) -> (f64, f64) {
        let minor = self.minor_scale();
        // Skips the logarithms for runs that are fittings only.
        if self.length <= 0.0 {
            return (minor * q * q, 2.0 * minor * q);
        }
        let nu = water.kinematic_viscosity();
        let re_per_q = 4.0 / (PI * self.bore * nu);
        let (number, slope) = friction_number(q * re_per_q, self.roughness / self.bore);
        let scale = self.friction_scale(nu);
        (
            scale * number + minor * q * q,
            scale * slope * re_per_q + 2.0 * minor * q,
        )
    }

    fn flow_for_positive(&self, head: f64, water: &Water) -> f64 {
        let minor = self.minor_scale();
        if self.length <= 0.0 {
            return (head / minor).sqrt();
        }
        let nu = water.kinematic_viscosity();
        let q_per_re = 0.25 * PI * self.bore * nu;
        let q_laminar = LAMINAR_LIMIT * q_per_re;
        let h_laminar = self.loss_and_slope(q_laminar, water).0;
        if head <= h_laminar {
            // minor q^2 + b q = head, in the form that does not cancel.
            let b = self.friction_scale(nu) * 64.0 / q_per_re;
            return 2.0 * head / (b + (b * b + 4.0 * minor * head).sqrt());
        }
        let q_turbulent = TURBULENT_LIMIT * q_per_re;
        let (h_turbulent, slope) = self.loss_and_slope(q_turbulent, water);
        let (mut low, mut high, mut q) = if head < h_turbulent {
            let share = (head - h_laminar) / (h_turbulent - h_laminar);
            let guess = q_laminar + share.sqrt() * (q_turbulent - q_laminar);
            (q_laminar, q_turbulent, guess)
        } else {
            // Loss goes with a power of flow that rises slowly from here to 2.
            let ratio = head / h_turbulent;
            let power = slope * q_turbulent / h_turbulent;
            (
                q_turbulent,
                q_turbulent * ratio,
                q_turbulent * ratio.to_the(1.0 / power),
            )
        };
        // Newton on the logarithms (loss is close to a power of flow), kept in its bracket.
        for _ in 0..60 {
            let (h, slope) = self.loss_and_slope(q, water);
            if h < head {
                low = q;
            } else {
                high = q;
            }
            let step = (head / h).log_natural() * h / (slope * q);
            let mut next = q * step.exponential();
            if !(low..=high).contains(&next) {
                next = 0.5 * (low + high);
            }
            // Steps shrink quadratically: the next one would be below rounding.
            let done = (next - q).abs() <= 3e-8 * q;
            q = next;
            if done {
                break;
            }
        }
        q
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    use super::super::friction::PLASTIC_ROUGHNESS;

    fn water() -> Water {
        Water::at(20.0).unwrap()
    }

    fn pipe(length: f64, k: f64) -> PipeRun {
        PipeRun {
            bore: 0.0266,
            length,
            roughness: PLASTIC_ROUGHNESS,
            k,
        }
    }

    /// Flows from a drip to a torrent, through all three regimes.
    fn flows() -> impl Iterator<Item = f64> {
        (0..=900).map(|i| 1e-9 * 10.0_f64.to_the(f64::from(i) / 100.0))
    }

    #[test]
    fn flow_is_the_inverse_of_head_loss_to_1e_12() {
        let rough = PipeRun {
            roughness: 3e-4,
            ..pipe(10.0, 3.0)
        };
        for run in [
            pipe(2.0, 0.0),
            pipe(2.0, 5.0),
            pipe(0.01, 50.0),
            pipe(0.0, 1.5),
            rough,
        ] {
            for q in flows() {
                let head = run.head_loss(q, &water());
                let back = run.flow(head, &water());
                assert!(
                    (back / q - 1.0).abs() < 1e-12,
                    "{run:?}: {q} came back as {back}"
                );
            }
        }
    }

    #[test]
    fn both_ways_are_odd_and_zero_at_rest() {
        let run = pipe(2.0, 1.5);
        assert_eq!(run.head_loss(0.0, &water()), 0.0);
        assert_eq!(run.flow(0.0, &water()), 0.0);
        assert_eq!(
            run.head_loss(-3e-4, &water()),
            -run.head_loss(3e-4, &water())
        );
        assert_eq!(run.flow(-0.2, &water()), -run.flow(0.2, &water()));
        assert_eq!(
            run.head_loss_slope(-3e-4, &water()),
            run.head_loss_slope(3e-4, &water())
        );
    }

    #[test]
    fn slope_agrees_with_a_central_difference() {
        for run in [pipe(2.0, 0.0), pipe(2.0, 5.0), pipe(0.0, 1.5)] {
            for q in flows() {
                let step = 1e-5 * q;
                let rise = run.head_loss(q + step, &water()) - run.head_loss(q - step, &water());
                let slope = run.head_loss_slope(q, &water());
                let off = rise / (2.0 * step) / slope - 1.0;
                // At the two limits the second derivative jumps: an error of its size times the step.
                assert!(off.abs() < 2e-5, "{run:?} at {q}: off {off}");
            }
        }
        let at_rest = pipe(2.0, 5.0).head_loss_slope(0.0, &water());
        let small = pipe(2.0, 5.0).head_loss(1e-12, &water()) / 1e-12;
        assert!((at_rest / small - 1.0).abs() < 1e-6);
    }

    #[test]
    fn laminar_flow_is_poiseuilles() {
        // h = 128 nu L Q / (pi g D^4), Hagen 1839 and Poiseuille 1840.
        let (run, q) = (pipe(3.0, 0.0), 1e-6);
        let nu = water().kinematic_viscosity();
        let exact = 128.0 * nu * 3.0 * q / (PI * GRAVITY * run.bore.powi(4));
        assert!((run.head_loss(q, &water()) / exact - 1.0).abs() < 1e-14);
    }

    #[test]
    fn two_halves_lose_what_the_whole_loses() {
        for q in flows() {
            let halves = 2.0 * pipe(1.0, 1.5).head_loss(q, &water());
            let whole = pipe(2.0, 3.0).head_loss(q, &water());
            assert!((halves / whole - 1.0).abs() < 1e-14);
        }
    }

    #[test]
    fn shut_and_empty_runs_behave() {
        assert_eq!(pipe(2.0, f64::INFINITY).flow(5.0, &water()), 0.0);
        assert_eq!(pipe(2.0, f64::INFINITY).head_loss(0.0, &water()), 0.0);
        assert_eq!(
            pipe(2.0, f64::INFINITY).head_loss_slope(0.0, &water()),
            f64::INFINITY
        );
        assert_eq!(pipe(0.0, 0.0).flow(1.0, &water()), f64::INFINITY);
        assert_eq!(pipe(0.0, 0.0).head_loss(1.0, &water()), 0.0);
    }

    #[test]
    fn bore_gives_area_and_volume() {
        let run = pipe(2.0, 0.0);
        assert!((run.area() - 5.5572e-4).abs() < 1e-8);
        assert_eq!(run.volume(), 2.0 * run.area());
    }
}
