//! Cautions in words.

use crate::assessment::{Caution, Subject};
use crate::model::System;
use crate::report::{Say, Text, said};
use crate::units::UnitSystem;

/// `cautions` about `system`, one text each with its figures in `units`.
pub fn caution_words(system: &System, cautions: &[Caution], units: UnitSystem) -> Vec<Text> {
    let say = Say { system, units };
    cautions
        .iter()
        .map(|caution| words(&say, caution))
        .collect()
}

fn words(say: &Say, caution: &Caution) -> Text {
    match *caution {
        Caution::Mains => {
            "Mains power near water: feed the pump through residual-current protection (30 mA; a \
             Class A ground-fault interrupter in North America), test it every month, and hang \
             every cable with a drip loop."
                .into()
        }
        Caution::DrinkingWater { gap, least } => said!(
            "Top-off from drinking water: keep an air gap of at least {} (twice the bore, and \
             never under {}) between its outlet and the highest water, or fit the device that the \
             local code asks for.",
            say.length("gap", gap),
            say.length("least", least)
        ),
        Caution::Weight { vessel, load } => {
            let name = match vessel {
                Subject::Bed(i) => say.bed(i),
                other => format!("the {}", say.subject(other)),
            };
            said!(
                "Weight: {} loads its floor with {}, more than dwelling floors are commonly \
                 designed for; ask somebody licensed before you build it indoors.",
                name,
                say.floor_load("load", load)
            )
        }
        Caution::OpenWater => {
            "Open water: small children drown in a few centimetres, an inch or two; cover the sump and every tank."
                .into()
        }
        Caution::Materials => {
            "Materials: use food-grade containers and gravel that does not fizz in vinegar: put \
             many pieces from all over the heap into it for 20 minutes and look for streams of \
             fine bubbles; limestone or shells among them harden the water for years; \
             solvent-cement vapour is harmful and burns, so glue pipes in the open."
                .into()
        }
        Caution::Fish => say
            .units
            .words(
                "Fish: without aeration 20 kg/m3 of fish have well under an hour in a power cut; keep \
                 an air pump that does not need the mains.",
            )
            .into(),
        Caution::LocalCodes => "In all of this local codes and licensed practice decide.".into(),
    }
}
