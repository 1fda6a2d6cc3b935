//! Remarks: cross-checks, estimates, what is unknown.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::settler_size;
use crate::assessment::facts::Facts;
use crate::assessment::levers::{
    bore_text, drop_text, outlet_drop, slots_text, smaller_bore, wider_slots,
};
use crate::assessment::parts::quoted;
use crate::assessment::window::window_if;
use crate::hydraulics::small_bore::{SMALLEST_BORE, SURE_AIR_CARRY, SURFACE_TENSION_BORE};
use crate::model::{Bed, Coefficient, DrainLosses, PumpSource, drop_beyond};
use crate::simulation::{EventKind, Hang};
use crate::units::display::between;
use std::f64::consts::FRAC_PI_4;

/// Time for which a breaking siphon still draws `[s]`, derived here.
const BREAK_TIME: [f64; 2] = [1.0, 3.0];
/// A priming that takes longer is named `[s]`.
const LONG_PRIMING: f64 = 60.0;
/// Least clearance of a cap that is worth advising, in bores `[-]`; common practice, no source.
const LEAST_CLEARANCE: f64 = 0.5;
/// Share of its flood that may fall back into a bed; more refills it `[-]`.
const FLOOD_SHARE: f64 = 0.1;
/// Beds whose beat is longer than this never meet for practical purposes `[s]`.
const LONGEST_BEAT: f64 = 1e6;

/// All remarks: the beds' in file order, then the system's.
pub(super) fn all(facts: &Facts) -> Vec<String> {
    let mut list = Vec::new();
    for i in 0..facts.parts.count() {
        list.extend(empty_window(facts, i));
        list.extend(fitting_inflow(facts, i));
        list.extend(thin_air_tube(facts, i));
        list.extend(short_drain(facts, i));
        list.extend(small_bore(facts, i));
        list.extend(long_priming(facts, i));
    }
    list.extend(hanging(facts));
    list.extend(after_the_breaks(facts));
    list.extend(run_on_cross_checks(facts));
    list.extend(unvented_line(facts));
    list.extend(meetings(facts));
    list.extend(estimated_pump(facts));
    list.extend(submergence_advice(facts));
    list.extend(media_loss(facts));
    list.extend(lower_beds(facts));
    // A check that only informs has its sentence nowhere else.
    list.extend(settler_size(facts));
    list
}

/// Parts that switched to and fro and were held where they did.
fn hanging(facts: &Facts) -> Vec<String> {
    let units = facts.parts.units;
    let mut found: Vec<(Hang, f64, u32)> = Vec::new();
    for event in &facts.parts.run.events {
        if let EventKind::Hangs(part) = event.kind {
            match found.iter_mut().find(|(known, ..)| *known == part) {
                Some((_, _, count)) => *count += 1,
                None => found.push((part, event.time, 1)),
            }
        }
    }
    let sentence = |(part, first, count): (Hang, f64, u32)| {
        let again = match count {
            1 => String::new(),
            2 => ", and once more later".to_owned(),
            more => format!(", and {} times more later", more - 1),
        };
        format!(
            "From {} on {}{again}: it switches to and fro there faster than this model resolves, \
             and is taken to stay between both.",
            units.time(first),
            part.in_words(facts.parts.system)
        )
    };
    found.into_iter().map(sentence).collect()
}

/// A pipe shorter than straight down: its friction comes out too small.
fn short_drain(facts: &Facts, i: usize) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let bed = &parts.beds()[i];
    let DrainLosses::Computed { length, .. } = bed.siphon.drain.losses else {
        return None;
    };
    let drop = drop_beyond(length, bed.lip_level(), bed.siphon.drain.outlet)?;
    Some(format!(
        "The drain pipe of {} is given as {} long and cannot be: lip to outlet is {} straight down. \
         Its friction comes out too small and its siphon too strong; measure along the pipe again.",
        parts.name(i),
        units.length(length),
        units.length(drop)
    ))
}

