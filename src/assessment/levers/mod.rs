//! What a builder can change, and how much of it is enough.
//!
//! Every amount is found by putting the changed part back into the same
//! formulas, and is rounded to what is printed, on the side that still passes.

mod incidents;
mod inflow;
mod pipes;
mod water;

pub(super) use incidents::{
    any_line_blocked, cleared, cleared_and_kept, inlet_shut, line_blocked, opened, others_opened,
    siphon_blocked,
};
pub(super) use inflow::{raise_inflow, throttle, throttle_greatest};
pub(super) use pipes::{
    bore_text, cut_possible, cut_text, drop_text, least_length, line_bore, line_text, outlet_drop,
    slots_and_drop, slots_text, smaller_bore, wider_bore, wider_slots, with_bore,
    with_longer_standpipe, with_lower_outlet,
};
pub(super) use water::{
    fill_fix, fill_for_fish, fitting_level, held_by_water, less_water, line_for_cover, shortfalls,
    water_over,
};
