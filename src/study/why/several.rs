//! Several sick beds at once: one cause for all of them, or one each.

use crate::model::System;
use crate::numerics::in_order::InOrder;
use crate::study::why::cause::{CATALOGUE, Cause};
use crate::study::why::diagnose::{Diagnosis, WhyError, diagnose};
use crate::study::why::question::{Outcome, Question};
use crate::study::why::symptom::Symptom;

/// Chance of a second fault of its own where there is one already. Common practice, no source.
const ANOTHER: f64 = 0.15;

/// What may be wrong with several beds.
#[derive(Debug, Clone)]
pub struct Several {
    /// Each bed by itself, in the order of the complaints.
    pub each: Vec<Diagnosis>,
    /// Causes that would explain all of them at once, with their shares, largest first.
    pub common: Vec<(Cause, f64)>,
    /// Share of every bed having a cause of its own, or none.
    pub separate: f64,
}

/// Ranks what may be wrong with each bed that somebody complains of. `question` holds all that
/// was read and seen; its own bed and symptom count for nothing. What was read on another sick
/// bed says nothing of a cause that acts on this one.
///
/// # Errors
/// As [`diagnose`].
pub fn diagnose_several(
    system: &System,
    question: &Question,
    complaints: &[(usize, Symptom)],
) -> Result<Several, WhyError> {
    let sick = |bed: usize| complaints.iter().any(|one| one.0 == bed);
    let each: Result<Vec<Diagnosis>, WhyError> = complaints
        .iter()
        .map(|&(bed, symptom)| {
            let concerns = |other: usize| other == bed || !sick(other);
            let mut own = question.clone();
            (own.bed, own.symptom) = (bed, Some(symptom));
            own.others = complaints
                .iter()
                .copied()
                .filter(|one| one.0 != bed)
                .collect();
            own.seen.retain(|seen| concerns(seen.0));
            own.facts.retain(|fact| concerns(fact.bed));
            own.readings
                .retain(|reading| !reading.figure.of_a_bed() || concerns(reading.bed));
            diagnose(system, &own)
        })
        .collect();
    let each = each?;
    let (common, separate) = together(&each);
    Ok(Several {
        each,
        common,
        separate,
    })
}

/// Shares of one cause for all, and of a cause each. With `s` the share of cause `c` on bed
/// `b` and `w` what it had before anything was known, all beds together have
/// `w^(1-n) prod s` of it; beds by themselves `ANOTHER^(n-1) prod (sum s)` (Bayes' rule).
fn together(each: &[Diagnosis]) -> (Vec<(Cause, f64)>, f64) {
    let all: f64 = CATALOGUE.iter().map(|entry| entry.weight).sum();
    let more = i32::try_from(each.len()).unwrap_or(1) - 1;
    let share = |found: &Diagnosis, cause: Cause| {
        // Less water is no cause of a siphon that does not break.
        if found.question.is_stuck_open() && Outcome::Cause(cause).fix_brings_water() {
            return 0.0;
        }
        let mut suspects = found.suspects.iter();
        let same = suspects.find(|suspect| suspect.outcome == Outcome::Cause(cause));
        same.map_or(0.0, |suspect| suspect.share)
    };
    let whole: Vec<(Cause, f64)> = CATALOGUE
        .iter()
        .filter(|entry| entry.cause.is_of_all_beds())
        .map(|entry| {
            let product: f64 = each.iter().map(|found| share(found, entry.cause)).product();
            (entry.cause, (entry.weight / all).powi(-more) * product)
        })
        .collect();
    let own = |found: &Diagnosis| {
        let of_all = CATALOGUE.iter().filter(|e| e.cause.is_of_all_beds());
        1.0 - of_all.map(|entry| share(found, entry.cause)).sum::<f64>()
    };
    let apart = ANOTHER.powi(more) * each.iter().map(own).product::<f64>();
    let total = apart + whole.iter().map(|one| one.1).sum::<f64>();
    if total <= 0.0 {
        return (Vec::new(), 1.0);
    }
    let mut common: Vec<(Cause, f64)> = whole
        .into_iter()
        .map(|(cause, weight)| (cause, weight / total))
        .collect();
    common.order_by(|a, b| b.1.total_cmp(&a.1));
    (common, apart / total)
}
