//! What may be wrong, with what can be tried of it.

use serde_json::{Value, json};

use super::super::request::Seen;
use super::super::wished::{Refused, Wished, shown};
use super::{measured, plan_as_read, plan_for};
use crate::answer::WhyReport;
use crate::model::{Change as Doing, System};
use crate::scenario::{Advised, written_as};
use crate::study::valves::as_read;
use crate::study::why::{
    self, Cause, Diagnosis, Figure, Outcome, Question, Suspect, Symptom, diagnose,
};
use crate::units::display::capital;
use crate::units::reading::read;
use crate::units::table::Quantity;

/// What may be wrong, ranked.
pub(in crate::page) fn why(wished: &Wished, seen: &Seen) -> Result<Value, Refused> {
    let system = &wished.scenario.system;
    let measured = measured(wished, seen)?;
    let symptom = seen.symptom.as_deref().and_then(Symptom::from_key);
    let answers = seen.checks.iter().filter_map(|(cause, yes)| {
        let cause = Cause::from_key(cause)?;
        Some(why::Answer { cause, yes: *yes })
    });
    let mut question = Question {
        bed: seen.bed,
        symptom,
        others: Vec::new(),
        facts: measured.facts.clone(),
        seen: measured.seen.clone(),
        answers: answers.collect(),
        readings: measured.figures.iter().map(why::Reading::from).collect(),
        sizes: wished.units,
    };
    for (key, figure) in BESIDE {
        if let Some(text) = seen
            .readings
            .get(key)
            .filter(|text| !text.trim().is_empty())
        {
            let found = read(text, Quantity::Length)
                .map_err(|error| Refused::Because(format!("{text}: {error}")))?;
            question.readings.push(why::Reading {
                figure,
                bed: seen.bed,
                value: found.value,
                sigma: found
                    .spread
                    .unwrap_or_else(|| figure.usual_sigma(found.value)),
            });
        }
    }
    let mut diagnosis = diagnose(system, &question).map_err(Refused::because)?;
    // What is described is at fault: what helps is what "What to do" finds, which reckons with what the
    // bucket read.
    let mut planned = None;
    if diagnosis.wants_plan() {
        let found = match diagnosis.misfed {
            // Where no plan can reckon with what was read, what the diagnosis has found is told.
            Some(one) => plan_as_read(wished, (seen.bed, one.inflow))?,
            None => Some(plan_for(wished, system, None)?),
        };
        if let Some(found) = found {
            diagnosis.planned(&found.plan);
            planned = Some(last_of_each(&found));
        }
    }
    let report = WhyReport {
        system,
        diagnosis: &diagnosis,
        further: None,
        units: wished.units,
    };
    let mut out = shown(&report.document(wished.name));
    let suspects = diagnosis.suspects.iter();
    out["suspects"] = suspects
        .map(|suspect| {
            let mut acted = acted(wished, &diagnosis, suspect);
            if let (Outcome::AsBuilt, Some(edits)) = (suspect.outcome, &planned) {
                acted["cure"] = json!(edits);
            }
            acted
        })
        .collect();
    Ok(out)
}

/// What a suspect is to the system, as changes that can be tried: the trouble as it shows, and what
/// is changed beside mending it; nothing where nothing is, `null` where the scenario cannot say it.
fn acted(wished: &Wished, diagnosis: &Diagnosis, suspect: &Suspect) -> Value {
    let scenario = &wished.scenario;
    let listed = |after: &System| {
        let written = written_as(scenario, after, &wished.kept).ok()?;
        let edits = written.edits.iter().map(ToString::to_string);
        Some(edits.collect::<Vec<String>>())
    };
    let drawn = suspect.shows.as_ref().and_then(|shows| shows.drawn);
    let best = suspect.severity.map(|(best, _)| best);
    let edits = match (suspect.outcome, drawn.or(best)) {
        (Outcome::Cause(cause), Some(severity)) => {
            let system = &scenario.system;
            let lowest_sump = system.sump.floor + diagnosis.promised.sump.0;
            let after = cause.acting_on(system, diagnosis.question.bed, severity, lowest_sump);
            after.and_then(|after| listed(&after))
        }
        _ => Some(Vec::new()),
    };
    let bed = diagnosis.question.bed;
    let remedy = suspect.remedy.as_ref();
    let remedy = remedy.filter(|_| !diagnosis.is_described_anew(suspect.outcome));
    let cure = remedy.and_then(|remedy| {
        let changes = remedy.steps.iter().flat_map(|step| match step {
            // Behind a pump it is the bed's valve that sets it.
            why::Step::SetInflow { to, .. } => as_read(&scenario.system, &[(bed, *to)])
                .map_or_else(
                    |_| vec![Doing::Inflow { bed, to: *to }],
                    |read| read.changes,
                ),
            why::Step::Change(changes) => changes.clone(),
        });
        let mut after = scenario.system.clone();
        for change in changes {
            change.apply_to(&mut after).ok()?;
        }
        listed(&after)
    });
    json!({
        "says": capital(suspect.outcome.words()), "edits": edits, "cure": cure,
        // The drawing is of the middle of the bands.
        "drawn": drawn.is_some() || suspect.shows.is_none()
            || (suspect.outcome == Outcome::AsBuilt && diagnosis.explains_itself()),
    })
}

/// Readings that only `why` takes.
pub(super) const BESIDE: [(&str, Figure); 3] = [
    ("drop", Figure::Drop),
    ("sump-low", Figure::SumpLow),
    ("sump-high", Figure::SumpHigh),
];

/// All of a plan's edits at once: of a key that two steps set the last one's.
fn last_of_each(found: &Advised) -> Vec<String> {
    let all: Vec<&String> = found.edits.iter().flatten().collect();
    let key = |edit: &str| edit.split(" = ").next().map(str::to_owned);
    let last = all.iter().enumerate().filter(|(n, edit)| {
        let mut later = all.iter().skip(n + 1);
        !later.any(|other| key(other) == key(edit))
    });
    last.map(|(_, edit)| (*edit).clone()).collect()
}