/// What a narrow bore changes in the start, and where nothing is known of it.
fn small_bore(facts: &Facts, i: usize) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let bed = &parts.beds()[i];
    let bore = bed.siphon.standpipe.bore;
    let (band, usual) = (
        parts.start_froude(bed),
        parts.band(Coefficient::StartFroude),
    );
    let said = if bore < SMALLEST_BORE {
        format!(
            "The bore of {}, {}, is under {}, where the law of the start ends: such a pipe stays \
             full by surface tension or runs as a film, and whether its siphon starts is not \
             known. Use a wider pipe, or try it",
            parts.name(i),
            units.bore(bore),
            units.bore(SMALLEST_BORE)
        )
    } else if band != usual {
        format!(
            "The bore of {}, {}, is narrow for the law of the start",
            parts.name(i),
            units.bore(bore)
        )
    } else {
        return None;
    };
    if band == usual {
        return Some(format!("{said}."));
    }
    let surface = if bore < SURFACE_TENSION_BORE {
        "surface tension lets it start at less (White & Beardmore 1962, Wallis 1969, from memory), \
         and "
    } else {
        ""
    };
    Some(format!(
        "{said}: {surface}its leg carries air away for sure only at {:.2} m/s (Goda et al. 2003), so \
         its start Froude number is taken as {:.2} to {:.2} instead of {:.2} to {:.2}.",
        SURE_AIR_CARRY, band.low, band.high, usual.low, usual.high
    ))
}

/// A siphon that takes long to get rid of the air under its cap.
fn long_priming(facts: &Facts, i: usize) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let time = parts.nominal[i].priming_time()?;
    if time <= LONG_PRIMING {
        return None;
    }
    let bell = &parts.beds()[i].siphon.bell;
    let leaks = bell.air_leak > 0.0;
    // As the air leaves at one pace, the cap's height and the time go together.
    let clearance = amounts::length(units, bell.clearance * LONG_PRIMING / time, Side::Down);
    let lever = if leaks {
        "seal its bell first".to_owned()
    } else if clearance >= LEAST_CLEARANCE * parts.beds()[i].siphon.standpipe.bore {
        format!(
            "a cap {} over the lip instead of {} takes a minute",
            units.length(clearance),
            units.length(bell.clearance)
        )
    } else {
        "a narrower bell, lower over the lip, holds less air".to_owned()
    };
    Some(format!(
        "{} primes for {}, more than a minute: its lip flow carries the {} of air under its cap away \
         that slowly, and the bed rises meanwhile; {lever}.",
        parts.name(i),
        units.time(time),
        units.volume(parts.nominal[i].crown_volume())
    ))
}

/// How far everything over the sump could come down, and what that gives the plants.
fn lower_beds(facts: &Facts) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let system = parts.system;
    let high = facts.balance.high_water(parts);
    let direct = (0..parts.count())
        .filter(|&i| !parts.on_line(i))
        .map(|i| parts.outlets[i]);
    let line = system.drain_line.as_ref().map(|line| line.outlet);
    let lowest = direct.chain(line).fold(f64::INFINITY, f64::min);
    let room = amounts::length(units, lowest - high, Side::Down);
    if !lowest.is_finite() || room <= 0.0 {
        return None;
    }
    let height = system.ceiling.map_or_else(String::new, |ceiling| {
        let highest = system.highest_rim();
        format!(
            " Rim to ceiling would then be {} instead of {}.",
            units.length(ceiling - highest + room),
            units.length(ceiling - highest)
        )
    });
    Some(format!(
        "Beds, outlets, inlets and drain line could all come down by about {} before the lowest end \
         touches the sump's highest water at {}, and by as much more as a lower sump brings that \
         water down; absorb compares sumps.{height}",
        units.length(room),
        units.elevation(high)
    ))
}

