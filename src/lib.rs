//! Hydraulics of flood-and-drain gravel beds emptied by automatic siphons.
//!
//! Layers, each importing only from those above it in this list:
//!
//! 1. [`units`] and [`numerics`]: quantities people type and read; roots, tables, integration.
//! 2. [`hydraulics`]: published formulas as plain functions of SI numbers.
//! 3. [`model`]: the system as built: beds, siphons, pump, supply, drain line, sump.
//! 4. [`siphon`] and [`network`]: how siphons, supply tree and drain line behave at one moment.
//! 5. [`simulation`]: what the system does over time.
//! 6. [`assessment`]: windows, bounds, checks and cautions.
//! 7. [`study`]: the same questions asked backwards: what to cut and set.
//! 7. [`study`]: answers found backwards: what to set and what to change.
//! 8. [`scenario`]: the scenario file, read and judged into a model.
//! 9. [`report`] and [`plots`]: results as text, page, JSON, table and pictures.
//! 10. [`commands`]: the program.

pub mod assessment;
#[cfg(feature = "cli")]
pub mod commands;
pub mod hydraulics;
pub mod model;
pub mod network;
pub mod numerics;
#[cfg(feature = "plots")]
pub mod plots;
pub mod report;
pub mod scenario;
pub mod simulation;
pub mod siphon;
pub mod study;
pub mod units;
