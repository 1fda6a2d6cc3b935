//! Looks for what to change, when asked.

use crate::assessment::checks::{self, Check};
use crate::assessment::facts::Facts;
use crate::assessment::fix::Fix;
use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;

/// Finds what to change in a system, from one run of it.
pub struct Adviser<'a> {
    facts: Facts<'a>,
}

impl<'a> Adviser<'a> {
    /// For `run`, a finished run of `system`; amounts are rounded to what the tape and the shop
    /// of `tape` have: millimetres and metric pipe, or sixteenths of an inch and Schedule 40.
    pub fn new(system: &'a System, run: &'a Run, tape: UnitSystem) -> Self {
        Self {
            facts: Facts::new(system, run, tape),
        }
    }

    /// Ways to make `check` pass, the one to try first in front; none where it passes.
    ///
    /// Each amount is the least that passes by the closure of its check with all else as it is,
    /// rounded to the passing side; only a simulation tells whether it does, and what else it
    /// changes. `check` must come from the same system and run.
    pub fn fixes(&self, check: &Check) -> Vec<Fix> {
        checks::fixes(&self.facts, check)
    }

    /// What would open a range of inflows of `bed` that is beyond doubt, where one thing does.
    pub fn opens_window(&self, bed: usize) -> Vec<Fix> {
        checks::opens_window(&self.facts, bed)
    }
}

/// [`Adviser::fixes`] for one check alone.
pub fn fixes(system: &System, run: &Run, check: &Check, tape: UnitSystem) -> Vec<Fix> {
    Adviser::new(system, run, tape).fixes(check)
}
