//! Wording of what a bed does, and of what is done about a suspect.

use crate::answer::sentence::told_at;
use crate::answer::why::{WhyReport, keys};
use crate::answer::{At, Figure, Piece, Text, Value, said};
use crate::model::{Bed, Change, Inlet};
use crate::report::{STARTS_LATE, Topic, regime_key, regime_phrase, regime_sentence, step_clause};
use crate::study::why::{BedSight, Cause, Diagnosis, Outcome, Remedy, SetBy, Step, Suspect};

/// What a bed does, as a phrase: one that starts as its drain line empties is told as `run` tells it.
pub(super) fn does(bed: &BedSight) -> String {
    match bed.late {
        true => format!("{}: {STARTS_LATE}", regime_key(bed.regime)),
        false => regime_phrase(bed.regime),
    }
}

/// Regime, period and peak.
pub(super) fn bed_shows(at: &At, bed: &BedSight) -> Text {
    let regime = at.word(&keys::REGIME_THERE, regime_key(bed.regime));
    let mut text = said!(
        "{}; inflow {}",
        regime.said(does(bed)),
        at.figure(&keys::INFLOW, bed.inflow)
    );
    if let Some(period) = bed.period {
        text = text.and(said!(", period {}", at.figure(&keys::PERIOD, period)));
    }
    if let Some(drain) = bed.drain {
        text = text.and(said!(", drain {}", at.figure(&keys::DRAIN, drain)));
    }
    text = text.and(said!(
        ", highest level {}",
        at.figure(&keys::HIGHEST, bed.peak)
    ));
    if let Some(standing) = bed.standing {
        text = text.and(said!(
            ", stands at {}",
            at.figure(&keys::STANDING, standing)
        ));
    }
    text
}

/// What to do, as a clause without its full stop.
pub(super) fn fix(at: &At, answer: &WhyReport, suspect: &Suspect) -> Text {
    let steps = redesign(at, answer, suspect);
    let none = steps.is_empty();
    match suspect.outcome {
        Outcome::Cause(cause) => {
            let fix = Text::from(at.word(&keys::FIX, cause.entry().fix));
            match (none, cause) {
                // With as little as described it runs dry.
                (_, Cause::TooMuchWater) if answer.diagnosis.is_described_anew(suspect.outcome) => {
                    said!(
                        "{}put the level at which it stands into the description in place of {}, and look again",
                        Piece::Unsaid(at.word(&keys::FIX, cause.entry().fix)),
                        at.figure(&keys::DESCRIBED_WATER, answer.system.sump.start_level)
                    )
                }
                (_, Cause::LessVoid) if answer.diagnosis.is_described_anew(suspect.outcome) => {
                    said!(
                        "{}put the void you found into the description, and look again",
                        Piece::Unsaid(at.word(&keys::FIX, cause.entry().fix))
                    )
                }
                // One is not told to take water out and then to fill it in.
                (false, cause) if cause.is_of_water() && fills(suspect).is_some() => said!(
                    "{}{}, whatever stands in the sump now",
                    Piece::Unsaid(at.word(&keys::FIX, cause.entry().fix)),
                    steps
                ),
                (false, _) => said!("{}; then {}", fix, steps),
                // What is set back by hand is set back to a flow.
                (true, Cause::InletThrottled | Cause::InletOpen | Cause::StrongPump) => {
                    said!(
                        "{}, {} (a plan that changes pipes as well may set another)",
                        fix,
                        as_described(answer)
                    )
                }
                _ => fix,
            }
        }
        Outcome::AsBuilt if none => match suspect.aim {
            Some(flow) => said!(
                "bring its inflow to {}, where it is likeliest both to start and to stop, which no valve \
                 does as things are: the window command says what gives or widens that",
                at.figure(&keys::AIM, flow)
            ),
            None => "run the window command for what widens it".into(),
        },
        Outcome::AsBuilt => steps,
    }
}

/// Where a step of the remedy fills the sump to `[m]`.
fn fills(suspect: &Suspect) -> Option<f64> {
    let mut steps = suspect.remedy.iter().flat_map(|remedy| &remedy.steps);
    steps.find_map(|step| match step {
        Step::Change(changes) => changes.iter().find_map(Change::fills_sump),
        Step::SetInflow { .. } => None,
    })
}

/// Where what is done about the system as described fills the sump to.
pub(super) fn fill_of(answer: &WhyReport) -> Option<f64> {
    let (_, own) = as_built(answer)?;
    fills(own)
}

/// The system as described among the suspects, and its place.
pub(super) fn as_built<'a>(answer: &WhyReport<'a>) -> Option<(usize, &'a Suspect)> {
    let mut suspects = answer.diagnosis.suspects.iter().enumerate();
    suspects.find(|(_, one)| one.outcome == Outcome::AsBuilt)
}

/// What the bed gets as described.
pub(super) fn as_described(answer: &WhyReport) -> Figure {
    let promised = &answer.diagnosis.promised.beds[answer.diagnosis.question.bed];
    let at = answer.top().part("as_in_file");
    at.figure(&keys::INFLOW, promised.inflow)
}

