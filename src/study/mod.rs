//! Answers found backwards: what to set and what to change, each put through
//! the same closures and the same simulation that a run uses.

pub mod map;
pub mod map_edges;
pub mod map_quantity;
pub mod map_range;
pub mod valves;
mod valves_balance;
mod valves_search;
pub mod widen;
pub mod window;
mod window_tail;
