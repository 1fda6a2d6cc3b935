//! What varies, and what comes of it, as documents: random draws and sweeps.

mod data;
mod keys;
mod random;
mod series;
mod sweep;

pub(super) use keys::{RANDOM, SWEEP};
pub use random::RandomReport;
pub use sweep::SweepReport;
