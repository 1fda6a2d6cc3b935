//! `ebbwright schema`.

use clap::Args;

use crate::commands::failure::Failure;
use crate::commands::{Answer, terminal};
use crate::scenario;

/// Write the JSON Schema of the scenario format to standard output.
///
/// Editors that know it complete and check a scenario while you type.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  ebbwright schema > scenario.schema.json")]
pub(super) struct Arguments {}

pub(super) fn schema() -> Result<Answer, Failure> {
    let text = serde_json::to_string_pretty(&scenario::schema())
        .map_err(|error| Failure::Internal(format!("the schema cannot be written: {error}")))?;
    terminal::say(&format!("{text}\n"))?;
    Ok(Answer::Good)
}
