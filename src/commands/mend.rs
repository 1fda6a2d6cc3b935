//! `ebbwright mend`.

use clap::Args;

use crate::answer::MendAnswer;
use crate::commands::Answer;
use crate::commands::answered::{Drawn, Names};
use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::progress::Progress;
use crate::model::{Change, System};
use crate::scenario::{ChangePath, Keep, Scenario, parse, written};
use crate::study::mend::{self as study, Plan, Wish};

const NAMES: Names = Names {
    page: "mend.md",
    results: "mend.json",
    contents: "Page and results of the plan",
};

/// Find the smallest list of changes with which the whole system passes, least trouble first.
///
/// Every list is simulated on the whole system, all beds together, and steps that are not needed
/// are dropped. What is glued, buried or bought stays with --keep, or keep = [...] in the file.
/// --write saves the mended scenario. Exit status 1: no list was found with which nothing fails.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright mend shed.toml\n  ebbwright mend shed.toml --write mended.toml\n  ebbwright mend shed.toml --keep bed.*.standpipe --keep pump"
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Simulate about so many systems at most in the search.
    #[arg(long, value_name = "N", default_value_t = 320, value_parser = clap::value_parser!(u16).range(1..=5000))]
    tries: u16,
}

pub(super) fn mend(arguments: &Arguments) -> Result<Answer, Failure> {
    let common = &arguments.common;
    let scenario = common.read_only()?;
    let kept = common.kept(&scenario);
    let system = &scenario.system;
    let keep = Keep::new(&kept, system);
    let may = |system: &System, change: &Change| {
        let forbidden = keep.forbids(std::slice::from_ref(change), system);
        forbidden.is_ok_and(|path| path.is_none())
    };
    let wish = Wish {
        allowed: &may,
        sizes: common.units(),
        most_tried: usize::from(arguments.tries),
    };
    let progress = Progress::counting("systems simulated");
    let plan =
        study::mend(system, wish, &|tried| progress.at(tried)).map_err(Failure::Simulation)?;
    progress.finish();
    let (edits, text) = in_the_file(&scenario, &plan, &kept)?;
    common.write_scenario(&text)?;
    let kept: Vec<String> = kept.iter().map(ToString::to_string).collect();
    let answer = MendAnswer {
        plan: &plan,
        system,
        edits: &edits,
        kept: &kept,
        units: common.units(),
    };
    let document = answer.document(&common.source());
    common.answer(document, &NAMES, || Ok(Vec::<Drawn>::new()))
}

/// For each step its changes as the file says them, and the file with all of them.
fn in_the_file(
    scenario: &Scenario,
    plan: &Plan,
    kept: &[ChangePath],
) -> Result<(Vec<Vec<String>>, String), Failure> {
    let mut now = scenario.clone();
    let mut edits = Vec::new();
    for step in &plan.steps {
        let after = written(&now, &step.changes, kept).map_err(internal)?;
        edits.push(after.edits.iter().map(ToString::to_string).collect());
        now = parse(&after.text, "the mended scenario").map_err(internal)?;
    }
    Ok((edits, now.text().to_owned()))
}
