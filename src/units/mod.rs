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
