//! Answers found backwards and bounds found from volumes: what to set, cut or change,
//! each put through the same closures and the same simulation that a run uses.

pub mod absorb;
mod absorb_cut;
mod absorb_vessel;
pub mod cut;
pub mod fit;
pub mod map;
pub mod map_edges;
pub mod map_quantity;
pub mod map_range;
mod map_sump;
pub mod measure;
pub mod valves;
mod valves_balance;
mod valves_search;
pub mod vary;
pub mod why;
pub mod widen;
pub mod window;
mod window_tail;
