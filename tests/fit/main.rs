//! Measurements, and what `fit` makes of them, held against sums by hand, the simulation
//! and its own stated spread.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[allow(dead_code)]
#[path = "../cli/bench.rs"]
mod bench;
#[path = "../support/mod.rs"]
mod support;

mod command;
mod coverage;
mod facts;
mod nonsense;
mod predictions;
mod protocol;
mod recovery;
mod run_on;

/// The bed of the other tests without its gravel's resistance, which takes long to simulate.
fn bare() -> String {
    let text = bench::WORKS.replace(", grain = \"12 mm\"", "");
    assert_ne!(text, bench::WORKS);
    text
}
