//! The scenario format: what is read, what is refused, and how it is explained.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod accepted;
