//! The keys of `run`.

use crate::answer::account;
use crate::answer::counts;
use crate::answer::oxygen;
use crate::answer::plan::keys::{ADVICE, groups_with_plan};
use crate::answer::sentence::{FIGURE_KEYS, FIGURES, OF_LIST};
use crate::answer::{BAND, ENDS, Form, Key, KeyTable, Kind, SPREAD};
use crate::report::Topic;
use crate::report::{REGIMES, VERDICTS};

/// When a figure of the cycles is `null`.
const NO_CYCLE: &str = "no complete cycle";
/// When what gravel keeps back is `null`.
const NO_GRAIN: &str = "no complete cycle, or the grain size is not given";
/// When a figure of the siphon's flow is `null`.
const NEVER_FULL: &str = "the siphon never ran full";
/// When a figure of dissolved matter is `null`.
const NOT_ASKED: &str = "not given, or no share does it";
/// When a part of the second opinion is `null`.
const REFUSED: &str = "the other integrator gave up";

keys! { pub(super) TOP:
    SIMULATED = Key::new("simulated_s", Kind::Time, "Time that was simulated.");
    ENDED = Key::new("ended", Kind::Word(&["time-reached", "settled", "standing"]), "Why the run ended.");
    ENDED_AT = Key::new("ended_at_s", Kind::Time, "From when on every cycle is like the one before, or no level changes; else the end.");
    COUNTS = Key::new("counts", Kind::Part, "Checks as the headline counts them.");
    DESCRIBED = Key::new("described", Kind::Part, "The system in words.");
    BEDS = Key::new("beds", Kind::Part, "Every bed, in the order of the file.").of(Form::List);
}

keys! { pub(super) DESCRIBED_OF:
    IN_WORDS = Key::new("in_words", Kind::Text, "Beds, pump and drain line.");
    DESCRIBED_FIGURES = FIGURES;
}

keys! { pub(super) LEAD:
    ANSWERS = Key::new("answers", Kind::Part, "The answer to each question of an owner, in a line.").of(Form::List);
    WHAT_IF = Key::new("what_if", Kind::Part, "What the events of the scenario do, all in one run beside the ordinary one, which they do not change.").absent("the scenario has no events");
}

keys! { pub(super) ANSWER_KEYS:
    ANSWER = Key::new("question", Kind::Word(Topic::KEYS), "Which question.");
    ANSWER_STATUS = Key::new("status", Kind::Word(&["pass", "warn", "fail"]), "Worst status of the checks that answer it.");
    ANSWER_WORDS = Key::new("words", Kind::Text, "The answer.");
    ANSWER_FIGURES = FIGURES;
    ANSWER_SETTLES = Key::new("settled_by", Kind::Text, "What would settle a doubt.").absent("there is none that a reading settles");
}

keys! { pub(super) WHAT_IF_KEYS:
    WHAT_IF_STATUS = Key::new("status", Kind::Word(&["pass", "warn", "fail"]), "Worst status of the checks that they make worse.");
    WHAT_IF_WORDS = Key::new("words", Kind::Text, "What happens.");
    WHAT_IF_FIGURES = FIGURES;
    WORSE = Key::new("worse", Kind::Part, "Checks that they make worse.").of(Form::List);
}

keys! { pub(super) WORSE_KEYS:
    WORSE_ID = Key::new("id", Kind::Text, "Key of the check.");
    WORSE_SUBJECT = Key::new("subject", Kind::Text, "Bed or part it is about.");
    WORSE_STATUS = Key::new("status", Kind::Word(&["pass", "warn", "fail"]), "Its status with the events.");
    WORSE_VALUE = Key::new("value", Kind::Number("1"), "What was found, in the unit of the check.").absent("there is none");
    WORSE_BECAUSE = Key::new("because", Kind::Text, "Why.");
    WORSE_FIGURES = FIGURES;
}

