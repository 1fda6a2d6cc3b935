//! What a builder can change, and how much of it is enough.
//!
//! Every amount is found by putting the changed part back into the same
//! formulas, and is rounded to what tape and shop have, on the side that still passes.

mod incidents;
mod inflow;
mod pipes;
mod water;

pub(super) use incidents::{
    any_line_blocked, cleared, cleared_and_kept, inlet_shut, line_blocked, line_cleared, opened,
    others_opened, siphon_blocked,
};
pub(super) use inflow::{done, least_percent, raise_inflow, throttle, throttle_greatest};
pub(crate) use pipes::LEAST_BORE;
pub(super) use pipes::{
    cut_possible, enough_cut, higher_wall, least_length, line_bore, line_of, more_gravel,
    outlet_drop, outlet_lower, slots_and_drop, smaller_bore, standpipe_cut, wider_bore,
    wider_slots, with_longer_standpipe, with_lower_outlet,
};
pub(super) use water::{
    and_fill, every_standpipe, fill_for_fish, fitting_fill, held_by_water, less_water,
    line_for_cover, shortfalls,
};
