//! The plan that every command gives as its advice.

use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::progress::Progress;
use crate::model::{Change, System};
use crate::report::Advice;
use crate::scenario::{Keep, Scenario, written_in_turn};
use crate::study::mend::{Judged, MOST_TRIED, Plan, Wish, mend};

/// A plan for a scenario, and how its file says it.
pub(super) struct Advised {
    /// The plan.
    pub plan: Plan,
    /// For each step, its changes as `--with` takes them.
    edits: Vec<Vec<String>>,
    /// What was to stay.
    kept: Vec<String>,
    /// The scenario with all steps.
    pub text: String,
}

impl Advised {
    /// As answers take it.
    pub fn advice(&self) -> Advice<'_> {
        Advice {
            plan: &self.plan,
            edits: &self.edits,
            kept: &self.kept,
        }
    }
}

/// The plan for `system`, which is that of `scenario` or has other limits, simulating about
/// `tries` systems at most; what the file and `--keep` keep stays.
pub(super) fn advised(
    common: &Common,
    scenario: &Scenario,
    system: &System,
    tries: usize,
) -> Result<Advised, Failure> {
    let kept = common.kept(scenario);
    let keep = Keep::new(&kept, system);
    let may = |system: &System, change: &Change| {
        let forbidden = keep.forbids(std::slice::from_ref(change), system);
        forbidden.is_ok_and(|path| path.is_none())
    };
    let wish = Wish {
        allowed: &may,
        sizes: common.units(),
        most_tried: tries,
    };
    let progress = Progress::counting("systems simulated");
    let plan = mend(system, wish, &|tried| progress.at(tried)).map_err(Failure::Simulation)?;
    progress.finish();
    let steps = plan.steps.iter().map(|step| &*step.changes);
    let done = written_in_turn(scenario, steps, &kept).map_err(internal)?;
    Ok(Advised {
        edits: done.edits,
        text: done.text,
        kept: kept.iter().map(ToString::to_string).collect(),
        plan,
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