keys! { pub(super) BED:
    NAME = Key::new("name", Kind::Text, "The bed's name.");
    REGIME = Key::new("regime", Kind::Word(REGIMES), "What it does at the end.");
    SPANS = Key::new("regimes", Kind::Part, "What it did before, in order.").of(Form::List);
    CYCLES = Key::new("cycles", Kind::Count, "Complete cycles.");
    PERIOD = Key::new("period_s", Kind::Time, "Break to break.").of(SPREAD).absent(NO_CYCLE);
    FILL = Key::new("fill_s", Kind::Time, "Break to start of priming.").of(SPREAD).absent(NO_CYCLE);
    PRIME = Key::new("prime_s", Kind::Time, "Start of priming to full bore.").of(SPREAD).absent(NO_CYCLE);
    DRAIN = Key::new("drain_s", Kind::Time, "Full bore to break.").of(SPREAD).absent(NO_CYCLE);
    PEAK = Key::new("peak_level_m", Kind::Elevation, "Highest water from the first break on; of the whole run without one.");
    FIRST_PEAK = Key::new("first_peak_level_m", Kind::Elevation, "Highest water before the first break.");
    PEAK_DEPTH = Key::new("peak_depth_m", Kind::Length, "Highest water above the bed's floor.");
    DRY_LAYER = Key::new("dry_layer_m", Kind::Length, "Gravel that stays dry above the highest water with levelling and surface tension taken off; negative under water.");
    DRY_ABOVE = Key::new("dry_above_peak_m", Kind::Length, "The same with nothing taken off.");
    FIRST_PEAK_DEPTH = Key::new("first_peak_depth_m", Kind::Length, "The highest before the first break, above the bed's floor.");
    BREAK_DEPTH = Key::new("break_depth_m", Kind::Length, "Its break level above the bed's floor.");
    ALLOWANCE = Key::new("level_allowance_m", Kind::Length, "Levelling and surface tension as taken off.");
    BREAK = Key::new("break_level_m", Kind::Elevation, "Level at which the siphon breaks.");
    LEFT_DEPTH = Key::new("left_depth_m", Kind::Length, "How much higher the water in the gravel stands than at the guard when it breaks.").of(SPREAD).absent(NO_GRAIN);
    LEFT_VOLUME = Key::new("left_volume_m3", Kind::Volume, "Water left above the break level.").of(SPREAD).absent(NO_GRAIN);
    WATER = Key::new("water_per_cycle_m3", Kind::Volume, "Mean water of a cycle.").absent(NO_CYCLE);
    WATER_ENDS = Key::new("water_per_cycle_range_m3", Kind::Volume, "Least and most water of a cycle.").of(ENDS).absent(NO_CYCLE);
    INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Inflow from the first break on.").of(SPREAD);
    INFLOW_AT_START = Key::new("inflow_at_start_m3_s", Kind::Flow, "Least inflow with the water at the lip.").absent("the water never reached it");
    INFLOW_AT_BREAK = Key::new("inflow_at_break_m3_s", Kind::Flow, "Greatest inflow with the water at the break level.").absent("it never came down to it");
    JUDGED_START = Key::new("judged_inflow_at_start_m3_s", Kind::Flow, "Inflow held against the start.");
    JUDGED_BREAK = Key::new("judged_inflow_at_break_m3_s", Kind::Flow, "Inflow held against running on and stalling.");
    SIPHON_START = Key::new("siphon_flow_at_start_m3_s", Kind::Flow, "Flow of the siphon when it first runs full.").absent(NEVER_FULL);
    SIPHON_BREAK = Key::new("siphon_flow_at_break_m3_s", Kind::Flow, "Its flow at the break level.").absent("it never came down to the break level full");
    CROWN = Key::new("crown_pressure_min_pa", Kind::Pressure, "Lowest absolute pressure under the cap.").absent("it is not known");
    START = Key::new("start_flow_m3_s", Kind::Flow, "Inflow above which it starts.").of(BAND);
    RUN_ON = Key::new("run_on_flow_m3_s", Kind::Flow, "Inflow above which it runs on instead of breaking.").of(BAND);
    STALL = Key::new("stall_flow_m3_s", Kind::Flow, "Inflow above which the full siphon gets the level no lower.");
    STALL_BAND = Key::new("stall_flow_band_m3_s", Kind::Flow, "The same with its band.").of(BAND);
    WORKS = Key::new("works_between_m3_s", Kind::Flow, "Inflows at which it both starts and breaks, nominal.").of(ENDS).absent("none does both");
    SURELY_WORKS = Key::new("surely_works_between_m3_s", Kind::Flow, "The same beyond doubt.").of(ENDS).absent("the bands leave none");
    WILL_START = Key::new("will_start", Kind::Word(VERDICTS), "Whether it starts.");
    WILL_BREAK = Key::new("will_break", Kind::Word(VERDICTS), "Whether it breaks.");
    OVERFLOWED = Key::new("overflowed_m3", Kind::Volume, "Water that went over its wall.");
    CAME_UP = Key::new("came_up_drain", Kind::Part, "Water that the drain line pushed up into it.").absent("none came");
}

