//! `ebbwright run`.

use clap::Args;

use crate::assessment::{Status, assess};
use crate::commands::Answer;
use crate::commands::common::{Common, internal, look};
use crate::commands::failure::Failure;
use crate::commands::folder::OutFile;
use crate::plots;
use crate::report::{Picture, Report, spacing_remark, worst_remark};
use crate::simulation::{Sampling, resolve_worst, simulate};
use crate::study::second_opinion::second_opinion;

/// Seconds between samples of the series, events apart.
const SAMPLE_EVERY: f64 = 10.0;

/// Simulate a scenario, print the verdict, and write report, plots and tables to a folder.
///
/// The folder, by default the scenario's name with "-results", gets report.md, levels.csv,
/// result.json and every plot as SVG and PNG. Files of an earlier run are replaced, those that
/// somebody else wrote or changed only with --force.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright run shed.toml\n  ebbwright run shed.toml --units us --out results\n  ebbwright run shed.toml --json > result.json"
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Simulate once more with another integrator, and print how far both are apart.
    #[arg(long)]
    second_opinion: bool,
}

pub(super) fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let units = arguments.common.units();
    let scenario = arguments.common.read()?;
    let (system, placed) = resolve_worst(&scenario.system).map_err(Failure::Simulation)?;
    let system = &system;
    // Only the folder's files hold the series.
    let sampling = if arguments.common.writes_files() {
        Sampling::Thinned(SAMPLE_EVERY)
    } else {
        Sampling::None
    };
    let run = simulate(system, sampling).map_err(Failure::Simulation)?;
    let second = arguments
        .second_opinion
        .then(|| second_opinion(system, &run));
    let mut assessment = assess(system, &run, units);
    let remarks = placed
        .iter()
        .map(|&index| worst_remark(system, index, units));
    assessment.notes.extend(remarks);
    assessment.notes.extend(spacing_remark(&run, units));
    let report = Report {
        second_opinion: second.as_ref(),
        ..Report::new(system, &run, &assessment, units)
    };
    let json = report.json().map_err(internal)?;
    arguments.common.deliver(
        "run",
        &json,
        report.text(look()),
        "Report, plots and tables",
        || files(&report, &arguments.common.source(), &json),
    )?;
    Ok(match assessment.verdict {
        Status::Pass | Status::Warn => Answer::Good,
        Status::Fail => Answer::CheckFailed,
    })
}

/// Every file of the folder, in memory.
fn files(report: &Report, source: &str, json: &str) -> Result<Vec<OutFile>, Failure> {
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
    let page = report.markdown(source, &pictures);
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
