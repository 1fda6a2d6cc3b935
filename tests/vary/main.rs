//! Random tolerances and sweeps, held against closed forms and point runs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../cli/bench.rs"]
#[allow(dead_code)]
mod bench;
#[path = "../support/mod.rs"]
mod support;

mod chances;
mod command;
mod sizes;
mod sweeps;
