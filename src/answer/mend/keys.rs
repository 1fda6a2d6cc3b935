//! The keys of `mend`.

use crate::answer::{Form, Key, KeyTable, Kind};

/// Troubles by their keys.
const TROUBLES: &[&str] = &[
    "turn",
    "refill",
    "cut-or-drill",
    "replumb",
    "buy",
    "rebuild",
];

keys! { pub(super) TOP:
    WORKS = Key::new("works", Kind::Flag, "Whether nothing fails with all steps.");
    TRIED = Key::new("tried", Kind::Count, "Systems simulated in the search.");
    KEPT = Key::new("kept", Kind::Text, "Keys that no change was to touch.").of(Form::List);
}

keys! { pub(super) STEP:
    SAYS = Key::new("says", Kind::Text, "What is done, in words.");
    TROUBLE = Key::new("trouble", Kind::Word(TROUBLES), "How much trouble it is; our own order.");
    WITH = Key::new("with", Kind::Text, "The changes as --with takes them, one for each key.").of(Form::List);
    MENDS = Key::new("mends", Kind::Text, "Checks that failed before this step and pass after it.").of(Form::List);
    BREAKS = Key::new("breaks", Kind::Text, "Checks that fail after this step and did not before.").of(Form::List);
}

keys! { pub(super) FAILING:
    CHECK = Key::new("check", Kind::Text, "Key of a check that fails.");
    SUBJECT = Key::new("subject", Kind::Text, "The bed or part that it is about.");
    WITH_EVENTS = Key::new("with_events", Kind::Flag, "Whether it fails only with the events of the scenario.");
}

/// The table of `mend --json`.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "mend",
    means: "The smallest list of changes with which the whole system was simulated and passes.",
    groups: &[
        ("", TOP),
        ("steps[]", STEP),
        ("failing_before[]", FAILING),
        ("failing_after[]", FAILING),
    ],
};
