//! The keys of the results of `vary`: of random draws, and of a sweep.

use crate::answer::{Form, Group, Key, KeyTable, Kind};
use crate::report::REGIMES;

/// Values of an axis, in the unit that it names.
const ON_AXIS: Kind = Kind::Number("that of the axis");
/// Values of an input or a margin, in the unit that stands beside it.
const OF_UNIT: Kind = Kind::Number("that of `unit`");
const NO_RUN: &str = "the point has no answer";

keys! { pub(super) DRAWN:
    KIND = Key::new("kind", Kind::Word(&["random"]), "Draws at random.");
    DESIGN = Key::new("design", Kind::Word(&["latin-hypercube"]), "How they are drawn.");
    SEED = Key::new("seed", Kind::Count, "Seed of the draws.");
    DRAWS = Key::new("draws", Kind::Count, "How many systems were drawn.");
    TOLERANCES = Key::new("tolerances", Kind::Part, "How far inputs may be off, either way.");
    NONE_FAILS = Key::new("none_fails", Kind::Part, "Draws in which no check fails.");
    ALL_PASS = Key::new("all_pass", Kind::Part, "Draws in which every check passes without a warning.");
    INPUT_COUNT = Key::new("input_count", Kind::Count, "How many inputs vary.");
    INPUTS = Key::new("inputs", Kind::Part, "What varies.").of(Form::List);
    CHECKS = Key::new("checks", Kind::Part, "Every check that some draw has.").of(Form::List);
    WITHOUT_ANSWER = Key::new("without_answer", Kind::Count, "Draws without an answer; they count nowhere.");
    NOTES = Key::new("notes", Kind::Text, "How to read the answer.").of(Form::List);
}
keys! { pub(super) TOLERANCE:
    TAPE = Key::new("tape_m", Kind::Length, "Lengths measured or cut by tape.");
    VOID = Key::new("void", Kind::Number("1"), "The void.");
    PUMP = Key::new("pump", Kind::Share, "The pump's speed, or a measured flow.");
    BORE = Key::new("bore", Kind::Share, "Bores of pipes and bells.");
    COEFFICIENTS = Key::new("coefficients", Kind::Flag, "Whether soft coefficients lie anywhere in their bands.");
}
keys! { pub(super) SHARE_OF:
    HITS = Key::new("hits", Kind::Count, "Draws that count.");
    OF = Key::new("of", Kind::Count, "Draws in all.");
    SHARE = Key::new("share", Kind::Share, "Their ratio; 0 of none is 0.");
    LOW_95 = Key::new("low_95", Kind::Share, "Lower end of its interval at 95 %.");
    HIGH_95 = Key::new("high_95", Kind::Share, "Upper end of it.");
}
keys! { pub(super) INPUT:
    INPUT_NAME = Key::new("name", Kind::Text, "What it is, and of which bed.");
    INPUT_UNIT = Key::new("unit", Kind::Text, "Its SI unit.");
    INPUT_LOW = Key::new("low", OF_UNIT, "Least value; of lengths and void a change, of bores and pump a share.");
    INPUT_HIGH = Key::new("high", OF_UNIT, "Greatest value.");
}
keys! { pub(super) CHECK:
    ID = Key::new("id", Kind::Text, "The check.");
    SUBJECT = Key::new("subject", Kind::Text, "The part it is about.");
    PASSES = Key::new("passes", Kind::Part, "Draws that pass it, warnings not counted.");
    WARNS = Key::new("warns", Kind::Part, "Draws that warn and do not fail.");
    FAILS = Key::new("fails", Kind::Part, "Draws that fail it.");
    MARGIN_UNIT = Key::new("unit", Kind::Text, "SI unit of its margin.");
    MARGIN_5 = Key::new("margin_5", OF_UNIT, "Margin that 5 of 100 draws stay below.").absent("it has no limit");
    MARGIN_50 = Key::new("margin_50", OF_UNIT, "Margin that half of the draws stay below.").absent("it has no limit");
    MARGIN_95 = Key::new("margin_95", OF_UNIT, "Margin that 95 of 100 draws stay below.").absent("it has no limit");
    CORRELATIONS = Key::new("rank_correlations", Kind::Number("1"), "Rank correlation of its margin with each input.")
        .of(Form::List)
        .absent("the margin does not vary");
    NOISE = Key::new("noise_95", Kind::Number("1"), "What an unrelated input stays below in 95 of 100 studies.");
    NOISE_OF_ALL = Key::new("noise_95_of_all", Kind::Number("1"), "What all unrelated inputs together stay below in 95 of 100 studies.");
    LEADING = Key::new("leading", Kind::Part, "Inputs above that, strongest first; the same of several beds as one.").of(Form::List);
}
keys! { pub(super) LEAD:
    LEAD_NAME = Key::new("name", Kind::Text, "What it is.");
    LEAD_SIZE = Key::new("rank_correlation", Kind::Number("1"), "Its rank correlation; of several beds the root of the sum of squares.");
    LEAD_INPUTS = Key::new("inputs", Kind::Count, "Which inputs, from 0.").of(Form::List);
}

