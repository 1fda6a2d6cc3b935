//! Why a bed has no length, in words.

use crate::model::System;
use crate::report::{Kind, Say, Text, because, said};
use crate::simulation::Regime;
use crate::study::cut::{Opening, Refusal, Step};
use crate::units::UnitSystem;

/// Why a bed of `system` has no length, in one or two sentences with figures in `units`.
pub fn refusal_because(system: &System, refusal: &Refusal, units: UnitSystem) -> Text {
    let say = Say { system, units };
    match refusal {
        Refusal::MediaTooShallow { depth, needed, .. } => said!(
            "The gravel is too shallow: {} deep, and even the shortest standpipe needs {}.",
            say.length("depth", *depth),
            say.length("needed", *needed)
        ),
        Refusal::LipBelowOpening {
            lip, opening, kind, ..
        } => said!(
            "The lip would have to be at {} above the bed's floor, where {} at {} already \
             lets air in.",
            say.length("lip", *lip),
            match kind {
                Opening::Slots => "the crown of the slots",
                Opening::AirTube => "the mouth of the air tube",
            },
            say.length("opening", *opening)
        ),
        Refusal::RimTooLow {
            length,
            freeboard,
            wanted,
            ..
        } => {
            let stands = if *freeboard >= 0.0 {
                said!(
                    "leave only {} of wall over the water",
                    say.length("freeboard", *freeboard)
                )
            } else {
                "send the water over the wall".into()
            };
            said!(
                "The rim is too low: with the {} that leave the wanted dry layer, a dead \
                 siphon would {}; {} is wanted.",
                say.length("length", *length),
                stands,
                say.length("wanted", *wanted)
            )
        }
        Refusal::StartLevelTooHigh { level, most } => said!(
            "The bed begins with its water {} above its floor; with the wanted dry layer it \
             may stand at {} at most.",
            say.length("level", *level),
            say.length("most", *most)
        ),
        Refusal::NotCycling {
            regime,
            length,
            leaves_layer,
            check,
            ..
        } => {
            let length = say.length("length", *length);
            let with = if *leaves_layer {
                said!("With {}, the length for the wanted dry layer,", length)
            } else {
                said!("Even with a standpipe of only {}", length)
            };
            let because = check.as_ref().map(|check| because(system, check, units));
            let because = because.map(|because| said!(" {}", because));
            said!("{} {}.{}", with, instead(*regime), because)
        }
        Refusal::TooShortRun { simulated } => said!(
            "The simulated {} are over before its siphon has broken once.",
            say.time("simulated", *simulated)
        ),
        Refusal::Unsettled { length, dry_layer } => said!(
            "Its highest water jumps with the timing of the other beds; the search was given \
             up at {}, which leaves {} of dry gravel.",
            say.length("length", *length),
            say.length("dry_layer", *dry_layer)
        ),
        Refusal::TooMuch { simulations } => said!(
            "The search was given up after {} simulations of the whole system: all that it takes \
             would take too long.",
            say.count("simulations", *simulations)
        ),
    }
}

/// What a bed does that does not cycle.
const fn instead(regime: Regime) -> &'static str {
    match regime {
        Regime::Dribbles => "its siphon never starts, it dribbles",
        Regime::Stalls => "its siphon stalls",
        Regime::RunsOn => "its siphon runs on and never breaks",
        Regime::Overflows => "it overflows",
        Regime::NeverFills => "its water never reaches the lip",
        Regime::Unfinished => "it completes no cycle",
        Regime::Cycles => "its siphon never breaks",
    }
}

/// What else is known of a bed of `system` without a length, found by simulating the whole
/// system, with its figures in `units`; empty where nothing is.
pub fn refusal_hint(system: &System, refusal: &Refusal, units: UnitSystem) -> Text {
    let say = Say { system, units };
    match refusal {
        Refusal::NotCycling {
            shorter: Some(shorter),
            ..
        } => said!(
            "With a standpipe of {} it would cycle, with more dry gravel than wanted.",
            say.printed(
                Kind::Length,
                "shorter",
                *shorter,
                units.length(Step::of(units).down(*shorter))
            )
        ),
        Refusal::TooShortRun { .. } => "Simulate longer: raise hours in the scenario.".into(),
        Refusal::Unsettled { .. } => Text::from(
            "Ask for a dry layer a little thicker, or give the beds' siphons outlets that \
             do not drown one another.",
        ),
        Refusal::TooMuch { .. } => Text::from(
            "Ask for one bed at a time, simulate fewer hours, or look for a drain line that is far \
             too thin or blocked.",
        ),
        _ => Text::default(),
    }
}
