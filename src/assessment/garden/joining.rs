//! The pipe that joins several vessels into one sump.

use crate::assessment::parts::Parts;
use crate::hydraulics::constants::GRAVITY;
use std::f64::consts::PI;

/// How far the levels of joined vessels may differ while siphons run `[m]`: as much as is wanted
/// under an overflow and over a pump's intake, our own choice.
pub const LEVELS_DIFFER: f64 = 0.05;
/// Loss of a short pipe through two walls, in velocity heads: a sharp entrance takes half of
/// one, the exit a whole one (textbook values, from memory), half a metre of pipe the rest.
const SHORT_PIPE: f64 = 2.0;

/// What the pipe at the bottom of joined vessels has to carry, and how wide that makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joining {
    /// The most that has to pass from where it falls in to the other vessels, or to the one
    /// with the pump `[m3/s]`.
    pub flow: f64,
    /// Bore at which the levels differ by at most [`LEVELS_DIFFER`] meanwhile `[m]`.
    pub bore: f64,
}

impl Joining {
    /// `None` where the sump is one vessel.
    ///
    /// Derived here: of vessels alike and level with each other, all but one share what falls
    /// into that one; the flow of every siphon at once, or of the pump where that is more.
    pub(super) fn new(parts: &Parts) -> Option<Self> {
        let count = parts.system.sump.count;
        if count < 2 {
            return None;
        }
        let siphons: f64 = (0..parts.count())
            .map(|i| parts.nominal[i].full_flow(parts.simulated_peak(i) - parts.outlets[i]))
            .sum();
        let pumped = parts.run.pump.flow.max;
        let flow = siphons.max(pumped) * f64::from(count - 1) / f64::from(count);
        Some(Self {
            flow,
            bore: bore(flow),
        })
    }
}

/// Bore that passes `flow` at the head allowed `[m]`: `h = K v^2 / 2 g`.
fn bore(flow: f64) -> f64 {
    let speed = (2.0 * GRAVITY * LEVELS_DIFFER / SHORT_PIPE).sqrt();
    (4.0 * flow / (PI * speed)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    // Two velocity heads under 50 mm: sqrt(2 * 9.80665 * 0.05 / 2) = 0.7003 m/s, so that 1 L/s
    // fills 14.28 cm2.
    #[test]
    fn the_pipe_between_vessels_follows_from_the_head_that_is_allowed() {
        let area = PI / 4.0 * bore(1e-3).powi(2);
        assert_relative_eq!(area, 14.28e-4, max_relative = 1e-3);
        assert_relative_eq!(bore(4e-3), 2.0 * bore(1e-3), max_relative = 1e-12);
    }
}
