//! What to measure next: the figure whose expected values separate the leading outcomes most.

use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;
use crate::simulation::Regime;
use crate::study::measure::Seen;
use crate::study::why::likelihood::{Datum, Expected, Explanation, Node};
use crate::study::why::question::{Outcome, Question};
use crate::study::why::sight::{Figure, Sight};

/// Outcomes that the choice is made between.
const LEADING: usize = 6;
/// Less than this is not worth telling apart.
const LEAST_SHARE: f64 = 0.02;
/// Less than this chance of telling apart is none.
const LEAST_WORTH: f64 = 0.02;
/// Of the two outcomes that it tells best, the chance that it does: of less than two standard
/// deviations between them nobody would know what was read.
const LEAST_TOLD: f64 = 0.39;
/// Measurements named.
const NAMED: usize = 3;

/// A measurement and what it would tell.
#[derive(Debug, Clone, PartialEq)]
pub struct NextMeasurement {
    /// What to measure.
    pub figure: Figure,
    /// On which bed.
    pub bed: usize,
    /// Chance that it tells two outcomes apart that could both be the case, 0 to 1.
    pub worth: f64,
    /// What leading outcomes expect of it, SI.
    pub expected: Vec<(Outcome, f64)>,
}

type Ranked<'a> = (Outcome, f64, &'a [Node], &'a Explanation);

/// The most telling measurements that have not been made, best first.
pub(super) fn next_measurements(
    ranked: &[Ranked<'_>],
    question: &Question,
    promised: &Sight,
    chance: &dyn Fn(Outcome, &Sight) -> f64,
) -> Vec<NextMeasurement> {
    let leading: Vec<&Ranked> = ranked
        .iter()
        .take(LEADING)
        .filter(|one| one.1 >= LEAST_SHARE)
        .collect();
    let beds = ranked
        .first()
        .and_then(|one| one.2.first()?.shown.iter().flatten().next())
        .map_or(0, |sight| sight.beds.len());
    let mut found = Vec::new();
    for figure in Figure::ALL.into_iter().filter(|f| !f.is_of_sheet()) {
        for bed in 0..beds {
            let whole = !figure.of_a_bed();
            let known = question
                .readings
                .iter()
                .any(|r| r.figure == figure && (whole || r.bed == bed));
            let there = whole || can_be_read(figure, bed, question, promised);
            if known || (whole && bed != question.bed) || !there {
                continue;
            }
            let forecasts: Vec<Option<Expected>> = leading
                .iter()
                .map(|one| forecast(one, figure, bed, question.bed, chance))
                .collect();
            let (told, best) = told_apart(&leading, &forecasts);
            let worth = figure.ease() * told;
            if worth >= LEAST_WORTH && best >= LEAST_TOLD {
                let expected = leading
                    .iter()
                    .zip(&forecasts)
                    .filter_map(|(one, f)| Some((one.0, figure.scale().value((*f)?.0))))
                    .collect();
                found.push(NextMeasurement {
                    figure,
                    bed,
                    worth,
                    expected,
                });
            }
        }
    }
    found.order_by(|a, b| b.worth.total_cmp(&a.worth));
    found.truncate(NAMED);
    found
}

/// Whether bed `bed` shows `figure` at all: one that is complained of by what is said of it,
/// one that nobody complains of by what it should do. Nobody looks for the edges of a siphon
/// that works.
fn can_be_read(figure: Figure, bed: usize, question: &Question, promised: &Sight) -> bool {
    let seen = question.seen.iter().find(|seen| seen.0 == bed);
    let symptom = question.symptom_of(bed);
    let cycles = match (seen.map(|seen| seen.1), symptom) {
        (Some(Seen::Cycles), _) => Some(true),
        (Some(_), _) => Some(false),
        (None, Some(symptom)) => symptom.cycles(),
        (None, None) if bed == question.bed => None,
        (None, None) => Some(promised.beds[bed].regime == Regime::Cycles),
    };
    match figure {
        // The highest level of what stands still is the one it stands at.
        Figure::FillTime | Figure::DrainTime | Figure::Period | Figure::Left | Figure::Peak => {
            cycles != Some(false)
        }
        Figure::Standing => cycles != Some(true),
        Figure::StartsAt | Figure::StopsAt => bed == question.bed,
        _ => true,
    }
}

fn forecast(
    one: &Ranked,
    figure: Figure,
    bed: usize,
    asked_bed: usize,
    chance: &dyn Fn(Outcome, &Sight) -> f64,
) -> Option<Expected> {
    let sights = one.2.iter().flat_map(|node| node.shown.iter().flatten());
    // Only the reading's own error hangs on the value, and that little: any will do.
    let value = sights
        .filter_map(|sight| figure.in_sight(sight, bed))
        .next()?;
    let datum = Datum::new(figure, bed, value, figure.usual_sigma(value));
    let outcome = one.0;
    let alone = Explanation::new(one.2, &[datum], asked_bed, &|sight| chance(outcome, sight));
    one.3.forecast(&alone)
}

/// Chance that two outcomes drawn by their shares differ and the figure shows which:
/// one less the Bhattacharyya coefficient of what they expect, over all pairs. Beside it the
/// chance of the pair that it tells best, as if these two were all.
fn told_apart(leading: &[&Ranked], forecasts: &[Option<Expected>]) -> (f64, f64) {
    let (mut worth, mut best) = (0.0, 0.0_f64);
    for (i, a) in leading.iter().enumerate() {
        for (j, b) in leading.iter().enumerate().skip(i + 1) {
            let (Some((m1, s1)), Some((m2, s2))) = (forecasts[i], forecasts[j]) else {
                continue;
            };
            let sum = s1 * s1 + s2 * s2;
            let alike =
                (2.0 * s1 * s2 / sum).sqrt() * (-0.25 * (m1 - m2).powi(2) / sum).exponential();
            // Twice: a pair can be drawn in either order.
            worth += 2.0 * a.1 * b.1 * (1.0 - alike);
            best = best.max(1.0 - alike);
        }
    }
    (worth, best)
}

impl Figure {
    /// How readily it is measured, 0 to 1, beside its worth. Common practice, no source.
    const fn ease(self) -> f64 {
        match self {
            // Hours of turning a valve.
            Self::StartsAt | Self::StopsAt => 0.3,
            Self::SumpSwing | Self::SumpLow | Self::SumpHigh => 0.9,
            _ => 1.0,
        }
    }
}
