//! Remarks: cross-checks, estimates, what is unknown.

use crate::assessment::checks::settler_size;
use crate::assessment::checks::why::WantedSettler;
use crate::assessment::facts::Facts;
use crate::hydraulics::small_bore::SMALLEST_BORE;
use crate::model::{Band, Bed, Coefficient, DrainLosses, PumpSource, drop_beyond};
use crate::numerics::maths::Maths;
use crate::simulation::{BedOutcome, EventKind, Hang};

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
/// Less room than this under the beds is not worth telling: what a tape shows `[m]`.
const LEAST_ROOM: f64 = 0.0016;

/// A remark on a run, beds by their places in the list, figures in SI.
#[derive(Debug, Clone, PartialEq)]
pub enum Note {
    /// No inflow of a bed is beyond doubt.
    EmptyWindow {
        /// Which.
        bed: usize,
        /// What it starts from `[m3/s]`.
        start: Band,
        /// What it breaks below `[m3/s]`.
        breaks_below: Band,
    },
    /// Inflows that stand in for moments that never came.
    StandIn {
        /// Which bed.
        bed: usize,
        /// The inflow for its start, where it never spilled over its lip `[m3/s]`.
        start: Option<f64>,
        /// The inflow for its break, where it never came to its break level `[m3/s]`.
        end: Option<f64>,
        /// Whether it broke while the pump did not feed it.
        broke_unfed: bool,
    },
    /// An air tube that cannot break the siphon.
    ThinAirTube {
        /// Of which bed.
        bed: usize,
        /// Its bore `[m]`.
        bore: f64,
        /// Bore that would do `[m]`.
        needed: f64,
    },
    /// A drain pipe given as shorter than straight down.
    ShortDrain {
        /// Of which bed.
        bed: usize,
        /// As given `[m]`.
        length: f64,
        /// From lip to outlet `[m]`.
        drop: f64,
    },
    /// What a narrow bore changes in the start.
    NarrowBore {
        /// Of which bed.
        bed: usize,
        /// The bore `[m]`.
        bore: f64,
        /// The start's Froude number in it `[-]`.
        froude: Band,
        /// The same in wide bores `[-]`.
        usual: Band,
    },
    /// A siphon that takes long to get rid of its air.
    LongPriming {
        /// Of which bed.
        bed: usize,
        /// For how long `[s]`.
        time: f64,
        /// Air under its cap `[m3]`.
        air: f64,
        /// Cap over the lip now `[m]`.
        clearance: f64,
        /// What makes it shorter.
        lever: PrimingLever,
    },
    /// A part that switched to and fro and was held.
    Hangs {
        /// Which.
        part: Hang,
        /// From when on `[s]`.
        from: f64,
        /// How many times.
        count: u32,
    },
    /// What happens after the breaks of beds that are alike in it.
    AfterBreak {
        /// Which beds.
        beds: Vec<usize>,
        /// What happens.
        what: AfterBreak,
    },
    /// Two published limits beside the run-on flow of beds of one bore.
    RunOnBeside {
        /// The bore `[m]`.
        bore: f64,
        /// Beds and their run-on flows `[m3/s]`.
        beds: Vec<(usize, f64)>,
        /// Slow, nominal and fast flow at which a full pipe clears its air `[m3/s]`.
        air_clearing: [f64; 3],
        /// What a drainage stack carries `[m3/s]`.
        stack: [f64; 2],
    },
    /// A shared line without a vent.
    UnventedLine {
        /// The largest of its siphons.
        largest: usize,
        /// What it gives `[m3/s]`.
        flow: f64,
    },
    /// How beds meet.
    Meetings {
        /// Beds that cycle and their periods `[s]`.
        periods: Vec<(usize, f64)>,
        /// The pair that meets soonest, and after how long; `None`: it keeps its step `[s]`.
        soonest: Option<(usize, usize, Option<f64>)>,
        /// How often two broke within a minute in the run.
        met: usize,
    },
    /// The pump's curve is a parabola through the figures on its box.
    EstimatedPump,
    /// What a rule for large pumps would ask for.
    Submergence {
        /// Cover by that rule `[m]`.
        cover: f64,
        /// Bore of the supply pipe `[m]`.
        bore: f64,
        /// Cover that the check uses `[m]`.
        used: f64,
    },
    /// Beds without a grain size; every bed where the list is empty.
    NoGrain(Vec<usize>),
    /// How far everything over the sump could come down.
    LowerBeds {
        /// How far `[m]`.
        room: f64,
        /// The sump's highest water `[m]`.
        high: f64,
        /// Rim to ceiling now, where there is one `[m]`.
        headroom: Option<f64>,
    },
    /// The size that a settler wants: a check that only informs has its sentence nowhere else.
    SettlerSize(WantedSettler),
    /// The event with this index was put at the moment that is worst for the sump.
    WorstMoment(usize),
    /// A series too long to be kept in full: its points are so far apart `[s]`.
    Spacing(f64),
    /// Of cycles too many to be kept, of all beds.
    CyclesKept(Kept),
    /// Of events too many to be kept.
    EventsKept(Kept),
}

