//! `ebbwright run`.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::assessment::{Status, assess};
use crate::commands::failure::Failure;
use crate::commands::folder::{OutFile, write_all};
use crate::commands::{Answer, Units, terminal};
use crate::plots;
use crate::report::{Look, Picture, Report, worst_remark};
use crate::scenario;
use crate::simulation::{Sampling, resolve_worst, simulate};
use crate::units::UnitSystem;

/// Seconds between samples of the series, events apart.
const SAMPLE_EVERY: f64 = 10.0;

/// Simulate a scenario, print the verdict, and write report, plots and tables to a folder.
///
/// The folder gets report.md, levels.csv, result.json and every plot as SVG and PNG. Files of
/// these names from an earlier run are replaced.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright run shed.toml\n  ebbwright run shed.toml --units us --out results\n  ebbwright run shed.toml --json > result.json"
)]
pub(super) struct Arguments {
    /// Scenario file (TOML); `ebbwright new` writes one to start from.
    scenario: PathBuf,
    /// Folder for the files; by default the scenario's name with "-results" in the current
    /// folder, with --json none.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print one JSON document in SI units and nothing else.
    #[arg(long)]
    json: bool,
    /// Units of text, report and plots.
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
}

pub(super) fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let units = UnitSystem::from(arguments.units);
    let scenario = scenario::read(&arguments.scenario)
        .map_err(|error| Failure::Scenario(error.render(terminal::colour_messages())))?;
    if !scenario.warnings.is_empty() {
        terminal::complain(&scenario.render_warnings(terminal::colour_messages()));
    }
    let (system, placed) = resolve_worst(&scenario.system).map_err(Failure::Simulation)?;
    let system = &system;
    let run = simulate(system, Sampling::Every(SAMPLE_EVERY)).map_err(Failure::Simulation)?;
    let mut assessment = assess(system, &run, units);
    let remarks = placed
        .iter()
        .map(|&index| worst_remark(system, index, units));
    assessment.notes.extend(remarks);
    let report = Report {
        system,
        run: &run,
        assessment: &assessment,
        units,
    };
    let json = report
        .json()
        .map_err(|error| Failure::Internal(error.to_string()))?;

    let folder = out_folder(arguments);
    if let Some(folder) = &folder {
        let files = files(&report, &arguments.scenario, &json)?;
        write_all(folder, &files)?;
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
            text += &format!("\nReport, plots and tables are in {}\n", folder.display());
        }
        terminal::say(&text)?;
    }
    Ok(match assessment.verdict {
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
            let mut name = arguments
                .scenario
                .file_stem()
                .unwrap_or_default()
                .to_owned();
            name.push("-results");
            Some(PathBuf::from(name))
        }
    }
}

/// Every file of the folder, in memory.
fn files(report: &Report, source: &Path, json: &str) -> Result<Vec<OutFile>, Failure> {
    let plots = plots::draw_all(report.system, report.run, report.assessment, report.units)
        .map_err(|error| Failure::Internal(format!("a plot cannot be drawn: {error}")))?;
    let csv = report.levels_csv().map_err(|error| {
        Failure::Internal(format!("the table of levels cannot be written: {error}"))
    })?;
    let links: Vec<String> = plots
        .iter()
        .map(|plot| format!("{}.svg", plot.name))
        .collect();
    let pictures: Vec<Picture> = plots
        .iter()
        .zip(&links)
        .map(|(plot, file)| Picture {
            file,
            caption: caption(plot.name),
        })
        .collect();
    let source = source.file_name().unwrap_or_default().to_string_lossy();
    let page = report.markdown(&source, &pictures);
    let file = |name: &str, bytes: Vec<u8>| OutFile {
        name: name.to_owned(),
        bytes,
    };
    let mut files = vec![
        file("report.md", page.into_bytes()),
        file("levels.csv", csv),
        file("result.json", json.as_bytes().to_vec()),
    ];
    for plot in plots {
        files.push(file(&format!("{}.svg", plot.name), plot.svg.into_bytes()));
        files.push(file(&format!("{}.png", plot.name), plot.png));
    }
    Ok(files)
}

/// What a plot shows, in one line.
fn caption(name: &str) -> &str {
    match name {
        "levels" => "Water level in every bed",
        "sump" => "Water level in the sump",
        "flows" => "Flows of pump, siphons and drain line",
        "pump" => "Pump against pipework",
        "section" => "The system from the side, to scale",
        other => other,
    }
}
