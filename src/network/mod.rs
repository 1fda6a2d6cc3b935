//! Pipes that join the parts: the supply tree above, the drain line below.

mod at_rest;
pub mod drain_line;
mod outlet;
pub mod supply;
pub mod tank;
