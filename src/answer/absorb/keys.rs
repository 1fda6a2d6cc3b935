//! The keys of the results of `absorb`.

use crate::answer::account;
use crate::answer::oxygen;
use crate::answer::plan::keys::{ADVICE, groups_with_plan};
use crate::answer::sentence::{FIGURE_KEYS, FIGURES, OF_LIST};
use crate::answer::{Form, Group, Key, KeyTable, Kind};
use crate::assessment::CheckId;

const OTHER_SHAPE: &str = "a vessel of this shape has none";
const CHECK_IDS: [&str; 2] = [CheckId::PumpCover.key(), CheckId::SumpHigh.key()];
const EXTREMES: Form = Form::Named(&["min", "max"]);
const KINDS: Kind = Kind::Word(&[
    "box",
    "tapered",
    "upright-cylinder",
    "lying-cylinder",
    "half-drum",
    "table",
]);

keys! { pub(super) TOP:
    SUMP = Key::new("sump", Kind::Part, "The sump as it is.");
    POWER_CUT = Key::new("power_cut", Kind::Part, "The power fails at the worst moment of the run.").absent("the run kept no series");
    TOGETHER = Key::new("all_beds_together", Kind::Part, "Every bed at its highest drains at once, the pump off.").absent("the run kept no series");
    CHECK_VALVE = Key::new("check_valve", Kind::Part, "What a check valve at the pump does.");
    NEAREST = Key::new("nearest_run", Kind::Part, "The run of pipe that ends lowest over the sump.").absent("none ends there");
    SMALLEST = Key::new("smallest", Kind::Part, "Smallest vessels that keep both bounds.").of(Form::List);
    DRUM = Key::new("drum", Kind::Part, "The drum that stands and lies in `standings`.");
    STANDINGS = Key::new("standings", Kind::Part, "Vessels side by side.").of(Form::List);
    CHECKS = Key::new("checks", Kind::Part, "The two checks of the sump as it is and is filled.").of(Form::List);
    WANTED = Key::new("wanted_growing_height_m", Kind::Length, "From the beds' rims to the ceiling, as asked.").absent("it is not asked for, or no ceiling is given");
    FISH = Key::new("fish", Kind::Part, "The fish, where no water moves.").absent("the scenario has none");
    CAUTIONS = Key::new("cautions", Kind::Text, "Cautions.").of(Form::List);
    CAUTION_FIGURES = Key::new("caution_figures", Kind::Part, "The figures in the cautions.").of(Form::List);
}
keys! { pub(super) SUMP_OF:
    SHAPE = Key::new("shape", Kind::Part, "Inside of one vessel.");
    COUNT = Key::new("count", Kind::Count, "How many such vessels are joined.");
    START_LEVEL = Key::new("start_level_m", Kind::Elevation, "Water at the start.");
    HOLDS = Key::new("holds_m3", Kind::Volume, "What all of them hold in all.");
    SIMULATED = Key::new("simulated_m", Kind::Elevation, "Lowest and highest water of this run.").of(EXTREMES);
    BOUNDS = Key::new("bounds", Kind::Part, "Bounds from volumes alone, of beds and pipes.");
    BOUNDS_ALL = Key::new("bounds_with_the_rest", Kind::Part, "The same with float valve, losses to the air and events.")
        .absent("the scenario has none of them");
    LOW_VOLUME = Key::new("low_volume_m3", Kind::Volume, "Water at the low bound.");
    HIGH_VOLUME = Key::new("high_volume_m3", Kind::Volume, "Water at the high bound.");
    LOST = Key::new("lost_m3", Kind::Volume, "What can go over the overflow.");
    DRY_LEVEL = Key::new("dry_level_m", Kind::Elevation, "Under it the pump draws air.");
    LEFT = Key::new("left_under_overflow_m", Kind::Length, "From the high bound up to the overflow; negative where it goes over.");
    MOVES = Key::new("moves_m3", Kind::Volume, "What moves between the bounds.");
    SWING = Key::new("beds_swing_m3", Kind::Volume, "What of it is in the beds between lowest and highest water.");
    LACKING = Key::new("lacking_m3", Kind::Volume, "Water that moves and finds no room between the pump's cover and the freeboard.");
    FREEBOARD = Key::new("freeboard_level_m", Kind::Elevation, "Where the freeboard begins.");
    OVERFLOW = Key::new("overflow_level_m", Kind::Elevation, "The overflow.");
    HOLE = Key::new("lowest_open_hole_m", Kind::Elevation, "Lower edge of the lowest hole that pipes may need in its wall, if nothing seals it: where it spills then; fills stay under it where they can.").absent("every pipe ends over its rim, or the holes are sealed");
    FREE_VOLUME = Key::new("free_volume", Kind::Part, "Room above and water below the start level.");
    FILL = Key::new("fill", Kind::Part, "Start levels that keep both bounds.");
    VALVE = Key::new("float_valve_m", Kind::Elevation, "The float valve as it is.").absent("there is none");
    RAISE = Key::new("raise_float_valve_m", Kind::Length, "How much higher the float valve belongs at least; negative: lower.").absent("there is none, or no level does");
}
keys! { pub(super) CHECK_OF:
    CHECK_ID = Key::new("id", Kind::Word(&CHECK_IDS), "Which check.");
    STATUS = Key::new("status", Kind::Word(&["pass", "warn", "fail"]), "How it stands.");
    BECAUSE = Key::new("because", Kind::Text, "Why.");
    CHECK_FIGURES = FIGURES;
}
keys! { pub(super) CHANGES_OF:
    LOW_CHANGE = Key::new("low_change_m", Kind::Length, "How much higher the low bound is than from beds and pipes alone; negative: lower.");
    HIGH_CHANGE = Key::new("high_change_m", Kind::Length, "The same of the high bound.");
    DEAD_CHANGE = Key::new("dead_siphons_change_m", Kind::Length, "The same with no siphon starting.");
}
keys! { pub(super) BOUNDS_OF:
    LOW = Key::new("low_m", Kind::Elevation, "Lowest level there can be.");
    HIGH = Key::new("high_m", Kind::Elevation, "Highest level there can be.");
    DEAD = Key::new("dead_siphons_m", Kind::Elevation, "Where it falls to with no siphon starting.");
}
keys! { pub(super) FREE:
    NEEDED_ABOVE = Key::new("needed_above_m3", Kind::Volume, "From the start level up to the high bound.");
    AVAILABLE_ABOVE = Key::new("available_above_m3", Kind::Volume, "From the start level up to the freeboard.");
    SPARE_ABOVE = Key::new("spare_above_m3", Kind::Volume, "Room that stays free above; negative: it lacks.");
    NEEDED_BELOW = Key::new("needed_below_m3", Kind::Volume, "From the start level down to the low bound, losses included.");
    AVAILABLE_BELOW = Key::new("available_below_m3", Kind::Volume, "From the start level down to the pump's cover.");
    SPARE_BELOW = Key::new("spare_below_m3", Kind::Volume, "Water that stays above the pump's cover; negative: it lacks.");
}
keys! { pub(super) FILL_OF:
    PASSES = Key::new("passes", Kind::Flag, "Whether some start level keeps both bounds.");
    LEAST = Key::new("least_m", Kind::Elevation, "Least that keeps the pump covered.").absent("not even filled to the brim");
    MOST = Key::new("most_m", Kind::Elevation, "Most that keeps the freeboard.").absent("not even nearly empty");
    MIDDLE = Key::new("middle_m", Kind::Elevation, "Half-way between them.").absent("none keeps both");
}
keys! { pub(super) SHAPE_OF:
    KIND = Key::new("kind", KINDS, "Its shape.");
    LENGTH = Key::new("length_m", Kind::Length, "Length.").absent(OTHER_SHAPE);
    WIDTH = Key::new("width_m", Kind::Length, "Width.").absent(OTHER_SHAPE);
    TOP_LENGTH = Key::new("top_length_m", Kind::Length, "Length at the top.").absent(OTHER_SHAPE);
    TOP_WIDTH = Key::new("top_width_m", Kind::Length, "Width at the top.").absent(OTHER_SHAPE);
    BOTTOM_LENGTH = Key::new("bottom_length_m", Kind::Length, "Length at the bottom.").absent(OTHER_SHAPE);
    BOTTOM_WIDTH = Key::new("bottom_width_m", Kind::Length, "Width at the bottom.").absent(OTHER_SHAPE);
    DIAMETER = Key::new("diameter_m", Kind::Length, "Diameter.").absent(OTHER_SHAPE);
    DEPTH = Key::new("depth_m", Kind::Length, "Depth.").absent(OTHER_SHAPE);
    DEPTHS = Key::new("depths_m", Kind::Length, "Depths of a measured shape.").of(Form::List);
    AREAS = Key::new("areas_m2", Kind::Area, "Areas of a measured shape at these depths.").of(Form::List);
    FULL = Key::new("full_m3", Kind::Volume, "What it holds in all.");
}
keys! { pub(super) CUT:
    TIME = Key::new("time_s", Kind::Time, "When.");
    BEFORE = Key::new("sump_before_m", Kind::Elevation, "The sump at that moment.");
    RUNNING = Key::new("running", Kind::Text, "Beds that drain.").of(Form::List);
    FROM_BEDS = Key::new("from_beds_m3", Kind::Volume, "What comes down from the beds.");
    FROM_PIPES = Key::new("from_pipes_m3", Kind::Volume, "What comes down from the pipes.");
    AFTER = Key::new("sump_after_m", Kind::Elevation, "Where the sump ends.");
    UNDER = Key::new("under_overflow_m", Kind::Length, "From there up to the overflow.");
    SPILLED = Key::new("spilled_m3", Kind::Volume, "What goes over its overflow.");
    CUT_SIMULATED = Key::new("simulated_m", Kind::Elevation, "Where it ends in a simulation with that cut.").absent("none gave an answer");
}
keys! { pub(super) TOGETHER_OF:
    ALL_BEFORE = Key::new("sump_before_m", Kind::Elevation, "The sump before.");
    ALL_FROM_BEDS = Key::new("from_beds_m3", Kind::Volume, "What comes down from the beds.");
    ALL_FROM_PIPES = Key::new("from_pipes_m3", Kind::Volume, "What comes down from the pipes.");
    ALL_AFTER = Key::new("sump_after_m", Kind::Elevation, "Where the sump ends.");
    ALL_SPILLED = Key::new("spilled_m3", Kind::Volume, "What goes over its overflow.");
}
keys! { pub(super) VALVE_OF:
    FITTED = Key::new("fitted", Kind::Flag, "Whether there is one.");
    BACK_WITHOUT = Key::new("drain_back_without_m3", Kind::Volume, "What drains back from the supply pipes without one.");
    BACK_WITH = Key::new("drain_back_with_m3", Kind::Volume, "What drains back with one.");
    BACK_SIPHON = Key::new("back_siphon_m3", Kind::Volume, "What runs back through drowned inlets without one.");
    WITHOUT = Key::new("bounds_without", Kind::Part, "Bounds without one.");
    WITH = Key::new("bounds_with", Kind::Part, "Bounds with one.");
}
keys! { pub(super) NEAREST_OF:
    NEAREST_BED = Key::new("bed", Kind::Text, "The bed whose outlet it is.").absent("it is the drain line");
    NEAREST_LEVEL = Key::new("level_m", Kind::Elevation, "Where it ends.");
    NEAREST_FALL = Key::new("over_overflow_m", Kind::Length, "How far over the sump's overflow; negative: under it.");
    HIGHEST_WATER = Key::new("highest_water_m", Kind::Elevation, "The highest that the water under it can stand.");
}
keys! { pub(super) SMALLEST_OF:
    SMALLEST_KIND = Key::new("kind", Kind::Word(&["box", "upright", "lying"]), "What it is.");
    SMALLEST_SHAPE = Key::new("shape", Kind::Part, "Its inside.").absent("none up to 6 m keeps both bounds");
    SMALLEST_FILL = Key::new("fill", Kind::Part, "Start levels that keep both bounds.").absent("none up to 6 m keeps both bounds");
    SMALLEST_SHIFT = Key::new("shift_m", Kind::Length, "How much higher everything over it stands.").absent("none up to 6 m keeps both bounds");
}
keys! { pub(super) DRUM_OF:
    DRUM_DIAMETER = Key::new("diameter_m", Kind::Length, "Across, inside.");
    DRUM_LENGTH = Key::new("length_m", Kind::Length, "Long, inside.");
    IS_PRESENT = Key::new("is_present", Kind::Flag, "Whether the sump is such a drum.");
    LYING_LOWER = Key::new("lower_on_its_side_m", Kind::Length, "How much lower all over it stands with the drum on its side than with it upright; negative: higher.").absent("one of the two is not compared");
}
keys! { pub(super) STANDING:
    STANCE = Key::new("stance", Kind::Word(&["as-it-is", "upright", "lying"]), "How it stands.");
    STANDS_NOW = Key::new("is_present", Kind::Flag, "Whether the sump is so.");
    RESULT = Key::new("verdict", Kind::Word(&["pass", "fail"]), "Whether it keeps both bounds.");
    ITS_SHAPE = Key::new("shape", Kind::Part, "Its inside.");
    TOP_LEVEL = Key::new("top_m", Kind::Elevation, "Its top.");
    ITS_OVERFLOW = Key::new("overflow_level_m", Kind::Elevation, "Its overflow.");
    ITS_FREEBOARD = Key::new("freeboard_level_m", Kind::Elevation, "Where its freeboard begins.");
    ITS_DRY_LEVEL = Key::new("dry_level_m", Kind::Elevation, "Under it the pump draws air.");
    USABLE = Key::new("usable_m3", Kind::Volume, "Water between the pump's cover and the freeboard.");
    NEEDED = Key::new("needed_m3", Kind::Volume, "What moves between the bounds.");
    SPARE = Key::new("spare_m3", Kind::Volume, "Usable less needed; negative: it lacks.");
    ITS_FILL = Key::new("fill", Kind::Part, "Start levels that keep both bounds.");
    JUDGED_AT = Key::new("judged_at_m", Kind::Elevation, "Start level at which it is judged.");
    ITS_BOUNDS = Key::new("bounds", Kind::Part, "Its bounds.");
    ITS_LOST = Key::new("lost_m3", Kind::Volume, "What can go over the overflow.");
    FLOAT_MOST = Key::new("float_valve_at_most_m", Kind::Elevation, "The highest a float valve may be.");
    OUTLET = Key::new("outlet_over_overflow_m", Kind::Length, "How far the lowest outlet, left where it is, ends over the overflow; negative: under it.").absent("none ends over the sump");
    ITS_RUN = Key::new("simulated", Kind::Part, "A run with it.").absent("the simulation gave no answer");
    SHIFT = Key::new("shift_m", Kind::Length, "How much higher everything over it stands.");
    GROWING = Key::new("growing_height_m", Kind::Length, "From the beds' rims to the ceiling.").absent("no ceiling is given");
    DRUMS = Key::new("drums", Kind::Count, "How many joined at the bottom would do.").absent("it is no drum, or twenty do not do");
}
keys! { pub(super) RUN_OF:
    RUN_LOW = Key::new("min_m", Kind::Elevation, "Lowest water.");
    RUN_HIGH = Key::new("max_m", Kind::Elevation, "Highest water.");
    RUN_CUT = Key::new("after_power_cut_m", Kind::Elevation, "After a power cut at the worst moment.").absent("none was found");
}

