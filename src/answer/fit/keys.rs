//! The keys of the results of `fit`.

use crate::answer::{Form, Group, Key, KeyTable, Kind};

/// Several kinds of unknown share these keys; the name says which.
const ESTIMATE: Kind = Kind::Number("SI, by the unknown");

/// A reading of one of several kinds; what was measured says which.
const READING: Kind = Kind::Number("SI, by what was measured");

keys! { pub(super) TOP:
    UNKNOWNS = Key::new("unknowns", Kind::Part, "What the scenario could only assume.").of(Form::List);
    MEASUREMENTS = Key::new("measurements", Kind::Part, "What was measured, beside the simulation.").of(Form::List);
    AT_ODDS = Key::new("at_odds", Kind::Count, "Which measurement, from 0, is at odds with the others.").absent("all agree");
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
    KNOWN = Key::new("known", Kind::Word(&["determined", "narrowed", "not-told"]), "How well the measurements determine it.");
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
    SPREADS = Key::new("spreads_over_prior", Kind::Number("1"), "What it leaves of the spread of every unknown, over the credible band's.")
        .of(Form::List);
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
        ("next[]", NEXT_ONE),
        ("lines[]", LINE),
    ],
};
