//! `ebbwright mend`.

use clap::Args;

use crate::answer::MendAnswer;
use crate::commands::Answer;
use crate::commands::advice::advised;
use crate::commands::answered::{Drawn, Names};
use crate::commands::common::Common;
use crate::commands::failure::Failure;

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
    #[arg(long, value_name = "N", default_value_t = 480, value_parser = clap::value_parser!(u16).range(1..=5000))]
    tries: u16,
}

pub(super) fn mend(arguments: &Arguments) -> Result<Answer, Failure> {
    let common = &arguments.common;
    let scenario = common.read_only()?;
    let found = advised(
        common,
        &scenario,
        &scenario.system,
        usize::from(arguments.tries),
    )?;
    common.write_scenario(&found.text)?;
    let answer = MendAnswer {
        advice: found.advice(),
        system: &scenario.system,
        found: None,
        complaint: None,
        mended: false,
        units: common.units(),
    };
    let document = answer.document(&common.source());
    common.answer(
        document,
        scenario.text(),
        &NAMES,
        || Ok(Vec::<Drawn>::new()),
    )
}
