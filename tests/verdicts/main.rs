//! Verdicts on finished runs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod best_inflow;
mod blocked;
mod bounds;
mod by_hand;
mod causes;
mod entry;
#[path = "../support/extras.rs"]
mod extras;
mod fixes;
mod garden;
mod independent_check;
mod limits_told;
mod loop_checks;
mod mend;
mod pauses;
mod random;
mod regimes;
mod rules;
mod settler;
mod slots;
mod small_bores;
mod tank_by_hand;
mod tank_level;
#[path = "../support/told.rs"]
mod told;
mod what_fixes_hang_on;
mod whole_room;
mod words;
