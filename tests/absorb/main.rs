//! What the sump absorbs: bounds, power cuts, other vessels, and the command.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../cli/bench.rs"]
#[allow(dead_code)]
mod bench;
mod command;
mod power_cut;
#[path = "../support/sentences.rs"]
mod sentences;
#[path = "../support/mod.rs"]
mod support;
mod vessels;
