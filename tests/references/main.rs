//! Whole parts of the model against independent programs: EPANET, EPA SWMM, scipy.
//!
//! The programs were run by `tests/references/regenerate`, which anyone can run again;
//! what they gave lies in `tests/references/data`, with the program's name and version
//! beside each value. Nothing here needs Python.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod drain_lines;
mod supply_trees;
#[path = "../support/mod.rs"]
mod support;
#[allow(dead_code)]
#[path = "../values/table.rs"]
mod table;
mod whole_systems;
