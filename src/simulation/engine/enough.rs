//! Runs by themselves: to their end, or until they have told enough.

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
    let told = Alone {
        sampling: Sampling::None,
        cycles: Some(cycles),
    };
    with_engine(system, values, stepping, Some(tables), told)
}

/// A run by itself. One task for both kinds: each further one is compiled for every size of system.
pub(super) struct Alone {
    sampling: Sampling,
    /// So many cycles of every bed are enough; `None`: to its end.
    cycles: Option<usize>,
}

impl Alone {
    pub(super) const fn whole(sampling: Sampling) -> Self {
        Self {
            sampling,
            cycles: None,
        }
    }
}

impl Task for Alone {
    type Answer = Run;
    fn run<const B: usize, const N: usize>(
        self,
        mut engine: Engine<'_, B, N>,
    ) -> Result<Run, SimulationError> {
        let (end, may_settle) = engine.duration()?;
        let began = engine.here.t;
        engine.run(self.sampling, end, may_settle, &mut |now, observer| {
            let told = |cycles| now.here.t - began >= HOLDS && observer.has_told(cycles, HOLDS);
            match self.cycles.is_some_and(told) {
                true => ControlFlow::Break(()),
                false => ControlFlow::Continue(()),
            }
        })
    }
}
