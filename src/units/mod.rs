//! Quantities as people type and read them; SI inside.

pub mod amounts;
pub mod display;
mod number;
pub mod parse;
pub mod pattern;
pub mod reading;
pub mod table;
mod unread;

pub use display::UnitSystem;

/// An hour `[s]`.
pub const HOUR: f64 = 3600.0;
/// A day `[s]`.
pub const DAY: f64 = 24.0 * HOUR;
