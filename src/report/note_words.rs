//! Remarks in words.

use crate::assessment::{Adviser, AfterBreak, Kept, Note, PrimingLever};
use crate::hydraulics::small_bore::{SMALLEST_BORE, SURE_AIR_CARRY, SURFACE_TENSION_BORE};
use crate::model::{Band, System};
use crate::report::check_words::loop_parts::wanted_settler;
use crate::report::fix_words::fix_clause;
use crate::report::whole_loop::{spacing_remark, worst_remark};
use crate::report::{Figure, Kind, Say, Text, between, said};
use crate::simulation::Run;
use crate::units::UnitSystem;
use crate::units::amounts::{self, Side};

/// `notes` on a run of `system`, one text each with its figures in `units`; what happens after
/// a break is told once for all beds of which the same is said.
pub fn note_words(system: &System, run: &Run, notes: &[Note], units: UnitSystem) -> Vec<Text> {
    let say = Say { system, units };
    let shut = |note: &Note| matches!(note, Note::EmptyWindow { .. });
    let adviser = notes
        .iter()
        .any(shut)
        .then(|| Adviser::new(system, run, units));
    let mut list = Vec::new();
    let mut alike: Vec<(Text, Vec<String>)> = Vec::new();
    let mut notes = notes.iter().peekable();
    while let Some(note) = notes.next() {
        let Note::AfterBreak { beds, what } = note else {
            list.push(match (note, &adviser) {
                (
                    Note::EmptyWindow {
                        bed,
                        start,
                        breaks_below,
                    },
                    Some(adviser),
                ) => empty_window(&say, adviser, *bed, [*start, *breaks_below]),
                _ => words(&say, note),
            });
            continue;
        };
        let (told, names) = (after_break(&say, what), beds.iter().map(|&i| say.bed(i)));
        let printed = told.to_string();
        match alike
            .iter_mut()
            .find(|(other, _)| other.to_string() == printed)
        {
            Some((_, known)) => known.extend(names),
            None => alike.push((told, names.collect())),
        }
        if !matches!(notes.peek(), Some(Note::AfterBreak { .. })) {
            let told = alike.drain(..);
            list.extend(told.map(|(told, names)| said!("{}: {}", names.join(", "), told)));
        }
    }
    list
}

fn words(say: &Say, note: &Note) -> Text {
    match note {
        Note::EmptyWindow { .. } => Text::default(),
        Note::StandIn {
            bed,
            start,
            end,
            broke_unfed,
        } => stand_in(say, *bed, [*start, *end], *broke_unfed),
        Note::ThinAirTube { bed, bore, needed } => said!(
            "In {}: an air tube of {} bore lets in less air than the siphon there carries away, so \
             its slots break it; a tube of at least {} bore would do.",
            say.bed(*bed),
            say.bore("bore", *bore),
            say.printed(
                Kind::Bore,
                "needed_bore",
                *needed,
                say.units.bore(amounts::bore(say.units, *needed, Side::Up))
            )
        ),
        Note::ShortDrain { bed, length, drop } => said!(
            "The drain pipe of {} is given as {} long and cannot be: lip to outlet is {} straight \
             down. Its friction comes out too small and its siphon too strong; measure along the \
             pipe again.",
            say.bed(*bed),
            say.length("length", *length),
            say.length("drop", *drop)
        ),
        Note::NarrowBore {
            bed,
            bore,
            froude,
            usual,
        } => narrow_bore(say, *bed, *bore, [*froude, *usual]),
        Note::LongPriming { .. } => long_priming(say, note),
        Note::Hangs { part, from, count } => {
            let again = match count {
                1 => Text::default(),
                2 => ", and once more later".into(),
                more => said!(
                    ", and {} times more later",
                    say.count("more", *more as usize - 1)
                ),
            };
            said!(
                "From {} on {}{}: it switches to and fro there faster than this model \
                 resolves, and is taken to stay between both.",
                say.time("from", *from),
                part.in_words(say.system),
                again
            )
        }
        Note::AfterBreak { what, .. } => after_break(say, what),
        Note::RunOnBeside {
            bore,
            beds,
            air_clearing,
            stack,
        } => run_on_beside(say, *bore, beds, (air_clearing, stack)),
        Note::UnventedLine { largest, flow } => said!(
            "The shared drain line has no vent: while {} runs, the largest of its siphons with {}, \
             every {} of suction in the line lowers the lip of the other beds by as much and can \
             start them early. Vent the line at its upper end.",
            say.bed(*largest),
            say.flow("flow", *flow),
            say.length("suction", 0.010)
        ),
        Note::Meetings {
            periods,
            soonest,
            met,
        } => meetings(say, periods, *soonest, *met),
        Note::EstimatedPump => {
            "The pump's curve is an estimate, a parabola through the two figures on its box; real \
             flow differs by a quarter easily. Measure the inflow of each bed with a bucket."
                .into()
        }
        Note::Submergence { cover, bore, used } => said!(
            "For information: the submergence rule for large pumps (ANSI/HI 9.8, from memory, an \
             extrapolation at this size) would ask for {} over an intake as wide as the supply \
             pipe, {}; the check uses {}.",
            say.length("cover", *cover),
            say.bore("bore", *bore),
            say.length("used", *used)
        ),
        Note::NoGrain(beds) => no_grain(say, beds),
        Note::LowerBeds {
            room,
            high,
            headroom,
        } => lower_beds(say, *room, *high, *headroom),
        Note::SettlerSize(wanted) => wanted_settler(say, wanted),
        Note::WorstMoment(index) => worst_remark(say, *index),
        Note::Spacing(apart) => spacing_remark(say, *apart),
        Note::CyclesKept(Kept { kept, of }) => said!(
            "Of {} cycles of all beds {} are kept, evenly spread, with the last of each bed and \
             those of the lowest and highest figures: means are of these, lows and highs of all.",
            say.count("of", *of),
            say.count("kept", *kept)
        ),
        Note::EventsKept(Kept { kept, of }) => said!(
            "Of {} events {} are listed: in the middle of the run those that recur are left out.",
            say.count("of", *of),
            say.count("kept", *kept)
        ),
    }
}

