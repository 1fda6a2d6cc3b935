//! What `window` finds, held against simulation, sums by hand and publications.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[allow(dead_code)]
#[path = "../cli/bench.rs"]
mod bench;
#[path = "../support/mod.rs"]
mod support;
#[allow(dead_code)]
#[path = "../props/systems.rs"]
mod systems;

mod cli;
mod edges;
mod map;
mod published;
mod valves;
mod widen;
