//! `ebbwright why`.

use clap::Args;

use crate::answer::{WhyReport, WhySeveral};
use crate::commands::Answer;
use crate::commands::advice::{advised, advised_as_read};
use crate::commands::answered::{Names, undrawn};
use crate::commands::common::{Common, internal};
use crate::commands::failure::Failure;
use crate::commands::measured::{Options, which_bed};
use crate::model::System;
use crate::plots;
use crate::scenario::Scenario;
use crate::study::mend::MOST_TRIED;
use crate::study::why::{
    self, Cause, Diagnosis, Figure, Question, Symptom, WhyError, diagnose, diagnose_several,
};
use crate::units::UnitSystem;
use crate::units::reading::{Reading, read};
use crate::units::table::Quantity;

const NAMES: Names = Names {
    page: "why.md",
    results: "why.json",
    contents: "Page, table and picture",
};

/// Rank what may be wrong with a siphon that will not do what its file promises, from what is
/// seen and measured.
///
/// Every cause is put into the model at several severities and held against the symptom and the
/// measurements; shown are its share, the evidence, one quick check, the fix and what the
/// simulation does after it. The folder gets why.md, report.html, why.json and the picture as SVG
/// and PNG.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright why shed.toml --symptom runs-on\n  ebbwright why shed.toml --symptom runs-on --inflow \"14 L/min\" --standing \"30 mm\"\n  ebbwright why shed.toml --symptom slow-drain --inflow \"5.2 L/min\" --drain \"4 min\" --left \"31 mm\"\n  ebbwright why shed.toml --symptom slow-drain --drain \"4 min\" --check slots-clogged=no\n  ebbwright why garden.toml --symptom north=dribbles --symptom south=runs-on --measured sunday.toml\n\nSymptoms: dribbles, never-starts, runs-on, stalls, breaks-early, slow-drain, overflows-bed,\nsump-overflows, pump-runs-dry, line-gurgles, uneven-beds, period-drifts."
)]
pub(super) struct Arguments {
    #[command(flatten)]
    common: Common,
    /// What is wrong; without it the measurements alone decide. With several sick beds BED=SYMPTOM,
    /// once for each.
    #[arg(long, value_name = "[BED=]SYMPTOM", value_parser = complaint)]
    symptom: Vec<Complaint>,
    /// Answer of a cause's quick check: NAME=yes or NAME=no; may be repeated.
    #[arg(long, value_name = "NAME=ANSWER", value_parser = answer)]
    check: Vec<why::Answer>,
    #[command(flatten)]
    measured: Options,
    /// Lip to the end of the drain pipe, straight down.
    #[arg(long, value_name = "LENGTH", value_parser = length)]
    drop: Option<Reading>,
    /// Lowest level of the sump over a cycle, above its floor.
    #[arg(long, value_name = "HEIGHT", value_parser = length)]
    sump_low: Option<Reading>,
    /// Highest level of the sump over a cycle, above its floor.
    #[arg(long, value_name = "HEIGHT", value_parser = length)]
    sump_high: Option<Reading>,
}

/// What is said of a bed, or of the only one.
#[derive(Debug, Clone)]
struct Complaint {
    bed: Option<String>,
    symptom: Symptom,
}

fn complaint(text: &str) -> Result<Complaint, String> {
    let (bed, word) = match text.rsplit_once('=') {
        Some((bed, word)) => (Some(bed.trim().to_owned()), word.trim()),
        None => (None, text),
    };
    symptom(word).map(|symptom| Complaint { bed, symptom })
}

fn symptom(text: &str) -> Result<Symptom, String> {
    Symptom::from_key(text).ok_or_else(|| {
        let all: Vec<&str> = Symptom::ALL.iter().map(|symptom| symptom.key()).collect();
        format!("it is one of {}", all.join(", "))
    })
}

