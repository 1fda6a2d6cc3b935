//! `ebbwright absorb`.

use clap::Args;

use crate::answer::AbsorbReport;
use crate::assessment::{Assessment, assess};
use crate::commands::Answer;
use crate::commands::advice::where_it_fails;
use crate::commands::answered::{Names, undrawn};
use crate::commands::common::Common;
use crate::commands::failure::Failure;
use crate::commands::progress::Waiting;
use crate::model::System;
use crate::plots;
use crate::simulation::{Sampling, simulate};
use crate::study::absorb as study;
use crate::study::mend::Judged;

const NAMES: Names = Names {
    page: "absorb.md",
    results: "absorb.json",
    contents: "Page and picture",
};

/// Seconds between samples of the series, events apart.
const SAMPLE_EVERY: f64 = 10.0;

/// Say what the sump absorbs: bounds, a power cut, and the same drum upright and on its side.
///
/// The folder, by default the scenario's name with "-absorb", gets absorb.md, report.html,
/// absorb.json and the picture `volume` as SVG and PNG. Files of these names from an earlier call
/// are replaced.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright absorb shed.toml\n  ebbwright absorb shed.toml --units us --out sump\n  ebbwright absorb shed.toml --json > absorb.json\n\nExit status: 1 when the sump as it is and is filled fails a bound."
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
}

pub(super) fn absorb(arguments: &Arguments) -> Result<Answer, Failure> {
    let scenario = arguments.common.read()?;
    let units = arguments.common.units();
    // The valve's own level is judged against what the others do without it.
    let valve = scenario.system.top_off.as_ref().map(|valve| valve.level);
    let system = &study::undisturbed(&scenario.system);
    let waiting = Waiting::new("simulating the system");
    let run = simulate(system, Sampling::Every(SAMPLE_EVERY)).map_err(Failure::Simulation)?;
    let assessment = assess(system, &run);
    let found = study::absorb(system, &run);
    let judged = Judged::recorded(&scenario.system, Sampling::None).map_err(Failure::Simulation)?;
    drop(waiting);
    let advised = where_it_fails(&arguments.common, &scenario, &judged)?;
    let report = AbsorbReport {
        system,
        run: &run,
        assessment: &assessment,
        absorb: &found,
        disturbed: disturbed(&scenario.system, &judged),
        account: &judged.assessment.garden.account,
        float_valve: valve,
        advice: advised.as_ref().map(|found| found.advice()),
        whole: &scenario.system,
        units,
    };
    let document = report.document(&arguments.common.source());
    arguments
        .common
        .answer(document, scenario.text(), &NAMES, || {
            let plot = plots::draw_volume(system, &found, units).map_err(undrawn)?;
            let caption = "What the sump holds at every level, and how far its water can go";
            Ok(vec![(plot, caption)])
        })
}

/// What `run` makes of the whole scenario, its events among it, where it has parts that are left
/// out here.
fn disturbed<'a>(system: &System, judged: &'a Judged) -> Option<&'a Assessment> {
    let plain = system.top_off.is_none()
        && system.evaporation <= 0.0
        && system.sources.is_empty()
        && system.incidents.is_empty();
    let eventful = judged.disturbed.as_ref().map(|found| &found.assessment);
    (!plain).then(|| eventful.unwrap_or(&judged.assessment))
}
