//! `ebbwright cut`.

use crate::report::{refusal_because, refusal_fix};
use clap::Args;

use crate::commands::Answer;
use crate::commands::common::{Common, bed_named, internal, look};
use crate::commands::failure::Failure;
use crate::commands::folder::OutFile;
use crate::commands::progress::Progress;
use crate::plots::{Page, SiphonPage, siphon_page};
use crate::report::{CutReport, Picture};
use crate::study::cut::{BedCut, CutError, MOST_DRY_LAYER, Wish, cut};
use crate::units::UnitSystem;
use crate::units::parse::parse;
use crate::units::table::Quantity;

/// Letters of a bed's name in the name of its files.
const NAME_LETTERS: usize = 40;

/// How long to cut each standpipe for the wanted dry layer, and everything that goes with it.
///
/// Answers with the longest standpipe that leaves the wanted dry layer at the highest water, to 1
/// mm and to 1/16 in downward, found on full simulations. The folder, by default the scenario's
/// name with "-cut", gets cut.md, cut.json and one page per bed with its siphon in section, to
/// scale and dimensioned, as SVG and PNG. Files of these names from an earlier run are replaced.
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
    let units = arguments.common.units();
    let scenario = arguments.common.read()?;
    let system = &scenario.system;
    let only = arguments
        .bed
        .as_deref()
        .map(|name| bed_named(system, name))
        .transpose()?;
    let dry_layer = arguments.dry_layer.unwrap_or(system.thresholds.dry_layer);
    let wish = Wish { dry_layer, only };
    let progress = Progress::counting("simulations");
    let cuts =
        cut(system, &wish, units, &mut |_| progress.one_done()).map_err(|error| match error {
            CutError::Simulation(error) => Failure::Simulation(error),
            CutError::DryLayer { .. } | CutError::NoSuchBed { .. } => {
                Failure::Usage(error.to_string())
            }
        })?;
    progress.finish();
    let fittings = scenario.drain_fittings();
    let report = CutReport {
        system,
        cuts: &cuts,
        fittings: &fittings,
        units,
    };
    let json = report.json().map_err(internal)?;
    arguments.common.deliver(
        "cut",
        &json,
        report.text(look()),
        "Pages to print and tables",
        || files(&report, &arguments.common.source(), &json),
    )?;
    Ok(if report.all_cut() {
        Answer::Good
    } else {
        Answer::CheckFailed
    })
}

/// Every file of the folder, in memory.
fn files(report: &CutReport, source: &str, json: &str) -> Result<Vec<OutFile>, Failure> {
    let mut pages = Vec::new();
    for found in &report.cuts.beds {
        pages.push((page_name(report, found), page(report, found)?));
    }
    let links: Vec<String> = pages
        .iter()
        .map(|(name, _)| format!("{name}.svg"))
        .collect();
    let captions: Vec<String> = report
        .cuts
        .beds
        .iter()
        .map(|found| {
            format!(
                "Siphon of {} in section",
                report.system.beds[found.bed].name
            )
        })
        .collect();
    let pictures: Vec<Picture> = links
        .iter()
        .zip(&captions)
        .map(|(file, caption)| Picture { file, caption })
        .collect();
    let markdown = report.markdown(source, &pictures);
    let file = |name: String, bytes: Vec<u8>| OutFile { name, bytes };
    let mut files = vec![
        file("cut.md".to_owned(), markdown.into_bytes()),
        file("cut.json".to_owned(), json.as_bytes().to_vec()),
    ];
    for (name, page) in pages {
        files.push(file(format!("{name}.svg"), page.svg.into_bytes()));
        files.push(file(format!("{name}.png"), page.png));
    }
    Ok(files)
}

fn page(report: &CutReport, found: &BedCut) -> Result<Page, Failure> {
    let (system, units) = (report.system, report.units);
    let pieces = report.pieces(found);
    let refused = found.answer.as_ref().err().map(|refusal| {
        format!(
            "{} {}",
            refusal_because(system, refusal, units),
            refusal_fix(system, refusal, units)
        )
        .trim_end()
        .to_owned()
    });
    let cut = found.answer.as_ref().ok().map(|cut| cut.rounded(units));
    let page = SiphonPage {
        title: &system.title,
        bed: cut.map_or(&system.beds[found.bed], |cut| &cut.bed),
        guard: cut.and_then(|cut| cut.list.guard),
        peak: cut.map(|cut| cut.stand.peak),
        allowance: found.allowance,
        pieces: &pieces,
        refused: refused.as_deref(),
    };
    siphon_page(&page, units)
        .map_err(|error| Failure::Internal(format!("a page cannot be drawn: {error}")))
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
