//! What a search has cost so far, and what it knows for it.

use super::judge::Judged;
use crate::model::System;
use crate::numerics::effort;
use crate::simulation::SimulationError;
use std::collections::BTreeMap;

/// What a search has cost so far.
pub(super) struct Spent {
    /// Systems simulated.
    pub(super) tried: usize,
    /// The count of [`effort`] at which it ends: simulating, judging, looking for fixes.
    until: u64,
    /// What was judged whole, by the system in words, for it has no other name: the search, what
    /// prunes its list and what tells its steps ask the same systems again.
    known: BTreeMap<String, Judged>,
}

impl Spent {
    /// Nothing yet of so much effort.
    pub(super) fn nothing(of: u64) -> Self {
        Self {
            tried: 0,
            until: effort::so_far().saturating_add(of),
            known: BTreeMap::new(),
        }
    }

    /// `system` simulated for as long as it says and judged, if it was not before.
    ///
    /// # Errors
    /// [`SimulationError`] as the simulation gives it. That is not kept: it may be the effort
    /// which was at its end.
    pub(super) fn judged(&mut self, system: &System) -> Result<Judged, SimulationError> {
        let name = format!("{system:?}");
        if let Some(known) = self.known.get(&name) {
            return Ok(known.clone());
        }
        let judged = Judged::new(system)?;
        self.tried += 1;
        self.known.insert(name, judged.clone());
        Ok(judged)
    }

    /// Effort that may still be spent.
    pub(super) fn left(&self) -> u64 {
        self.until.saturating_sub(effort::so_far())
    }

    /// Whether nothing more is to be tried.
    pub(super) fn is_all(&self) -> bool {
        self.left() == 0
    }
}
