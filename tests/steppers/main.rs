//! The two steppers on problems whose answer is known, and against each other.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod opinions;
mod problems;
mod whole_runs;
