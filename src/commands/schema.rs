//! `ebbwright schema`.

use clap::Args;

use crate::answer::results_schema;
use crate::commands::failure::Failure;
use crate::commands::{Answer, terminal};
use crate::scenario;

/// Write the JSON Schema of the scenario format, or of the results, to standard output.
///
/// Editors that know it complete and check a scenario while you type.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright schema > scenario.schema.json\n  ebbwright schema --results > results.schema.json\n  ebbwright schema --readings > readings.schema.json"
)]
pub(super) struct Arguments {
    /// Of what the commands print with --json: every key with its meaning and unit, and when it is null.
    #[arg(long, conflicts_with = "readings")]
    results: bool,
    /// Of a file of readings for --measured, which with its sizes and without names is an open record.
    #[arg(long)]
    readings: bool,
}

pub(super) fn schema(arguments: &Arguments) -> Result<Answer, Failure> {
    let schema = if arguments.readings {
        scenario::readings_schema()
    } else if arguments.results {
        results_schema()
    } else {
        scenario::schema()
    };
    let text = serde_json::to_string_pretty(&schema)
        .map_err(|error| Failure::Internal(format!("the schema cannot be written: {error}")))?;
    terminal::say(&format!("{text}\n"))?;
    Ok(Answer::Good)
}
