//! Whether what was seen is still to be expected.

use crate::assessment::{Assessment, Status};
use crate::model::System;
use crate::report::Topic;
use crate::study::why::Symptom;

/// Whether somebody is still to be expected to see this at a bed, as a sentence; nothing for a bed that
/// is not there. `judged` is of the system as it now is.
pub fn still_to_be_seen(
    (system, judged): (&System, &Assessment),
    (bed, symptom): (usize, Symptom),
    expected: bool,
) -> String {
    let Some(named) = system.beds.get(bed) else {
        return String::new();
    };
    let (name, words) = (named.name.as_str(), symptom.words());
    let check = symptom.check(bed);
    let check = check.and_then(|(id, subject)| judged.check(id, subject));
    // The middle of the bands shows it no more, an unlucky siphon may.
    let doubt = match check.filter(|check| check.status != Status::Pass) {
        Some(check) => format!(
            " of a usual siphon, though that is not sure (see \"{}\")",
            Topic::of(check.id).label()
        ),
        None => String::new(),
    };
    match expected {
        true => format!("What you see at \"{name}\" ({words}) is still to be expected with that."),
        false => format!(
            "With that, what you see at \"{name}\" ({words}) is not to be expected any more{doubt}: watch two \
             cycles. Where it still shows, find the cause once more."
        ),
    }
}
