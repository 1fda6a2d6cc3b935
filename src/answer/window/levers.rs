//! The phrases on levers that widen a window.

use crate::answer::window::keys::{
    AMOUNT, BORE, BREAK_CHANGE, BY, CERTAIN_CHANGE, CERTAIN_WIDTH, DIAMETER, HEAD_CHANGE, MOUTH,
    OPENINGS, RUN_ON, SCHEDULE, SIZE, STALL, START, WHOLE, WIDTH,
};
use crate::answer::window::words::widest;
use crate::answer::{At, Kind, Piece, Text, said, status_key, status_word};
use crate::hydraulics::pipe_sizes::{PipeSize, Schedule};
use crate::model::{Bed, DrainTarget};
use crate::siphon::InflowWindow;
use crate::study::widen::{Effect, Lever, Levers, Opening, Step, certain_width};
use crate::study::window::BedWindow;

/// The row of the bed as it is.
pub(super) fn as_built(found: &BedWindow, at: &At) -> Vec<Text> {
    let mut row = window_row("as it is".into(), &found.window, None, at);
    row.push(Text::default());
    row
}

pub(super) fn lever(bed: &Bed, lever: &Lever, effect: &Effect, at: &At) -> Vec<Text> {
    let mut row = window_row(
        step(bed, lever.step, &at.part("step")),
        &effect.window,
        Some(effect.certain),
        &at.part("effect"),
    );
    row.push(lever.whole.map_or_else(
        || "not simulated".into(),
        |status| {
            let told = at.word(&WHOLE, status_key(status)).said("");
            Text::from(Piece::Status(status, status_word(status))).and(told)
        },
    ));
    row
}

/// Nominal flows, the width of the certain window, and its change.
fn window_row(what: Text, window: &InflowWindow, change: Option<f64>, at: &At) -> Vec<Text> {
    let width = certain_width(window);
    let (factor, _) = at.units().flow_axis();
    let shown = at.figure(&CERTAIN_WIDTH, width);
    let certain = match change {
        _ if width <= 0.0 => shown.said("none").into(),
        None => shown.into(),
        Some(change) => {
            let told = match change * factor {
                // With one decimal it would read +0.0.
                told if told.abs() < 0.05 => "same".to_owned(),
                told => format!("{told:+.1}"),
            };
            said!("{} ({})", shown, at.shown(&CERTAIN_CHANGE, change, told))
        }
    };
    let flow = |key, value| Text::from(at.named(key, "nominal", value));
    vec![
        what,
        flow(&START, window.start.nominal),
        flow(&RUN_ON, window.run_on.nominal),
        flow(&STALL, window.stall.nominal),
        certain,
    ]
}

/// What a step is, in a few words.
pub(super) fn step(bed: &Bed, step: Step, at: &At) -> Text {
    match step {
        Step::LowerOutlet(by) => said!("outlet {} lower", at.figure(&BY, by)),
        Step::WiderPipe(Some(size)) | Step::NarrowerPipe(Some(size)) => {
            said!(
                "pipe {}, {}",
                size_name(size, at),
                at.figure(&BORE, size.bore)
            )
        }
        Step::WiderPipe(None) => "next size of pipe up".into(),
        Step::NarrowerPipe(None) => "next size of pipe down".into(),
        Step::Flare(diameter) => said!("lip flared to {}", at.figure(&DIAMETER, diameter)),
        Step::WiderSlots(width) => said!("slots {} wide", at.figure(&WIDTH, width)),
        Step::AirTube { bore, mouth } => {
            let height = Kind::Length.shown(mouth - bed.floor, at.units());
            said!(
                "air tube {}, mouth at {}",
                at.figure(&BORE, bore),
                at.figure(&MOUTH, mouth).said(height)
            )
        }
    }
}

fn size_name(size: &PipeSize, at: &At) -> Text {
    let unit = match size.schedule {
        Schedule::Sch40 | Schedule::Sch80 => "in",
        Schedule::Pn10 | Schedule::Pn16 => "mm",
    };
    said!(
        "{} {} {}",
        at.word(&SIZE, size.nominal),
        unit,
        at.word(&SCHEDULE, size.schedule.name())
    )
}

/// Remarks under the table of levers.
pub(super) fn lever_notes(bed: &Bed, found: &BedWindow, levers: &Levers, at: &At) -> Vec<Text> {
    let mut notes = Vec::new();
    if let (DrainTarget::Line { .. }, Some(_)) = (&bed.siphon.drain.into, widest(bed, found, at)) {
        let at = at.part("at_lowest_tail");
        notes.push(said!(
            "First of all the drain line is in the way: in a wider line, or with a pipe of its own, \
             it would run on above {} and stall above {}.",
            at.named(&RUN_ON, "nominal", found.widest.run_on.nominal),
            at.named(&STALL, "nominal", found.widest.stall.nominal)
        ));
    }
    if levers.given_up {
        notes.push(
            "Working out what widens it was given up, for on this line it would take too long: steps \
             are missing, and amounts that open a certain window were not looked for."
                .into(),
        );
    }
    if !levers.openings.is_empty() {
        let ways = levers.openings.iter().enumerate().map(|(k, opening)| {
            let at = at.item(OPENINGS.name, k);
            match *opening {
                Opening::LowerOutlet(by) => {
                    said!("the outlet {} lower", at.figure(&AMOUNT, by))
                }
                Opening::SlotWidth(width) => {
                    said!("slots {} wide each", at.figure(&AMOUNT, width))
                }
                Opening::Bore(bore) => said!(
                    "standpipe and drain of at most {} bore",
                    at.shown(&AMOUNT, bore, at.units().bore(bore))
                ),
            }
        });
        notes.push(said!(
            "The bands leave no certain window today. Alone, any of these opens one: {}.",
            Text::joined(ways, "; ")
        ));
    }
    for (i, lever) in levers.levers.iter().enumerate() {
        let Ok(effect) = &lever.effect else { continue };
        let at = at.item("levers", i).part("effect");
        match lever.step {
            Step::Flare(_) => {
                let lower = Kind::Length.shown(-effect.start_head, at.units());
                notes.push(said!(
                    "A flare changes no flow here, because the start is counted on the bore; the \
                     water stands {} lower when it starts. That it also helps the start is known \
                     from practice, without a published figure.",
                    at.figure(&HEAD_CHANGE, effect.start_head).said(lower)
                ));
            }
            Step::AirTube { .. } => notes.push(said!(
                "The air tube breaks the siphon {} higher and leaves that much more water in the bed.",
                at.figure(&BREAK_CHANGE, effect.break_level)
            )),
            Step::LowerOutlet(_) => {
                notes.push("Bed and siphon raised by as much do what a lower outlet does.".into());
            }
            _ => {}
        }
    }
    notes
}
