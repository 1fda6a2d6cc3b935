//! Remarks in words.

use crate::assessment::{Adviser, AfterBreak, Kept, Note, PrimingLever};
use crate::hydraulics::small_bore::{SMALLEST_BORE, SURE_AIR_CARRY, SURFACE_TENSION_BORE};
use crate::model::{Band, System};
use crate::report::Say;
use crate::report::check_words::loop_parts::wanted_settler;
use crate::report::fix_words::fix_clause;
use crate::report::whole_loop::{spacing_remark, worst_remark};
use crate::simulation::Run;
use crate::units::UnitSystem;
use crate::units::amounts::{self, Side};
use crate::units::display::between;

/// `notes` on a run of `system`, one text each with its figures in `units`; what happens after
/// a break is told once for all beds of which the same is said.
pub fn note_words(system: &System, run: &Run, notes: &[Note], units: UnitSystem) -> Vec<String> {
    let say = Say { system, units };
    let shut = |note: &Note| matches!(note, Note::EmptyWindow { .. });
    let adviser = notes
        .iter()
        .any(shut)
        .then(|| Adviser::new(system, run, units));
    let mut list = Vec::new();
    let mut alike: Vec<(String, Vec<String>)> = Vec::new();
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
        let (said, names) = (after_break(units, what), beds.iter().map(|&i| say.bed(i)));
        match alike.iter_mut().find(|(other, _)| *other == said) {
            Some((_, known)) => known.extend(names),
            None => alike.push((said, names.collect())),
        }
        if !matches!(notes.peek(), Some(Note::AfterBreak { .. })) {
            let told = alike.drain(..);
            list.extend(told.map(|(said, names)| format!("{}: {said}", names.join(", "))));
        }
    }
    list
}

fn words(say: &Say, note: &Note) -> String {
    let units = say.units;
    match note {
        Note::EmptyWindow { .. } => String::new(),
        Note::StandIn {
            bed,
            start,
            end,
            broke_unfed,
        } => stand_in(say, *bed, [*start, *end], *broke_unfed),
        Note::ThinAirTube { bed, bore, needed } => format!(
            "The air tube of {}, {} bore, lets in less air than its siphon carries away, so the \
             slots break it; a tube of at least {} bore would do.",
            say.bed(*bed),
            units.bore(*bore),
            units.bore(amounts::bore(units, *needed, Side::Up))
        ),
        Note::ShortDrain { bed, length, drop } => format!(
            "The drain pipe of {} is given as {} long and cannot be: lip to outlet is {} straight \
             down. Its friction comes out too small and its siphon too strong; measure along the \
             pipe again.",
            say.bed(*bed),
            units.length(*length),
            units.length(*drop)
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
                1 => String::new(),
                2 => ", and once more later".to_owned(),
                more => format!(", and {} times more later", more - 1),
            };
            format!(
                "From {} on {}{again}: it switches to and fro there faster than this model \
                 resolves, and is taken to stay between both.",
                units.time(*from),
                part.in_words(say.system)
            )
        }
        Note::AfterBreak { what, .. } => after_break(units, what),
        Note::RunOnBeside {
            bore,
            beds,
            air_clearing,
            stack,
        } => run_on_beside(say, *bore, beds, (air_clearing, stack)),
        Note::UnventedLine { largest, flow } => format!(
            "The shared drain line has no vent: while {} runs, the largest of its siphons with {}, \
             every {} of suction in the line lowers the lip of the other beds by as much and can \
             start them early. Vent the line at its upper end.",
            say.bed(*largest),
            units.flow(*flow),
            units.length(0.010)
        ),
        Note::Meetings {
            periods,
            soonest,
            met,
        } => meetings(say, periods, *soonest, *met),
        Note::EstimatedPump => {
            "The pump's curve is an estimate, a parabola through the two figures on its box; real \
             flow differs by a quarter easily. Measure the inflow of each bed with a bucket."
                .to_owned()
        }
        Note::Submergence { cover, bore, used } => format!(
            "For information: the submergence rule for large pumps (ANSI/HI 9.8, from memory, an \
             extrapolation at this size) would ask for {} over an intake as wide as the supply \
             pipe, {}; the check uses {}.",
            units.length(*cover),
            units.bore(*bore),
            units.length(*used)
        ),
        Note::NoGrain(beds) => no_grain(say, beds),
        Note::LowerBeds {
            room,
            high,
            headroom,
        } => lower_beds(units, *room, *high, *headroom),
        Note::SettlerSize(wanted) => wanted_settler(say, wanted).to_string(),
        Note::WorstMoment(index) => worst_remark(say.system, *index, units),
        Note::Spacing(apart) => spacing_remark(*apart, units),
        Note::CyclesKept(Kept { kept, of }) => format!(
            "Of {of} cycles of all beds {kept} are kept, evenly spread, with the last of each bed and \
             those of the lowest and highest figures: means are of these, lows and highs of all."
        ),
        Note::EventsKept(Kept { kept, of }) => format!(
            "Of {of} events {kept} are listed: in the middle of the run those with which siphons \
             come to run full are left out."
        ),
    }
}

