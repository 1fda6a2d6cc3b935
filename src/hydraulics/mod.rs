//! Published hydraulics as plain functions of SI numbers.

pub mod back_siphon;
pub mod circular;
pub mod circular_curves;
pub mod constants;
pub mod dissolved;
pub mod fittings;
pub mod friction;
pub mod guard_openings;
pub mod junction;
pub mod oxygen;
pub mod packed_bed;
pub mod pipe_run;
pub mod pipe_sizes;
pub mod pump_curve;
pub mod radial_inflow;
pub mod settling;
pub mod small_bore;
pub mod valves;
pub mod vessel;
pub mod water;
pub mod weir;
