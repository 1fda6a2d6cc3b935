//! What `window` finds, held against simulation, bucket sums and publications.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod map;
