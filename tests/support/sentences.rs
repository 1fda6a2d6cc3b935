//! Results without what is written for people.

use serde_json::Value;

/// Keys of sentences and of figures as printed: both speak the reader's units.
const FOR_PEOPLE: [&str; 13] = [
    "at_worst",
    "because",
    "cautions",
    "first_fix",
    "headline",
    "hint",
    "in_the_scenario",
    "in_words",
    "notes",
    "says",
    "shown",
    "what",
    "words",
];

/// Takes out what is written in the reader's units; the figures of sentences stay.
pub fn without_words(told: &mut Value) {
    match told {
        Value::Array(items) => items.iter_mut().for_each(without_words),
        Value::Object(parts) => {
            for (key, part) in parts {
                if FOR_PEOPLE.contains(&key.as_str()) {
                    *part = Value::Null;
                } else {
                    without_words(part);
                }
            }
        }
        _ => {}
    }
}
