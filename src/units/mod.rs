//! Quantities as people type and read them; SI inside.

mod number;
pub mod parse;
pub mod pattern;
pub mod table;
pub mod display;
pub use display::UnitSystem;
