//! The plan that every command gives as its advice.

use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::progress::Progress;
use crate::model::System;
use crate::scenario::{self, AdviceError, Advised, Scenario, Seek};
use crate::study::mend::{Judged, MOST_TRIED};

/// The plan for `system`, which is that of `scenario` or has other limits, simulating about
/// `tries` systems at most; what the file and `--keep` keep stays.
pub(super) fn advised(
    common: &Common,
    scenario: &Scenario,
    system: &System,
    tries: usize,
) -> Result<Advised, Failure> {
    sought(common, scenario, tries, |seek, told| {
        scenario::advised(scenario, system, seek, told)
    })
}

/// The plan for the system of `scenario` with the inflows that were read, bed and flow `[m3/s]`;
/// `None` where the file cannot say them.
pub(super) fn advised_as_read(
    common: &Common,
    scenario: &Scenario,
    read: &[(usize, f64)],
) -> Result<Option<Advised>, Failure> {
    sought(common, scenario, MOST_TRIED, |seek, told| {
        scenario::advised_as_read(scenario, read, seek, told)
    })
}

fn sought<T>(
    common: &Common,
    scenario: &Scenario,
    tries: usize,
    find: impl FnOnce(Seek<'_>, &(dyn Fn(usize) + Sync)) -> Result<T, AdviceError>,
) -> Result<T, Failure> {
    let seek = Seek {
        kept: &common.kept(scenario),
        sizes: common.units(),
        most_tried: tries,
    };
    let progress = Progress::counting("systems simulated");
    let found = find(seek, &|tried| progress.at(tried));
    progress.finish();
    found.map_err(|error| match error {
        AdviceError::Simulation(error) => Failure::Simulation(error),
        other => internal(other),
    })
}

/// The plan where something fails in `judged`, which is of `scenario`; nothing to do without.
pub(super) fn where_it_fails(
    common: &Common,
    scenario: &Scenario,
    judged: &Judged,
) -> Result<Option<Advised>, Failure> {
    where_it_fails_as(common, scenario, &scenario.system, judged)
}

/// The same for `system`, which is that of `scenario` with other limits.
pub(super) fn where_it_fails_as(
    common: &Common,
    scenario: &Scenario,
    system: &System,
    judged: &Judged,
) -> Result<Option<Advised>, Failure> {
    if judged.failing().is_empty() {
        return Ok(None);
    }
    advised(common, scenario, system, MOST_TRIED).map(Some)
}