fn empty_window(say: &Say, adviser: &Adviser, bed: usize, [start, below]: [Band; 2]) -> Text {
    let (starts, breaks) = (
        say.flow("start_flow", start.nominal),
        say.flow("breaks_below", below.nominal),
    );
    let nominal = if start.nominal < below.nominal {
        said!("nominally it works from {}", between(starts, "to", breaks))
    } else {
        said!(
            "even nominally it starts only above {} and breaks only below {}",
            starts,
            breaks
        )
    };
    let opens = adviser.opens_window(bed);
    let opens = opens.first().map(|fix| fix_clause(say, fix)).map_or_else(
        || "Neither fall, slots nor bore alone opens a sure range.".into(),
        |lever| said!("To open a sure range, {}.", lever),
    );
    said!(
        "No inflow of {} is beyond doubt: it surely starts only from {} and surely breaks only up \
         to {}; {}. {}",
        say.bed(bed),
        say.flow("start_flow_high", start.high),
        say.flow("breaks_below_low", below.low),
        nominal,
        opens
    )
}

fn stand_in(say: &Say, bed: usize, moments: [Option<f64>; 2], broke_unfed: bool) -> Text {
    let least = |flow| say.flow("least_inflow", flow);
    let greatest = |flow| say.flow("greatest_inflow", flow);
    let name = say.bed(bed);
    match moments {
        [Some(start), None] => said!(
            "{} never spilled over its lip in this run: its start is judged on its least \
             inflow, {}.",
            name,
            least(start)
        ),
        [None, Some(end)] => said!(
            "{} {} in this run: its break is judged on its greatest inflow, {}.",
            name,
            if broke_unfed {
                "came to its break level only while the pump did not feed it"
            } else {
                "never came to its break level"
            },
            greatest(end)
        ),
        [start, end] => said!(
            "{} neither spilled over its lip nor came to its break level in this run: it is \
             judged on its least and greatest inflow, {} and {}.",
            name,
            least(start.unwrap_or_default()),
            greatest(end.unwrap_or_default())
        ),
    }
}

fn narrow_bore(say: &Say, bed: usize, bore: f64, [froude, usual]: [Band; 2]) -> Text {
    let name = say.bed(bed);
    let told = if bore < SMALLEST_BORE {
        said!(
            "The bore of {}, {}, is under {}, where the law of the start ends: such a pipe stays \
             full by surface tension or runs as a film, and whether its siphon starts is not \
             known. Use a wider pipe, or try it",
            name,
            say.bore("bore", bore),
            say.bore("smallest_bore", SMALLEST_BORE)
        )
    } else {
        said!(
            "The bore of {}, {}, is narrow for the law of the start",
            name,
            say.bore("bore", bore)
        )
    };
    if froude == usual {
        return told.and(".");
    }
    let surface = if bore < SURFACE_TENSION_BORE {
        "surface tension lets it start at less (White & Beardmore 1962, Wallis 1969, from memory), \
         and "
    } else {
        ""
    };
    said!(
        "{}: {}its leg carries air away for sure only at {} (Goda et al. 2003), so \
         its start Froude number is taken as {} to {} instead of {} to {}.",
        told,
        surface,
        say.velocity("sure_air_carry", SURE_AIR_CARRY),
        say.number("froude_low", froude.low, 2),
        say.number("froude_high", froude.high, 2),
        say.number("usual_froude_low", usual.low, 2),
        say.number("usual_froude_high", usual.high, 2)
    )
}

fn long_priming(say: &Say, note: &Note) -> Text {
    let Note::LongPriming {
        bed,
        time,
        air,
        clearance,
        lever,
    } = note
    else {
        return Text::default();
    };
    let lever = match lever {
        PrimingLever::Seal => "seal its bell first".into(),
        PrimingLever::LowerCap(to) => said!(
            "a cap {} over the lip instead of {} takes a minute",
            at_most(say, "wanted_clearance", *to),
            say.length("clearance", *clearance)
        ),
        PrimingLever::NarrowerBell => {
            Text::from("a narrower bell, lower over the lip, holds less air")
        }
    };
    said!(
        "{} primes for {}, more than a minute: its lip flow carries the {} of air under its cap away \
         that slowly, and the bed rises meanwhile; {}.",
        say.bed(*bed),
        say.time("time", *time),
        say.volume("air", *air),
        lever
    )
}

