//! Hydraulics of flood-and-drain gravel beds emptied by automatic siphons.
//!
//! Layers, each importing only from those above it in this list:
//!
//! 1. [`units`] and [`numerics`]: quantities people type; roots, tables, integration.
//! 2. [`hydraulics`]: published formulas as plain functions of SI numbers.
//! 3. [`model`]: the system as built: beds, siphons, pump, supply, drain line, sump.
//! 4. [`scenario`]: the scenario file, read and judged into a model.

pub mod hydraulics;
pub mod model;
pub mod numerics;
pub mod scenario;
pub mod units;
