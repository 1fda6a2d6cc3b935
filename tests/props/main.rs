//! Rules that must hold for every system, tried on random ones.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/extras.rs"]
mod extras;
mod invariance;
mod monotone;
#[path = "../support/mod.rs"]
mod support;
mod systems;
mod units;
mod water;
mod whole_loop;

use proptest::test_runner::{Config, FileFailurePersistence};

/// Failing cases are kept in `seeds` files beside the test.
pub fn cases(count: u32) -> Config {
    Config {
        cases: count,
        failure_persistence: Some(Box::new(FileFailurePersistence::WithSource("seeds"))),
        ..Config::default()
    }
}