keys! { pub(super) SPAN:
    SPAN_FROM = Key::new("from_s", Kind::Time, "Its beginning.");
    SPAN_TO = Key::new("to_s", Kind::Time, "Its end.");
    SPAN_REGIME = Key::new("regime", Kind::Word(REGIMES), "What the bed did.");
}

keys! { pub(super) CAME_UP_KEYS:
    CAME_FOR = Key::new("for_s", Kind::Time, "How long.");
    CAME_PEAK = Key::new("peak_flow_m3_s", Kind::Flow, "Greatest flow.");
    CAME_FROM = Key::new("from", Kind::Text, "The bed whose siphon pushed it.").absent("the sump did");
}

keys! { pub(super) SUMP:
    LEVEL = Key::new("level_m", Kind::Elevation, "Water level.").of(SPREAD);
    BOUND_LOW = Key::new("bound_low_m", Kind::Elevation, "Lowest level while every siphon works, every bed at its peak.");
    BOUND_HIGH = Key::new("bound_high_m", Kind::Elevation, "Highest possible level, every bed drained and the pump off; may exceed the overflow.");
    DEAD = Key::new("dead_siphons_m", Kind::Elevation, "Level with every siphon dead and every bed standing at its overflow.");
    OVERFLOW = Key::new("overflow_level_m", Kind::Elevation, "Level at which it spills.");
    RAN_DRY = Key::new("ran_dry_s", Kind::Time, "How long the pump drew air.");
    SUMP_SPILLED = Key::new("overflowed_m3", Kind::Volume, "Water that went over its overflow.");
    MAY_SPILL = Key::new("may_spill_m3", Kind::Volume, "What finds no room under its overflow with every bed drained and the pump off.").absent("all does");
    JOINING = Key::new("joining_bore_m", Kind::Bore, "Least bore of the pipe that joins its vessels.").absent("it is one vessel");
    JOINING_WITHIN = Key::new("joining_levels_within_m", Kind::Length, "How near it keeps their levels then.").absent("it is one vessel");
    JOINING_FLOW = Key::new("joining_flow_m3_s", Kind::Flow, "What that pipe has to carry.").absent("it is one vessel");
}

keys! { pub(super) PUMP:
    FLOW = Key::new("flow_m3_s", Kind::Flow, "Flow while it ran.").of(SPREAD);
    HEAD = Key::new("head_m", Kind::Head, "Head while it ran.").of(SPREAD).absent("its curve is not given");
    LEAST_LEVEL = Key::new("least_level_m", Kind::Elevation, "Level of the sump below which it draws air.");
    ENERGY = Key::new("energy_kwh_day", Kind::Energy, "Energy of a day.").absent("the scenario gives no power");
    COST = Key::new("energy_cost_day", Kind::Number("currency of the tariff"), "Its cost.").absent("the scenario gives no power or no tariff");
}

