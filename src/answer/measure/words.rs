//! What the sheet says.

use crate::answer::measure::keys;
use crate::answer::{At, Text, said};
use crate::assessment::Verdict;
use crate::report::RAGGED_TAIL;
use crate::study::protocol::{Learnt, PLACES_TRIED, StepKind, TALLER_BY, Tells};

pub(super) const TRUST: [&str; 5] = [
    "Errors are one standard deviation of the reading with the siphon's own scatter of 3 % (ours, no \
     source); they assume that the formulas are right.",
    "Repeat the start three to five times: how far your own starts differ sets the honest band, and each is \
     a started-at or dribbled-at of its own.",
    "Two bells in step 3, because with one the lag of hand and eye, about a second, biases the air carried \
     by a quarter.",
    RAGGED_TAIL,
    "The gravel's own loss is left out of the fall between the marks: with fine or dirty gravel it reads \
     slower.",
];

pub(super) const fn title(kind: StepKind) -> &'static str {
    match kind {
        StepKind::Bucket => "time the bucket",
        StepKind::Rise => "time the rise between the marks",
        StepKind::Start => "find the flow that starts it",
        StepKind::Priming => "time the first gulp to the full jet, with two bells",
        StepKind::Fall => "time the fall with the pump off",
        StepKind::Break => "find the flow at which it breaks",
        StepKind::RaisedBreak => "the same with the outlet at the bed's floor",
    }
}

pub(super) fn what_to_do(kind: StepKind, top: &At) -> Text {
    match kind {
        StepKind::Bucket => {
            "Time the bucket three times at the flow the bed has now, and again at every flow you write \
             down below."
                .into()
        }
        StepKind::Rise => {
            "After a break, with the water below the lower mark and the pump on, time from the lower to \
             the upper mark."
                .into()
        }
        StepKind::Start => {
            "From a dribble raise the flow in steps of 8 %, each held 3 minutes. Note the height over the \
             lip at the last dribble, and the first flow that starts. Once more, three to five times if \
             you can."
                .into()
        }
        StepKind::Priming => said!(
            "Time from the first gulp to the full jet three times; put {} under the bell's cap so that it \
             stands taller, and again three times. The second mean less the first counts.",
            top.figure(&keys::TALLER, TALLER_BY)
        ),
        StepKind::Fall => {
            "With the siphon running full and the water over the upper mark stop the pump, and time from \
             the upper to the lower mark."
                .into()
        }
        StepKind::Break => {
            "Raise the flow until the siphon hangs at the foot and does not break. Then lower it in steps \
             of 5 to 10 %, 2 minutes each, until it gulps and breaks. Note the last flow that hung, the \
             flow that broke, and the lowest level."
                .into()
        }
        StepKind::RaisedBreak => {
            "Turn or lengthen the pipe so that it ends at the height of the bed's floor, and repeat step \
             5."
                .into()
        }
    }
}

/// Labels of what is written down where there is no table of flows.
pub(super) const fn blanks(kind: StepKind) -> &'static [&'static str] {
    match kind {
        StepKind::Bucket => &["Bucket 1", "Bucket 2", "Bucket 3"],
        StepKind::Priming => &["As it is, 1 2 3", "Taller, 1 2 3"],
        _ => &["Time 1", "Time 2"],
    }
}

pub(super) const fn key(what: Learnt) -> &'static str {
    match what {
        Learnt::Flow => "flow",
        Learnt::Void => "void",
        Learnt::Start => "start-froude",
        Learnt::LipWeir => "lip-weir",
        Learnt::Carry => "priming-carry",
        Learnt::Loss => "total-loss",
        Learnt::SealedVoid => "sealed-void",
        Learnt::AirVelocity => "air-carry-velocity",
    }
}

/// `the start flow to 3.9 % (open by 33 % either way now)`.
pub(super) fn tells(told: &Tells, at: &At) -> Text {
    let what = match told.what {
        Learnt::Flow => "the inflow",
        Learnt::Void => "the drainable area, so the void,",
        Learnt::Start => "the start flow",
        Learnt::LipWeir => "the lip's weir coefficient",
        Learnt::Carry => "the air carried while priming",
        Learnt::Loss => "the total loss",
        Learnt::SealedVoid => "the void that the pipe below the bed bears",
        Learnt::AirVelocity => "the velocity that carries air down",
    };
    let shown = |value: f64| match told.what {
        Learnt::SealedVoid => format!("{value:.2}"),
        _ if value < 0.0995 => format!("{:.1} %", 100.0 * value),
        _ => format!("{:.0} %", 100.0 * value),
    };
    said!(
        "{} to {} (open by {} either way now)",
        what,
        at.figure(&keys::ERROR, told.error).said(shown(told.error)),
        at.figure(&keys::NOW, told.now).said(shown(told.now))
    )
}

/// Whether a doubt about the bed's own inflow is worth a step.
pub(super) fn doubt(verdict: Verdict, sure: usize) -> bool {
    verdict == Verdict::Uncertain && sure > 0
}

pub(super) fn settles(kind: StepKind, verdict: Verdict, sure: usize, at: &At) -> Text {
    let does = match kind {
        StepKind::Start => "starts",
        _ => "breaks",
    };
    match verdict {
        Verdict::Will => said!(
            "that it {} at its own inflow is sure already; the step says how far you may go from there",
            does
        ),
        Verdict::WillNot => said!(
            "that it {} at its own inflow is out of the question; the step says how far it is from it",
            does
        ),
        Verdict::Uncertain => said!(
            "whether it {} at its own inflow is in doubt; of five places of the truth in its band the \
             step would settle it in {} of {}",
            does,
            at.count(&keys::SETTLES, sure),
            at.count(&keys::PLACES, PLACES_TRIED)
        ),
    }
}
