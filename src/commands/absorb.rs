//! `ebbwright absorb`.

use clap::Args;

use crate::assessment::{Assessment, Status, assess};
use crate::commands::Answer;
use crate::commands::common::{Common, internal, look};
use crate::commands::failure::Failure;
use crate::commands::folder::OutFile;
use crate::model::System;
use crate::plots;
use crate::report::{AbsorbReport, Picture};
use crate::simulation::{Sampling, resolve_worst, simulate};
use crate::study::absorb as study;

/// Seconds between samples of the series, events apart.
const SAMPLE_EVERY: f64 = 10.0;

/// Say what the sump absorbs: bounds, a power cut, and the same drum upright and on its side.
///
/// The folder, by default the scenario's name with "-absorb", gets absorb.md, absorb.json and the
/// picture `volume` as SVG and PNG. Files of these names from an earlier call are replaced.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright absorb shed.toml\n  ebbwright absorb shed.toml --units us --out sump\n  ebbwright absorb shed.toml --json > absorb.json\n\nExit status: 1 when the sump as it is and is filled fails a bound."
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
}

pub(super) fn absorb(arguments: &Arguments) -> Result<Answer, Failure> {
    let units = arguments.common.units();
    let scenario = arguments.common.read()?;
    // The valve's own level is judged against what the others do without it.
    let valve = scenario.system.top_off.as_ref().map(|valve| valve.level);
    let system = &study::undisturbed(&scenario.system);
    let run = simulate(system, Sampling::Every(SAMPLE_EVERY)).map_err(Failure::Simulation)?;
    let assessment = assess(system, &run);
    let found = study::absorb(system, &run);
    let disturbed = disturbed(&scenario.system)?;
    let report = AbsorbReport {
        system,
        run: &run,
        assessment: &assessment,
        absorb: &found,
        disturbed: disturbed.as_ref(),
        float_valve: valve,
        units,
    };
    let json = report.json().map_err(internal)?;
    arguments.common.deliver(
        "absorb",
        &json,
        report.text(look()),
        "Page and picture",
        || files(&report, &arguments.common.source(), &json),
    )?;
    Ok(match report.status() {
        Status::Pass | Status::Warn => Answer::Good,
        Status::Fail => Answer::CheckFailed,
    })
}

/// What `run` makes of the whole scenario, where it has parts that are left out here.
fn disturbed(system: &System) -> Result<Option<Assessment>, Failure> {
    let plain = system.top_off.is_none()
        && system.evaporation <= 0.0
        && system.sources.is_empty()
        && system.incidents.is_empty();
    if plain {
        return Ok(None);
    }
    let (system, _) = resolve_worst(system).map_err(Failure::Simulation)?;
    let run = simulate(&system, Sampling::None).map_err(Failure::Simulation)?;
    Ok(Some(assess(&system, &run)))
}

/// Every file of the folder, in memory.
fn files(report: &AbsorbReport, source: &str, json: &str) -> Result<Vec<OutFile>, Failure> {
    let plot = plots::draw_volume(report.system, report.absorb, report.units)
        .map_err(|error| Failure::Internal(format!("a plot cannot be drawn: {error}")))?;
    let picture = Picture {
        file: &format!("{}.svg", plot.name),
        caption: "What the sump holds at every level, and how far its water can go",
    };
    let page = report.markdown(source, &[picture]);
    let file = |name: String, bytes: Vec<u8>| OutFile { name, bytes };
    Ok(vec![
        file("absorb.md".to_owned(), page.into_bytes()),
        file("absorb.json".to_owned(), json.as_bytes().to_vec()),
        file(format!("{}.svg", plot.name), plot.svg.into_bytes()),
        file(format!("{}.png", plot.name), plot.png),
    ])
}
