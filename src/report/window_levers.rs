//! The phrases on levers that widen a window.

use crate::hydraulics::pipe_sizes::{PipeSize, Schedule};
use crate::model::{Bed, DrainTarget};
use crate::report::window_words::widest;
use crate::siphon::InflowWindow;
use crate::study::widen::{Effect, Lever, Levers, Opening, Step, certain_width};
use crate::study::window::BedWindow;
use crate::units::UnitSystem;

/// The row of the bed as it is.
pub(super) fn as_built(found: &BedWindow, units: UnitSystem) -> [String; 5] {
    window_row("as it is".to_owned(), &found.window, None, units)
}

pub(super) fn lever(bed: &Bed, lever: &Lever, effect: &Effect, units: UnitSystem) -> [String; 5] {
    window_row(
        step(bed, lever.step, units),
        &effect.window,
        Some(effect.certain),
        units,
    )
}

/// Nominal flows, the width of the certain window, and its change.
fn window_row(
    what: String,
    window: &InflowWindow,
    change: Option<f64>,
    units: UnitSystem,
) -> [String; 5] {
    let width = certain_width(window);
    let (factor, _) = units.flow_axis();
    let certain = match change {
        _ if width <= 0.0 => "none".to_owned(),
        None => units.flow(width),
        Some(change) if (change * factor).abs() < 0.05 => format!("{} (same)", units.flow(width)),
        Some(change) => format!("{} ({:+.1})", units.flow(width), change * factor),
    };
    [
        what,
        units.flow(window.start.nominal),
        units.flow(window.run_on.nominal),
        units.flow(window.stall.nominal),
        certain,
    ]
}

/// What a step is, in a few words.
pub(super) fn step(bed: &Bed, step: Step, units: UnitSystem) -> String {
    match step {
        Step::LowerOutlet(by) => format!("outlet {} lower", units.length(by)),
        Step::WiderPipe(Some(size)) | Step::NarrowerPipe(Some(size)) => {
            format!("pipe {}, {}", size_name(size), units.bore(size.bore))
        }
        Step::WiderPipe(None) => "next size of pipe up".to_owned(),
        Step::NarrowerPipe(None) => "next size of pipe down".to_owned(),
        Step::Flare(diameter) => format!("lip flared to {}", units.bore(diameter)),
        Step::WiderSlots(width) => format!("slots {} wide", units.length(width)),
        Step::AirTube { bore, mouth } => format!(
            "air tube {}, mouth at {}",
            units.bore(bore),
            units.length(mouth - bed.floor)
        ),
    }
}

fn size_name(size: &PipeSize) -> String {
    let unit = match size.schedule {
        Schedule::Sch40 | Schedule::Sch80 => "in",
        Schedule::Pn10 | Schedule::Pn16 => "mm",
    };
    format!("{} {unit} {}", size.nominal, size.schedule.name())
}

/// Remarks under the table of levers.
pub(super) fn lever_notes(
    bed: &Bed,
    found: &BedWindow,
    levers: &Levers,
    units: UnitSystem,
) -> Vec<String> {
    let mut notes = Vec::new();
    if let (DrainTarget::Line { .. }, Some(_)) = (&bed.siphon.drain.into, widest(bed, found, units))
    {
        notes.push(format!(
            "First of all the drain line is in the way: in a wider line, or with a pipe of its own, \
             it would run on above {} and stall above {}.",
            units.flow(found.widest.run_on.nominal),
            units.flow(found.widest.stall.nominal)
        ));
    }
    if !levers.openings.is_empty() {
        let ways: Vec<String> = levers
            .openings
            .iter()
            .map(|opening| match *opening {
                Opening::LowerOutlet(by) => format!("the outlet {} lower", units.length(by)),
                Opening::SlotWidth(width) => format!("slots {} wide each", units.length(width)),
                Opening::Bore(bore) => {
                    format!("standpipe and drain of at most {} bore", units.bore(bore))
                }
            })
            .collect();
        notes.push(format!(
            "The bands leave no certain window today. Alone, any of these opens one: {}.",
            ways.join("; ")
        ));
    }
    for lever in &levers.levers {
        let Ok(effect) = &lever.effect else { continue };
        match lever.step {
            Step::Flare(_) => notes.push(format!(
                "A flare changes no flow here, because the start is counted on the bore; the water \
                 stands {} lower when it starts. That it also helps the start is known from \
                 practice, without a published figure.",
                units.length(-effect.start_head)
            )),
            Step::AirTube { .. } => notes.push(format!(
                "The air tube breaks the siphon {} higher and leaves that much more water in the bed.",
                units.length(effect.break_level)
            )),
            Step::LowerOutlet(_) => {
                notes.push("Bed and siphon raised by as much do what a lower outlet does.".to_owned());
            }
            _ => {}
        }
    }
    notes
}
