//! Runs whose answer is known without this program.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod before_the_lip;
mod chatter;
mod closed_forms;
mod drain_line;
mod energy;
mod guard;
mod incidents;
mod laws;
mod push_back;
mod source;
mod supply;
#[path = "../support/mod.rs"]
mod support;
mod tank;
mod timer;
#[path = "../support/told.rs"]
mod told;
mod top_off;
