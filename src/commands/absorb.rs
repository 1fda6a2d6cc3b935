//! `ebbwright absorb`.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::assessment::{Status, assess};
use crate::commands::failure::Failure;
use crate::commands::folder::{OutFile, write_all};
use crate::commands::{Answer, Units, terminal};
use crate::plots;
use crate::report::{AbsorbReport, Look, Picture};
use crate::scenario;
use crate::simulation::{Sampling, simulate};
use crate::study::absorb as study;
use crate::units::UnitSystem;

/// Seconds between samples of the series, events apart.
const SAMPLE_EVERY: f64 = 10.0;

/// Say what the sump absorbs: bounds, a power cut, and the same drum upright and on its side.
///
/// The folder gets absorb.md, absorb.json and the picture `volume` as SVG and PNG. Files of these
/// names from an earlier call are replaced.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright absorb shed.toml\n  ebbwright absorb shed.toml --units us --out sump\n  ebbwright absorb shed.toml --json > absorb.json\n\nExit status: 1 when the sump as it is and is filled fails a bound."
)]
pub(super) struct Arguments {
    /// Scenario file (TOML); `ebbwright new` writes one to start from.
    scenario: PathBuf,
    /// Folder for the files; by default the scenario's name with "-absorb" in the current
    /// folder, with --json none.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON document in SI units and nothing else.
    #[arg(long)]
    json: bool,
    /// Units of text, page and picture.
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
}

pub(super) fn absorb(arguments: &Arguments) -> Result<Answer, Failure> {
    let units = UnitSystem::from(arguments.units);
    let scenario = scenario::read(&arguments.scenario)
        .map_err(|error| Failure::Scenario(error.render(terminal::colour_messages())))?;
    if !scenario.warnings.is_empty() {
        terminal::complain(&scenario.render_warnings(terminal::colour_messages()));
    }
    // The valve's own level is judged against what the others do without it.
    let valve = scenario.system.top_off.as_ref().map(|valve| valve.level);
    let system = &study::undisturbed(&scenario.system);
    let run = simulate(system, Sampling::Every(SAMPLE_EVERY)).map_err(Failure::Simulation)?;
    let assessment = assess(system, &run, units);
    let found = study::absorb(system, &run);
    let report = AbsorbReport {
        system,
        run: &run,
        assessment: &assessment,
        absorb: &found,
        float_valve: valve,
        units,
    };
    let json = report
        .json()
        .map_err(|error| Failure::Internal(error.to_string()))?;
    let folder = out_folder(arguments);
    if let Some(folder) = &folder {
        write_all(folder, &files(&report, &arguments.scenario, &json)?)?;
    }
    if arguments.json {
        terminal::say(&json)?;
    } else {
        let look = Look {
            colour: terminal::colour_output(),
            ..Look::default()
        };
        let mut text = report.text(look);
        if let Some(folder) = &folder {
            text += &format!("\nPage and picture are in {}\n", folder.display());
        }
        terminal::say(&text)?;
    }
    Ok(match report.status() {
        Status::Pass | Status::Warn => Answer::Good,
        Status::Fail => Answer::CheckFailed,
    })
}

/// Where the files go; `None` writes none.
fn out_folder(arguments: &Arguments) -> Option<PathBuf> {
    match &arguments.out {
        Some(folder) => Some(folder.clone()),
        None if arguments.json => None,
        None => {
            let stem = arguments.scenario.file_stem().unwrap_or_default();
            let mut name = stem.to_owned();
            name.push("-absorb");
            Some(PathBuf::from(name))
        }
    }
}

/// Every file of the folder, in memory.
fn files(report: &AbsorbReport, source: &Path, json: &str) -> Result<Vec<OutFile>, Failure> {
    let plot = plots::draw_volume(report.system, report.absorb, report.units)
        .map_err(|error| Failure::Internal(format!("a plot cannot be drawn: {error}")))?;
    let source = source.file_name().unwrap_or_default().to_string_lossy();
    let picture = Picture {
        file: &format!("{}.svg", plot.name),
        caption: "What the sump holds at every level, and how far its water can go",
    };
    let page = report.markdown(&source, &[picture]);
    let file = |name: String, bytes: Vec<u8>| OutFile { name, bytes };
    Ok(vec![
        file("absorb.md".to_owned(), page.into_bytes()),
        file("absorb.json".to_owned(), json.as_bytes().to_vec()),
        file(format!("{}.svg", plot.name), plot.svg.into_bytes()),
        file(format!("{}.png", plot.name), plot.png),
    ])
}