/// How many of what happened in a long run are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept {
    /// That many.
    pub kept: usize,
    /// Of so many.
    pub of: usize,
}

/// What makes priming shorter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PrimingLever {
    /// Sealing the bell.
    Seal,
    /// A cap so far over the lip `[m]`.
    LowerCap(f64),
    /// A narrower bell.
    NarrowerBell,
}

/// Undershoot and bell water falling back, of opposite signs.
#[derive(Debug, Clone, PartialEq)]
pub struct AfterBreak {
    /// How far a breaking siphon still draws the bed down; `None` past its stall `[m]`.
    pub undershoot: Option<[f64; 2]>,
    /// How far the water of its bell raises it `[m]`.
    pub back: f64,
    /// The limit of that, where it is more `[m]`.
    pub over_limit: Option<f64>,
    /// The flood, where more than a tenth of it falls back `[m3]`.
    pub over_tenth_of: Option<f64>,
}

/// All remarks: the beds' in file order, then the system's.
pub(super) fn all(facts: &Facts) -> Vec<Note> {
    let mut list = Vec::new();
    for i in 0..facts.parts.count() {
        list.extend(empty_window(facts, i));
        list.extend(stand_in(facts, i));
        list.extend(thin_air_tube(facts, i));
        list.extend(short_drain(facts, i));
        list.extend(narrow_bore(facts, i));
        list.extend(long_priming(facts, i));
    }
    list.extend(hanging(facts));
    list.extend(after_breaks(facts));
    list.extend(run_on_cross_checks(facts));
    list.extend(kept_in_part(facts));
    list.extend(unvented_line(facts));
    list.extend(meetings(facts));
    list.extend(estimated_pump(facts));
    list.extend(submergence(facts));
    list.extend(no_grain(facts));
    list.extend(lower_beds(facts));
    list.extend(settler_size(facts).map(Note::SettlerSize));
    list
}

/// Parts that switched to and fro and were held where they did.
/// What a long run has not kept in full.
fn kept_in_part(facts: &Facts) -> impl Iterator<Item = Note> {
    let run = facts.parts.run;
    let sum = |of: fn(&BedOutcome) -> usize| run.beds.iter().map(of).sum();
    let cycles = Kept {
        kept: sum(|bed| bed.cycles.len()),
        of: sum(|bed| bed.cycle_count),
    };
    let events = Kept {
        kept: run.events.len(),
        of: run.event_count,
    };
    let lacks = |what: &Kept| what.kept < what.of;
    let cycles = Some(cycles).filter(lacks).map(Note::CyclesKept);
    let events = Some(events).filter(lacks).map(Note::EventsKept);
    cycles.into_iter().chain(events)
}

fn hanging(facts: &Facts) -> Vec<Note> {
    let mut found: Vec<(Hang, f64, u32)> = Vec::new();
    for event in &facts.parts.run.events {
        if let EventKind::Hangs(part) = event.kind {
            match found.iter_mut().find(|(known, ..)| *known == part) {
                Some((_, _, count)) => *count += 1,
                None => found.push((part, event.time, 1)),
            }
        }
    }
    let note = |(part, from, count)| Note::Hangs { part, from, count };
    found.into_iter().map(note).collect()
}

/// A pipe shorter than straight down: its friction comes out too small.
fn short_drain(facts: &Facts, i: usize) -> Option<Note> {
    let bed = &facts.parts.beds()[i];
    let DrainLosses::Computed { length, .. } = bed.siphon.drain.losses else {
        return None;
    };
    Some(Note::ShortDrain {
        bed: i,
        length,
        drop: drop_beyond(length, bed.lip_level(), bed.siphon.drain.outlet)?,
    })
}

