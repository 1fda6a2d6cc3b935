//! How long fish have where no water moves, told alike by every command.

use crate::answer::{At, Form, Key, Kind, Text, said};
use crate::assessment::FishFigures;
use crate::report::minutes;

keys! { pub(super) KEYS:
    LOWEST_VOLUME = Key::new("lowest_volume_m3", Kind::Volume, "Their water at the lowest level that a stop of the pump brings.");
    UNTIL_LOW = Key::new("until_low_oxygen_s", Kind::Time, "Time until it is low in oxygen when pump or air stops, fed fish and at rest.").of(Form::List);
}

/// How long the fish have oxygen when pump or air stops.
pub(super) fn until_low(found: &FishFigures, at: &At) -> Text {
    let time = |i: &str, time: f64| {
        at.named(&UNTIL_LOW, i, time)
            .said(minutes(time, at.units()))
    };
    said!(
        "pump or air stops: low in oxygen (3 mg/L) after {}, at rest after {} at most; {} of water",
        time("0", found.until_low[0]),
        time("1", found.until_low[1]),
        at.figure(&LOWEST_VOLUME, found.lowest_volume)
    )
}
