//! `ebbwright vary`.

use clap::Args;

use crate::answer::{RandomReport, SweepReport};
use crate::assessment::assess;
use crate::commands::Answer;
use crate::commands::answered::{Names, undrawn};
use crate::commands::axes::{self, OneOrTwo, Wanted};
use crate::commands::common::{Common, bed_named, internal};
use crate::commands::failure::Failure;
use crate::commands::progress::Progress;
use crate::model::System;
use crate::plots;
use crate::scenario::Scenario;
use crate::simulation::{Sampling, resolve_worst, simulate};
use crate::study::map::MapAxis;
use crate::study::map::range::usual_axis;
use crate::study::vary::Tolerances;
use crate::study::vary::random::{FEWEST_DRAWS, MOST_DRAWS, RandomError, random};
use crate::study::vary::sweep::{SweepError, sweep};
use crate::study::window::windows;
use crate::units::parse::parse;
use crate::units::table::Quantity;

/// Draws without --random and --sweep.
const USUAL_DRAWS: u32 = 1000;
/// Points of a sweep over one quantity, and along each of two.
const USUAL_POINTS: [u16; 2] = [60, 25];

/// Vary inputs: draw tolerances at random and say how likely each check passes, or sweep one or two
/// quantities.
///
/// The folder, by default the scenario's name with "-vary", gets vary.md, report.html, vary.json,
/// the picture as SVG and PNG, and draws.csv or sweep.csv. All is written at the end or nothing.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright vary shed.toml\n  ebbwright vary shed.toml --random 5000 --tape \"5 mm\" --bore \"1 %\" --void 0.05 --pump \"15 %\"\n  ebbwright vary shed.toml --sweep \"standpipe=180 mm..260 mm\"\n  ebbwright vary shed.toml --sweep inflow,void --points 40 --bed north\n\nThe band of every coefficient is set in the scenario, table [coefficients]. A tolerance of 0 switches\nits inputs off. The usual 2.5 % of a bore is what ASTM D1785 leaves 1 in Schedule 40 pipe around\nits middle; a bore looked up by nominal size lies at the upper end: measure it, or give \"5 %\".\nQuantities of a sweep: inflow, bore, drop, standpipe, flare, slot-area, clearance, bell-bore, void,\nbed-area, drain-k, temperature, sump-level.\n\nExit status: 0 done, whatever the shares are; 2 bad input or usage, 3 internal failure."
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Draw this many systems at random; 1000 if neither this nor --sweep is given.
    #[arg(long, value_name = "N", conflicts_with = "sweep", value_parser = clap::value_parser!(u32).range(i64::from(FEWEST_DRAWS)..=i64::from(MOST_DRAWS)))]
    random: Option<u32>,
    /// Seed of the draws; the same seed gives the same files.
    #[arg(long, value_name = "N", default_value_t = 1, conflicts_with = "sweep")]
    seed: u64,
    /// How far lengths measured or cut by tape may be off, either way: siphon, gravel, sump level,
    /// plan of beds, sump, fish tank and settler.
    #[arg(long, value_name = "LENGTH", default_value = "3 mm", value_parser = length, conflicts_with = "sweep")]
    tape: f64,
    /// How far the bores of pipes and bells may be off, either way, in percent.
    #[arg(long, value_name = "PERCENT", default_value = "2.5 %", value_parser = percent, conflicts_with = "sweep")]
    bore: f64,
    /// How far the void may be off, either way, as a fraction.
    #[arg(
        long,
        value_name = "FRACTION",
        default_value_t = 0.03,
        conflicts_with = "sweep"
    )]
    void: f64,
    /// How far the pump may be off, either way, in percent of its speed or measured flow.
    #[arg(long, value_name = "PERCENT", default_value = "10 %", value_parser = percent, conflicts_with = "sweep")]
    pump: f64,
    /// Keep the uncertain coefficients at their nominal values.
    #[arg(long, conflicts_with = "sweep")]
    nominal: bool,
    /// Sweep one or two quantities, each with an optional range: X or X=LOW..HIGH, or X,Y.
    #[arg(long, value_name = "X[,Y]", value_parser = axes::read_some)]
    sweep: Option<OneOrTwo>,
    /// Points of the sweep, along each quantity; by default 60, or 25 along each of two.
    #[arg(long, value_name = "N", requires = "sweep", value_parser = clap::value_parser!(u16).range(2..=1000))]
    points: Option<u16>,
    /// Bed to sweep, by its name; by default the first.
    #[arg(long, value_name = "NAME", requires = "sweep")]
    bed: Option<String>,
}

