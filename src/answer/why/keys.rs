//! The keys of the results of `why`.

use crate::answer::sentence::FIGURE_KEYS;
use crate::answer::{Form, Group, Key, KeyTable, Kind};
use crate::report::REGIMES;

/// A reading of one of several kinds; what was measured says which.
const READING: Kind = Kind::Number("SI, by what was measured");

keys! { pub(super) TOP:
    BED = Key::new("bed", Kind::Text, "The bed that was asked about.");
    SYMPTOM = Key::new("symptom", Kind::Text, "What is wrong.").absent("none is given");
    MEASURED = Key::new("measured", Kind::Part, "What was measured.").of(Form::List);
    READING_COUNT = Key::new("measurements", Kind::Count, "How many there are of them.");
    AS_IN_FILE = Key::new("as_in_file", Kind::Part, "What the scenario promises, with nominal coefficients.");
    OTHERS_GET = Key::new("other_inflows_m3_s", Kind::Flow, "Mean inflows of the other beds as described, in their order.").of(Form::List);
    SUSPECTS = Key::new("suspects", Kind::Part, "What may be wrong, in the order in which to look into it.").of(Form::List);
    LARGEST = Key::new("largest_share", Kind::Share, "The largest probability of a suspect.");
    ALL_CLEAR_SHARE = Key::new("all_clear_share", Kind::Share, "Above this probability it comes first that nothing is broken.");
    OTHER = Key::new("something_else_share", Kind::Share, "Probability that it is nothing of this.");
    NEXT = Key::new("measure_next", Kind::Part, "What to measure next, most telling first.").of(Form::List);
}
keys! { pub(super) TOLD:
    FACTS = Key::new("facts", Kind::Part, "At which flows beds started, dribbled, broke or ran on.").of(Form::List);
    DOUBT_PART = Key::new("doubt", Kind::Part, "Where the uncertain coefficients alone may bring up what is complained of.").absent("they do not, or it is to be expected anyway");
    OVERFED_PART = Key::new("too_much_flow", Kind::Part, "Where the flow that was read is too large for the siphon to stop.").absent("it is not, or none was read");
    STARVED_PART = Key::new("too_little_flow", Kind::Part, "Where the flow that was read is too small to start the siphon.").absent("it is not, or none was read");
    DRY_PART = Key::new("runs_dry", Kind::Part, "Where the sump runs dry as described.").absent("it does not");
}
keys! { pub(super) OVERFED:
    OVERFED_INFLOW = Key::new("inflow_m3_s", Kind::Flow, "The inflow as read.");
    OVERFED_LOW = Key::new("stops_low_m3_s", Kind::Flow, "The flow up to which the siphon is sure to stop.");
    OVERFED_USUAL = Key::new("stops_m3_s", Kind::Flow, "The flow up to which it is to be expected to stop.");
    OVERFED_HIGH = Key::new("stops_high_m3_s", Kind::Flow, "The most with which it may stop.");
    OVERFED_BUILT = Key::new("as_described", Kind::Flag, "Whether the bed gets as much as described.");
}

