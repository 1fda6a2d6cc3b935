//! The keys of `mend`.

use crate::answer::KeyTable;
use crate::answer::plan::keys::{EFFECT, FAILING, PLAN, STEP};

/// The table of `mend --json`.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "mend",
    means: "The smallest list of changes with which the whole system was simulated and passes.",
    groups: &[
        ("", PLAN),
        ("steps[]", STEP),
        ("steps[].effects[]", EFFECT),
        ("steps[].needed_for[]", EFFECT),
        ("surer[]", STEP),
        ("surer[].effects[]", EFFECT),
        ("surer[].needed_for[]", EFFECT),
        ("failing_before[]", FAILING),
        ("failing_after[]", FAILING),
    ],
};
