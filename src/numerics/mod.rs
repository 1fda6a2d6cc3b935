//! Root finding, monotone tables, integration, sorting and seeded numbers; nothing here knows hydraulics.

pub mod bicubic;
pub mod effort;
pub mod hermite;
pub mod in_order;
pub mod integrate;
pub mod map_all;
pub mod maths;
pub mod normal;
pub mod pchip;
pub mod rising;
pub mod root;
pub mod split_mix;
