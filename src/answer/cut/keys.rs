//! The keys of the results of `cut`.

use crate::answer::plan::keys::{ADVICE, groups_with_plan};
use crate::answer::sentence::{FIGURE_KEYS, FIGURES, OF_LIST};
use crate::answer::{Form, Group, Key, KeyTable, Kind};
use crate::report::{REGIMES, VERDICTS};

keys! { pub(super) TOP:
    WANTED = Key::new("wanted_dry_layer_m", Kind::Length, "Dry gravel wanted over the highest water, errors of level taken off.");
    SIMULATIONS = Key::new("simulations", Kind::Count, "Simulations of the whole system that the answer took.");
    BEDS = Key::new("beds", Kind::Part, "The beds that were asked about.").of(Form::List);
    IN_ALL = Key::new("in_all", Kind::Part, "Every pipe of the system, alike ones together.").of(Form::List);
    STILL_FAILING = Key::new("still_failing", Kind::Part, "Checks that fail with the lengths found.").of(Form::List);
    NOTES = Key::new("notes", Kind::Text, "What a reader should know of the answer.").of(Form::List);
    NOTE_FIGURES = Key::new("note_figures", Kind::Part, "The figures in the notes.").of(Form::List);
}
keys! { pub(super) BED:
    NAME = Key::new("name", Kind::Text, "Its name.");
    ALLOWANCE = Key::new("allowance_m", Kind::Length, "Taken off the dry layer for errors of level.");
    NOW = Key::new("now_m", Kind::Length, "The standpipe that it has, before changes that were tried.");
    LEAVE = Key::new("leave_it", Kind::Flag, "Whether that one does as well as the length found, within what the formula leaves open and a saw misses, or does where no longest one runs.").absent("the bed is refused");
    PRESENT = Key::new("present", Kind::Part, "With the standpipe as it is now.");
    CUT = Key::new("cut", Kind::Part, "The lengths found, or those that stand where something else fails with the longest.").absent("the bed is refused");
    REFUSED = Key::new("refused", Kind::Part, "Why the bed has no length.").absent("it has one");
}
keys! { pub(super) STAND:
    LENGTH = Key::new("length_m", Kind::Length, "Standpipe, from the bed's floor to the lip.");
    PEAK_DEPTH = Key::new("peak_depth_m", Kind::Length, "Highest water above the bed's floor.");
    DRY_LAYER = Key::new("dry_layer_m", Kind::Length, "Dry gravel above the highest water, errors of level taken off; negative: water above the gravel.");
}
keys! { pub(super) FITTED:
    CLEARANCE = Key::new("clearance_m", Kind::Length, "Lip to the underside of the cap.");
    LONGER = Key::new("longer_than_now_m", Kind::Length, "How much longer the standpipe gets than it is now; negative: shorter.");
    IN_SCENARIO = Key::new("in_the_scenario", Kind::Text, "What to write into the bed's table for these lengths.");
    LIST = Key::new("list", Kind::Part, "What to cut, in the order of assembly.").of(Form::List);
}
keys! { pub(super) PIECES:
    STANDPIPE = Key::new("standpipe_m", Kind::Length, "Standpipe, bed floor to lip.");
    BELL = Key::new("bell_m", Kind::Length, "Bell tube, bed floor to the underside of its cap.");
    GUARD = Key::new("guard_m", Kind::Length, "Guard.").absent("the bed has none");
    AIR_TUBE = Key::new("air_tube_m", Kind::Length, "Air tube, cap to mouth.").absent("the bell has none");
    DOWN_LEG = Key::new("down_leg_m", Kind::Length, "Bed floor down to the middle of the outlet.");
    LATERAL = Key::new("lateral_m", Kind::Length, "Pipe to the side, fittings measured along their middle.")
        .absent("the scenario gives a measured loss instead of a length");
}
keys! { pub(super) BAND:
    SHORTEST = Key::new("shortest", Kind::Part, "With the coefficients that ask for the shortest pipe.")
        .absent("in their worst case no length leaves the wanted layer");
    LONGEST = Key::new("longest", Kind::Part, "With the coefficients that allow the longest pipe.");
}
keys! { pub(super) BOUND:
    BOUND_LENGTH = Key::new("length_m", Kind::Length, "Standpipe, from the bed's floor to the lip.");
    BOUND_REGIME = Key::new("regime", Kind::Word(REGIMES), "What the bed does there.");
}
keys! { pub(super) CUT_TO:
    START_HEAD = Key::new("start_head_m", Kind::Length, "Head over the lip at which the siphon starts.");
    TOO_LONG = Key::new("longest_for_the_layer_m", Kind::Length, "The longest standpipe that would leave the wanted layer, where the one that stands is kept because something else fails with that.").absent("the length found is that longest one");
    PEAK_SPREAD = Key::new("peak_spread_m", Kind::Length, "How far peaks lie apart from cycle to cycle.");
    OVER_LIP = Key::new("highest_over_lip_m", Kind::Length, "Highest water over the lip.");
    UNTIL_FULL = Key::new("until_full_m", Kind::Length, "What of it comes after the start, until the siphon runs full.");
    AT_WORST = Key::new("at_worst", Kind::Text, "What unfavourable coefficients leave of the dry layer.").absent("the bed is not judged");
    WORST_FIGURES = FIGURES;
    WILL_START = Key::new("will_start", Kind::Word(VERDICTS), "Whether it starts with the length found.");
    WILL_BREAK = Key::new("will_break", Kind::Word(VERDICTS), "Whether it breaks with the length found.");
}
keys! { pub(super) PIECE:
    PIECE_NAME = Key::new("piece", Kind::Text, "The piece.");
    PIECE_LENGTH = Key::new("length_m", Kind::Length, "Its length.").absent("it is not cut, or as built");
    PIECE_WHAT = Key::new("what", Kind::Text, "What it is and from where to where it goes.");
    PIECE_FIGURES = FIGURES;
}
keys! { pub(super) PART:
    PART_NAME = Key::new("part", Kind::Text, "What it is for.");
    PART_BORE = Key::new("bore_m", Kind::Bore, "Its inside diameter.");
    TOTAL = Key::new("total_m", Kind::Length, "The lengths of all its pieces together.").absent("no length is told");
    COUNT = Key::new("count", Kind::Count, "How many pieces that is.").absent("no length is told");
    SHORTEST_PIECE = Key::new("shortest_m", Kind::Length, "The shortest of them.").absent("no length is told");
    LONGEST_PIECE = Key::new("longest_m", Kind::Length, "The longest of them.").absent("no length is told");
    WITH = Key::new("with", Kind::Text, "Fittings and valves that go with all of it.");
}
keys! { pub(super) REFUSAL:
    REASON = Key::new("reason", Kind::Text, "Why, in a fixed word.");
    BECAUSE = Key::new("because", Kind::Text, "Why, in a sentence.");
    HINT = Key::new("hint", Kind::Text, "What else is known of it; may be empty.");
    REFUSAL_FIGURES = Key::new("figures", Kind::Part, "The figures in both sentences, in their order.").of(Form::List);
}
keys! { pub(super) FAILING:
    ID = Key::new("id", Kind::Text, "The check.");
    SUBJECT = Key::new("subject", Kind::Text, "The part it is about.");
}