/// No inflow is beyond doubt: said once, with what would open the window.
fn empty_window(facts: &Facts, i: usize) -> Option<String> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    if !judged.certain_window_is_empty() {
        return None;
    }
    let (start, below) = (judged.window.start, judged.breaks_below);
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
    let opens = opening_lever(facts, i).map_or_else(
        || "Neither fall, slots nor bore alone opens a sure range.".to_owned(),
        |lever| format!("To open a sure range, {lever}."),
    );
    Some(format!(
        "No inflow of {} is beyond doubt: it surely starts only from {} and surely breaks only up \
         to {}; {nominal}. {opens}",
        parts.name(i),
        units.flow(start.high),
        units.flow(below.low)
    ))
}

/// The first of fall, slots and bore that opens a window beyond doubt, with its amount.
fn opening_lever(facts: &Facts, i: usize) -> Option<String> {
    let parts = &facts.parts;
    let opens = |bed: &Bed| {
        let window = window_if(parts, i, bed);
        window.start.high <= window.breaks_below().low
    };
    if let Some(drop) = outlet_drop(facts, i, opens) {
        return Some(drop_text(facts, i, drop));
    }
    if let Some(width) = wider_slots(facts, &parts.beds()[i], opens) {
        return Some(slots_text(facts, i, width));
    }
    smaller_bore(facts, i, opens).map(|bore| bore_text(facts, i, bore))
}

/// Which inflow stands in for a moment that never came.
fn fitting_inflow(facts: &Facts, i: usize) -> Option<String> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let name = parts.name(i);
    let (start, end) = (judged.at_start, judged.at_break);
    match (start.met, end.met) {
        (true, true) => None,
        (false, true) => Some(format!(
            "{name} never spilled over its lip in this run: its start is judged on its least \
             inflow, {}.",
            units.flow(start.flow)
        )),
        (true, false) => Some(format!(
            "{name} {} in this run: its break is judged on its greatest inflow, {}.",
            if parts.run.broke(i) {
                "came to its break level only while the pump did not feed it"
            } else {
                "never came to its break level"
            },
            units.flow(end.flow)
        )),
        (false, false) => Some(format!(
            "{name} neither spilled over its lip nor came to its break level in this run: it is \
             judged on its least and greatest inflow, {} and {}.",
            units.flow(start.flow),
            units.flow(end.flow)
        )),
    }
}

/// Two published limits beside the run-on flow, once for all beds of a bore.
fn run_on_cross_checks(facts: &Facts) -> Vec<String> {
    let parts = &facts.parts;
    let units = parts.units;
    let bore = |i: usize| parts.beds()[i].siphon.standpipe.bore;
    let is_first = |i: usize| !(0..i).any(|j| bore(j) == bore(i));
    (0..parts.count())
        .filter(|&i| is_first(i))
        .map(|i| {
            let checks = parts.nominal[i].cross_checks();
            let [slow, nominal, fast] = checks.air_clearing;
            let [lean, rich] = checks.stack;
            let figures: Vec<String> = (i..parts.count())
                .filter(|&j| bore(j) == bore(i))
                .map(|j| {
                    let run_on = facts.beds[j].window.run_on.nominal;
                    format!("{} of {}", units.flow(run_on), parts.name(j))
                })
                .collect();
            format!(
                "Beside the run-on flow ({}): a full pipe of {} bore clears its air at {} ({}; \
                 Kent 1952, Wisner et al. 1975, Escarameia 2007, extrapolated to a vertical \
                 pipe), and a drainage stack of that bore carries {} (Wyly & Eaton 1961). \
                 Neither decides anything here.",
                figures.join(", "),
                units.bore(bore(i)),
                units.flow(nominal),
                between(&units.flow(slow), "to", &units.flow(fast)),
                between(&units.flow(lean), "to", &units.flow(rich))
            )
        })
        .collect()
}

/// Undershoot and bell water falling back, of opposite signs, once for all beds that are alike.
fn after_the_breaks(facts: &Facts) -> Vec<String> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for i in 0..facts.parts.count() {
        let (said, name) = (after_the_break(facts, i), facts.parts.name(i));
        match groups.iter_mut().find(|(other, _)| *other == said) {
            Some((_, names)) => names.push(name),
            None => groups.push((said, vec![name])),
        }
    }
    groups
        .into_iter()
        .map(|(said, names)| format!("{}: {said}", names.join(", ")))
        .collect()
}

