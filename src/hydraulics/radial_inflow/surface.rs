//! The water surface in the gravel, followed inward step by step.

use crate::numerics::maths::Maths;

/// Depth that stands for none `[m]`.
pub(super) const NO_DEPTH: f64 = 1e-9;

/// The differential equation of a walk inward; a state is (depth `[m]`, share of the way
/// left `[-]`).
pub(super) struct Surface {
    pub(super) scale: f64,
    pub(super) linear: f64,
    pub(super) square: f64,
    pub(super) log_ratio: f64,
}

impl Surface {
    /// Share of `dt` that goes into the way; the rest goes into the depth.
    fn way(&self, (h, x): (f64, f64)) -> f64 {
        let h = h.max(NO_DEPTH);
        let nearness = (-self.log_ratio * x).exponential();
        let easy = h * h * self.scale;
        easy / (easy + self.linear * h + self.square * nearness)
    }

    fn moved(&self, (h, x): (f64, f64), dt: f64, way: f64) -> (f64, f64) {
        (h - self.scale * dt * (1.0 - way), x - dt * way)
    }

    pub(super) fn step(&self, at: (f64, f64), dt: f64) -> (f64, f64) {
        let k1 = self.way(at);
        let k2 = self.way(self.moved(at, 0.5 * dt, k1));
        let k3 = self.way(self.moved(at, 0.5 * dt, k2));
        let k4 = self.way(self.moved(at, dt, k3));
        self.moved(at, dt, (k1 + 2.0 * (k2 + k3) + k4) / 6.0)
    }

    /// Depth where the way ends, at a `dt` between 0 and `longest`: Newton's
    /// rule held inside a shrinking bracket. `None` when no depth is left there.
    pub(super) fn last_step(&self, at: (f64, f64), guess: f64, longest: f64) -> Option<f64> {
        let (mut low, mut high, mut dt) = (0.0, longest, guess);
        let mut depth = at.0;
        for _ in 0..60 {
            let end = self.step(at, dt);
            let left = end.1;
            let way = self.way(end);
            // The rest of the way along the tangent: by then too short to bend.
            depth = end.0 - self.scale * left * (1.0 - way) / way;
            if left > 0.0 {
                low = dt
            } else {
                high = dt
            }
            if left.abs() <= 1e-4 * way || high - low <= 1e-15 {
                break;
            }
            let newton = dt + left / way;
            dt = if newton > low && newton < high {
                newton
            } else {
                0.5 * (low + high)
            };
        }
        (depth > 0.0).then_some(depth)
    }
}
