//! `ebbwright measure`.

use std::path::PathBuf;

use clap::Args;

use crate::answer::{MeasureAnswer, readings_template};
use crate::commands::Answer;
use crate::commands::answered::{Drawn, Names};
use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::folder::write_one;
use crate::commands::measured::which_bed;
use crate::commands::terminal;
use crate::scenario::{open_record, shown};
use crate::study::protocol::protocol;
use crate::units::amounts;

const NAMES: Names = Names {
    page: "measure.md",
    results: "measure.json",
    contents: "Sheet and results",
};

/// Print what to measure on a bed in one afternoon, with a bucket, a watch and a rule.
///
/// The sheet has this bed's marks, the flows to set, what to expect, places to write, and what
/// each step would tell for this bed. Its readings go into a file for `fit --measured` and `why
/// --measured`. The folder gets measure.md, report.html to print, and measure.json.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright measure shed.toml --readings sunday.toml\n  ebbwright fit shed.toml --measured sunday.toml\n  ebbwright measure garden.toml --bed north --open --readings record.toml"
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// Bed to measure; not needed when there is only one.
    #[arg(long, value_name = "NAME")]
    bed: Option<String>,
    /// Write the file of readings to fill in.
    #[arg(long, value_name = "FILE")]
    readings: Option<PathBuf>,
    /// Let that file be an open record: with the sizes, without title and names.
    #[arg(long, requires = "readings")]
    open: bool,
}

pub(super) fn measure(arguments: &Arguments) -> Result<Answer, Failure> {
    let common = &arguments.common;
    let scenario = common.read()?;
    let system = &scenario.system;
    let bed = which_bed(system, arguments.bed.as_deref())?;
    let bucket = amounts::bucket(common.units());
    let sheet = protocol(system, bed, bucket)
        .map_err(Failure::Simulation)?
        .ok_or_else(|| internal("no such bed"))?;
    let mut readings = readings_template(system, &sheet, arguments.open, common.units());
    if arguments.open {
        readings += &open_record(scenario.text()).map_err(internal)?;
    }
    if let Some(path) = &arguments.readings {
        write_one(path, readings.as_bytes(), false)?;
        terminal::complain(&format!(
            "Wrote the readings to fill in to {}.",
            shown(path)
        ));
    }
    let answer = MeasureAnswer {
        system,
        protocol: &sheet,
        readings: &readings,
        units: common.units(),
    };
    let document = answer.document(&common.source());
    common.answer(
        document,
        scenario.text(),
        &NAMES,
        || Ok(Vec::<Drawn>::new()),
    )
}