/// What `cut` answers.
pub(in crate::answer) static KEYS: KeyTable = KeyTable {
    command: "cut",
    means: "How long to cut each standpipe for the wanted dry layer, and what goes with it.",
    groups: groups_with_plan!(
        [("", TOP as Group), ("", ADVICE),],
        [
            ("beds[]", BED),
            ("beds[].present", STAND),
            ("beds[].cut.computed", STAND),
            ("beds[].cut.millimetre", STAND),
            ("beds[].cut.millimetre", FITTED),
            ("beds[].cut.millimetre.pieces", PIECES),
            ("beds[].cut.millimetre.list[]", PIECE),
            ("beds[].cut.millimetre.list[].figures[]", FIGURE_KEYS),
            ("beds[].cut.sixteenth_inch", STAND),
            ("beds[].cut.sixteenth_inch", FITTED),
            ("beds[].cut.sixteenth_inch.pieces", PIECES),
            ("beds[].cut.sixteenth_inch.list[]", PIECE),
            ("beds[].cut.sixteenth_inch.list[].figures[]", FIGURE_KEYS),
            ("beds[].cut.band", BAND),
            ("beds[].cut.band.shortest", BOUND),
            ("beds[].cut.band.longest", BOUND),
            ("beds[].cut", CUT_TO),
            ("beds[].cut.figures[]", FIGURE_KEYS),
            ("beds[].refused", REFUSAL),
            ("beds[].refused.figures[]", FIGURE_KEYS),
            ("note_figures[]", OF_LIST),
            ("note_figures[]", FIGURE_KEYS),
            ("still_failing[]", FAILING),
            ("in_all[]", PART),
        ]
    ),
};
