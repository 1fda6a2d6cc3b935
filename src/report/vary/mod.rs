//! What varies, and what comes of it: on a terminal, as a page, as JSON and CSV.

#[cfg(feature = "cli")]
mod csv;
mod json;
mod random;
mod sweep;

pub use random::RandomReport;
pub use sweep::SweepReport;
