//! Root finding, monotone tables and integration; nothing here knows hydraulics.

pub mod hermite;
pub mod integrate;
pub mod pchip;
pub mod root;
