//! Root finding, monotone tables and integration; nothing here knows hydraulics.

pub mod pchip;
pub mod root;