keys! { pub(super) MORE:
    LINE = Key::new("drain_line", Kind::Part, "The shared drain line.").absent("there is none");
    TIMER = Key::new("timer", Kind::Part, "The pump's timer.").absent("there is none");
    STOPS = Key::new("pump_stops", Kind::Part, "What happened when the pump stopped.").absent("it never did");
    TANK = Key::new("tank", Kind::Part, "Where the fish live.").absent("nothing says that there are any");
    TOP_OFF = Key::new("top_off", Kind::Part, "The float valve.").absent("there is none");
    EVAPORATION = Key::new("evaporation_m3_day", Kind::Volume, "Water lost to the air in a day.");
    SOURCES = Key::new("sources", Kind::Part, "Water that comes in by itself.").of(Form::List);
    INCIDENTS = Key::new("incidents", Kind::Part, "The scenario's events.").of(Form::List);
    FISH = Key::new("fish", Kind::Part, "The fish.").absent("the scenario has none");
    DISSOLVED = Key::new("dissolved", Kind::Part, "What evaporation leaves behind.").absent("the scenario does not ask");
    REACH = Key::new("reach", Kind::Part, "How far an arm has to reach into each bed.").of(Form::List);
    ARM = Key::new("arm_reach_m", Kind::Length, "How far an arm reaches.");
    GRAVEL = Key::new("gravel", Kind::Part, "Gravel of all beds.");
    COINCIDENCES = Key::new("coincidences", Kind::Part, "Beds that broke within a minute of one another, the first thousand.").of(Form::List);
    WATER_AT_START = Key::new("water_at_start_m3", Kind::Volume, "Water in the system at the start.");
    RESIDUAL = Key::new("water_balance_residual_m3", Kind::Volume, "Water that appeared or vanished by rounding.");
    RESIDUAL_SHARE = Key::new("water_balance_residual_share", Kind::Number("1"), "The same as a share of the water at the start.").absent("there was none");
    COEFFICIENTS = Key::new("coefficients", Kind::Part, "Every soft coefficient.").of(Form::List);
    ELEVATIONS = Key::new("elevations", Kind::Part, "Every height, highest first.").of(Form::List);
    CHECKS = Key::new("checks", Kind::Part, "Every check.").of(Form::List);
    NOTES = Key::new("notes", Kind::Text, "Remarks.").of(Form::List);
    NOTE_FIGURES = Key::new("note_figures", Kind::Part, "The figures in the remarks.").of(Form::List);
    CAUTIONS = Key::new("cautions", Kind::Text, "Cautions.").of(Form::List);
    CAUTION_FIGURES = Key::new("caution_figures", Kind::Part, "The figures in the cautions.").of(Form::List);
    WORK = Key::new("work", Kind::Part, "What the computation took.");
    OPINION = Key::new("second_opinion", Kind::Part, "The same system by another integrator.").absent("it was not asked for");
}

keys! { pub(super) LINE_KEYS:
    LINE_PEAK = Key::new("peak_flow_m3_s", Kind::Flow, "Greatest flow.");
    CAPACITY = Key::new("capacity_m3_s", Kind::Flow, "What it carries by gravity.");
    HALF_FULL = Key::new("half_full_m3_s", Kind::Flow, "What it carries half full.");
    PEAK_FILL = Key::new("peak_fill_ratio", Kind::Share, "Greatest depth over the bore in the run.");
    FILL_RATIO = Key::new("fill_ratio", Kind::Share, "Greatest depth over the bore, with the band of its roughness.").of(BAND);
    FULLEST = Key::new("fullest_bed", Kind::Text, "The bed above whose drain it is fullest.").absent("there is no bed");
    SURCHARGED = Key::new("surcharged_s", Kind::Time, "How long it stood under pressure.");
    GRADE = Key::new("peak_grade_m", Kind::Elevation, "Highest grade at its upper end.");
    LARGEST = Key::new("largest_bed", Kind::Text, "The bed with the largest siphon at the peak.").absent("there is no bed");
}

keys! { pub(super) TIMER_KEYS:
    ON = Key::new("on_s", Kind::Time, "Time on.");
    OFF = Key::new("off_s", Kind::Time, "Time off.");
}

keys! { pub(super) STOPS_KEYS:
    STOP_COUNT = Key::new("count", Kind::Count, "How often it stopped.");
    DRAINED_BACK = Key::new("drained_back_m3", Kind::Volume, "Most that ran back out of the pipes at one stop.");
    SIPHONED_BACK = Key::new("siphoned_back_m3", Kind::Volume, "Water that ran back out of vessels in all.");
}

keys! { pub(super) TANK_KEYS:
    VESSEL = Key::new("vessel", Kind::Word(&["tank", "sump"]), "Which vessel it is.");
    TANK_LEVEL = Key::new("level_m", Kind::Elevation, "Water level.").of(SPREAD);
    TANK_INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Mean inflow.");
    TURNOVER = Key::new("turnover_per_hour", Kind::PerHour, "How often an hour its water is renewed.");
    LOWEST = Key::new("lowest_possible_m", Kind::Elevation, "Lowest possible level, by a leak in the supply or a stuck pump.");
    TANK_SPILLED = Key::new("overflowed_m3", Kind::Volume, "Water that went over its wall.");
}

