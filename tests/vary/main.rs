//! Random tolerances and sweeps, held against closed forms and point runs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../cli/bench.rs"]
#[allow(dead_code)]
mod bench;
#[path = "../support/mod.rs"]
mod support;

use ebbwright::assessment::CheckId;
use ebbwright::model::System;
use ebbwright::study::vary::Tolerances;
use ebbwright::study::vary::random::{CheckChance, Random, random};

mod chances;
mod command;
mod sizes;
mod sweeps;

fn study(system: &System, tolerances: &Tolerances, draws: u32, seed: u64) -> Random {
    random(system, tolerances, draws, seed, &|| {}).unwrap()
}

fn chance(found: &Random, id: CheckId) -> &CheckChance {
    let mut checks = found.checks.iter();
    checks.find(|check| check.name.id == id).unwrap()
}
