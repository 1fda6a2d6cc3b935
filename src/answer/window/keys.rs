//! The keys of `window`.

use crate::answer::plan::keys::{ADVICE, groups_with_plan};
use crate::answer::{BAND, ENDS, Form, Key, KeyTable, Kind, SPREAD};
use crate::report::{REGIMES, VERDICTS};

/// Words for how far a window can be trusted.
const TRUST: Kind = Kind::Word(&["certain", "nominal", "doubtful", "none"]);
/// Words for what a lever changes.
const LEVERS_WORD: Kind = Kind::Word(&[
    "lower-outlet",
    "wider-pipe",
    "narrower-pipe",
    "flare",
    "wider-slots",
    "air-tube",
]);
/// When a key of a step is `null`.
const OTHER_STEP: &str = "the step changes something else";
/// When a key of a setting is `null`.
const OTHER_SETTING: &str = "the setting is of another kind";
/// When a key of a shortfall is `null`.
const OTHER_SHORT: &str = "it plays no part here";

keys! { pub(super) TOP:
    BEDS = Key::new("beds", Kind::Part, "Every bed, in the order of the file.").of(Form::List);
}

keys! { pub(super) BED:
    NAME = Key::new("name", Kind::Text, "The bed's name.");
    REGIME = Key::new("regime", Kind::Word(REGIMES), "What the bed does in the run.");
}

keys! { pub(super) WINDOW:
    START = Key::new("start_flow_m3_s", Kind::Flow, "Inflow above which the siphon starts.").of(BAND);
    RUN_ON = Key::new("run_on_flow_m3_s", Kind::Flow, "Inflow above which it runs on instead of breaking.").of(BAND);
    STALL = Key::new("stall_flow_m3_s", Kind::Flow, "Inflow above which the full siphon gets the level no lower.").of(BAND);
    CERTAIN_WIDTH = Key::new("certain_width_m3_s", Kind::Flow, "Width of what works in every case; negative where the bands overlap.");
    NOMINAL_WIDTH = Key::new("nominal_width_m3_s", Kind::Flow, "Width of what works with the nominal coefficients.");
}

keys! { pub(super) BED_MORE:
    AT_LOWEST_TAIL = Key::new("at_lowest_tail", Kind::Part, "The same against the lowest level that its outlet can look at.");
    TAIL = Key::new("tail_m", Kind::Elevation, "Level that the outlet looks at when the bed comes to its break level.").of(ENDS);
    SUMP_AT_BREAK = Key::new("sump_at_break_m", Kind::Elevation, "Level of the sump then.").of(ENDS);
    INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Inflow over the run.").of(SPREAD);
    AT_START = Key::new("inflow_at_start_m3_s", Kind::Flow, "Inflow held against the start.");
    AT_BREAK = Key::new("inflow_at_break_m3_s", Kind::Flow, "Inflow held against running on and stalling.");
    TO_START = Key::new("margin_to_start_m3_s", Kind::Flow, "How far today's inflow is over the start.").of(BAND);
    TO_RUN_ON = Key::new("margin_to_run_on_m3_s", Kind::Flow, "How far it is under running on.").of(BAND);
    TO_STALL = Key::new("margin_to_stall_m3_s", Kind::Flow, "How far it is under stalling.").of(BAND);
    WILL_START = Key::new("will_start", Kind::Word(VERDICTS), "Whether it starts.");
    WILL_BREAK = Key::new("will_break", Kind::Word(VERDICTS), "Whether it breaks.");
    CERTAIN = Key::new("certain_m3_s", Kind::Flow, "Inflows that start and break it in every case.").of(ENDS).absent("there are none");
    NOMINAL = Key::new("nominal_m3_s", Kind::Flow, "Inflows that do with the nominal coefficients.").of(ENDS).absent("there are none");
    BEST = Key::new("best_inflow_m3_s", Kind::Flow, "The inflow farthest inside.");
    BEST_TRUST = Key::new("best_inflow_trust", TRUST, "How far that can be trusted.");
    AIR_CLEARING = Key::new("air_clearing_m3_s", Kind::Flow, "Published beside: flow at which a full pipe of this bore clears its air; low, middle, high.").of(Form::List);
    STACK = Key::new("stack_capacity_m3_s", Kind::Flow, "Published beside: what a drainage stack of this bore carries, 7/24 and 1/3 full.").of(Form::List);
    PIPE_BORE = Key::new("standpipe_bore_m", Kind::Bore, "Bore of its standpipe.");
    OUTLET = Key::new("outlet_m", Kind::Elevation, "Level of its outlet.");
    OUTLET_DEPTH = Key::new("outlet_below_floor_m", Kind::Length, "How far the outlet is below the bed's floor.");
    DROWNED = Key::new("drowned_by_up_to_m", Kind::Length, "How far under what it looks at the outlet ends at most; negative: it ends free.");
    LEVERS = Key::new("levers", Kind::Part, "What widens the window, most first.").of(Form::List);
    OPENINGS = Key::new("opens_certain_window", Kind::Part, "What alone opens a certain window where there is none.").of(Form::List);
}

