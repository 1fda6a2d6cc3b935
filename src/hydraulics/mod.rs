//! Published hydraulics as plain functions of SI numbers.

pub mod circular;
pub mod constants;
pub mod fittings;
pub mod friction;
pub mod pipe_run;
pub mod pipe_sizes;
pub mod pump_curve;
pub mod valves;
pub mod vessel;
pub mod water;
pub mod weir;