fn after_the_break(facts: &Facts, i: usize) -> String {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let law = &parts.nominal[i];
    let level = law.break_level(judged.tail);
    let area = parts.storages[i].area(level);
    let [least, most] =
        BREAK_TIME.map(|seconds| law.undershoot(judged.at_break.flow, judged.tail, seconds, area));
    let volume = fall_back(&parts.beds()[i], level);
    let back = volume / area;
    let limit = parts.system.thresholds.fall_back;
    let storage = &parts.storages[i];
    let peak = parts.simulated_peak(i).max(level);
    let flood = storage.volume(peak) - storage.volume(level);
    let mut too_much = Vec::new();
    if back > limit {
        too_much.push(units.length(limit));
    }
    if volume > FLOOD_SHARE * flood {
        too_much.push(format!(
            "a tenth of the {} that its siphon takes from it",
            units.volume(flood)
        ));
    }
    let warning = if too_much.is_empty() {
        String::new()
    } else {
        format!(
            " That is more than {} and can drown the slots again: a narrower bell, lower over the \
             lip, holds less.",
            too_much.join(" and ")
        )
    };
    let back = units.length(back);
    // Past the stall no siphon breaks against the inflow.
    if most <= 0.0 {
        return format!(
            "after a break the water of its bell falls back and raises the bed by up to {back}, \
             which is left out of the levels.{warning}"
        );
    }
    format!(
        "a breaking siphon still draws the bed down by {}, and the water of its bell falls back and \
         raises it by up to {back}; both are left out of the levels.{warning}",
        between(&units.length(least), "to", &units.length(most)),
    )
}

/// Water that stands in the bell above the bed's level as it breaks `[m3]`.
fn fall_back(bed: &Bed, level: f64) -> f64 {
    let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
    let annulus = FRAC_PI_4 * (bell.bore * bell.bore - pipe.outside * pipe.outside);
    let crown = FRAC_PI_4 * bell.bore * bell.bore * bell.clearance;
    annulus * (bed.lip_level() - level).max(0.0) + crown
}

/// An air tube that cannot break the siphon.
fn thin_air_tube(facts: &Facts, i: usize) -> Option<String> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let law = &parts.nominal[i];
    let bed = &parts.beds()[i];
    let tube = bed.siphon.bell.air_tube.as_ref()?;
    if law.tube_breaks(judged.tail) || tube.mouth_height <= bed.siphon.bell.slots.height {
        return None;
    }
    let (passed, needed) = (
        law.tube_air_flow(judged.tail)?,
        law.tube_air_needed(judged.tail)?,
    );
    if passed <= 0.0 {
        return None;
    }
    let bore = amounts::bore(units, tube.bore * (needed / passed).sqrt(), Side::Up);
    Some(format!(
        "The air tube of {}, {} bore, lets in less air than its siphon carries away, so the slots \
         break it; a tube of at least {} bore would do.",
        parts.name(i),
        units.bore(tube.bore),
        units.bore(bore)
    ))
}

/// Suction of a running siphon on the other lips of a line without a vent.
fn unvented_line(facts: &Facts) -> Option<String> {
    let parts = &facts.parts;
    let line = parts.system.drain_line.as_ref()?;
    let members: Vec<usize> = (0..parts.count()).filter(|&i| parts.on_line(i)).collect();
    if line.vented || members.len() < 2 {
        return None;
    }
    let flow = |i: usize| parts.nominal[i].stall_flow(parts.outlets[i]);
    let largest = members
        .into_iter()
        .max_by(|&a, &b| flow(a).total_cmp(&flow(b)))?;
    Some(format!(
        "The shared drain line has no vent: while {} runs, the largest of its siphons with {}, \
         every {} of suction in the line lowers the lip of the other beds by as much and can start \
         them early. Vent the line at its upper end.",
        parts.name(largest),
        parts.units.flow(flow(largest)),
        parts.units.length(0.010)
    ))
}

