//! The second opinion beside the first.

use serde::Serialize;

use crate::report::Report;
use crate::report::json::Number;
use crate::report::rows::Row;
use crate::report::words::plain;
use crate::study::second_opinion::{Comparison, Pair, SecondOpinion};
use crate::units::UnitSystem;

/// Rows for text and page; none when no second opinion was asked for.
pub(super) fn opinion_rows(report: &Report) -> Vec<Row> {
    match report.second_opinion {
        None => Vec::new(),
        Some(SecondOpinion::Refused(why)) => vec![Row {
            label: "None",
            value: format!(
                "the other integrator gave up: {why}. The first answer stands, unconfirmed."
            ),
        }],
        Some(SecondOpinion::Compared(comparison)) => compared(report, comparison),
    }
}

fn compared(report: &Report, comparison: &Comparison) -> Vec<Row> {
    let units = report.units;
    let mut rows: Vec<Row> = report
        .system
        .beds
        .iter()
        .zip(&comparison.beds)
        .map(|(bed, pair)| {
            let period = match pair.period {
                Some(period) => format!(
                    "period {} and {}{}, ",
                    units.time(period.first),
                    units.time(period.second),
                    share(period)
                ),
                None => "no complete cycle in both, ".to_owned(),
            };
            let regime = if pair.same_regime {
                ""
            } else {
                "; not the same regime"
            };
            Row {
                label: "Bed",
                value: format!(
                    "{}: {period}peak {}{regime}",
                    plain(&bed.name),
                    levels(units, pair.peak)
                ),
            }
        })
        .collect();
    rows.push(Row {
        label: "Sump",
        value: format!(
            "lowest {}; highest {}",
            levels(units, comparison.sump_lowest),
            levels(units, comparison.sump_highest)
        ),
    });
    rows.push(Row {
        label: "So",
        value: if comparison.agrees() {
            "both integrators agree: what is uncertain here is the model and its coefficients, \
             not the arithmetic. Both share the model, so agreement says nothing about it."
        } else {
            "the integrators differ by more than a ten-thousandth of a period or 0.1 mm of level: \
             small errors grow here, as where beds share water and their phases drift. Take \
             single cycles for examples, the extremes for estimates."
        }
        .to_owned(),
    });
    rows
}

/// Both levels, and how far apart they are.
fn levels(units: UnitSystem, pair: Pair) -> String {
    let off = match units {
        UnitSystem::Metric => format!("{:.4} mm", 1e3 * pair.difference().abs()),
        UnitSystem::Us => format!("{:.6} in", pair.difference().abs() / 0.0254),
    };
    format!(
        "{} and {} ({off} apart)",
        units.elevation(pair.first),
        units.elevation(pair.second)
    )
}

/// How far apart, as a share of the first.
fn share(pair: Pair) -> String {
    format!(
        " ({:.1e} of it apart)",
        (pair.difference() / pair.first).abs()
    )
}

#[derive(Serialize)]
pub(super) struct OpinionPart<'a> {
    agrees: Option<bool>,
    refused: Option<&'a str>,
    beds: Vec<BedPart<'a>>,
    sump_lowest_m: Option<PairPart>,
    sump_highest_m: Option<PairPart>,
}

#[derive(Serialize)]
struct BedPart<'a> {
    name: &'a str,
    same_regime: bool,
    period_s: Option<PairPart>,
    peak_level_m: PairPart,
}

#[derive(Serialize)]
struct PairPart {
    first: Number,
    second: Number,
    difference: Number,
}

impl From<Pair> for PairPart {
    fn from(pair: Pair) -> Self {
        Self {
            first: Number(pair.first),
            second: Number(pair.second),
            difference: Number(pair.difference()),
        }
    }
}

impl<'a> OpinionPart<'a> {
    /// `None` when no second opinion was asked for.
    pub(super) fn new(report: &Report<'a>) -> Option<Self> {
        Some(match report.second_opinion? {
            SecondOpinion::Refused(why) => Self {
                agrees: None,
                refused: Some(why),
                beds: Vec::new(),
                sump_lowest_m: None,
                sump_highest_m: None,
            },
            SecondOpinion::Compared(comparison) => Self {
                agrees: Some(comparison.agrees()),
                refused: None,
                beds: report
                    .system
                    .beds
                    .iter()
                    .zip(&comparison.beds)
                    .map(|(bed, pair)| BedPart {
                        name: &bed.name,
                        same_regime: pair.same_regime,
                        period_s: pair.period.map(PairPart::from),
                        peak_level_m: pair.peak.into(),
                    })
                    .collect(),
                sump_lowest_m: Some(comparison.sump_lowest.into()),
                sump_highest_m: Some(comparison.sump_highest.into()),
            },
        })
    }
}
