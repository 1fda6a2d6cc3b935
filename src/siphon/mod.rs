//! The automatic siphon: when it starts, how it runs, when it breaks.
//!
//! [`SiphonLaw`] gathers one siphon's geometry and one set of coefficient
//! values; its methods are spread over this folder by the phase they belong to:
//! `start` (lip, start, priming; `lip` with what resists before it), `full_bore` (discharge, crown pressure),
//! `breaking` (break level, air tube, run-on, fall-back), `window` (bands over
//! the soft coefficients), `best_inflow` (where to aim between them); `gravel_way` is what the water passes before it.

mod best_inflow;
mod breaking;
mod full_bore;
mod gravel_way;
mod law;
mod lip;
mod start;
mod window;

pub use best_inflow::{BestInflow, SAME_FLOW, Trust, best_inflow};
pub use breaking::{CrossChecks, DownLeg};
pub use gravel_way::gravel_way;
pub use law::SiphonLaw;
pub use window::{Extreme, InflowWindow};

/// Density of the air that an air tube passes, 20 degC at one atmosphere `[kg/m3]`.
pub const AIR_DENSITY: f64 = 1.204;

/// Lip flow below this share of the start flow gives priming up; keeps spilling
/// and priming from alternating without end.
pub const PRIMING_HOLD: f64 = 0.8;