keys! { pub(super) LEVER:
    LEVER_WORD = Key::new("lever", LEVERS_WORD, "What is changed.");
    STEP = Key::new("step", Kind::Part, "By how much.");
    EFFECT = Key::new("effect", Kind::Part, "The window after it.").absent("it is not possible");
    WHOLE = Key::new("whole_system", Kind::Word(&["pass", "warn", "fail"]), "Verdict of the whole system, simulated with this step alone.").absent("it is not possible, or the whole cannot be built or simulated with it");
    NOT_POSSIBLE = Key::new("not_possible", Kind::Text, "Why it is not possible.").absent("it is possible");
}

keys! { pub(super) STEP_KEYS:
    BY = Key::new("by_m", Kind::Length, "How much lower.").absent(OTHER_STEP);
    SIZE = Key::new("nominal", Kind::Text, "Nominal size of the pipe.").absent(OTHER_STEP);
    SCHEDULE = Key::new("schedule", Kind::Text, "Its schedule.").absent(OTHER_STEP);
    BORE = Key::new("bore_m", Kind::Bore, "Bore of pipe or air tube.").absent(OTHER_STEP);
    DIAMETER = Key::new("diameter_m", Kind::Bore, "Diameter of the flare.").absent(OTHER_STEP);
    WIDTH = Key::new("width_m", Kind::Length, "Width of each slot.").absent(OTHER_STEP);
    MOUTH = Key::new("mouth_m", Kind::Elevation, "Level of the air tube's mouth.").absent(OTHER_STEP);
}

keys! { pub(super) EFFECT_KEYS:
    CERTAIN_CHANGE = Key::new("certain_change_m3_s", Kind::Flow, "Change of the certain window's width.");
    NOMINAL_CHANGE = Key::new("nominal_change_m3_s", Kind::Flow, "Change of the nominal window's width.");
    HEAD_CHANGE = Key::new("start_head_change_m", Kind::Length, "Change of the water's height over the lip at the start.");
    BREAK_CHANGE = Key::new("break_level_change_m", Kind::Length, "Change of the break level.");
}

keys! { pub(super) OPENING:
    OPENS = Key::new("lever", LEVERS_WORD, "What is changed.");
    AMOUNT = Key::new("amount_m", Kind::Length, "How much lower, or how wide.");
}

keys! { pub(super) SYSTEM:
    PUMP = Key::new("pump_flow_m3_s", Kind::Flow, "What the pump gives.").of(SPREAD);
    TOTAL = Key::new("total_m3_s", Kind::Flow, "Inflow of all beds.");
    BEST_TOTAL = Key::new("best_total_m3_s", Kind::Flow, "With each bed at its best inflow.");
    SPLIT_NOMINAL = Key::new("nominal_at_todays_split", Kind::Part, "Totals that work at today's split, with the nominal coefficients.");
    SPLIT_CERTAIN = Key::new("certain_at_todays_split", Kind::Part, "Totals that work in every case.");
}