/// What `absorb` answers.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "absorb",
    means: "Whether the sump takes what beds and pipes can do to it, and which sump would.",
    groups: groups_with_plan!(
        [("", TOP as Group), ("", ADVICE),],
        [
            ("", account::TOP),
            ("water_account", account::KEYS),
            ("sump", SUMP_OF),
            ("sump.shape", SHAPE_OF),
            ("sump.bounds", BOUNDS_OF),
            ("sump.bounds_with_the_rest", BOUNDS_OF),
            ("sump.bounds_with_the_rest", CHANGES_OF),
            ("sump.free_volume", FREE),
            ("sump.fill", FILL_OF),
            ("power_cut", CUT),
            ("all_beds_together", TOGETHER_OF),
            ("check_valve", VALVE_OF),
            ("check_valve.bounds_without", BOUNDS_OF),
            ("check_valve.bounds_with", BOUNDS_OF),
            ("nearest_run", NEAREST_OF),
            ("smallest[]", SMALLEST_OF),
            ("smallest[].shape", SHAPE_OF),
            ("smallest[].fill", FILL_OF),
            ("drum", DRUM_OF),
            ("standings[]", STANDING),
            ("standings[].shape", SHAPE_OF),
            ("standings[].fill", FILL_OF),
            ("standings[].bounds", BOUNDS_OF),
            ("standings[].simulated", RUN_OF),
            ("checks[]", CHECK_OF),
            ("checks[].figures[]", FIGURE_KEYS),
            ("fish", oxygen::KEYS),
            ("caution_figures[]", OF_LIST),
            ("caution_figures[]", FIGURE_KEYS),
        ]
    ),
};
