//! Root finding, monotone tables, integration and seeded numbers; nothing here knows hydraulics.

pub mod bicubic;
mod dormand_prince;
pub mod hermite;
pub mod integrate;
pub mod map_all;
pub mod normal;
#[cfg(feature = "ode_solvers")]
mod ode_reference;
pub mod pchip;
pub mod rising;
pub mod root;
mod sdirk;
pub mod split_mix;
