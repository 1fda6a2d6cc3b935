//! What `window` finds, held against simulation, sums by hand and publications.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../props/systems.rs"]
mod systems;
#[path = "../support/mod.rs"]
mod support;

mod edges;
mod map;
mod valves;