/// A figure's number; none is more than any.
const fn of(figure: &Figure) -> f64 {
    match figure.value {
        Value::Number(value) => value,
        _ => f64::INFINITY,
    }
}

/// How far a bed's valve stands open, where it has one.
fn opening(bed: &Bed) -> Option<f64> {
    match &bed.inlet {
        Inlet::Piped(branch) => branch.valve.as_ref().map(|valve| valve.opening),
        _ => None,
    }
}

/// What the others get once a bed's valve is turned, and who no longer does what it did.
fn others_then(at: &At, answer: &WhyReport, remedy: &Remedy) -> Text {
    let after = &remedy.after;
    let found = answer.diagnosis;
    let apart = |i: &usize| *i != found.question.bed;
    let others: Vec<usize> = (0..after.beds.len()).filter(apart).collect();
    let flows = others.iter().map(|&i| after.beds[i].inflow);
    let flows = at.list(&keys::OTHERS_THEN, flows);
    let who = match others.len() {
        0 => return Text::default(),
        1 => "the other bed then gets",
        _ => "the other beds then get",
    };
    let flows = Text::joined(flows.into_iter().map(Text::from), ", ");
    let mut text = said!("; {} {}", who, flows);
    for i in others {
        let (was, now) = (&found.promised.beds[i], &after.beds[i]);
        if was.regime != now.regime {
            let does = regime_sentence(now.regime);
            text = text.and(format!(", and \"{}\" {does}", answer.bed_name(i)));
        }
    }
    if !remedy.spoils.is_empty() {
        let spoils = remedy.spoils.iter();
        let spoils = spoils.map(|&(id, subject)| Topic::named(id, subject, answer.system));
        let spoils = at.words(&keys::THEN_FAILS, spoils).into_iter();
        text = text.and(said!(
            "; what fails by it: {}",
            Text::joined(spoils.map(Text::from), ", ")
        ));
    }
    text.and(
        " (where a plan for all beds turns more valves, do that instead: it weighs what each of them loses)",
    )
}

/// Which inflow to set, and by which valve where there is one.
fn set_inflow(at: &At, answer: &WhyReport, (flow, by): (f64, SetBy), remedy: &Remedy) -> Text {
    let found = answer.diagnosis;
    let bed = found.question.bed;
    let (now, to) = (as_described(answer), at.figure(&keys::SET_INFLOW, flow));
    let more = flow > found.promised.beds[bed].inflow;
    let how = match answer.system.beds.get(bed).and_then(opening) {
        Some(open) if more && open < 1.0 => "open",
        Some(_) if !more => "turn down",
        _ => return said!("set the inflow to {} with bucket and stopwatch", to),
    };
    let others = answer.others_get().into_iter();
    let least = others.reduce(|a, b| if of(&b) < of(&a) { b } else { a });
    let beside = match (least, answer.system.beds.len()) {
        (Some(only), 2) if more => said!(", the other bed {}", only),
        (Some(least), _) if more => said!(", every other bed at least {}", least),
        _ => Text::default(),
    };
    let (and_those, after) = match by {
        SetBy::OwnValve => ("", others_then(at, answer, remedy)),
        // Its valve alone does not give that: what the others lose for it is not known.
        SetBy::Hand if more && answer.system.beds.len() > 1 => (
            " and turn those of the others down",
            ": its own valve alone does not give that".into(),
        ),
        SetBy::Hand => ("", Text::default()),
    };
    said!(
        "{} the valve of \"{}\"{} until a bucket under its inlet reads {} (it gets {}{}){}",
        how,
        answer.bed_name(bed),
        and_those,
        to,
        now,
        beside,
        after
    )
}

/// What to change of the design, as a clause; empty where nothing is changed.
fn redesign(at: &At, answer: &WhyReport, suspect: &Suspect) -> Text {
    let Some(remedy) = &suspect.remedy else {
        return Text::default();
    };
    let mut now = answer.system.clone();
    let mut changed = Vec::new();
    for step in &remedy.steps {
        match step {
            Step::SetInflow { to, by } => {
                return set_inflow(at, answer, (*to, *by), remedy);
            }
            Step::Change(changes) => {
                changed.push(step_clause(changes, &now, answer.units));
                for change in changes {
                    // What fits only with a later change of its step fits in the end.
                    let _ = change.apply_to(&mut now);
                }
            }
        }
    }
    if changed.is_empty() {
        return Text::default();
    }
    told_at(at, &keys::CHANGE, Text::joined(changed, ", then "))
}

/// What the simulation shows after the fix.
pub(super) fn after(at: &At, suspect: &Suspect, diagnosis: &Diagnosis) -> Option<Text> {
    let remedy = suspect.remedy.as_ref();
    let remedy = remedy.filter(|_| !diagnosis.is_described_anew(suspect.outcome))?;
    let bed = remedy.after.beds.get(diagnosis.question.bed)?;
    Some(said!("{} (simulated)", bed_shows(&at.part("after"), bed)))
}
