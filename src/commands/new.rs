//! `ebbwright new`.

use std::path::PathBuf;

use clap::Args;

use crate::commands::failure::Failure;
use crate::commands::{Answer, Units, folder, terminal};
use crate::scenario::{self, shown};

/// Write a commented scenario to start from, to a new file or to standard output.
///
/// Its figures are invented and work; replace them by what your tape measure says.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  ebbwright new shed.toml\n  ebbwright new --units us shed.toml")]
pub(super) struct Arguments {
    /// File to write; without one the scenario goes to standard output.
    file: Option<PathBuf>,
    /// Units the scenario is written in.
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
    /// Replace the file if it is there already.
    #[arg(long, requires = "file")]
    force: bool,
}

pub(super) fn new(arguments: &Arguments) -> Result<Answer, Failure> {
    let text = match arguments.units {
        Units::Metric => scenario::starter(),
        Units::Us => scenario::starter_us(),
    };
    match &arguments.file {
        None => terminal::say(text)?,
        Some(path) => {
            folder::write_one(path, text.as_bytes(), arguments.force)?;
            let shown = shown(path);
            terminal::say(&format!(
                "Wrote {shown}. Replace its figures by your own, then:\n  ebbwright run {shown}\n"
            ))?;
        }
    }
    Ok(Answer::Good)
}