/// What a narrow bore changes in the start, and where nothing is known of it.
fn narrow_bore(facts: &Facts, i: usize) -> Option<Note> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let bore = bed.siphon.standpipe.bore;
    let froude = parts.start_froude(bed);
    let usual = parts.band(Coefficient::StartFroude);
    (bore < SMALLEST_BORE || froude != usual).then_some(Note::NarrowBore {
        bed: i,
        bore,
        froude,
        usual,
    })
}

/// A siphon that takes long to get rid of the air under its cap.
fn long_priming(facts: &Facts, i: usize) -> Option<Note> {
    let parts = &facts.parts;
    let time = parts.nominal[i].priming_time()?;
    if time <= LONG_PRIMING {
        return None;
    }
    let siphon = &parts.beds()[i].siphon;
    // As the air leaves at one pace, the cap's height and the time go together.
    let clearance = siphon.bell.clearance * LONG_PRIMING / time;
    Some(Note::LongPriming {
        bed: i,
        time,
        air: parts.nominal[i].crown_volume(),
        clearance: siphon.bell.clearance,
        lever: if siphon.bell.air_leak > 0.0 {
            PrimingLever::Seal
        } else if clearance >= LEAST_CLEARANCE * siphon.standpipe.bore {
            PrimingLever::LowerCap(clearance)
        } else {
            PrimingLever::NarrowerBell
        },
    })
}

/// How far everything over the sump could come down, and what that gives the plants.
fn lower_beds(facts: &Facts) -> Option<Note> {
    let parts = &facts.parts;
    let system = parts.system;
    let high = facts.balance.high_water(parts);
    let direct = (0..parts.count())
        .filter(|&i| !parts.on_line(i))
        .map(|i| parts.outlets[i]);
    let line = system.drain_line.as_ref().map(|line| line.outlet);
    let room = direct.chain(line).fold(f64::INFINITY, f64::min) - high;
    (room.is_finite() && room >= LEAST_ROOM).then(|| Note::LowerBeds {
        room,
        high,
        headroom: system.ceiling.map(|ceiling| ceiling - system.highest_rim()),
    })
}

/// No inflow is beyond doubt: said once; what would open the window is looked for when asked.
fn empty_window(facts: &Facts, i: usize) -> Option<Note> {
    let judged = &facts.beds[i];
    judged
        .certain_window_is_empty()
        .then_some(Note::EmptyWindow {
            bed: i,
            start: judged.window.start,
            breaks_below: judged.breaks_below,
        })
}

/// Which inflow stands in for a moment that never came.
fn stand_in(facts: &Facts, i: usize) -> Option<Note> {
    let judged = &facts.beds[i];
    let (start, end) = (judged.at_start, judged.at_break);
    (!start.met || !end.met).then_some(Note::StandIn {
        bed: i,
        start: (!start.met).then_some(start.flow),
        end: (!end.met).then_some(end.flow),
        broke_unfed: facts.parts.run.broke(i),
    })
}

/// Two published limits beside the run-on flow, once for all beds of a bore.
fn run_on_cross_checks(facts: &Facts) -> Vec<Note> {
    let parts = &facts.parts;
    let bore = |i: usize| parts.beds()[i].siphon.standpipe.bore;
    let is_first = |i: usize| !(0..i).any(|j| bore(j) == bore(i));
    (0..parts.count())
        .filter(|&i| is_first(i))
        .map(|i| {
            let checks = parts.nominal[i].cross_checks();
            let alike = (i..parts.count()).filter(|&j| bore(j) == bore(i));
            Note::RunOnBeside {
                bore: bore(i),
                beds: alike
                    .map(|j| (j, facts.beds[j].window.run_on.nominal))
                    .collect(),
                air_clearing: checks.air_clearing,
                stack: checks.stack,
            }
        })
        .collect()
}

/// Undershoot and bell water falling back, each bed by itself.
fn after_breaks(facts: &Facts) -> Vec<Note> {
    (0..facts.parts.count())
        .map(|i| Note::AfterBreak {
            beds: vec![i],
            what: after_break(facts, i),
        })
        .collect()
}

fn after_break(facts: &Facts, i: usize) -> AfterBreak {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let law = &parts.nominal[i];
    let level = law.break_level(judged.tail);
    let storage = &parts.storages[i];
    let area = storage.area(level);
    let drawn =
        BREAK_TIME.map(|seconds| law.undershoot(judged.at_break.flow, judged.tail, seconds, area));
    let volume = fall_back(&parts.beds()[i], level);
    let back = volume / area;
    let limit = parts.system.thresholds.fall_back;
    let peak = parts.simulated_peak(i).max(level);
    let flood = storage.volume(peak) - storage.volume(level);
    AfterBreak {
        // Past the stall no siphon breaks against the inflow.
        undershoot: (drawn[1] > 0.0).then_some(drawn),
        back,
        over_limit: (back > limit).then_some(limit),
        over_tenth_of: (volume > FLOOD_SHARE * flood).then_some(flood),
    }
}

