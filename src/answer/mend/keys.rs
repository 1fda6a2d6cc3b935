//! The keys of `mend`.

use crate::answer::KeyTable;
use crate::answer::plan::keys::{DOUBT, EFFECT, FAILING, PLAN, STEP};
use crate::answer::sentence::FIGURE_KEYS;

/// The table of `mend --json`.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "mend",
    means: "The smallest list of changes with which the whole system was simulated and passes.",
    groups: &[
        ("", PLAN),
        ("steps[]", STEP),
        ("steps[].figures[]", FIGURE_KEYS),
        ("steps[].effects[]", EFFECT),
        ("steps[].needed_for[]", EFFECT),
        ("surer[]", STEP),
        ("surer[].figures[]", FIGURE_KEYS),
        ("surer[].effects[]", EFFECT),
        ("surer[].needed_for[]", EFFECT),
        ("doubts[]", DOUBT),
        ("doubts[].figures[]", FIGURE_KEYS),
        ("failing_before[]", FAILING),
        ("failing_before[].figures[]", FIGURE_KEYS),
        ("failing_after[]", FAILING),
        ("failing_after[].figures[]", FIGURE_KEYS),
    ],
};
