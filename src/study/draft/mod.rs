//! Sizes for somebody who has only a few facts: beds or a room, a drum, a pump, a ceiling.
//!
//! First sizes come from the closures and from common practice (no source, unless one is
//! named); [`tuned`] then sets valves, water and standpipes on the whole system by simulation,
//! and what still fails is for [`mend`](super::mend) to change.

mod facts;
mod first;
mod sizes;
mod tank;
mod tune;

pub use facts::{Facts, PumpFact, SumpFact, TankFact};
pub use first::candidates;
pub use sizes::{Bypass, Feed, Line, Sizes};
pub use tank::FishTank;
pub use tune::tuned;
