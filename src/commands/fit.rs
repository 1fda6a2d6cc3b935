//! `ebbwright fit`.

use std::path::{Path, PathBuf};

use clap::Args;

use crate::commands::failure::Failure;
use crate::commands::folder::{OutFile, write_all};
use crate::commands::measured::Options;
use crate::commands::{Answer, Units, terminal};
use crate::plots;
use crate::report::{FitReport, Look, Picture};
use crate::scenario;
use crate::study::fit::{FitError, fit as fit_system};
use crate::units::UnitSystem;

/// Find from measurements on the running system what the scenario could only assume.
///
/// Give whatever was measured; any subset will do. The answer says which unknowns the
/// measurements determine and which not, what to measure next, and what to write into the
/// scenario. The folder gets fit.md, fit.json and the picture as SVG and PNG.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright fit shed.toml --inflow \"6 L/min\" --fill \"14 min 20 s\" --drain \"3 min 5 s\"\n  ebbwright fit garden.toml --bed north --highest \"250 mm +- 3 mm\" --left \"30 mm\"\n  ebbwright fit garden.toml --measured sunday.toml --json > fit.json"
)]
pub(super) struct Arguments {
    /// Scenario file (TOML); `ebbwright new` writes one to start from.
    scenario: PathBuf,
    #[command(flatten)]
    measured: Options,
    /// Folder for the files; by default the scenario's name with "-fit" in the current folder,
    /// with --json none.
    #[arg(long, value_name = "DIR", help_heading = "Options")]
    out: Option<PathBuf>,
    /// Print one JSON document in SI units and nothing else.
    #[arg(long, help_heading = "Options")]
    json: bool,
    /// Units of text, page and picture.
    #[arg(long, value_enum, default_value_t = Units::Metric, help_heading = "Options")]
    units: Units,
}

pub(super) fn fit(arguments: &Arguments) -> Result<Answer, Failure> {
    let units = UnitSystem::from(arguments.units);
    let scenario = scenario::read(&arguments.scenario)
        .map_err(|error| Failure::Scenario(error.render(terminal::colour_messages())))?;
    if !scenario.warnings.is_empty() {
        terminal::complain(&scenario.render_warnings(terminal::colour_messages()));
    }
    let system = &scenario.system;
    let measured = arguments.measured.measured(system, units)?;
    let found = fit_system(system, &measured).map_err(|error| {
        let hint = match error {
            FitError::NeverSo { .. } => {
                "\n  Check the measurement and the scenario's heights; `ebbwright why` looks for \
                 causes that change more than coefficients."
            }
            FitError::NoSimulation => "",
        };
        Failure::Usage(format!("{error}{hint}"))
    })?;
    let report = FitReport {
        system,
        fit: &found,
        speed: scenario.pump_speed(),
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
        let mut text = report.text(Look::default());
        if let Some(folder) = &folder {
            text += &format!("\nPage and picture are in {}\n", folder.display());
        }
        terminal::say(&text)?;
    }
    Ok(Answer::Good)
}

/// Where the files go; `None` writes none.
fn out_folder(arguments: &Arguments) -> Option<PathBuf> {
    match &arguments.out {
        Some(folder) => Some(folder.clone()),
        None if arguments.json => None,
        None => {
            let stem = arguments.scenario.file_stem().unwrap_or_default();
            let mut name = stem.to_owned();
            name.push("-fit");
            Some(PathBuf::from(name))
        }
    }
}

/// Every file of the folder, in memory.
fn files(report: &FitReport, source: &Path, json: &str) -> Result<Vec<OutFile>, Failure> {
    let plot = plots::draw_fit(report.system, report.fit, report.units)
        .map_err(|error| Failure::Internal(format!("a plot cannot be drawn: {error}")))?;
    let source = source.file_name().unwrap_or_default().to_string_lossy();
    let picture = Picture {
        file: &format!("{}.svg", plot.name),
        caption: "Measured against simulated",
    };
    let page = report.markdown(&source, &[picture]);
    let file = |name: String, bytes: Vec<u8>| OutFile { name, bytes };
    Ok(vec![
        file("fit.md".to_owned(), page.into_bytes()),
        file("fit.json".to_owned(), json.as_bytes().to_vec()),
        file(format!("{}.svg", plot.name), plot.svg.into_bytes()),
        file(format!("{}.png", plot.name), plot.png),
    ])
}
