//! Quantities as people type and read them; SI inside.

pub mod parse;
pub mod table;
pub mod display;
pub use display::UnitSystem;
