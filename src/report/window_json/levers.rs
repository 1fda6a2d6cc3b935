//! What widens a window, as JSON.

use serde::Serialize;

use crate::report::json::Number;
use crate::report::window_json::{WindowPart, window_part};
use crate::study::widen::{Lever, Opening, Step};

#[derive(Serialize)]
pub(super) struct LeverPart {
    lever: &'static str,
    step: StepPart,
    effect: Option<EffectPart>,
    not_possible: Option<String>,
}

#[derive(Serialize)]
struct StepPart {
    #[serde(skip_serializing_if = "Option::is_none")]
    by_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    nominal: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    schedule: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bore_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    diameter_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    width_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mouth_m: Option<Number>,
}

#[derive(Serialize)]
struct EffectPart {
    #[serde(flatten)]
    window: WindowPart,
    certain_change_m3_s: Number,
    nominal_change_m3_s: Number,
    start_head_change_m: Number,
    break_level_change_m: Number,
}

#[derive(Serialize)]
pub(super) struct OpeningPart {
    lever: &'static str,
    amount_m: Number,
}

pub(super) fn lever_part(lever: &Lever) -> LeverPart {
    let mut step = StepPart {
        by_m: None,
        nominal: None,
        schedule: None,
        bore_m: None,
        diameter_m: None,
        width_m: None,
        mouth_m: None,
    };
    let name = match lever.step {
        Step::LowerOutlet(by) => {
            step.by_m = Some(Number(by));
            "lower-outlet"
        }
        Step::WiderPipe(size) | Step::NarrowerPipe(size) => {
            step.nominal = size.map(|size| size.nominal);
            step.schedule = size.map(|size| size.schedule.name());
            step.bore_m = size.map(|size| Number(size.bore));
            if matches!(lever.step, Step::WiderPipe(_)) {
                "wider-pipe"
            } else {
                "narrower-pipe"
            }
        }
        Step::Flare(diameter) => {
            step.diameter_m = Some(Number(diameter));
            "flare"
        }
        Step::WiderSlots(width) => {
            step.width_m = Some(Number(width));
            "wider-slots"
        }
        Step::AirTube { bore, mouth } => {
            step.bore_m = Some(Number(bore));
            step.mouth_m = Some(Number(mouth));
            "air-tube"
        }
    };
    LeverPart {
        lever: name,
        step,
        effect: lever.effect.as_ref().ok().map(|effect| EffectPart {
            window: window_part(&effect.window),
            certain_change_m3_s: Number(effect.certain),
            nominal_change_m3_s: Number(effect.nominal),
            start_head_change_m: Number(effect.start_head),
            break_level_change_m: Number(effect.break_level),
        }),
        not_possible: lever.effect.as_ref().err().map(ToString::to_string),
    }
}

pub(super) fn opening_part(opening: &Opening) -> OpeningPart {
    match *opening {
        Opening::LowerOutlet(by) => OpeningPart {
            lever: "lower-outlet",
            amount_m: Number(by),
        },
        Opening::SlotWidth(width) => OpeningPart {
            lever: "wider-slots",
            amount_m: Number(width),
        },
        Opening::Bore(bore) => OpeningPart {
            lever: "narrower-pipe",
            amount_m: Number(bore),
        },
    }
}