/// What `vary` answers with random draws.
pub(in crate::answer) static RANDOM: KeyTable = KeyTable {
    command: "vary",
    means: "How likely each check passes where inputs lie anywhere in their tolerances.",
    groups: &[
        ("", DRAWN as Group),
        ("tolerances", TOLERANCE),
        ("none_fails", SHARE_OF),
        ("all_pass", SHARE_OF),
        ("inputs[]", INPUT),
        ("checks[]", CHECK),
        ("checks[].passes", SHARE_OF),
        ("checks[].warns", SHARE_OF),
        ("checks[].fails", SHARE_OF),
        ("checks[].leading[]", LEAD),
    ],
};

keys! { pub(super) SWEPT:
    SWEEP_KIND = Key::new("kind", Kind::Word(&["sweep"]), "A sweep.");
    BED = Key::new("bed", Kind::Text, "The bed that is swept.");
    AXES = Key::new("axes", Kind::Part, "The quantities.").of(Form::List);
    COUNTS = Key::new("counts", Kind::Part, "How many points do what.");
    POINTS = Key::new("points", Kind::Part, "Every point, the first quantity running fastest.").of(Form::List);
}
keys! { pub(super) COUNTS_OF:
    IN_ALL = Key::new("in_all", Kind::Count, "Points in all.");
    PASSING = Key::new("pass", Kind::Count, "Those that pass every check.");
    WARNING = Key::new("warn", Kind::Count, "Those that warn and do not fail.");
    FAILING_POINTS = Key::new("fail", Kind::Count, "Those that fail.");
    NO_ANSWER = Key::new("without_answer", Kind::Count, "Those without an answer.");
    SHOWN = Key::new("shown", Kind::Count, "Those that the table shows.");
    FIRST_WHY = Key::new("first_without_because", Kind::Text, "Why the first of those has none.").absent("all have one");
}
keys! { pub(super) AXIS:
    QUANTITY = Key::new("quantity", Kind::Text, "What is swept.");
    AXIS_UNIT = Key::new("unit", Kind::Text, "Its SI unit.");
    FROM = Key::new("from", ON_AXIS, "First value.");
    TO = Key::new("to", ON_AXIS, "Last value.");
    ALONG = Key::new("points", Kind::Count, "Points along it.");
}
keys! { pub(super) POINT:
    VALUES = Key::new("values", ON_AXIS, "Value of each quantity.").of(Form::List);
    REGIME = Key::new("regime", Kind::Word(REGIMES), "What the bed does.").absent(NO_RUN);
    PERIOD = Key::new("period_s", Kind::Time, "Mean time from break to break.").absent("there is no whole cycle");
    PEAK = Key::new("peak_above_floor_m", Kind::Length, "Highest water above the bed's floor, first filling included.").absent(NO_RUN);
    DRY_LAYER = Key::new("dry_layer_m", Kind::Length, "Dry gravel above the highest water, errors of level taken off; negative: water above the gravel.").absent(NO_RUN);
    INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Mean inflow.").absent(NO_RUN);
    SUMP_LOW = Key::new("sump_low_m", Kind::Elevation, "Lowest level of the sump.").absent(NO_RUN);
    SUMP_HIGH = Key::new("sump_high_m", Kind::Elevation, "Highest level of the sump.").absent(NO_RUN);
    VERDICT = Key::new("verdict", Kind::Word(&["pass", "warn", "fail"]), "Worst status of all checks.").absent(NO_RUN);
    FAILING = Key::new("failing", Kind::Text, "Checks that fail.").of(Form::List);
    WHY_NONE = Key::new("why_none", Kind::Text, "Why there is no answer.").absent("there is one");
}

/// What `vary` answers with a sweep.
pub(in crate::answer) static SWEEP: KeyTable = KeyTable {
    command: "vary",
    means: "What a bed does over one or two quantities.",
    groups: &[
        ("", SWEPT as Group),
        ("counts", COUNTS_OF),
        ("axes[]", AXIS),
        ("points[]", POINT),
    ],
};
