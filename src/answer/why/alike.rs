//! A bed that has the same siphon as the one complained of.

use crate::answer::why::WhyReport;
use crate::answer::{Text, said};
use crate::model::Bed;
use crate::study::why::{Figure as Reads, Symptom};

/// That a bed with the same siphon is fed harder, where too much is complained of, or less, where too
/// little is: if that one works, it is not the flow.
pub(super) fn beside(answer: &WhyReport) -> Option<Text> {
    let found = answer.diagnosis;
    let (own, symptom) = (found.question.bed, found.question.symptom?);
    let (too_much, works) = match symptom {
        Symptom::RunsOn | Symptom::Stalls => (true, "stops"),
        Symptom::Dribbles | Symptom::NeverStarts => (false, "starts"),
        _ => return None,
    };
    let bed = answer.system.beds.get(own)?;
    let alike = |other: &Bed| {
        let fall = |bed: &Bed| bed.floor - bed.siphon.drain.outlet;
        let drain = (&other.siphon.drain.losses, &other.siphon.drain.into);
        other.siphon.standpipe == bed.siphon.standpipe
            && other.siphon.bell == bed.siphon.bell
            && drain == (&bed.siphon.drain.losses, &bed.siphon.drain.into)
            && (fall(other) - fall(bed)).abs() < 1e-3
    };
    let read = found.question.readings.iter();
    let mut read = read.filter(|one| one.figure == Reads::Inflow && one.bed == own);
    let gets = read
        .next()
        .map_or(found.promised.beds[own].inflow, |one| one.value);
    let others = answer.system.beds.iter().zip(&found.promised.beds);
    let others = others.enumerate().filter(|(i, _)| *i != own);
    let flows = answer.others_get().into_iter();
    let mut more = others.zip(flows).filter(|((_, (other, sight)), _)| {
        alike(other) && (sight.inflow > gets) == too_much && sight.inflow != gets
    });
    let ((_, (other, _)), flow) = more.next()?;
    Some(said!(
        "\"{}\" has the same siphon and gets {} ({}): where that one {}, the flow is not what is wrong \
         here.",
        other.name.as_str(),
        if too_much { "more" } else { "less" },
        flow,
        works
    ))
}
