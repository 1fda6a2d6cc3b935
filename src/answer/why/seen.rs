//! Whether what was seen is still to be expected.

use crate::model::System;
use crate::study::why::Symptom;

/// Whether somebody is still to be expected to see this at a bed, as a sentence; nothing for a bed that
/// is not there.
pub fn still_to_be_seen(
    system: &System,
    (bed, symptom): (usize, Symptom),
    expected: bool,
) -> String {
    let Some(bed) = system.beds.get(bed) else {
        return String::new();
    };
    let (name, words) = (bed.name.as_str(), symptom.words());
    match expected {
        true => format!("What you see at \"{name}\" ({words}) is still to be expected with that."),
        false => format!(
            "With that, what you see at \"{name}\" ({words}) is not to be expected any more: watch two \
             cycles. Where it still shows, find the cause once more."
        ),
    }
}