/// Water that stands in the bell above the bed's level as it breaks `[m3]`.
fn fall_back(bed: &Bed, level: f64) -> f64 {
    bed.siphon.annulus_area() * (bed.lip_level() - level).max(0.0) + bed.siphon.bell.crown_volume()
}

/// An air tube that cannot break the siphon.
fn thin_air_tube(facts: &Facts, i: usize) -> Option<Note> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
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
    (passed > 0.0).then(|| Note::ThinAirTube {
        bed: i,
        bore: tube.bore,
        // Air goes with the area of the tube.
        needed: tube.bore * (needed / passed).sqrt(),
    })
}

/// Suction of a running siphon on the other lips of a line without a vent.
fn unvented_line(facts: &Facts) -> Option<Note> {
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
    Some(Note::UnventedLine {
        largest,
        flow: flow(largest),
    })
}

/// Periods, the pair that meets soonest, and how often beds met in this run.
fn meetings(facts: &Facts) -> Option<Note> {
    let parts = &facts.parts;
    let periods: Vec<(usize, f64)> = (0..parts.count())
        .filter_map(|i| Some((i, parts.mean_period(i)?)))
        .collect();
    if periods.len() < 2 {
        return None;
    }
    let soonest = pairs(&periods)
        .min_by(|(a, b), (c, d)| meets_every(a.1, b.1).total_cmp(&meets_every(c.1, d.1)))
        .map(|(a, b)| {
            let apart = meets_every(a.1, b.1);
            (a.0, b.0, (apart <= LONGEST_BEAT).then_some(apart))
        });
    Some(Note::Meetings {
        periods,
        soonest,
        met: parts.run.meetings,
    })
}

/// How often beds of these periods break together `[s]`: one falls behind the other by what is over
/// of their ratio each time the slower one breaks. Infinite where they keep step.
fn meets_every(a: f64, b: f64) -> f64 {
    let slower = a.max(b);
    let ratio = slower / a.min(b);
    slower / (ratio - ratio.round()).abs()
}

/// Every two of `list`.
fn pairs<T: Copy>(list: &[T]) -> impl Iterator<Item = (T, T)> {
    (0..list.len()).flat_map(move |k| list[k + 1..].iter().map(move |&other| (list[k], other)))
}

fn estimated_pump(facts: &Facts) -> Option<Note> {
    match &facts.parts.system.pump.source {
        PumpSource::Curve(curve) if curve.is_estimate() => Some(Note::EstimatedPump),
        _ => None,
    }
}

/// Cover against vortices as a standard for large pumps has it; never a check.
fn submergence(facts: &Facts) -> Option<Note> {
    let parts = &facts.parts;
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
    let cover = (inches + 0.574 * (flow / GALLON_PER_MINUTE) / inches.to_the(1.5)) * INCH;
    Some(Note::Submergence {
        cover,
        bore,
        used: parts.system.pump.minimum_cover,
    })
}

/// Beds without a grain size: their guards are taken to stand as high as the gravel's water.
fn no_grain(facts: &Facts) -> Option<Note> {
    let beds = facts.parts.beds();
    let without: Vec<usize> = (0..beds.len())
        .filter(|&i| beds[i].media.grain.is_none())
        .collect();
    if without.is_empty() {
        return None;
    }
    let all = without.len() == beds.len();
    Some(Note::NoGrain(if all { Vec::new() } else { without }))
}

#[cfg(test)]
mod tests {
    use super::meets_every;

    // Whole minutes that meet at their least common multiple, one falling back by one or a half.
    #[test]
    fn beds_meet_at_the_common_multiple_of_their_periods() {
        for (a, b, together) in [
            (9.0, 10.0, 90.0),
            (12.0, 10.0, 60.0),
            (10.0, 25.0, 50.0),
            (20.0, 8.0, 40.0),
        ] {
            assert!((meets_every(a, b) - together).abs() < 1e-9, "{a} {b}");
        }
        // Three to one: from where they began they come no nearer.
        assert!(meets_every(7.0, 21.0).is_infinite());
    }
}
