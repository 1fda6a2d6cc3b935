//! Where what is described, or read, is at fault: nothing need be broken.

use crate::simulation::Regime;
use crate::study::why::doubt::Misfed;
use crate::study::why::question::Question;
use crate::study::why::sight::Sight;
use crate::study::why::symptom::Symptom;

/// A symptom that what the file promises brings up less often than this is not promised.
const PROMISED: f64 = 0.25;

/// Whether what is promised shows `symptom` of bed `bed`.
pub(super) fn is_promised(promised: &Sight, bed: usize, symptom: Symptom) -> bool {
    symptom.chance(promised, promised, bed, false) >= PROMISED
}

/// Whether the sump runs dry as described, so that bed `bed` does not cycle.
pub(super) fn runs_dry(promised: &Sight, bed: usize) -> bool {
    promised.ran_dry > 0.0 && promised.beds[bed].regime != Regime::Cycles
}

/// Whether what is described, or read, explains the complaint with nothing broken.
pub(super) fn explains_itself(
    question: &Question,
    promised: &Sight,
    misfed: Option<Misfed>,
) -> bool {
    misfed.is_some_and(|one| one.as_described)
        || (runs_dry(promised, question.bed) && dry_explains(question, promised))
}

/// Whether a sump that runs dry as described shows what is complained of.
fn dry_explains(question: &Question, promised: &Sight) -> bool {
    let Some(symptom) = question.symptom else {
        return true;
    };
    let regime = promised.beds[question.bed].regime;
    match symptom {
        Symptom::PumpRunsDry => true,
        Symptom::NeverStarts => matches!(regime, Regime::NeverFills | Regime::Dribbles),
        Symptom::UnevenBeds => promised.beds.iter().any(|bed| bed.regime != regime),
        _ => is_promised(promised, question.bed, symptom),
    }
}