fn answer(text: &str) -> Result<why::Answer, String> {
    let wanted = "write NAME=yes or NAME=no, such as slots-clogged=no";
    let (name, said) = text.split_once('=').ok_or(wanted)?;
    let yes = match said {
        "yes" => true,
        "no" => false,
        _ => return Err(wanted.to_owned()),
    };
    let cause = Cause::from_key(name).ok_or_else(|| {
        let all: Vec<&str> = Cause::all().map(|cause| cause.entry().key).collect();
        format!(
            "there is no check \"{name}\"; it is one of {}",
            all.join(", ")
        )
    })?;
    Ok(why::Answer { cause, yes })
}

/// Longest length that a tape is held to here `[m]`.
const LONGEST: f64 = 10.0;

fn length(text: &str) -> Result<Reading, String> {
    let quantity = Quantity::Length;
    let found = read(text, quantity).map_err(|e| format!("{e}; {}", e.help(quantity)))?;
    if (0.0..=LONGEST).contains(&found.value) && found.spread.is_none_or(|s| s <= found.value) {
        Ok(found)
    } else {
        Err("it must be 0 to 10 m, with a spread below the value itself".to_owned())
    }
}

pub(super) fn why(arguments: &Arguments) -> Result<Answer, Failure> {
    let scenario = arguments.common.read()?;
    let units = arguments.common.units();
    let system = &scenario.system;
    let complaints = complaints(arguments, system)?;
    let question = question(arguments, &complaints, system, units)?;
    let failed = |error: WhyError| match error {
        WhyError::Simulation(error) => Failure::Simulation(error),
        WhyError::Nothing => Failure::Usage(
            "there is nothing to go by\n  Say what is wrong with --symptom, or measure something, \
             such as --inflow \"6 L/min\"."
                .to_owned(),
        ),
        other => Failure::Usage(other.to_string()),
    };
    if complaints.len() > 1 {
        let mut found = diagnose_several(system, &question, &complaints).map_err(failed)?;
        for one in &mut found.each {
            planned(&arguments.common, &scenario, one)?;
        }
        let report = WhySeveral {
            system,
            found: &found,
            units,
        };
        let document = report.document(&arguments.common.source());
        let document = document.ok_or_else(|| internal("no bed is complained of"))?;
        return arguments.common.answer(document, scenario.text(), &NAMES, || {
            let first = found.each.first().ok_or_else(|| internal("no bed"))?;
            let plot = plots::draw_why(&system.title, first).map_err(undrawn)?;
            let caption =
                "The first bed: what it may be, and how each cause agrees with what was measured";
            Ok(vec![(plot, caption)])
        });
    }
    let mut diagnosis = diagnose(system, &question).map_err(failed)?;
    planned(&arguments.common, &scenario, &mut diagnosis)?;
    let report = WhyReport {
        system,
        diagnosis: &diagnosis,
        units,
        further: None,
    };
    let document = report.document(&arguments.common.source());
    arguments
        .common
        .answer(document, scenario.text(), &NAMES, || {
            let plot = plots::draw_why(&system.title, &diagnosis).map_err(undrawn)?;
            let caption = "What it may be, and how each cause agrees with what was measured";
            Ok(vec![(plot, caption)])
        })
}

/// Where what is described is at fault, what helps is the plan that every command gives.
fn planned(common: &Common, scenario: &Scenario, found: &mut Diagnosis) -> Result<(), Failure> {
    if !found.wants_plan() {
        return Ok(());
    }
    let bed = found.question.bed;
    let plan = match found.misfed {
        // Where no plan can reckon with what was read, what the diagnosis has found is told.
        Some(one) => advised_as_read(common, scenario, &[(bed, one.inflow)])?,
        None => Some(advised(common, scenario, &scenario.system, MOST_TRIED)?),
    };
    if let Some(plan) = plan {
        found.planned(&plan.plan);
    }
    Ok(())
}