fn empty_window(say: &Say, adviser: &Adviser, bed: usize, [start, below]: [Band; 2]) -> String {
    let units = say.units;
    let nominal = if start.nominal < below.nominal {
        let (low, high) = (units.flow(start.nominal), units.flow(below.nominal));
        format!("nominally it works from {}", between(&low, "to", &high))
    } else {
        format!(
            "even nominally it starts only above {} and breaks only below {}",
            units.flow(start.nominal),
            units.flow(below.nominal)
        )
    };
    let opens = adviser.opens_window(bed);
    let opens = opens.first().map(|fix| fix_clause(say, fix)).map_or_else(
        || "Neither fall, slots nor bore alone opens a sure range.".to_owned(),
        |lever| format!("To open a sure range, {lever}."),
    );
    format!(
        "No inflow of {} is beyond doubt: it surely starts only from {} and surely breaks only up \
         to {}; {nominal}. {opens}",
        say.bed(bed),
        units.flow(start.high),
        units.flow(below.low)
    )
}

fn stand_in(say: &Say, bed: usize, moments: [Option<f64>; 2], broke_unfed: bool) -> String {
    let units = say.units;
    let name = say.bed(bed);
    match moments {
        [Some(start), None] => format!(
            "{name} never spilled over its lip in this run: its start is judged on its least \
             inflow, {}.",
            units.flow(start)
        ),
        [None, Some(end)] => format!(
            "{name} {} in this run: its break is judged on its greatest inflow, {}.",
            if broke_unfed {
                "came to its break level only while the pump did not feed it"
            } else {
                "never came to its break level"
            },
            units.flow(end)
        ),
        [start, end] => format!(
            "{name} neither spilled over its lip nor came to its break level in this run: it is \
             judged on its least and greatest inflow, {} and {}.",
            units.flow(start.unwrap_or_default()),
            units.flow(end.unwrap_or_default())
        ),
    }
}

fn narrow_bore(say: &Say, bed: usize, bore: f64, [froude, usual]: [Band; 2]) -> String {
    let units = say.units;
    let name = say.bed(bed);
    let said = if bore < SMALLEST_BORE {
        format!(
            "The bore of {name}, {}, is under {}, where the law of the start ends: such a pipe stays \
             full by surface tension or runs as a film, and whether its siphon starts is not \
             known. Use a wider pipe, or try it",
            units.bore(bore),
            units.bore(SMALLEST_BORE)
        )
    } else {
        format!(
            "The bore of {name}, {}, is narrow for the law of the start",
            units.bore(bore)
        )
    };
    if froude == usual {
        return format!("{said}.");
    }
    let surface = if bore < SURFACE_TENSION_BORE {
        "surface tension lets it start at less (White & Beardmore 1962, Wallis 1969, from memory), \
         and "
    } else {
        ""
    };
    format!(
        "{said}: {surface}its leg carries air away for sure only at {:.2} m/s (Goda et al. 2003), so \
         its start Froude number is taken as {:.2} to {:.2} instead of {:.2} to {:.2}.",
        SURE_AIR_CARRY, froude.low, froude.high, usual.low, usual.high
    )
}

fn long_priming(say: &Say, note: &Note) -> String {
    let Note::LongPriming {
        bed,
        time,
        air,
        clearance,
        lever,
    } = note
    else {
        return String::new();
    };
    let units = say.units;
    let lever = match lever {
        PrimingLever::Seal => "seal its bell first".to_owned(),
        PrimingLever::LowerCap(to) => format!(
            "a cap {} over the lip instead of {} takes a minute",
            units.length(amounts::length(units, *to, Side::Down)),
            units.length(*clearance)
        ),
        PrimingLever::NarrowerBell => {
            "a narrower bell, lower over the lip, holds less air".to_owned()
        }
    };
    format!(
        "{} primes for {}, more than a minute: its lip flow carries the {} of air under its cap away \
         that slowly, and the bed rises meanwhile; {lever}.",
        say.bed(*bed),
        units.time(*time),
        units.volume(*air)
    )
}

