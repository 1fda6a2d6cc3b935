//! Quantities as people type and read them; SI inside.

pub mod parse;
pub mod pattern;
pub mod table;
