//! The keys of a plan, wherever it stands.

use crate::answer::sentence::FIGURES;
use crate::answer::{Form, Key, Kind};

/// What the check's unit is.
const IN_UNIT: Kind = Kind::Number("that of `unit`");

/// Troubles by their keys.
const TROUBLES: &[&str] = &[
    "turn",
    "refill",
    "shovel",
    "cut-or-drill",
    "replumb",
    "buy",
    "rebuild",
];

keys! { pub(in crate::answer) PLAN:
    WORKS = Key::new("works", Kind::Flag, "Whether nothing fails with all steps.");
    AFTER = Key::new("verdict_after", Kind::Word(&["pass", "warn", "fail"]), "The verdict with all steps.");
    COUNTS_AFTER = Key::new("counts_after", Kind::Part, "Checks with all steps, as the headline counts them.");
    TRIED = Key::new("tried", Kind::Count, "Systems simulated in the search.");
    KEPT = Key::new("kept", Kind::Text, "Keys that no change was to touch.").of(Form::List);
    BUCKETS = Key::new("buckets", Kind::Part, "What a bucket says of every bed with all steps, where they turn a valve or set a flow.").of(Form::List);
    BUCKET_SIZE = Key::new("bucket_m3", Kind::Volume, "What that bucket holds.").absent("no step turns a valve or sets a flow");
    STEPS = Key::new("steps", Kind::Part, "What to do, in order.").of(Form::List);
    SURER = Key::new("surer", Kind::Part, "What would settle doubts that are left, in order; nothing needs it to pass.").of(Form::List);
    DOUBTS = Key::new("doubts", Kind::Part, "What is in doubt with all steps; empty where something still fails.").of(Form::List);
    FAILING_AFTER = Key::new("failing_after", Kind::Part, "What still fails with all steps.").of(Form::List);
}

keys! { pub(in crate::answer) ADVICE:
    PLAN_KEY = Key::new("plan", Kind::Part, "The smallest list of changes found with which nothing of the whole system fails.").absent("nothing fails");
}

keys! { pub(in crate::answer) STEP:
    SAYS = Key::new("says", Kind::Text, "What is done, in words.");
    JOINED = Key::new("joined_by", Kind::Text, "The pipe that joins its vessels, in words.").absent("it joins none");
    STEP_FIGURES = FIGURES;
    TROUBLE = Key::new("trouble", Kind::Word(TROUBLES), "How much trouble it is; our own order.");
    WITH = Key::new("with", Kind::Text, "The changes as --with takes them, one for each key.").of(Form::List);
    MENDS = Key::new("mends", Kind::Text, "Checks that failed before this step and pass after it.").of(Form::List);
    BREAKS = Key::new("breaks", Kind::Text, "Checks that fail after this step and did not before.").of(Form::List);
    EFFECTS = Key::new("effects", Kind::Part, "Figures that failed before this step, before and after it.").of(Form::List);
    NEEDED = Key::new("needed_for", Kind::Part, "Of a step that by itself mends nothing that was wrong at first: figures that fail without it, before and after it with all other steps done.").of(Form::List);
    FAILS_WITHOUT = Key::new("fails_without", Kind::Text, "Of such a step: checks that fail with all other steps done and without it.").of(Form::List);
}

keys! { pub(in crate::answer) BUCKET:
    BUCKET_BED = Key::new("bed", Kind::Text, "The bed.");
    BUCKET_FLOW = Key::new("inflow_m3_s", Kind::Flow, "Its mean inflow.");
    BUCKET_FILLS = Key::new("fills_s", Kind::Time, "Time until it is full.");
}

keys! { pub(in crate::answer) EFFECT:
    EFFECT_CHECK = Key::new("check", Kind::Text, "Key of the check.");
    EFFECT_SUBJECT = Key::new("subject", Kind::Text, "The bed or part that it is about.");
    BEFORE = Key::new("before", IN_UNIT, "What was found before, in the check's unit.").absent("there was none");
    THEN = Key::new("after", IN_UNIT, "What is found after.").absent("there is none");
    WITH_ALL = Key::new("with_all", IN_UNIT, "What is found with all steps of the plan.").absent("the step stands beside the plan");
    LIMIT_BEFORE = Key::new("limit_before", IN_UNIT, "What the check asked for before.").absent("there is none");
    LIMIT_THEN = Key::new("limit_after", IN_UNIT, "What it asks for after.").absent("there is none");
    EFFECT_UNIT = Key::new("unit", Kind::Text, "SI unit of them.");
}

keys! { pub(in crate::answer) DOUBT:
    TOPIC = Key::new("topic", Kind::Text, "The question that is in doubt.");
    WORDS = Key::new("words", Kind::Text, "Its answer.");
    DOUBT_FIGURES = FIGURES;
    BROUGHT = Key::new("brought", Kind::Flag, "Whether it passed before the steps, for one bed at least.");
    SETTLES = Key::new("settles", Kind::Text, "What would settle the doubt.").absent("nothing is known to");
}

keys! { pub(in crate::answer) FAILING:
    CHECK = Key::new("check", Kind::Text, "Key of a check that fails.");
    SUBJECT = Key::new("subject", Kind::Text, "The bed or part that it is about.");
    BY_HAND = Key::new("by_hand", Kind::Text, "What to do about it that is no change of the scenario; empty where there is none.");
    HAND_FIGURES = FIGURES;
    WITH_EVENTS = Key::new("with_events", Kind::Flag, "Whether it fails only with the events of the scenario.");
}

/// The groups of a command's table with those of its plan between them.
macro_rules! groups_with_plan {
    ([$($before:expr),+ $(,)?], [$($after:expr),* $(,)?]) => {
        &[
            $($before,)+
            ("plan", $crate::answer::plan::keys::PLAN),
            ("plan.counts_after", $crate::answer::counts::KEYS),
            ("plan.buckets[]", $crate::answer::plan::keys::BUCKET),
            ("plan.steps[]", $crate::answer::plan::keys::STEP),
            ("plan.steps[].figures[]", $crate::answer::sentence::FIGURE_KEYS),
            ("plan.steps[].effects[]", $crate::answer::plan::keys::EFFECT),
            ("plan.steps[].needed_for[]", $crate::answer::plan::keys::EFFECT),
            ("plan.surer[]", $crate::answer::plan::keys::STEP),
            ("plan.surer[].figures[]", $crate::answer::sentence::FIGURE_KEYS),
            ("plan.surer[].effects[]", $crate::answer::plan::keys::EFFECT),
            ("plan.surer[].needed_for[]", $crate::answer::plan::keys::EFFECT),
            ("plan.doubts[]", $crate::answer::plan::keys::DOUBT),
            ("plan.doubts[].figures[]", $crate::answer::sentence::FIGURE_KEYS),
            ("plan.failing_after[]", $crate::answer::plan::keys::FAILING),
            ("plan.failing_after[].figures[]", $crate::answer::sentence::FIGURE_KEYS),
            $($after,)*
        ]
    };
}
pub(in crate::answer) use groups_with_plan;