/// Which bed what is said of. One without a bed's name is of the bed of `--bed`, of the only
/// one, or of the one that alone was measured.
fn complaints(arguments: &Arguments, system: &System) -> Result<Vec<(usize, Symptom)>, Failure> {
    let mut found: Vec<(usize, Symptom)> = Vec::new();
    for complaint in &arguments.symptom {
        let bed = match (&complaint.bed, arguments.symptom.len()) {
            (Some(name), _) => which_bed(system, Some(name))?,
            (None, 1) => {
                let told = arguments
                    .measured
                    .measured(system, arguments.common.units())?;
                match (arguments.measured.bed(), told.beds().as_slice()) {
                    (None, [only]) => *only,
                    (named, _) => which_bed(system, named)?,
                }
            }
            (None, _) => {
                return Err(Failure::Usage(
                    "which bed does what?\n  With several symptoms write --symptom BED=SYMPTOM, such \
                     as --symptom north=dribbles, once for each sick bed."
                        .to_owned(),
                ));
            }
        };
        if found.iter().any(|one| one.0 == bed) {
            return Err(Failure::Usage(format!(
                "two symptoms are given for \"{}\"\n  Give the one that troubles most.",
                system.beds[bed].name
            )));
        }
        found.push((bed, complaint.symptom));
    }
    Ok(found)
}

/// What is asked, with every measurement.
fn question(
    arguments: &Arguments,
    complaints: &[(usize, Symptom)],
    system: &System,
    units: UnitSystem,
) -> Result<Question, Failure> {
    let measured = arguments.measured.measured(system, units)?;
    let asked = arguments.measured.bed();
    let named = complaints.first().map(|one| one.0);
    let bed = match (named, asked) {
        (Some(bed), _) => bed,
        (None, Some(_)) => which_bed(system, asked)?,
        // One bed alone was measured or there is only one: that is the one.
        (None, None) => match measured.beds().as_slice() {
            [only] => *only,
            _ => which_bed(system, None)?,
        },
    };
    sump_levels(arguments, system, units)?;
    let mut question = Question {
        bed,
        symptom: complaints.first().map(|one| one.1),
        others: Vec::new(),
        seen: measured.seen.clone(),
        answers: arguments.check.clone(),
        facts: measured.facts.clone(),
        readings: measured.figures.iter().map(why::Reading::from).collect(),
        sizes: units,
    };
    for (figure, reading) in [
        (Figure::Drop, arguments.drop),
        (Figure::SumpLow, arguments.sump_low),
        (Figure::SumpHigh, arguments.sump_high),
    ] {
        if let Some(Reading { value, spread }) = reading {
            question.readings.push(why::Reading {
                figure,
                bed,
                value,
                sigma: spread.unwrap_or_else(|| figure.usual_sigma(value)),
            });
        }
    }
    Ok(question)
}

/// Refuses sump levels that cannot be, alone or together.
fn sump_levels(arguments: &Arguments, system: &System, units: UnitSystem) -> Result<(), Failure> {
    let value = |reading: Option<Reading>| reading.map(|reading| reading.value);
    let (low, high) = (value(arguments.sump_low), value(arguments.sump_high));
    let depth = system.sump.shape.depth();
    for (option, level) in [("--sump-low", low), ("--sump-high", high)] {
        if let Some(level) = level.filter(|&level| level > depth) {
            return Err(Failure::Usage(format!(
                "{option} {} is over the sump's wall, {} above its bottom\n  Both levels are \
                 measured from the sump's bottom up to the water.",
                units.length(level),
                units.length(depth)
            )));
        }
    }
    match (low, high) {
        (Some(low), Some(high)) if low > high => Err(Failure::Usage(format!(
            "--sump-low {} lies above --sump-high {}\n  Give the lowest and the highest water in the \
             sump during one cycle, each from the sump's bottom.",
            units.length(low),
            units.length(high)
        ))),
        _ => Ok(()),
    }
}