keys! { pub(super) STARVED:
    STARVED_INFLOW = Key::new("inflow_m3_s", Kind::Flow, "The inflow as read.");
    STARVED_LOW = Key::new("start_low_m3_s", Kind::Flow, "The least that may start the siphon.");
    STARVED_HIGH = Key::new("start_high_m3_s", Kind::Flow, "The flow from which on it starts for certain.");
    STARVED_BUILT = Key::new("as_described", Kind::Flag, "Whether the bed gets as little as described.");
}
keys! { pub(super) RUNS_DRY:
    DRY_WATER = Key::new("sump_m", Kind::Elevation, "The sump's water at the start, as described.");
    DRY_FILL = Key::new("fill_to_m", Kind::Elevation, "Where a step of the remedy fills it to.").absent("none does");
}
keys! { pub(super) DOUBT:
    DOUBT_OF = Key::new("of", Kind::Text, "What may fail at this inflow: start or break.");
    DOUBT_INFLOW = Key::new("inflow_m3_s", Kind::Flow, "The inflow as read, else as described.");
    DOUBT_CERTAIN = Key::new("certain_m3_s", Kind::Flow, "The flow above which it starts, below which it breaks, for certain.");
    DOUBT_TO_TRY = Key::new("to_try_m3_s", Kind::Flow, "An inflow to try.");
}
keys! { pub(super) FACT:
    FACT_BED = Key::new("bed", Kind::Text, "On which bed.");
    FACT_WHAT = Key::new("what", Kind::Text, "What it did.");
    FACT_FLOW = Key::new("flow_m3_s", Kind::Flow, "At this inflow.");
    FACT_DISAGREES = Key::new("disagrees", Kind::Flag, "Whether nothing within the bands explains it on the file's bore and outlet, unless something is broken.");
}
keys! { pub(super) SEVERAL:
    OTHERS = Key::new("others", Kind::Part, "The other beds that are complained of, each with all of this.").of(Form::List);
    COMMON = Key::new("one_cause_for_all", Kind::Part, "Causes that would explain all beds complained of at once.").of(Form::List);
    COMPLAINED = Key::new("beds_complained_of", Kind::Count, "How many beds are complained of.").absent("only one is");
    SEPARATE = Key::new("a_cause_each_share", Kind::Share, "Probability that each bed has a cause of its own, or none.").absent("only one bed is complained of");
}
keys! { pub(super) COMMON_ONE:
    COMMON_CAUSE = Key::new("cause", Kind::Text, "The cause.");
    COMMON_SHARE = Key::new("share", Kind::Share, "Its probability.");
}
keys! { pub(super) MEASURED_ONE:
    FIGURE = Key::new("figure", Kind::Text, "What was measured, its SI unit at the end.");
    OF_BED = Key::new("bed", Kind::Text, "On which bed.").absent("it is a figure of the whole system");
    VALUE = Key::new("value", READING, "The reading.");
    SIGMA = Key::new("sigma", READING, "One standard deviation of it.");
}
keys! { pub(super) SHOWS:
    REGIME_THERE = Key::new("regime", Kind::Word(REGIMES), "What the bed does.");
    INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Mean inflow.");
    FILL = Key::new("fill_s", Kind::Time, "From break to full siphon.").absent("it does not cycle");
    DRAIN = Key::new("drain_s", Kind::Time, "From full siphon to break.").absent("it does not cycle");
    PERIOD = Key::new("period_s", Kind::Time, "Break to break.").absent("it does not cycle");
    HIGHEST = Key::new("highest_m", Kind::Length, "Highest level above the bed's floor.");
    LEFT = Key::new("left_m", Kind::Length, "Level left after the break above the bed's floor.").absent("it does not cycle");
    STANDING = Key::new("standing_m", Kind::Length, "Level it settles at above the bed's floor.").absent("it cycles");
}
keys! { pub(super) SUSPECT:
    CAUSE = Key::new("cause", Kind::Text, "What may be the case.");
    SHARE = Key::new("share", Kind::Share, "Its probability.");
    SEVERITY = Key::new("severity", Kind::Part, "How bad it is: 0 nothing, 1 as bad as it gets.").absent("nothing is broken");
    EVIDENCE = Key::new("evidence", Kind::Part, "Every reading beside what the cause expects.").of(Form::List);
    SHOWN = Key::new("shows", Kind::Part, "What the system does with it.").absent("the simulation gave up");
    SHOWN_COMPLAINT = Key::new("shows_complaint", Kind::Word(&["expected", "with-bad-luck", "not-shown"]), "Whether `shows` is what is complained of; with bad luck: in an unlucky draw of all that is uncertain, which `shows` is then.").absent("the simulation gave up");
    DRAWN = Key::new("drawn_severity", Kind::Number("1"), "How bad it has to be before a siphon in the middle of the bands shows what is complained of.").absent("what explains best shows it, or nothing does");
    CHECK = Key::new("check", Kind::Text, "A quick check.").absent("nothing is broken");
    DESCRIBED_VOID = Key::new("described_void", Kind::Share, "What the check is held against: the void as described.").absent("the check asks for something else");
    DESCRIBED_DROP = Key::new("described_drop_m", Kind::Length, "What the check is held against: from the lip straight down to the outlet, as described.").absent("the check asks for something else");
    DESCRIBED_LIP = Key::new("described_lip_m", Kind::Length, "What the check is held against: from the bed's floor to the lip, as described.").absent("the check asks for something else");
    DESCRIBED_WATER = Key::new("described_sump_m", Kind::Elevation, "What the check is held against: the sump's water at the start, as described.").absent("the check asks for something else");
    FIX = Key::new("fix", Kind::Text, "What to do.").absent("nothing is broken");
    SET_INFLOW = Key::new("set_inflow_m3_s", Kind::Flow, "The inflow to set.").absent("it is no step of the remedy");
    OTHERS_THEN = Key::new("other_inflows_then_m3_s", Kind::Flow, "Mean inflows of the other beds once it is set, in their order.").of(Form::List).absent("no valve is to be turned, or there is no other bed");
    THEN_FAILS = Key::new("then_fails", Kind::Text, "What fails once it is set and did not before.").of(Form::List).absent("nothing does, or no valve is to be turned");
    AIM = Key::new("aim_inflow_m3_s", Kind::Flow, "The inflow to aim at, which no valve sets as things are.").absent("there is a remedy, or a valve sets it");
    CHANGE = Key::new("change", Kind::Text, "What else to change, in words.").absent("the inflow or the cause is all");
    CHANGE_FIGURES = Key::new("figures", Kind::Part, "The figures in `change`, in its order.").of(Form::List);
    AFTER = Key::new("after", Kind::Part, "What the system does after the remedy, simulated.").absent("there is none to simulate");
}
keys! { pub(super) SEVERITY_OF:
    BEST = Key::new("best", Kind::Number("1"), "The likeliest.");
    LEAST = Key::new("low", Kind::Number("1"), "Lower end of what holds nine tenths.");
    MOST = Key::new("high", Kind::Number("1"), "Upper end of what holds nine tenths.");
}
keys! { pub(super) EVIDENCE_OF:
    READING_INDEX = Key::new("measured", Kind::Count, "Which reading, from 0.");
    AS_PLANNED = Key::new("as_planned", READING, "What it is as described.").absent("it cannot be read there");
    EXPECTED = Key::new("expected", READING, "What the cause expects of it.");
    LOW = Key::new("low", READING, "Lower end of what it allows, two standard deviations off.");
    HIGH = Key::new("high", READING, "Upper end of what it allows, two standard deviations off.");
    OFF = Key::new("off_by_sigmas", Kind::Number("1"), "How far off the reading is, in standard deviations of both.");
}
keys! { pub(super) NEXT_ONE:
    NEXT_FIGURE = Key::new("figure", Kind::Text, "What to measure, its SI unit at the end.");
    NEXT_BED = Key::new("bed", Kind::Text, "On which bed.").absent("it is a figure of the whole system");
    WORTH = Key::new("worth", Kind::Number("1"), "Chance that it tells two causes apart that could both be the case.");
    NEXT_EXPECTED = Key::new("expected", Kind::Part, "What leading causes expect of it.").of(Form::List);
}
keys! { pub(super) NEXT_EXPECTED_ONE:
    EXPECTED_BY = Key::new("cause", Kind::Text, "The cause.");
    EXPECTED_VALUE = Key::new("value", READING, "The value.");
}

