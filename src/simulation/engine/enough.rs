//! Runs that end once they have told enough.

use crate::model::{CoefficientValues, System};
use crate::simulation::engine::{Engine, Stepping, Task, with_engine};
use crate::simulation::tables::SharedTables;
use crate::simulation::{Run, Sampling, SimulationError};
use crate::units::HOUR;
use std::ops::ControlFlow;

/// A bed that does the same for so long goes on doing it `[s]`.
const HOLDS: f64 = HOUR;

/// Simulates `system` until every bed has been through `cycles` cycles or has done one and the same
/// thing for an hour, at least an hour and at most the system's duration. Beds that reach each other
/// hardly ever come back to the same levels, so that such a run seldom settles.
///
/// # Errors
/// [`SimulationError`] when the integration fails.
pub fn simulate_until_told(
    system: &System,
    values: &CoefficientValues,
    cycles: usize,
    stepping: Stepping,
    tables: &SharedTables,
) -> Result<Run, SimulationError> {
    with_engine(system, values, stepping, Some(tables), UntilTold(cycles))
}

/// A run until every bed has been through so many cycles.
struct UntilTold(usize);

impl Task for UntilTold {
    type Answer = Run;
    fn run<const B: usize, const N: usize>(
        self,
        mut engine: Engine<'_, B, N>,
    ) -> Result<Run, SimulationError> {
        let (end, may_settle) = engine.duration()?;
        let began = engine.here.t;
        engine.run(Sampling::None, end, may_settle, |here, observer| {
            let long_enough = here.here.t - began >= HOLDS;
            match long_enough && observer.has_told(self.0, HOLDS) {
                true => ControlFlow::Break(()),
                false => ControlFlow::Continue(()),
            }
        })
    }
}
