//! The same questions asked backwards: what to cut, set and choose.
//!
//! A study runs the simulator on the system as described and on changed ones,
//! and judges the runs as `assessment` does.

pub mod absorb;
mod absorb_cut;
mod absorb_vessel;
pub mod cut;
