//! `ebbwright run`.

use clap::Args;

use crate::assessment::{Note, assess};
use crate::commands::Answer;
use crate::commands::answered::{Names, undrawn};
use crate::commands::common::Common;
use crate::commands::failure::Failure;
use crate::plots::{self, Plot};
use crate::report::Report;
use crate::simulation::{Sampling, resolve_worst, simulate};
use crate::study::second_opinion::second_opinion;

/// Seconds between samples of the series, events apart.
const SAMPLE_EVERY: f64 = 10.0;

const NAMES: Names = Names {
    page: "report.md",
    results: "result.json",
    contents: "Report, plots and tables",
};

/// Simulate a scenario, print the verdict, and write report, plots and tables to a folder.
///
/// The folder, by default the scenario's name with "-results", gets report.md, report.html,
/// levels.csv, result.json and every plot as SVG and PNG. Files of an earlier run are replaced, those that
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
    let mut assessment = assess(system, &run);
    let remarks = placed.iter().copied().map(Note::WorstMoment);
    assessment.notes.extend(remarks);
    let apart = run.recording.spacing;
    if apart > 0.0 {
        assessment.notes.push(Note::Spacing(apart));
    }
    let report = Report {
        second_opinion: second.as_ref(),
        ..Report::new(system, &run, &assessment, units)
    };
    let document = report.document(&arguments.common.source());
    arguments
        .common
        .answer(document, &NAMES, || pictures(&report))
}

fn pictures(report: &Report) -> Result<Vec<(Plot, &'static str)>, Failure> {
    let plots = plots::draw_all(report.system, report.run, report.assessment, report.units)
        .map_err(undrawn)?;
    let named = plots.into_iter().map(|plot| {
        let caption = caption(plot.name);
        (plot, caption)
    });
    Ok(named.collect())
}

/// What a plot shows, in one line.
fn caption(name: &'static str) -> &'static str {
    match name {
        "levels" => "Water level in every bed",
        "sump" => "Water level in the sump",
        "flows" => "Flows of pump, siphons and drain line",
        "pump" => "Pump against pipework",
        "section" => "The system from the side, to scale",
        other => other,
    }
}