fn length(text: &str) -> Result<f64, String> {
    let wanted = Quantity::Length;
    parse(text, wanted).map_err(|error| format!("{error}; {}", error.help(wanted)))
}

/// `10 %` as 0.1.
fn percent(text: &str) -> Result<f64, String> {
    text.trim()
        .strip_suffix('%')
        .and_then(|number| number.trim().parse::<f64>().ok())
        .filter(|number| number.is_finite())
        .map(|number| number / 100.0)
        .ok_or_else(|| "write a percentage such as \"10 %\"".to_owned())
}

pub(super) fn vary(arguments: &Arguments) -> Result<Answer, Failure> {
    let scenario = arguments.common.read()?;
    match &arguments.sweep {
        Some(OneOrTwo(wanted)) => swept(arguments, &scenario, wanted),
        None => drawn(arguments, &scenario),
    }
}

fn drawn(arguments: &Arguments, scenario: &Scenario) -> Result<Answer, Failure> {
    let system = &scenario.system;
    let count = arguments.random.unwrap_or(USUAL_DRAWS);
    let tolerances = Tolerances {
        tape: arguments.tape,
        bore: arguments.bore,
        void: arguments.void,
        pump: arguments.pump,
        coefficients: !arguments.nominal,
    };
    let pieces = usize::try_from(count).unwrap_or(usize::MAX);
    let progress = Progress::new(pieces, "simulating draws");
    let found = random(system, &tolerances, count, arguments.seed, &|| {
        progress.one_done();
    })
    .map_err(|error| match error {
        RandomError::Simulation(error) => Failure::Simulation(error),
        other => Failure::Usage(other.to_string()),
    })?;
    progress.finish();
    let common = &arguments.common;
    let report = RandomReport {
        system,
        found: &found,
        units: common.units(),
    };
    let document = report.document(&common.source());
    let names = names("Page, picture and draws");
    common.answer(document, scenario.text(), &names, || {
        let plot = plots::draw_chances(&found, &system.title).map_err(undrawn)?;
        let caption = "How likely each check passes, and which inputs matter";
        Ok(vec![(plot, caption)])
    })
}

fn swept(arguments: &Arguments, scenario: &Scenario, wanted: &[Wanted]) -> Result<Answer, Failure> {
    let system = &scenario.system;
    let common = &arguments.common;
    let bed = match &arguments.bed {
        Some(name) => bed_named(system, name)?,
        None => 0,
    };
    let mut axes = wanted
        .iter()
        .map(|wanted| axis(wanted, system, bed))
        .collect::<Result<Vec<MapAxis>, Failure>>()?
        .into_iter();
    let x = axes
        .next()
        .ok_or_else(|| internal("a sweep without a quantity"))?;
    let y = axes.next();
    let along = arguments
        .points
        .unwrap_or(USUAL_POINTS[usize::from(y.is_some())]);
    let points = usize::from(along);
    let pieces = if y.is_some() { points * points } else { points };
    let progress = Progress::new(pieces, "simulating the sweep");
    let found =
        sweep(system, bed, x, y, points, &|| progress.one_done()).map_err(|error| match error {
            SweepError::Simulation(error) => Failure::Simulation(error),
            other => Failure::Usage(other.to_string()),
        })?;
    progress.finish();
    let report = SweepReport {
        system,
        found: &found,
        units: common.units(),
    };
    let document = report.document(&common.source());
    common.answer(
        document,
        scenario.text(),
        &names("Page, picture and table"),
        || {
            let subject = format!("{}, bed \"{}\"", system.title, system.beds[bed].name);
            let plot = plots::draw_sweep(&found, &subject, common.units()).map_err(undrawn)?;
            Ok(vec![(plot, "The bed over the swept quantities")])
        },
    )
}

const fn names(contents: &'static str) -> Names {
    Names {
        page: "vary.md",
        results: "vary.json",
        contents,
    }
}

/// The axis asked for; without a range one that shows the edges of the bed's window.
fn axis(wanted: &Wanted, system: &System, bed: usize) -> Result<MapAxis, Failure> {
    if let Some(axis) = wanted.given() {
        return Ok(axis);
    }
    let (system, _) = resolve_worst(system).map_err(Failure::Simulation)?;
    let run = simulate(&system, Sampling::None).map_err(Failure::Simulation)?;
    let assessment = assess(&system, &run);
    let found = windows(&system, &run, &assessment);
    usual_axis(wanted.quantity, &system, bed, &found.beds[bed])
        .ok_or_else(|| internal("a bed of the sweep is missing"))
}
