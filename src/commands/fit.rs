//! `ebbwright fit`.

use clap::Args;

use crate::answer::{FitReport, fit_changes};
use crate::commands::Answer;
use crate::commands::answered::{Names, undrawn};
use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::measured::Options;
use crate::commands::progress::Waiting;
use crate::plots;
use crate::scenario::{Scenario, edited, parse};
use crate::study::fit::{Fit, FitError, fit as fit_system};

const NAMES: Names = Names {
    page: "fit.md",
    results: "fit.json",
    contents: "Page and picture",
};

/// Find from measurements on the running system what the scenario could only assume.
///
/// Give whatever was measured; any subset will do. The answer says which unknowns the measurements
/// determine and which not, what to measure next, and what to write into the scenario. A flow at which
/// the siphon started, dribbled, broke or ran on is a fact with one side: it cuts a band. --write puts
/// what was found into the scenario. The folder gets fit.md, report.html, fit.json and the picture as SVG and PNG.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright fit shed.toml --inflow \"6 L/min\" --fill \"14 min 20 s\" --drain \"3 min 5 s\"\n  ebbwright fit garden.toml --bed north --highest \"250 mm +- 3 mm\" --left \"30 mm\"\n  ebbwright fit garden.toml --measured sunday.toml --json > fit.json\n  ebbwright fit shed.toml --started-at \"9 L/min\" --dribbled-at \"6 L/min\" --write shed.toml"
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    #[command(flatten)]
    measured: Options,
}

pub(super) fn fit(arguments: &Arguments) -> Result<Answer, Failure> {
    let scenario = arguments.common.read_only()?;
    let units = arguments.common.units();
    let system = &scenario.system;
    let measured = arguments.measured.measured(system, units)?;
    let waiting = Waiting::new("fitting");
    let found = fit_system(system, &measured).map_err(|error| {
        let hint = match error {
            FitError::NeverSo { .. } => {
                "\n  Check the measurement and the heights in the scenario: no credible \
                 coefficient explains it."
            }
            FitError::NoSimulation | FitError::TooMuch => "",
        };
        Failure::Usage(format!("{error}{hint}"))
    })?;
    drop(waiting);
    write(&arguments.common, &scenario, &found)?;
    let report = FitReport {
        system,
        fit: &found,
        speed: scenario.pump_speed(),
        units,
    };
    let document = report.document(&arguments.common.source());
    arguments
        .common
        .answer(document, scenario.text(), &NAMES, || {
            let plot = plots::draw_fit(system, &found, units).map_err(undrawn)?;
            Ok(vec![(plot, "Measured against simulated")])
        })
}

/// Puts what was found into the scenario where `--write` says.
fn write(common: &Common, scenario: &Scenario, found: &Fit) -> Result<(), Failure> {
    if !common.asks_to_write() {
        return Ok(());
    }
    let changes = fit_changes(&scenario.system, found, scenario.pump_speed());
    let text = edited(scenario.text(), &changes, &common.kept(scenario))
        .map_err(|error| Failure::Usage(format!("--write cannot be done: {error}")))?
        .text;
    parse(&text, "the fitted scenario").map_err(|error| internal(error.render(false)))?;
    common.write_scenario(&text)
}
