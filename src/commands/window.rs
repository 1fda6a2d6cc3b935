//! `ebbwright window`.

use clap::Args;

use crate::answer::WindowReport;
use crate::commands::Answer;
use crate::commands::advice::where_it_fails;
use crate::commands::answered::{Names, undrawn};
use crate::commands::axes::{self, Wanted};
use crate::commands::common::{Common, bed_named};
use crate::commands::failure::Failure;
use crate::commands::progress::{Progress, Waiting};
use crate::model::System;
use crate::plots::{self, Plot};
use crate::simulation::SharedTables;
use crate::study::map::range::usual_axis;
use crate::study::map::{MapPlan, RegimeMap};
use crate::study::mend::Judged;
use crate::study::valves::settings;
use crate::study::widen::{Levers, levers};
use crate::study::window::{Windows, windows, without_incidents};

const NAMES: Names = Names {
    page: "window.md",
    results: "window.json",
    contents: "Page, tables and pictures",
};

/// Show at which inflow each siphon starts, runs on and stalls, how to set the valves, and what
/// widens the window; map any two quantities.
///
/// The folder, by default the scenario's name with "-window", gets window.md, report.html, window.json,
/// map.csv and the pictures as SVG and PNG. Exit status 1: with today's inflow some bed cannot work,
/// whatever the uncertain coefficients are within their bands.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright window shed.toml\n  ebbwright window shed.toml --map drop,inflow --points 60\n  ebbwright window shed.toml --map \"inflow=2 L/min..25 L/min,clearance=5 mm..40 mm\"\n  ebbwright window shed.toml --no-map --json > window.json\n\nQuantities of a map: inflow, bore, drop, standpipe, flare, slot-area, clearance, bell-bore, void,\nbed-area, drain-k, temperature, sump-level."
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Two quantities to map, each with an optional range: X,Y or X=LOW..HIGH,Y=LOW..HIGH.
    #[arg(long, value_name = "X,Y", default_value = "inflow,bore", value_parser = axes::read)]
    map: [Wanted; 2],
    /// Points along each axis of the map, each simulated three times.
    #[arg(long, value_name = "N", default_value_t = 100, value_parser = clap::value_parser!(u16).range(2..=1000))]
    points: u16,
    /// Bed to map, by its name; by default the first.
    #[arg(long, value_name = "NAME")]
    bed: Option<String>,
    /// Leave the map out.
    #[arg(long)]
    no_map: bool,
}

pub(super) fn window(arguments: &Arguments) -> Result<Answer, Failure> {
    let scenario = arguments.common.read()?;
    let units = arguments.common.units();
    let system = &without_incidents(&scenario.system);
    let bed = match &arguments.bed {
        Some(name) => bed_named(system, name)?,
        None => 0,
    };
    let waiting = Waiting::new("simulating the system");
    let judged = Judged::new(&scenario.system).map_err(Failure::Simulation)?;
    let (run, assessment) = (&judged.run, &judged.assessment);
    let found = windows(system, run, assessment);
    let plan = settings(system, run, assessment, &found);
    let tables = SharedTables::default();
    let levers: Vec<Levers> = (0..system.beds.len())
        .map(|i| {
            let mut levers = levers(system, run, i, units);
            levers.tried(system, i, (run, assessment.verdict), &tables);
            levers
        })
        .collect();
    drop(waiting);
    let advised = where_it_fails(&arguments.common, &scenario, &judged)?;
    let map = if arguments.no_map {
        None
    } else {
        Some(draw(arguments, system, &found, bed)?)
    };
    let report = WindowReport {
        system: &scenario.system,
        run,
        windows: &found,
        plan: &plan,
        levers: &levers,
        map: map.as_ref(),
        advice: advised.as_ref().map(|found| found.advice()),
        units,
    };
    let document = report.document(&arguments.common.source());
    arguments
        .common
        .answer(document, scenario.text(), &NAMES, || pictures(&report))
}

/// Simulates the map, with a bar when that takes long.
fn draw(
    arguments: &Arguments,
    system: &System,
    found: &Windows,
    bed: usize,
) -> Result<RegimeMap, Failure> {
    let axis = |wanted: &Wanted| {
        wanted
            .given()
            .or_else(|| usual_axis(wanted.quantity, system, bed, &found.beds[bed]))
            .ok_or_else(|| Failure::Internal("a bed of the map is missing".to_owned()))
    };
    let axes = (axis(&arguments.map[0])?, axis(&arguments.map[1])?);
    let points = usize::from(arguments.points);
    let plan = MapPlan::new(system, &found.beds[bed], bed, axes, points)
        .map_err(|error| Failure::Usage(error.to_string()))?;
    let progress = Progress::new(3 * points * points, "simulating the map");
    let cells = plan.cells(&|| progress.one_done());
    progress.finish();
    let progress = Progress::counting("simulations for the edges of the map");
    let map = plan.with_edges(cells, &|| progress.one_done());
    progress.finish();
    Ok(map)
}

fn pictures(report: &WindowReport) -> Result<Vec<(Plot, &'static str)>, Failure> {
    let inflow =
        plots::draw_inflow(report.system, report.windows, report.units).map_err(undrawn)?;
    let mut pictures = vec![(inflow, "Inflow of every bed against its window")];
    if let Some(map) = report.map {
        let plot = plots::draw_map(map, &report.system.title, report.units).map_err(undrawn)?;
        pictures.push((plot, "What the bed does over two quantities"));
    }
    Ok(pictures)
}