keys! { pub(super) SPLIT:
    LOW = Key::new("low_m3_s", Kind::Flow, "From this total on every bed starts.");
    HIGH = Key::new("high_m3_s", Kind::Flow, "Up to this total every bed breaks.");
    OPEN = Key::new("open", Kind::Flag, "Whether there is a total that does both.");
    STARTS_LAST = Key::new("starts_last", Kind::Text, "The bed that starts last.").absent("there is no bed");
    BREAKS_FIRST = Key::new("breaks_first", Kind::Text, "The bed that stops breaking first.").absent("there is no bed");
}

keys! { pub(super) VALVES:
    WORKS = Key::new("works", Kind::Flag, "Whether the settings put every bed inside its window.");
    SUMP = Key::new("sump_m", Kind::Elevation, "Levels of the sump for which they do.").of(ENDS);
    SETTINGS = Key::new("beds", Kind::Part, "What to set at each bed.").of(Form::List);
    SHARES = Key::new("shares", Kind::Share, "All shares together.").absent("nothing is set by shares");
    BYPASS = Key::new("bypass", Kind::Part, "What to set at the bypass.").absent("there is none");
    SHORT = Key::new("short", Kind::Part, "What is short.").of(Form::List);
}

keys! { pub(super) SETTING:
    SET_BED = Key::new("name", Kind::Text, "The bed's name.");
    SET = Key::new("set", Kind::Word(&["nothing", "valve", "new-valve", "share", "bucket"]), "What there is to set.");
    VALVE = Key::new("valve", Kind::Text, "Kind of the valve.").absent(OTHER_SETTING);
    NOW = Key::new("now", Kind::Share, "Opening or share today.").absent(OTHER_SETTING);
    NOW_FLOW = Key::new("now_m3_s", Kind::Flow, "Measured flow today.").absent(OTHER_SETTING);
    TO = Key::new("to", Kind::Share, "Opening or share to set.").absent(OTHER_SETTING);
    LOSS = Key::new("k", Kind::Number("1"), "Loss coefficient of the valve then.").absent(OTHER_SETTING);
    GIVES = Key::new("flow_m3_s", Kind::Flow, "Inflow with it.").of(ENDS);
    WITHIN = Key::new("window_m3_s", Kind::Flow, "Window that it was set for.").of(ENDS);
    SET_TRUST = Key::new("trust", TRUST, "How far that window can be trusted.");
    FILLS = Key::new("fills_bucket_s", Kind::Time, "Time to fill the bucket with it.").absent("nothing flows");
    INSIDE = Key::new("inside", Kind::Flag, "Whether the inflow stays inside it.");
    SIMULATED = Key::new("simulated", Kind::Word(REGIMES), "What the bed does when simulated with all settings.").absent("they were not simulated");
}

keys! { pub(super) BYPASS_KEYS:
    BYPASS_VALVE = Key::new("valve", Kind::Text, "Kind of its valve.").absent("it has none");
    BYPASS_NOW = Key::new("now", Kind::Share, "Opening today.");
    BYPASS_TO = Key::new("to", Kind::Share, "Opening to set.");
    BYPASS_FLOW = Key::new("flow_m3_s", Kind::Flow, "What it carries then.").of(ENDS);
}