/// A length that is not to be exceeded, as printed no longer than it is.
fn at_most(say: &Say, name: &'static str, length: f64) -> Figure {
    let shown = say
        .units
        .length(amounts::length(say.units, length, Side::Down));
    say.printed(Kind::Length, name, length, shown)
}

fn lower_beds(say: &Say, room: f64, high: f64, headroom: Option<f64>) -> Text {
    let shown = amounts::length(say.units, room, Side::Down);
    let height = headroom.map(|now| {
        said!(
            " Rim to ceiling would then be {} instead of {}.",
            say.printed(
                Kind::Length,
                "headroom_then",
                now + room,
                say.units.length(now + shown)
            ),
            say.length("headroom", now)
        )
    });
    said!(
        "Beds, outlets, inlets and drain line could all come down by about {} before the lowest end \
         touches the sump's highest water at {}, and by as much more as a lower sump brings that \
         water down; absorb compares sumps. That goes by heights alone: lower beds get more from the \
         pump, and more runs back, so let it be simulated before anything is moved.{}",
        at_most(say, "room", room),
        say.elevation("sump_high", high),
        height
    )
}

fn run_on_beside(
    say: &Say,
    bore: f64,
    beds: &[(usize, f64)],
    ([slow, nominal, fast], [lean, rich]): (&[f64; 3], &[f64; 2]),
) -> Text {
    let figures = beds
        .iter()
        .map(|&(bed, run_on)| said!("{} of {}", say.flow("run_on", run_on), say.bed(bed)));
    said!(
        "Beside the run-on flow ({}): a full pipe of {} bore clears its air at {} ({}; Kent 1952, \
         Wisner et al. 1975, Escarameia 2007, extrapolated to a vertical pipe), and a drainage \
         stack of that bore carries {} (Wyly & Eaton 1961). Neither decides anything here.",
        Text::joined(figures, ", "),
        say.bore("bore", bore),
        say.flow("air_clearing", *nominal),
        between(
            say.flow("air_clearing_slow", *slow),
            "to",
            say.flow("air_clearing_fast", *fast)
        ),
        between(
            say.flow("stack_low", *lean),
            "to",
            say.flow("stack_high", *rich)
        )
    )
}

fn after_break(say: &Say, what: &AfterBreak) -> Text {
    let limit = what
        .over_limit
        .map(|limit| say.length("limit", limit).into());
    let tenth = what.over_tenth_of.map(|flood| {
        said!(
            "a tenth of the {} that its siphon takes from it",
            say.volume("flood", flood)
        )
    });
    let too_much: Vec<Text> = limit.into_iter().chain(tenth).collect();
    let warning = (!too_much.is_empty()).then(|| {
        said!(
            " That is more than {} and can drown the slots again: a narrower bell, lower over the \
             lip, holds less.",
            Text::joined(too_much, " and ")
        )
    });
    let back = say.length("back", what.back);
    match what.undershoot {
        None => said!(
            "after a break the water of its bell falls back and raises the bed by up to {}, \
             which is left out of the levels.{}",
            back,
            warning
        ),
        Some([least, most]) => said!(
            "a breaking siphon still draws the bed down by {}, and the water of its bell falls back \
             and raises it by up to {}; both are left out of the levels.{}",
            between(
                say.length("undershoot_least", least),
                "to",
                say.length("undershoot_most", most)
            ),
            back,
            warning
        ),
    }
}

fn meetings(
    say: &Say,
    periods: &[(usize, f64)],
    soonest: Option<(usize, usize, Option<f64>)>,
    met: usize,
) -> Text {
    let list = periods
        .iter()
        .map(|&(i, period)| said!("{} every {}", say.bed(i), say.time("period", period)));
    let soonest = soonest.map(|(a, b, apart)| {
        let names = said!("{} and {}", say.bed(a), say.bed(b));
        match apart {
            None => names.and(" keep the step they began in"),
            Some(apart) => said!(
                "{} meet soonest, about every {}",
                names,
                say.time("meet_every", apart)
            ),
        }
    });
    said!(
        "Beds flood at their own pace: {}; {}. In this run two beds broke within a minute \
         of each other {} {}.",
        Text::joined(list, ", "),
        soonest,
        say.count("met", met),
        if met == 1 { "time" } else { "times" }
    )
}

fn no_grain(say: &Say, beds: &[usize]) -> Text {
    let common = "the loss from gravel to siphon is taken as zero: the water at the siphon is put \
                  as high as in the gravel. In truth it stands a little lower while it \
                  drains, breaks a little early and leaves water behind";
    if beds.is_empty() {
        return said!("No grain size is given, so {}.", common);
    }
    said!(
        "No grain size is given for {}, so there {}.",
        say.beds(beds),
        common
    )
}
