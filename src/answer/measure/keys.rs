//! The keys of the results of `measure`.

use crate::answer::{BAND, Form, Group, Key, KeyTable, Kind};
use crate::report::VERDICTS;

/// Of several kinds; the step says which.
const READING: Kind = Kind::Number("s or m3/s, by the step");

keys! { pub(super) TOP:
    BED = Key::new("bed", Kind::Text, "The bed that the sheet is for.");
    INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Its inflow now.");
    LOW_MARK = Key::new("low_mark_m", Kind::Length, "Height of the lower mark over the bed's floor.");
    HIGH_MARK = Key::new("high_mark_m", Kind::Length, "Height of the upper mark over the bed's floor.");
    LIP = Key::new("lip_m", Kind::Length, "Height of the lip over the bed's floor.");
    BREAKS_AT = Key::new("breaks_at_m", Kind::Length, "Height over the bed's floor at which it is expected to break.");
    BUCKET_HOLDS = Key::new("bucket_m3", Kind::Volume, "What the bucket is filled to.");
    TALLER = Key::new("taller_by_m", Kind::Length, "How much taller the second bell stands.");
    SHORTEST = Key::new("shortest_round_min", Kind::Number("min"), "About how long the shortest useful round takes.");
    ALL_STEPS = Key::new("all_steps_min", Kind::Number("min"), "About how long all steps take.");
    STEPS = Key::new("steps", Kind::Part, "The steps, in order.").of(Form::List);
    READINGS = Key::new("readings", Kind::Text, "The file to fill in, for --measured.");
}
keys! { pub(super) STEP:
    STEP_NAME = Key::new("step", Kind::Word(&["bucket", "rise", "start", "priming", "fall", "break", "raised-break"]), "Which step.");
    NEEDED = Key::new("needed", Kind::Flag, "Whether the shortest useful round needs it.");
    TAKES = Key::new("takes_s", Kind::Time, "About how long it takes.");
    EXPECTED = Key::new("expected", READING, "The reading to expect, with what the bands leave open.").of(BAND).absent("it cannot be foretold");
    FLOWS = Key::new("flows_m3_s", Kind::Flow, "Flows to set one after the other.").of(Form::List);
    HEADS = Key::new("heads_m", Kind::Length, "Height over the lip at which each of them dribbles; nought where it does not.").of(Form::List);
    TELLS = Key::new("tells", Kind::Part, "What it tells.").of(Form::List);
    VERDICT_NOW = Key::new("verdict_now", Kind::Word(VERDICTS), "Verdict on its own inflow now.").absent("the step settles none");
    SETTLES = Key::new("settles_in_5", Kind::Count, "In how many of five places of the truth in its band the step would make that verdict sure.").absent("the step settles none");
    PLACES = Key::new("places_tried", Kind::Count, "How many such places were tried.").absent("the step settles none");
    PUMP_GIVES = Key::new("pump_gives_m3_s", Kind::Flow, "What the pump gives this bed at most.").absent("it gives enough to be sure to see it");
}
keys! { pub(super) TOLD:
    WHAT = Key::new("what", Kind::Word(&["flow", "void", "start-froude", "lip-weir", "priming-carry", "total-loss", "sealed-void", "air-carry-velocity"]), "What it tells.");
    ERROR = Key::new("error", Kind::Share, "One standard deviation, of the value; of sealed-void absolute.");
    NOW = Key::new("now", Kind::Share, "Half the width of the band it has now, of the nominal value; of sealed-void absolute.");
}

/// What `measure` answers.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "measure",
    means: "A sheet to print: what to measure on a bed in an afternoon, and what each step would tell.",
    groups: &[
        ("", TOP as Group),
        ("steps[]", STEP),
        ("steps[].tells[]", TOLD),
    ],
};