keys! { pub(super) SHORT_KEYS:
    WHAT = Key::new("what", Kind::Word(&["window", "pump", "branch-bore", "trunk-bore", "bypass", "sump-swing"]), "What is short.");
    SHORT_BED = Key::new("bed", Kind::Text, "The bed it is about.").absent(OTHER_SHORT);
    SHORT_FLOW = Key::new("flow_m3_s", Kind::Flow, "Flow that is needed, or by which an inflow swings.").absent(OTHER_SHORT);
    SHORT_HEAD = Key::new("head_m", Kind::Head, "Head at which the pump would have to give it.").absent(OTHER_SHORT);
    SHORT_HAS = Key::new("has_m3_s", Kind::Flow, "What there is of it.").absent(OTHER_SHORT);
    SHORT_NOW = Key::new("bore_now_m", Kind::Bore, "Bore today.").absent(OTHER_SHORT);
    SHORT_BORE = Key::new("bore_m", Kind::Bore, "Bore that would do.").absent(OTHER_SHORT);
    NEEDED = Key::new("needed", Kind::Flag, "False where it would only be better.");
}

keys! { pub(super) MAP_TOP:
    MAP = Key::new("map", Kind::Part, "What one bed does over two quantities.").absent("no map was asked for");
}

keys! { pub(super) MAP_KEYS:
    MAP_BED = Key::new("bed", Kind::Text, "The bed.");
    POINTS = Key::new("points", Kind::Count, "Points along each axis.");
    X = Key::new("x", Kind::Part, "The quantity along a row.");
    Y = Key::new("y", Kind::Part, "The quantity from row to row.");
    SURE = Key::new("cycles_surely_share", Kind::Share, "Share of the points at which it cycles whatever the coefficients.");
    DOUBTFUL = Key::new("doubtful_share", Kind::Share, "Share of the points that are in doubt.");
    LEGEND = Key::new("legend", Kind::Part, "What the letters mean.").of(Form::List);
    ROWS_FROM = Key::new("rows_from", Kind::Text, "How the rows are to be read.");
    ROWS_NOMINAL = Key::new("nominal", Kind::Text, "Rows of letters with the nominal coefficients.").of(Form::List);
    ROWS_LATE = Key::new("starts_latest", Kind::Text, "The same where it starts latest.").of(Form::List);
    ROWS_HARD = Key::new("breaks_hardest", Kind::Text, "The same where it breaks hardest.").of(Form::List);
}

keys! { pub(super) AXIS:
    QUANTITY = Key::new("quantity", Kind::Text, "The quantity's key.");
    UNIT = Key::new("unit", Kind::Text, "Its SI unit.");
    FROM = Key::new("from", Kind::Number("of the axis"), "Least value.");
    UNTIL = Key::new("to", Kind::Number("of the axis"), "Greatest value.");
    TODAY = Key::new("today", Kind::Number("of the axis"), "Value as built.");
    VALUES = Key::new("values", Kind::Number("of the axis"), "All values.").of(Form::List);
}

keys! { pub(super) LETTER:
    LETTER_IS = Key::new("letter", Kind::Text, "The letter.");
    LETTER_MEANS = Key::new("means", Kind::Text, "The regime, or why there is none.");
}

pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "window",
    means: "At which inflow each siphon starts, runs on and stalls, how to set the valves, and what widens the window.",
    groups: groups_with_plan!(
        [("", TOP), ("", ADVICE),],
        [
            ("beds[]", BED),
            ("beds[]", WINDOW),
            ("beds[]", BED_MORE),
            ("beds[].at_lowest_tail", WINDOW),
            ("beds[].levers[]", LEVER),
            ("beds[].levers[].step", STEP_KEYS),
            ("beds[].levers[].effect", WINDOW),
            ("beds[].levers[].effect", EFFECT_KEYS),
            ("beds[].opens_certain_window[]", OPENING),
            ("system", SYSTEM),
            ("system.nominal_at_todays_split", SPLIT),
            ("system.certain_at_todays_split", SPLIT),
            ("valves", VALVES),
            ("valves.beds[]", SETTING),
            ("valves.bypass", BYPASS_KEYS),
            ("valves.short[]", SHORT_KEYS),
            ("", MAP_TOP),
            ("map", MAP_KEYS),
            ("map.x", AXIS),
            ("map.y", AXIS),
            ("map.legend[]", LETTER),
        ]
    ),
};