/// What `why` answers.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "why",
    means: "What may be wrong, ranked by how well it explains what was seen and measured.",
    groups: &[
        ("", TOP as Group),
        ("measured[]", MEASURED_ONE),
        ("as_in_file", SHOWS),
        ("suspects[]", SUSPECT),
        ("suspects[].severity", SEVERITY_OF),
        ("suspects[].evidence[]", EVIDENCE_OF),
        ("suspects[].shows", SHOWS),
        ("suspects[].figures[]", FIGURE_KEYS),
        ("suspects[].after", SHOWS),
        ("measure_next[]", NEXT_ONE),
        ("measure_next[].expected[]", NEXT_EXPECTED_ONE),
        ("", TOLD),
        ("facts[]", FACT),
        ("doubt", DOUBT),
        ("too_much_flow", OVERFED),
        ("too_little_flow", STARVED),
        ("runs_dry", RUNS_DRY),
        ("", SEVERAL),
        ("one_cause_for_all[]", COMMON_ONE),
        ("others[]", TOP),
        ("others[].measured[]", MEASURED_ONE),
        ("others[].as_in_file", SHOWS),
        ("others[].suspects[]", SUSPECT),
        ("others[].suspects[].severity", SEVERITY_OF),
        ("others[].suspects[].evidence[]", EVIDENCE_OF),
        ("others[].suspects[].shows", SHOWS),
        ("others[].suspects[].figures[]", FIGURE_KEYS),
        ("others[].suspects[].after", SHOWS),
        ("others[].measure_next[]", NEXT_ONE),
        ("others[].measure_next[].expected[]", NEXT_EXPECTED_ONE),
        ("others[]", TOLD),
        ("others[].facts[]", FACT),
        ("others[].doubt", DOUBT),
        ("others[].too_much_flow", OVERFED),
        ("others[].too_little_flow", STARVED),
        ("others[].runs_dry", RUNS_DRY),
    ],
};
