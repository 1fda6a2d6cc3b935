//! `ebbwright cut`.

use clap::Args;

use crate::answer::CutReport;
use crate::commands::Answer;
use crate::commands::advice::where_it_fails_as;
use crate::commands::answered::{Drawn, Names, undrawn};
use crate::commands::common::{Common, bed_named};
use crate::commands::failure::Failure;
use crate::commands::progress::Progress;
use crate::page::cut_sheet;
use crate::plots::siphon_page;
use crate::study::cut::{BedCut, CutError, MOST_DRY_LAYER, Wish, cut, wishing};
use crate::study::mend::Judged;
use crate::units::UnitSystem;
use crate::units::parse::parse;
use crate::units::table::Quantity;

const NAMES: Names = Names {
    page: "cut.md",
    results: "cut.json",
    contents: "Pages to print and tables",
};

/// Letters of a bed's name in the name of its files.
const NAME_LETTERS: usize = 40;

/// How long to cut each standpipe for the wanted dry layer, and everything that goes with it.
///
/// Answers with the longest standpipe that leaves the wanted dry layer at the highest water, to 1
/// mm and to 1/16 in downward, found on full simulations. The folder, by default the scenario's
/// name with "-cut", gets cut.md, report.html, cut.json and one page per bed with its siphon in
/// section, to scale and dimensioned, as SVG and PNG. Files of these names from an earlier run are
/// replaced.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright cut shed.toml\n  ebbwright cut shed.toml --dry-layer \"2 in\" --units us\n  ebbwright cut shed.toml --bed north --json > cut.json\n\nExit status: 0 every bed has a length, 1 a bed is refused, 2 bad input or usage, 3 internal failure."
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Dry gravel wanted over the highest water; by default the scenario's own limit, 50 mm.
    #[arg(long, value_name = "LENGTH", value_parser = dry_layer, allow_hyphen_values = true)]
    dry_layer: Option<f64>,
    /// Only this bed; the others keep their length.
    #[arg(long, value_name = "NAME")]
    bed: Option<String>,
}

/// A length with its unit, within range `[m]`.
fn dry_layer(text: &str) -> Result<f64, String> {
    let wanted = Quantity::Length;
    let metres = parse(text, wanted).map_err(|error| format!("{error}; {}", error.help(wanted)))?;
    if (0.0..=MOST_DRY_LAYER).contains(&metres) {
        Ok(metres)
    } else {
        Err(format!(
            "allowed: 0 mm to {}",
            UnitSystem::Metric.length(MOST_DRY_LAYER)
        ))
    }
}

pub(super) fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let scenario = arguments.common.read()?;
    let units = arguments.common.units();
    let system = &scenario.system;
    let only = arguments
        .bed
        .as_deref()
        .map(|name| bed_named(system, name))
        .transpose()?;
    let dry_layer = arguments.dry_layer.unwrap_or(system.thresholds.dry_layer);
    let wish = Wish { dry_layer, only };
    let progress = Progress::counting("simulations");
    let cuts = cut(system, &wish, &mut |_| progress.one_done()).map_err(|error| match error {
        CutError::Simulation(error) => Failure::Simulation(error),
        CutError::DryLayer { .. } | CutError::NoSuchBed { .. } => Failure::Usage(error.to_string()),
    })?;
    progress.finish();
    let fittings = scenario.fittings();
    let refused = cuts.beds.iter().any(BedCut::is_refused);
    let advised = if refused {
        let wished = wishing(system, dry_layer);
        let judged = Judged::new(&wished).map_err(Failure::Simulation)?;
        where_it_fails_as(&arguments.common, &scenario, &wished, &judged)?
    } else {
        None
    };
    let report = CutReport {
        system,
        built: system,
        cuts: &cuts,
        fittings: &fittings,
        guessed: &scenario.guessed_drains(),
        planned: scenario.is_planned(),
        advice: advised.as_ref().map(|found| found.advice()),
        units,
    };
    let document = report.document(&arguments.common.source());
    arguments
        .common
        .answer(document, scenario.text(), &NAMES, || {
            let beds = cuts.beds.iter();
            beds.map(|found| page(&report, found)).collect()
        })
}

/// The printable page of one bed.
fn page(report: &CutReport, found: &BedCut) -> Result<Drawn, Failure> {
    let units = report.units;
    let drawn = cut_sheet(report, found, |page| siphon_page(page, units)).map_err(undrawn)?;
    Ok(Drawn {
        name: page_name(report, found),
        caption: format!(
            "Siphon of {} in section",
            report.system.beds[found.bed].name
        ),
        svg: drawn.svg,
        png: drawn.png,
    })
}

/// `siphon-1-north`: the number keeps names apart that differ only in signs.
fn page_name(report: &CutReport, found: &BedCut) -> String {
    let mut name = String::new();
    for letter in report.system.beds[found.bed]
        .name
        .chars()
        .take(NAME_LETTERS)
    {
        if letter.is_ascii_alphanumeric() {
            name.push(letter.to_ascii_lowercase());
        } else if !name.ends_with('-') && !name.is_empty() {
            name.push('-');
        }
    }
    format!("siphon-{}-{}", found.bed + 1, name.trim_end_matches('-'))
        .trim_end_matches('-')
        .to_owned()
}
