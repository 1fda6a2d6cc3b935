//! `ebbwright fit`.

use clap::Args;

use crate::commands::Answer;
use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::folder::OutFile;
use crate::commands::measured::Options;
use crate::commands::progress::Waiting;
use crate::plots;
use crate::report::{FitReport, Look, Picture};
use crate::study::fit::{FitError, fit as fit_system};

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
    #[command(flatten)]
    common: Common,
    #[command(flatten)]
    measured: Options,
}

pub(super) fn fit(arguments: &Arguments) -> Result<Answer, Failure> {
    let units = arguments.common.units();
    let scenario = arguments.common.read()?;
    let system = &scenario.system;
    let measured = arguments.measured.measured(system, units)?;
    let waiting = Waiting::new("fitting");
    let found = fit_system(system, &measured).map_err(|error| {
        let hint = match error {
            FitError::NeverSo { .. } => {
                "\n  Check the measurement and the heights in the scenario: no credible \
                 coefficient explains it."
            }
            FitError::NoSimulation => "",
        };
        Failure::Usage(format!("{error}{hint}"))
    })?;
    drop(waiting);
    let report = FitReport {
        system,
        fit: &found,
        speed: scenario.pump_speed(),
        units,
    };
    let json = report.json().map_err(internal)?;
    arguments.common.deliver(
        "fit",
        &json,
        report.text(Look::default()),
        "Page and picture",
        || files(&report, &arguments.common.source(), &json),
    )?;
    Ok(Answer::Good)
}

/// Every file of the folder, in memory.
fn files(report: &FitReport, source: &str, json: &str) -> Result<Vec<OutFile>, Failure> {
    let plot = plots::draw_fit(report.system, report.fit, report.units)
        .map_err(|error| Failure::Internal(format!("a plot cannot be drawn: {error}")))?;
    let picture = Picture {
        file: &format!("{}.svg", plot.name),
        caption: "Measured against simulated",
    };
    let page = report.markdown(source, &[picture]);
    let file = |name: String, bytes: Vec<u8>| OutFile { name, bytes };
    Ok(vec![
        file("fit.md".to_owned(), page.into_bytes()),
        file("fit.json".to_owned(), json.as_bytes().to_vec()),
        file(format!("{}.svg", plot.name), plot.svg.into_bytes()),
        file(format!("{}.png", plot.name), plot.png),
    ])
}
