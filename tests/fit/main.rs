//! Measurements, and what `fit` makes of them, held against sums by hand, the simulation
//! and its own stated spread.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod nonsense;
mod predictions;
