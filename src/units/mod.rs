//! Quantities as people type and read them; SI inside.

pub mod display;
pub use display::UnitSystem;
