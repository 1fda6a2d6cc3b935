//! Why a siphon will not do what its file promises.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../support/mod.rs"]
mod support;

mod behaviour;
mod command;
mod confusion;
mod doubt;
mod several;
mod systems;
mod told;
