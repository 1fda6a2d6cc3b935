//! The second opinion beside the first.

use crate::answer::run::keys::{
    AGREES, OPINION_NAME, OPINION_PEAK, OPINION_PERIOD, SAME_REGIME, SUMP_HIGHEST, SUMP_LOWEST,
    WHY_REFUSED,
};
use crate::answer::{At, Block, Figure, Key, Place, Row, Section, Text, said};
use crate::report::Report;
use crate::study::second_opinion::{Comparison, Pair, SecondOpinion};
use crate::units::UnitSystem;

/// Both integrators beside one another; `None` when no second opinion was asked for.
pub(super) fn section(report: &Report) -> Option<Section> {
    let at = At::top(report.units).part("second_opinion");
    let section = Section::new("Second opinion")
        .at(Place::Back)
        .on_first_screen();
    Some(match report.second_opinion? {
        SecondOpinion::Refused(why) => {
            let text = said!(
                "the other integrator gave up: {}. The first answer stands, unconfirmed.",
                at.word(&WHY_REFUSED, why.to_string())
            );
            section.with(Block::Rows(vec![Row::new("None", text)]))
        }
        SecondOpinion::Compared(comparison) => section
            .with(Block::Rows(compared(report, comparison, &at)))
            .with(Block::Data(data(report, comparison, &at))),
    })
}

fn compared(report: &Report, comparison: &Comparison, at: &At) -> Vec<Row> {
    let beds = report.system.beds.iter().zip(&comparison.beds).enumerate();
    let mut rows: Vec<Row> = beds
        .map(|(i, (bed, pair))| {
            let at = at.item("beds", i);
            let period = pair.period.map_or_else(
                || "no complete cycle in both, ".into(),
                |period| {
                    let [first, second] = both(&at, &OPINION_PERIOD, period);
                    let apart = (period.difference() / period.first).abs();
                    said!(
                        "period {} and {} ({} of it apart), ",
                        first,
                        second,
                        format!("{apart:.1e}")
                    )
                },
            );
            let regime = if pair.same_regime {
                ""
            } else {
                "; not the same regime"
            };
            let text = said!(
                "{}: {}peak {}{}",
                at.word(&OPINION_NAME, &*bed.name),
                period,
                levels(&at, &OPINION_PEAK, pair.peak),
                regime
            );
            Row::new("Bed", text)
        })
        .collect();
    rows.push(Row::new(
        "Sump",
        said!(
            "lowest {}; highest {}",
            levels(at, &SUMP_LOWEST, comparison.sump_lowest),
            levels(at, &SUMP_HIGHEST, comparison.sump_highest)
        ),
    ));
    let so = if comparison.agrees() {
        "both integrators agree: what is uncertain here is the model and its coefficients, \
         not the arithmetic. Both share the model, so agreement says nothing about it."
    } else {
        "the integrators differ by more than a ten-thousandth of a period or 0.1 mm of level: \
         small errors grow here, as where beds share water and their phases drift. Take \
         single cycles for examples, the extremes for estimates."
    };
    rows.push(Row::new(
        "So",
        at.flag(&AGREES, comparison.agrees())
            .said(report.units.words(so)),
    ));
    rows
}

fn both(at: &At, key: &Key, pair: Pair) -> [Figure; 2] {
    [("first", pair.first), ("second", pair.second)].map(|(name, value)| at.named(key, name, value))
}

/// Both levels, and how far apart they are.
fn levels(at: &At, key: &Key, pair: Pair) -> Text {
    let size = pair.difference().abs();
    let off = match at.units() {
        UnitSystem::Metric => format!("{:.4} mm", 1e3 * size),
        UnitSystem::Us => format!("{:.6} in", size / 0.0254),
    };
    let [first, second] = both(at, key, pair);
    let apart = at.named(key, "difference", pair.difference()).said(off);
    said!("{} and {} ({} apart)", first, second, apart)
}

/// What the rows leave out.
fn data(report: &Report, comparison: &Comparison, at: &At) -> Vec<Figure> {
    let mut out = Vec::new();
    for (i, pair) in comparison
        .beds
        .iter()
        .enumerate()
        .take(report.system.beds.len())
    {
        let at = at.item("beds", i);
        out.push(at.flag(&SAME_REGIME, pair.same_regime));
        let period = pair.period;
        out.extend(period.map(|p| at.named(&OPINION_PERIOD, "difference", p.difference())));
    }
    out
}