/// Periods, the pair that meets soonest, and how often beds met in this run.
fn meetings(facts: &Facts) -> Option<String> {
    let parts = &facts.parts;
    let units = parts.units;
    let cycling: Vec<(usize, f64)> = (0..parts.count())
        .filter_map(|i| Some((i, parts.mean_period(i)?)))
        .collect();
    if cycling.len() < 2 {
        return None;
    }
    let periods: Vec<String> = cycling
        .iter()
        .map(|&(i, period)| format!("{} every {}", parts.name(i), units.time(period)))
        .collect();
    let beat = |a: f64, b: f64| a * b / (a - b).abs();
    let soonest = pairs(&cycling)
        .min_by(|(a, b), (c, d)| beat(a.1, b.1).total_cmp(&beat(c.1, d.1)))
        .map_or_else(String::new, |(a, b)| {
            let names = format!("{} and {}", parts.name(a.0), parts.name(b.0));
            let apart = beat(a.1, b.1);
            if apart > LONGEST_BEAT {
                format!("{names} keep the step they began in")
            } else {
                format!("{names} meet soonest, about every {}", units.time(apart))
            }
        });
    let met = parts.run.coincidences.len();
    Some(format!(
        "Beds flood at their own pace: {}; {soonest}. In this run two beds broke within a minute \
         of each other {met} {}.",
        periods.join(", "),
        if met == 1 { "time" } else { "times" }
    ))
}

/// Every two of `list`.
fn pairs<T: Copy>(list: &[T]) -> impl Iterator<Item = (T, T)> {
    (0..list.len()).flat_map(move |k| list[k + 1..].iter().map(move |&other| (list[k], other)))
}

fn estimated_pump(facts: &Facts) -> Option<String> {
    match &facts.parts.system.pump.source {
        PumpSource::Curve(curve) if curve.is_estimate() => Some(
            "The pump's curve is an estimate, a parabola through the two figures on its box; real \
             flow differs by a quarter easily. Measure the inflow of each bed with a bucket."
                .to_owned(),
        ),
        _ => None,
    }
}

/// Cover against vortices as a standard for large pumps has it; never a check.
fn submergence_advice(facts: &Facts) -> Option<String> {
    let parts = &facts.parts;
    let units = parts.units;
    let flow = parts.run.pump.flow.max;
    // Without a supply pipe there is no width to go by.
    if flow <= 0.0 || parts.system.supply.trunk.length <= 0.0 {
        return None;
    }
    // S = D + 0.574 Q / D^1.5 in inches and US gallons per minute.
    const INCH: f64 = 0.0254;
    const GALLON_PER_MINUTE: f64 = 231.0 * INCH * INCH * INCH / 60.0;
    let bore = parts.system.supply.trunk.bore;
    let inches = bore / INCH;
    let cover = (inches + 0.574 * (flow / GALLON_PER_MINUTE) / inches.powf(1.5)) * INCH;
    Some(format!(
        "For information: the submergence rule for large pumps (ANSI/HI 9.8, from memory, an \
         extrapolation at this size) would ask for {} over an intake as wide as the supply pipe, \
         {}; the check uses {}.",
        units.length(cover),
        units.bore(bore),
        units.length(parts.system.pump.minimum_cover)
    ))
}

/// Beds without a grain size: their guards are taken to stand as high as the gravel's water.
fn media_loss(facts: &Facts) -> Option<String> {
    let beds = facts.parts.beds();
    let without: Vec<String> = beds
        .iter()
        .filter(|bed| bed.media.grain.is_none())
        .map(|bed| quoted(&bed.name))
        .collect();
    if without.is_empty() {
        return None;
    }
    let common = "the loss from gravel to siphon is taken as zero: the water at the siphon is put \
                  as high as in the gravel. In truth it stands some millimetres lower while it \
                  drains, breaks a little early and leaves water behind";
    Some(if without.len() == beds.len() {
        format!("No grain size is given, so {common}.")
    } else {
        format!(
            "No grain size is given for {}, so there {common}.",
            without.join(", ")
        )
    })
}
