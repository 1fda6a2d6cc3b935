//! The keys of `mend`.

use crate::answer::counts;
use crate::answer::plan::keys::{BUCKET, DOUBT, EFFECT, FAILING, PLAN, STEP};
use crate::answer::sentence::FIGURE_KEYS;
use crate::answer::{Form, Key, KeyTable, Kind};
use crate::report::REGIMES;

keys! { pub(super) TOP:
    STEP_COUNT = Key::new("step_count", Kind::Count, "How many steps there are.");
    BEDS_AFTER = Key::new("beds_after", Kind::Part, "What every bed does with all steps.").of(Form::List);
}
keys! { pub(super) BED_AFTER:
    NAME = Key::new("name", Kind::Text, "The bed's name.");
    REGIME = Key::new("regime", Kind::Word(REGIMES), "What it does.");
    DRY = Key::new("dry_layer_m", Kind::Length, "Gravel that stays dry; nought where it is drowned.");
}

/// The table of `mend --json`.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "mend",
    means: "The smallest list of changes with which the whole system was simulated and passes.",
    groups: &[
        ("", PLAN),
        ("", TOP),
        ("counts_after", counts::KEYS),
        ("beds_after[]", BED_AFTER),
        ("buckets[]", BUCKET),
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
