//! `ebbwright page`.

use std::path::PathBuf;

use clap::Args;

use crate::commands::failure::Failure;
use crate::commands::folder::write_one;
use crate::commands::{Answer, Units, terminal};
use crate::page::{Page, answered, page as file};
use crate::scenario::{self, shown, starter, starter_us};
use crate::units::UnitSystem;

/// Write one HTML file that holds a scenario and the engine itself: to try changes on, and to hand
/// to somebody who has only a browser.
///
/// It opens from a phone's list of files, loads nothing and sends nothing. Without a scenario it
/// begins with the questions of `new`.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright page shed.toml\n  ebbwright page shed.toml --out garden.html --units us\n  ebbwright page"
)]
pub(super) struct Arguments {
    /// Scenario file (TOML); without it a starter.
    scenario: Option<PathBuf>,
    /// The file; by default the scenario's name with .html, in the current folder.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Replace the file if it is there.
    #[arg(long)]
    force: bool,
    /// Units of what people read; by default those that the scenario is written in.
    #[arg(long, value_enum)]
    units: Option<Units>,
}

pub(super) fn page(arguments: &Arguments) -> Result<Answer, Failure> {
    let wanted = arguments.units.map(UnitSystem::from);
    let (text, name, units) = match &arguments.scenario {
        Some(path) => {
            let faulty = |error: scenario::ScenarioError| {
                Failure::Scenario(error.render(terminal::colour_messages()))
            };
            let scenario = scenario::read(path).map_err(faulty)?;
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let units = wanted.unwrap_or(scenario.units());
            (scenario.text().to_owned(), name.into_owned(), units)
        }
        None => {
            let units = wanted.unwrap_or_default();
            let text = match units {
                UnitSystem::Metric => starter(),
                UnitSystem::Us => starter_us(),
            };
            (text.to_owned(), "garden.toml".to_owned(), units)
        }
    };
    let out = arguments
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from(&name).with_extension("html"));
    let document = answered(&text, &name, units);
    let html = file(&Page {
        text: &text,
        name: &name,
        document: document.as_ref(),
        pictures: &[],
        units,
        fresh: arguments.scenario.is_none(),
    });
    write_one(&out, html.as_bytes(), arguments.force)?;
    terminal::say(&format!("Wrote the page to {}.\n", shown(&out)))?;
    Ok(Answer::Good)
}