keys! { pub(super) TOP_OFF_KEYS:
    OPENS = Key::new("level_m", Kind::Elevation, "Level below which it opens.");
    OPENS_AT_MOST = Key::new("highest_level_m", Kind::Elevation, "Highest level that no cycle can open.").absent("it was not judged");
    ADDED = Key::new("added_m3", Kind::Volume, "Water added in the run.");
    ADDED_DAY = Key::new("added_m3_day", Kind::Volume, "Water added in a day.");
    EVAPORATED = Key::new("evaporated_m3", Kind::Volume, "Water that the air took in the run.");
    GAINED = Key::new("gained_m3", Kind::Volume, "Water added beyond that.");
    GAINED_CYCLE = Key::new("most_gained_per_cycle_m3", Kind::Volume, "Most of it in one cycle.");
    RESERVOIR = Key::new("reservoir_m3", Kind::Volume, "What its reservoir holds.").absent("there is none");
    RESERVOIR_LEFT = Key::new("reservoir_left_m3", Kind::Volume, "What is left in it at the end of the run.").absent("there is none");
    SPENT = Key::new("reservoir_spent_s", Kind::Time, "When the reservoir was empty.").absent("it never was, or there is none");
    SPILLED = Key::new("spilled_m3", Kind::Volume, "Water that went over the sump's overflow.");
}

keys! { pub(super) SOURCE:
    SOURCE_NAME = Key::new("name", Kind::Text, "Its name.");
    SOURCE_FLOW = Key::new("flow_m3_day", Kind::Volume, "Water of a day.");
    SOURCE_DISSOLVED = Key::new("dissolved_kg_m3", Kind::Dissolved, "Dissolved matter.").absent("it is not given");
}

keys! { pub(super) INCIDENT:
    INCIDENT_WHAT = Key::new("what", Kind::Word(&["pump-stops", "pump-starts", "siphon-blocked", "valve-shut", "line-blocked"]), "What happened.");
    INCIDENT_BED = Key::new("bed", Kind::Text, "At which bed.").absent("at none");
    INCIDENT_WORDS = Key::new("in_words", Kind::Text, "The same in words.");
    INCIDENT_TIME = Key::new("time_s", Kind::Time, "When.");
    INCIDENT_LOWEST = Key::new("lowest_sump_level_m", Kind::Elevation, "Lowest level of the sump after it.");
    INCIDENT_HIGHEST = Key::new("highest_sump_level_m", Kind::Elevation, "Highest level of the sump after it.");
}

keys! { pub(super) FISH_KEYS:
    FISH_COUNT = Key::new("count", Kind::Count, "How many.");
    FISH_MASS = Key::new("mass_kg", Kind::Mass, "Mass of all together.");
    FISH_EACH = Key::new("each_kg", Kind::Mass, "Mass of one today.");
    HARVEST_EACH = Key::new("harvest_each_kg", Kind::Mass, "Mass at which one is taken out.");
    FISH_VOLUME = Key::new("volume_m3", Kind::Volume, "Their water at its usual level.");
    DENSITY = Key::new("density_kg_m3", Kind::Stocking, "Fish in their water.");
    HARVEST_DENSITY = Key::new("harvest_density_kg_m3", Kind::Stocking, "The same when they are grown.");
    FEED = Key::new("feed_kg_day", Kind::Number("kg/day"), "Feed of a day.");
    BED_AREA = Key::new("bed_area_m2", Kind::Area, "Plan area of all beds.");
    LEAFY = Key::new("beds_take_leafy_kg_day", Kind::Number("kg/day"), "Feed that leafy greens on it take, least and most.").of(Form::List);
    FRUITING = Key::new("beds_take_fruiting_kg_day", Kind::Number("kg/day"), "Feed that fruiting plants on it take, least and most.").of(Form::List);
    OXYGEN = Key::new("oxygen_use_kg_day", Kind::Number("kg/day"), "Oxygen that they use, at rest and fed.").of(Form::List);
    SATURATION = Key::new("oxygen_saturation_kg_m3", Kind::Dissolved, "Oxygen of their water when saturated.");
    START_WITH = Key::new("start_with", Kind::Part, "Fish of today's mass that water and beds carry.");
    END_WITH = Key::new("end_with", Kind::Part, "Fish of the mass at which they are taken out.");
}

keys! { pub(super) ROOM:
    BY_DENSITY = Key::new("by_density", Kind::Number("1"), "By the density for beginners.");
    BY_LEAFY = Key::new("by_feed_leafy", Kind::Number("1"), "By what leafy greens take of their feed.");
    BY_FRUITING = Key::new("by_feed_fruiting", Kind::Number("1"), "By what fruiting plants take of it.");
    WITH_LEAFY = Key::new("with_leafy", Kind::Number("1"), "Whole fish that both allow, with leafy greens.");
    WITH_FRUITING = Key::new("with_fruiting", Kind::Number("1"), "The same with fruiting plants.");
    EACH = Key::new("each_kg", Kind::Mass, "Mass of one of them.");
}

