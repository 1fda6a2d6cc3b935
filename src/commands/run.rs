//! `ebbwright run`.

use clap::Args;

use crate::assessment::{Note, Status};
use crate::commands::Answer;
use crate::commands::advice::where_it_fails;
use crate::commands::answered::{Names, undrawn};
use crate::commands::common::Common;
use crate::commands::failure::Failure;
use crate::commands::progress::Waiting;
use crate::plots::{self, Plot};
use crate::report::Report;
use crate::simulation::Sampling;
use crate::study::mend::Judged;
use crate::study::second_opinion::second_opinion;
use crate::study::window::without_incidents;

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
    let common = &arguments.common;
    let scenario = common.read()?;
    // Only the folder's files hold the series.
    let sampling = if common.writes_files() {
        Sampling::Thinned(SAMPLE_EVERY)
    } else {
        Sampling::None
    };
    let waiting = Waiting::new("simulating the system");
    let judged = Judged::recorded(&scenario.system, sampling).map_err(Failure::Simulation)?;
    drop(waiting);
    let plan = where_it_fails(common, &scenario, &judged)?;
    let system = &without_incidents(&scenario.system);
    let second = arguments
        .second_opinion
        .then(|| second_opinion(system, &judged.run));
    let mut assessment = judged.assessment.clone();
    let apart = judged.run.recording.spacing;
    if apart > 0.0 {
        assessment.notes.push(Note::Spacing(apart));
    }
    let report = Report {
        second_opinion: second.as_ref(),
        judged: Some(&judged),
        advice: plan.as_ref().map(|found| found.advice()),
        ..Report::new(system, &judged.run, &assessment, common.units())
    };
    let document = report.document(&common.source());
    let answer = common.answer(document, scenario.text(), &NAMES, || pictures(&report))?;
    // An event that floods the room is no success, though it stands beside the verdict.
    Ok(if judged.verdict() == Status::Fail {
        Answer::CheckFailed
    } else {
        answer
    })
}

/// The pictures of the run, and of the one with events those that show time.
fn pictures(report: &Report) -> Result<Vec<(Plot, &'static str)>, Failure> {
    let draw = |system, run, assessment| {
        plots::draw_all(system, run, assessment, report.units).map_err(undrawn)
    };
    let ordinary = draw(report.system, report.run, report.assessment)?;
    let mut named: Vec<(Plot, &'static str)> = ordinary
        .into_iter()
        .map(|plot| {
            let caption = caption(plot.name);
            (plot, caption)
        })
        .collect();
    if let Some(found) = report.judged.and_then(|judged| judged.disturbed.as_ref()) {
        let eventful = draw(&found.system, &found.run, &found.assessment)?;
        named.extend(eventful.into_iter().filter_map(|mut plot| {
            let (name, caption) = with_events(plot.name)?;
            plot.name = name;
            Some((plot, caption))
        }));
    }
    Ok(named)
}

/// Name and caption of a plot that shows time, drawn of the run with events.
const fn with_events(name: &str) -> Option<(&'static str, &'static str)> {
    match name.as_bytes() {
        b"levels" => Some((
            "levels-with-events",
            "Water level in every bed, with the events",
        )),
        b"sump" => Some((
            "sump-with-events",
            "Water level in the sump, with the events",
        )),
        b"tank" => Some((
            "tank-with-events",
            "Water level in the fish tank, with the events",
        )),
        _ => None,
    }
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
