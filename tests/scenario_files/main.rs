//! The scenario format: what is read, what is refused, and how that is explained.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/json_schema.rs"]
mod json_schema;
#[path = "../support/splices.rs"]
mod splices;

mod accepted;
mod built;
mod changes;
mod edges;
mod every_bed;
mod every_key;
mod hostile;
mod quantities;
mod questions;
mod reading;
mod refused;
mod schema;
mod starters;