keys! { pub(super) DISSOLVED_KEYS:
    MISSING = Key::new("missing", Kind::Text, "What is not given.").absent("all is given");
    DISSOLVED_VOLUME = Key::new("volume_m3", Kind::Volume, "Water of the system.").absent(NOT_ASKED);
    DISSOLVED_START = Key::new("start_kg_m3", Kind::Dissolved, "At the start.").absent(NOT_ASKED);
    WEEK_RISE = Key::new("first_week_rise_kg_m3", Kind::Dissolved, "Rise in the first week.").absent(NOT_ASKED);
    AFTER_SEASON = Key::new("after_26_weeks_kg_m3", Kind::Dissolved, "After 26 weeks.").absent(NOT_ASKED);
    SETTLES = Key::new("settles_kg_m3", Kind::Dissolved, "Where it settles.").absent(NOT_ASKED);
    LIMIT = Key::new("limit_kg_m3", Kind::Dissolved, "The limit given.").absent(NOT_ASKED);
    PURE_SHARE = Key::new("pure_share", Kind::Share, "Share of the top-off as purer water that keeps 26 weeks under it.").absent(NOT_ASKED);
    PURE_DAY = Key::new("pure_m3_day", Kind::Volume, "That much of it in a day.").absent(NOT_ASKED);
    PURE_HAS = Key::new("pure_kg_m3", Kind::Dissolved, "What the purer water has.").absent(NOT_ASKED);
    EXCHANGE = Key::new("exchange_a_week", Kind::Share, "Exchange a week that holds it.").absent(NOT_ASKED);
    HARD = Key::new("exchanged_for_kg_m3", Kind::Dissolved, "What the water has that an exchange brings.").absent(NOT_ASKED);
    WITH_EXCHANGE = Key::new("with_a_tenth_a_week_kg_m3", Kind::Dissolved, "Where it ends with a tenth a week exchanged.").absent(NOT_ASKED);
}

keys! { pub(super) REACH_KEYS:
    REACH_BED = Key::new("bed", Kind::Text, "The bed.");
    NEEDED = Key::new("needed_m", Kind::Length, "Farthest plant from a free side.").absent("no side is free");
}

keys! { pub(super) GRAVEL_KEYS:
    BULK = Key::new("volume_m3", Kind::Bulk, "Volume to order.");
    DRY_MASS = Key::new("dry_mass_kg", Kind::Mass, "Its dry mass.");
}

keys! { pub(super) ELEVATION:
    HEIGHT = Key::new("level_m", Kind::Elevation, "Height above the floor of the room.");
    WHAT_IS_THERE = Key::new("what", Kind::Text, "What is there.");
}

keys! { pub(super) COEFFICIENT:
    COEFFICIENT_KEY = Key::new("key", Kind::Text, "Its key in the scenario.");
    COEFFICIENT_WHAT = Key::new("what", Kind::Text, "What it is.");
    COEFFICIENT_VALUE = Key::new("value", Kind::Number("that of `unit`"), "Its band.").of(BAND);
    COEFFICIENT_UNIT = Key::new("unit", Kind::Text, "Its unit.");
    COEFFICIENT_BASIS = Key::new("basis", Kind::Text, "What the band rests on.");
}

keys! { pub(super) COINCIDENCE:
    MET_TIME = Key::new("time_s", Kind::Time, "When the earlier did.");
    MET_FIRST = Key::new("first", Kind::Text, "One bed.").absent("there is no bed");
    MET_SECOND = Key::new("second", Kind::Text, "The other bed.").absent("there is no bed");
}

keys! { pub(super) CHECK:
    CHECK_ID = Key::new("id", Kind::Text, "Which check.");
    SUBJECT = Key::new("subject", Kind::Text, "What it is about.");
    STATUS = Key::new("status", Kind::Word(&["pass", "warn", "fail"]), "How it came out.");
    VALUE = Key::new("value", Kind::Number("that of `unit`"), "What was found.").absent("it is not known");
    CHECK_LIMIT = Key::new("limit", Kind::Number("that of `unit`"), "What is asked for.").absent("there is none");
    MARGIN = Key::new("margin", Kind::Number("that of `unit`"), "How far on the good side of it.").absent("there is none");
    CHECK_UNIT = Key::new("unit", Kind::Text, "SI unit of the three.");
    BECAUSE = Key::new("because", Kind::Text, "Why it came out so.");
    BECAUSE_FIGURES = FIGURES;
    FIRST_FIX = Key::new("first_fix", Kind::Text, "The step of the plan that mends it; empty where it passes or no step does.");
    BASIS = Key::new("basis", Kind::Text, "What the limit rests on.");
}

