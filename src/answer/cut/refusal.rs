//! Why a bed has no length, in words.

use crate::model::System;
use crate::report::because;
use crate::simulation::Regime;
use crate::study::cut::{Opening, Refusal, Step};
use crate::units::UnitSystem;

/// Why a bed of `system` has no length, in one or two sentences with figures in `units`.
pub fn refusal_because(system: &System, refusal: &Refusal, units: UnitSystem) -> String {
    let length = |metres: f64| units.length(metres);
    match refusal {
        Refusal::MediaTooShallow { depth, needed, .. } => format!(
            "The gravel is too shallow: {} deep, and even the shortest standpipe needs {}.",
            length(*depth),
            length(*needed)
        ),
        Refusal::LipBelowOpening {
            lip, opening, kind, ..
        } => format!(
            "The lip would have to be at {} above the bed's floor, where {} at {} already \
                 lets air in.",
            length(*lip),
            match kind {
                Opening::Slots => "the crown of the slots",
                Opening::AirTube => "the mouth of the air tube",
            },
            length(*opening)
        ),
        Refusal::RimTooLow {
            length: cut,
            freeboard,
            wanted,
            ..
        } => {
            let stands = if *freeboard >= 0.0 {
                format!("leave only {} of wall over the water", length(*freeboard))
            } else {
                "send the water over the wall".to_owned()
            };
            format!(
                "The rim is too low: with the {} that leave the wanted dry layer, a dead \
                     siphon would {stands}; {} is wanted.",
                length(*cut),
                length(*wanted)
            )
        }
        Refusal::StartLevelTooHigh { level, most } => format!(
            "The bed begins with its water {} above its floor; with the wanted dry layer it \
                 may stand at {} at most.",
            length(*level),
            length(*most)
        ),
        Refusal::NotCycling {
            regime,
            length: cut,
            leaves_layer,
            check,
            ..
        } => {
            let because = check
                .as_ref()
                .map_or_else(String::new, |told| because(system, told, units).to_string());
            let what = match regime {
                Regime::Dribbles => "its siphon never starts, it dribbles",
                Regime::Stalls => "its siphon stalls",
                Regime::RunsOn => "its siphon runs on and never breaks",
                Regime::Overflows => "it overflows",
                Regime::NeverFills => "its water never reaches the lip",
                Regime::Unfinished => "it completes no cycle",
                Regime::Cycles => "its siphon never breaks",
            };
            let cut = length(*cut);
            let with = if *leaves_layer {
                format!("With {cut}, the length for the wanted dry layer,")
            } else {
                format!("Even with a standpipe of only {cut}")
            };
            format!("{with} {what}. {because}").trim_end().to_owned()
        }
        Refusal::TooShortRun { simulated } => format!(
            "The simulated {} are over before its siphon has broken once.",
            units.time(*simulated)
        ),
        Refusal::Unsettled {
            length: cut,
            dry_layer,
        } => format!(
            "Its highest water jumps with the timing of the other beds; the search was given \
                 up at {}, which leaves {} of dry gravel.",
            length(*cut),
            length(*dry_layer)
        ),
    }
}

/// What else is known of a bed without a length, found by simulating the whole system; empty
/// where nothing is.
pub fn refusal_hint(refusal: &Refusal, units: UnitSystem) -> String {
    match refusal {
        Refusal::NotCycling {
            shorter: Some(shorter),
            ..
        } => format!(
            "With a standpipe of {} it would cycle, with more dry gravel than wanted.",
            units.length(Step::of(units).down(*shorter))
        ),
        Refusal::TooShortRun { .. } => "Simulate longer: raise hours in the scenario.".to_owned(),
        Refusal::Unsettled { .. } => "Ask for a dry layer some millimetres thicker, or give the \
                 beds' siphons outlets that do not drown one another."
            .to_owned(),
        _ => String::new(),
    }
}
