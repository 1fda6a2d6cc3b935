//! Everything the checks and notes look at, gathered once.

use crate::assessment::bounds::Balance;
use crate::assessment::garden::Garden;
use crate::assessment::parts::Parts;
use crate::assessment::window::Judgement;
use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;

/// A system, its run, and what follows from them.
pub(super) struct Facts<'a> {
    pub(super) parts: Parts<'a>,
    /// One per bed, in file order.
    pub(super) beds: Vec<Judgement>,
    pub(super) balance: Balance,
    pub(super) garden: Garden,
}

impl<'a> Facts<'a> {
    pub(super) fn new(system: &'a System, run: &'a Run, tape: UnitSystem) -> Self {
        let parts = Parts::new(system, run, tape);
        let beds = (0..parts.count())
            .map(|i| Judgement::new(&parts, i))
            .collect();
        let balance = Balance::new(&parts);
        Self {
            garden: Garden::new(&parts, &balance),
            parts,
            beds,
            balance,
        }
    }
}