keys! { pub(super) WORK_KEYS:
    STEPS = Key::new("steps", Kind::Count, "Steps.");
    EVALUATIONS = Key::new("evaluations", Kind::Count, "Evaluations of all flows.");
    EVENTS = Key::new("events", Kind::Count, "Events.");
}

keys! { pub(super) OPINION_KEYS:
    AGREES = Key::new("agrees", Kind::Flag, "Whether both integrators agree.").absent(REFUSED);
    WHY_REFUSED = Key::new("refused", Kind::Text, "Why the other gave up.").absent("it did not");
    OPINION_BEDS = Key::new("beds", Kind::Part, "Every bed.").of(Form::List);
    SUMP_LOWEST = Key::new("sump_lowest_m", Kind::Elevation, "Lowest level of the sump.").of(PAIR).absent(REFUSED);
    SUMP_HIGHEST = Key::new("sump_highest_m", Kind::Elevation, "Highest level of the sump.").of(PAIR).absent(REFUSED);
}

keys! { pub(super) OPINION_BED:
    OPINION_NAME = Key::new("name", Kind::Text, "The bed's name.");
    SAME_REGIME = Key::new("same_regime", Kind::Flag, "Whether it does the same in both.");
    OPINION_PERIOD = Key::new("period_s", Kind::Time, "Mean period.").of(PAIR).absent("no complete cycle in both");
    OPINION_PEAK = Key::new("peak_level_m", Kind::Elevation, "Highest water.").of(PAIR);
}

/// Both integrators, and how far apart they are.
const PAIR: Form = Form::Named(&["first", "second", "difference"]);

pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "run",
    means: "Whether the system floods and drains by itself, why, and what to change.",
    groups: groups_with_plan!(
        [
            ("", TOP),
            ("counts", counts::KEYS),
            ("described", DESCRIBED_OF),
            ("described.figures[]", FIGURE_KEYS),
            ("", LEAD),
            ("", ADVICE),
            ("answers[]", ANSWER_KEYS),
            ("answers[].figures[]", FIGURE_KEYS),
            ("what_if", WHAT_IF_KEYS),
            ("what_if.figures[]", FIGURE_KEYS),
            ("what_if.worse[]", WORSE_KEYS),
            ("what_if.worse[].figures[]", FIGURE_KEYS),
        ],
        [
            ("beds[]", BED),
            ("beds[].regimes[]", SPAN),
            ("beds[].came_up_drain", CAME_UP_KEYS),
            ("sump", SUMP),
            ("pump", PUMP),
            ("", MORE),
            ("", account::TOP),
            ("water_account", account::KEYS),
            ("drain_line", LINE_KEYS),
            ("timer", TIMER_KEYS),
            ("pump_stops", STOPS_KEYS),
            ("tank", TANK_KEYS),
            ("top_off", TOP_OFF_KEYS),
            ("sources[]", SOURCE),
            ("incidents[]", INCIDENT),
            ("fish", FISH_KEYS),
            ("fish", oxygen::KEYS),
            ("fish.start_with", ROOM),
            ("fish.end_with", ROOM),
            ("dissolved", DISSOLVED_KEYS),
            ("reach[]", REACH_KEYS),
            ("gravel", GRAVEL_KEYS),
            ("elevations[]", ELEVATION),
            ("coefficients[]", COEFFICIENT),
            ("coincidences[]", COINCIDENCE),
            ("checks[]", CHECK),
            ("checks[].figures[]", FIGURE_KEYS),
            ("note_figures[]", OF_LIST),
            ("note_figures[]", FIGURE_KEYS),
            ("caution_figures[]", OF_LIST),
            ("caution_figures[]", FIGURE_KEYS),
            ("work", WORK_KEYS),
            ("second_opinion", OPINION_KEYS),
            ("second_opinion.beds[]", OPINION_BED),
        ]
    ),
};
