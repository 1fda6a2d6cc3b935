//! The keys of the results of `fit`.

use crate::answer::{BAND, Form, Group, Key, KeyTable, Kind};
use crate::report::VERDICTS;

/// Several kinds of unknown share these keys; the name says which.
const ESTIMATE: Kind = Kind::Number("SI, by the unknown");

/// A reading of one of several kinds; what was measured says which.
const READING: Kind = Kind::Number("SI, by what was measured");

keys! { pub(super) TOP:
    UNKNOWNS = Key::new("unknowns", Kind::Part, "What the scenario could only assume.").of(Form::List);
    MEASUREMENTS = Key::new("measurements", Kind::Part, "What was measured, beside the simulation.").of(Form::List);
    FACTS = Key::new("facts", Kind::Part, "At which flows siphons started, dribbled, broke or ran on, as told.").of(Form::List);
    CUTS = Key::new("cuts", Kind::Part, "What these facts leave of the bands, before any figure is fitted.").of(Form::List);
    SHIFTS = Key::new("shifts", Kind::Part, "Start and break of each bed as written and with what is known now.").of(Form::List);
    TRIALS = Key::new("trials", Kind::Part, "Flows to try next, most telling first.").of(Form::List);
    AT_ODDS = Key::new("at_odds", Kind::Count, "Which measurement, from 0, is at odds with the others.").absent("all agree");
    MEASURED_COUNT = Key::new("measurement_count", Kind::Count, "How many there are of them.");
    EFFECTIVE = Key::new("sets_that_count", Kind::Number("1"), "How many simulated sets of unknowns explain the measurements, as it were.").absent("none was simulated");
    NEXT = Key::new("next", Kind::Part, "What to measure next, most telling first.").of(Form::List);
    COEFFICIENTS = Key::new("coefficients", Kind::Text, "Table for the scenario; empty where no coefficient moved.");
    LINES = Key::new("lines", Kind::Part, "Further lines for the scenario.").of(Form::List);
}
keys! { pub(super) UNKNOWN:
    NAME = Key::new("name", Kind::Text, "What it is, and of which bed where there are several.");
    CREDIBLE = Key::new("credible", ESTIMATE, "Lowest, middle and highest that are credible without measurements.").of(Form::List);
    VALUE = Key::new("value", ESTIMATE, "The estimate; flows and speed as a ratio to the scenario's.");
    LOW = Key::new("low", ESTIMATE, "Two in three lie above this and below `high`.");
    HIGH = Key::new("high", ESTIMATE, "Two in three lie below this and above `low`.");
    SPREAD = Key::new("spread_over_prior", Kind::Number("1"), "Width of the estimate over that of the credible band.");
    KNOWN = Key::new("known", Kind::Word(&["determined", "narrowed", "cut", "not-told"]), "How well the measurements determine it.");
    BLOCKED = Key::new("as_if_blocked_share", Kind::Share, "Share of the slots whose blocking would make that total loss.").absent("it is no total loss, or no greater than it should be");
    SHARES = Key::new("shares", Kind::Share, "Share of each measurement in what was learnt of it.").of(Form::List);
}
keys! { pub(super) MEASUREMENT:
    BED = Key::new("bed", Kind::Text, "On which bed.");
    WHAT = Key::new("what", Kind::Text, "What was measured.");
    MEASURED = Key::new("value", READING, "The measurement.");
    SIGMA = Key::new("sigma", READING, "One standard deviation of it.");
    SCENARIO = Key::new("scenario", READING, "What the scenario as written gives.").absent("it gives none");
    FITTED = Key::new("fitted", READING, "What the model with the estimates gives.");
    PULL = Key::new("pull", Kind::Number("1"), "Fitted less measured, over the measurement's deviation.");
}
keys! { pub(super) NEXT_ONE:
    NEXT_BED = Key::new("bed", Kind::Text, "On which bed.");
    NEXT_WHAT = Key::new("what", Kind::Text, "What to measure.");
    EXPECTED = Key::new("expected", READING, "What the model expects.");
    NEXT_SIGMA = Key::new("sigma", READING, "One standard deviation, as usual.");
    GAIN = Key::new("gain", Kind::Share, "Mean share of the chief unknowns' spreads that it takes away.");
    LEAVES = Key::new("leaves_share", Kind::Share, "What it leaves of the spread that every unknown has now.").of(Form::List);
    SPREADS = Key::new("spreads_over_prior", Kind::Number("1"), "What it leaves of the spread of every unknown, over the credible band's.")
        .of(Form::List);
}
keys! { pub(super) FACT:
    FACT_BED = Key::new("bed", Kind::Text, "On which bed.");
    FACT_WHAT = Key::new("what", Kind::Word(&["started-at", "dribbled-at", "broke-at", "ran-on-at", "raised-broke-at", "raised-ran-on-at"]), "What it did.");
    FACT_FLOW = Key::new("flow_m3_s", Kind::Flow, "At this inflow.");
    FACT_SIGMA = Key::new("sigma_m3_s", Kind::Flow, "One standard deviation of it, the siphon's own scatter included.");
    FACT_DISAGREES = Key::new("disagrees", Kind::Flag, "Whether it disagrees with the band or another fact, and nothing was made of it.");
}
keys! { pub(super) CUT:
    CUT_OF = Key::new("coefficient", Kind::Text, "Of which coefficient.");
    CUT_BEFORE = Key::new("before", ESTIMATE, "The band before.").of(BAND);
    CUT_AFTER = Key::new("after", ESTIMATE, "What is left of it.").of(BAND);
    CUT_LEFT = Key::new("share_left", Kind::Share, "Width of what is left over that before.");
    CUT_LOW_BY = Key::new("low_by", Kind::Count, "Which fact, from 0, moved the low end.").absent("it was not cut");
    CUT_HIGH_BY = Key::new("high_by", Kind::Count, "Which fact, from 0, moved the high end.").absent("it was not cut");
}
keys! { pub(super) SHIFT:
    SHIFT_BED = Key::new("bed", Kind::Text, "Which bed.");
    SHIFT_EDGE = Key::new("edge", Kind::Word(&["starts", "breaks"]), "Which edge of its window.");
    SHIFT_INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Inflow that it is judged on.");
    SHIFT_WAS = Key::new("was", Kind::Word(VERDICTS), "Verdict on the scenario as written.");
    SHIFT_IS = Key::new("is", Kind::Word(VERDICTS), "Verdict with what is known now.");
    SHIFT_BEFORE = Key::new("before_m3_s", Kind::Flow, "The edge as written.").of(BAND);
    SHIFT_AFTER = Key::new("after_m3_s", Kind::Flow, "The edge as known now.").of(BAND);
}
keys! { pub(super) TRIAL:
    TRIAL_BED = Key::new("bed", Kind::Text, "On which bed.");
    TRIAL_HOPED = Key::new("hoped", Kind::Word(&["started-at", "broke-at"]), "What is hoped for.");
    TRIAL_FLOW = Key::new("flow_m3_s", Kind::Flow, "At this inflow.");
    TRIAL_SETTLES = Key::new("settles", Kind::Flag, "Whether one outcome at least ends a doubt about its own inflow.");
    IF_SO = Key::new("if_so", Kind::Part, "What is known if it does.");
    IF_NOT = Key::new("if_not", Kind::Part, "What is known if it does not.");
}
keys! { pub(super) OUTCOME:
    OUTCOME_IS = Key::new("is", Kind::Word(VERDICTS), "Verdict on its own inflow then.");
    OUTCOME_FLOW = Key::new("edge_m3_s", Kind::Flow, "The edge then.").of(BAND);
}
keys! { pub(super) LINE:
    PLACE = Key::new("place", Kind::Text, "Where it belongs.");
    TEXT = Key::new("line", Kind::Text, "The line.");
}

/// What `fit` answers.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "fit",
    means: "What measurements on the running system tell of what its scenario could only assume.",
    groups: &[
        ("", TOP as Group),
        ("unknowns[]", UNKNOWN),
        ("measurements[]", MEASUREMENT),
        ("facts[]", FACT),
        ("cuts[]", CUT),
        ("shifts[]", SHIFT),
        ("trials[]", TRIAL),
        ("trials[].if_so", OUTCOME),
        ("trials[].if_not", OUTCOME),
        ("next[]", NEXT_ONE),
        ("lines[]", LINE),
    ],
};
