//! Quantities as people type and read them; SI inside.

pub mod display;
pub mod parse;
pub mod table;
pub use display::UnitSystem;