fn lower_beds(units: UnitSystem, room: f64, high: f64, headroom: Option<f64>) -> String {
    let room = amounts::length(units, room, Side::Down);
    let height = headroom.map_or_else(String::new, |now| {
        format!(
            " Rim to ceiling would then be {} instead of {}.",
            units.length(now + room),
            units.length(now)
        )
    });
    format!(
        "Beds, outlets, inlets and drain line could all come down by about {} before the lowest end \
         touches the sump's highest water at {}, and by as much more as a lower sump brings that \
         water down; absorb compares sumps.{height}",
        units.length(room),
        units.elevation(high)
    )
}

fn run_on_beside(
    say: &Say,
    bore: f64,
    beds: &[(usize, f64)],
    ([slow, nominal, fast], [lean, rich]): (&[f64; 3], &[f64; 2]),
) -> String {
    let units = say.units;
    let figures: Vec<String> = beds
        .iter()
        .map(|&(bed, run_on)| format!("{} of {}", units.flow(run_on), say.bed(bed)))
        .collect();
    format!(
        "Beside the run-on flow ({}): a full pipe of {} bore clears its air at {} ({}; Kent 1952, \
         Wisner et al. 1975, Escarameia 2007, extrapolated to a vertical pipe), and a drainage \
         stack of that bore carries {} (Wyly & Eaton 1961). Neither decides anything here.",
        figures.join(", "),
        units.bore(bore),
        units.flow(*nominal),
        between(&units.flow(*slow), "to", &units.flow(*fast)),
        between(&units.flow(*lean), "to", &units.flow(*rich))
    )
}

fn after_break(units: UnitSystem, what: &AfterBreak) -> String {
    let mut too_much = Vec::new();
    too_much.extend(what.over_limit.map(|limit| units.length(limit)));
    too_much.extend(what.over_tenth_of.map(|flood| {
        format!(
            "a tenth of the {} that its siphon takes from it",
            units.volume(flood)
        )
    }));
    let warning = if too_much.is_empty() {
        String::new()
    } else {
        format!(
            " That is more than {} and can drown the slots again: a narrower bell, lower over the \
             lip, holds less.",
            too_much.join(" and ")
        )
    };
    let back = units.length(what.back);
    match what.undershoot {
        None => format!(
            "after a break the water of its bell falls back and raises the bed by up to {back}, \
             which is left out of the levels.{warning}"
        ),
        Some([least, most]) => format!(
            "a breaking siphon still draws the bed down by {}, and the water of its bell falls back \
             and raises it by up to {back}; both are left out of the levels.{warning}",
            between(&units.length(least), "to", &units.length(most)),
        ),
    }
}

fn meetings(
    say: &Say,
    periods: &[(usize, f64)],
    soonest: Option<(usize, usize, Option<f64>)>,
    met: usize,
) -> String {
    let units = say.units;
    let list: Vec<String> = periods
        .iter()
        .map(|&(i, period)| format!("{} every {}", say.bed(i), units.time(period)))
        .collect();
    let soonest = soonest.map_or_else(String::new, |(a, b, apart)| {
        let names = format!("{} and {}", say.bed(a), say.bed(b));
        match apart {
            None => format!("{names} keep the step they began in"),
            Some(apart) => format!("{names} meet soonest, about every {}", units.time(apart)),
        }
    });
    format!(
        "Beds flood at their own pace: {}; {soonest}. In this run two beds broke within a minute \
         of each other {met} {}.",
        list.join(", "),
        if met == 1 { "time" } else { "times" }
    )
}

fn no_grain(say: &Say, beds: &[usize]) -> String {
    let common = "the loss from gravel to siphon is taken as zero: the water at the siphon is put \
                  as high as in the gravel. In truth it stands some millimetres lower while it \
                  drains, breaks a little early and leaves water behind";
    if beds.is_empty() {
        return format!("No grain size is given, so {common}.");
    }
    format!(
        "No grain size is given for {}, so there {common}.",
        say.beds(beds)
    )
}
