//! What must hold for every system, however odd.

use crate::trial::Trial;
use crate::{answer, bounds, flows, regimes, verdict};

/// A property, in the words of a failing test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Property {
    Read,
    Simulated,
    Told,
    SumpBounds,
    BedBounds,
    TankBounds,
    Flows,
    Balance,
    Regimes,
    Verdict,
    PowerCut,
}

/// What does not hold, each with its figures.
pub type Faults = Vec<(Property, String)>;

/// Every property of a system that was simulated.
pub fn faults(trial: &Trial) -> Faults {
    let mut found = Faults::new();
    answer::told(trial, &mut found);
    bounds::held(trial, &mut found);
    flows::from_somewhere(trial, &mut found);
    regimes::fit_the_figures(trial, &mut found);
    verdict::fits(trial, &mut found);
    verdict::outlives_a_power_cut(trial, &mut found);
    found
}
