//! What to change, in words.

use crate::assessment::{Aim, Fix, Hint};
use crate::model::{BedPart, Change, Quantity, System};
use crate::report::Say;
use crate::report::change_words::change_words;
use crate::report::check_words::siphon::water_over;
use crate::units::DAY;
use crate::units::UnitSystem;
use crate::units::display::capital;

/// Decimals up to which two flows are told apart.
const MOST_PLACES: usize = 4;

/// What the owner can do that is no change of the scenario, by the first of `fixes` that is
/// none and waits for no other check; `None` where all of them are or do.
pub fn by_hand(system: &System, fixes: &[Fix], units: UnitSystem) -> Option<String> {
    let say = Say { system, units };
    let waits = |hint: &Hint| order_words(&say, hint).is_some();
    let fix = fixes
        .iter()
        .find(|fix| fix.changes.is_empty() && !fix.hints.iter().any(waits))?;
    Some(fix_words(system, fix, units)).filter(|said| !said.is_empty())
}

/// What `fix` does to `system`, in sentences with figures in `units`.
pub fn fix_words(system: &System, fix: &Fix, units: UnitSystem) -> String {
    let say = Say { system, units };
    let mut sentences: Vec<String> = Vec::new();
    let doing = fix_clause(&say, fix);
    if !doing.is_empty() {
        sentences.push(capital(&doing) + ".");
    }
    sentences.extend(fix.hints.iter().map(|hint| hint_words(&say, hint)));
    sentences.join(" ")
}

/// What `fix` changes and what that brings about, as a clause; empty where it changes nothing.
pub(super) fn fix_clause(say: &Say, fix: &Fix) -> String {
    let steps: Vec<String> = fix
        .changes
        .iter()
        .map(|change| change_words(change, say.system, say.units))
        .collect();
    let steps = steps.join(", and ");
    let Some(aim) = fix.aim else {
        return steps;
    };
    let alone = match (aim, fix.changes.as_slice()) {
        (Aim::Water(_), _) => false,
        (_, []) => true,
        (_, [Change::Set { what, .. }]) => {
            matches!(what, Quantity::Bed(_, BedPart::Flow))
        }
        _ => false,
    };
    match aim {
        Aim::Water(more) => {
            let side = if more > 0.0 { "more" } else { "less" };
            format!("{steps}, {} {side}", say.units.volume(more.abs()))
        }
        Aim::InflowAtLeast { bed, from, to } if alone => format!(
            "raise the inflow of {} {}",
            say.bed(bed),
            from_to(say.units, from, "least", to)
        ),
        Aim::InflowAtMost { bed, from, to } if alone => format!(
            "throttle the inflow of {} {}",
            say.bed(bed),
            from_to(say.units, from, "most", to)
        ),
        Aim::InflowAtLeast { bed, to, .. } => format!(
            "{steps}, so that {} gets at least {}",
            say.bed(bed),
            say.units.flow(to)
        ),
        Aim::InflowAtMost { bed, to, .. } => format!(
            "{steps}, so that {} gets at most {}",
            say.bed(bed),
            say.units.flow(to)
        ),
    }
}

/// "from 9.04 L/min to at most 9.0 L/min": with more figures where both would print alike.
fn from_to(units: UnitSystem, from: f64, side: &str, to: f64) -> String {
    let (factor, unit) = units.flow_axis();
    let target = units.flow(to);
    let figure = |text: &str| {
        text.split(' ')
            .next()
            .and_then(|word| word.parse::<f64>().ok())
    };
    let mut start = units.flow(from);
    for places in 2..=MOST_PLACES {
        if figure(&start) != figure(&target) {
            break;
        }
        start = format!("{:.places$} {unit}", from * factor);
    }
    if figure(&start) == figure(&target) {
        return format!("a little, to at {side} {target}");
    }
    format!("from {start} to at {side} {target}")
}

fn hint_words(say: &Say, hint: &Hint) -> String {
    order_words(say, hint)
        .or_else(|| siphon_words(say, hint))
        .or_else(|| part_words(say, hint))
        .or_else(|| garden_words(say, hint))
        .unwrap_or_default()
}

/// What has to be done before.
fn order_words(say: &Say, hint: &Hint) -> Option<String> {
    let units = say.units;
    Some(match hint {
        Hint::First(id, subject) => format!(
            "See to {} of the {} first.",
            id.key(),
            subject.name(say.system)
        ),
        Hint::StartOrBreakFirst(bed) => {
            format!("Mend the start or the break of {} first.", say.bed(*bed))
        }
        Hint::KeepFromOverflowing(beds) => format!(
            "Keep {} from overflowing first: see rim and breaks.",
            say.beds(beds)
        ),
        Hint::ClearOutlet { bed, over, see } => format!(
            "Clear the outlet of {} first: {}. See {}.",
            say.bed(*bed),
            water_over(say, *over),
            see.key()
        ),
        Hint::ClearLineOutlet => {
            "Clear the outlet of the drain line of water first: see fall.".to_owned()
        }
        Hint::Simulate(time) => format!("Simulate at least {}.", units.time(*time)),
        Hint::RunPump(time) => format!(
            "Let the pump run for at least {} before it stops for good.",
            units.time(*time)
        ),
        _ => return None,
    })
}

/// About a bed, its siphon and its drain.
fn siphon_words(say: &Say, hint: &Hint) -> Option<String> {
    let units = say.units;
    Some(match hint {
        Hint::MayRunOn => "It may then run on instead of breaking.".to_owned(),
        Hint::MayNotStart => {
            "It may then not start, which only more fall below the bed mends.".to_owned()
        }
        Hint::IfItStarts => "That holds if it still starts.".to_owned(),
        Hint::LeaveAtLeast(flow) => {
            format!("Leave at least {} for it to start.", units.flow(*flow))
        }
        Hint::Overflow {
            bore,
            lip,
            under_rim,
            ..
        } => format!(
            "An overflow pipe of at least {} bore to the sump, its lip at {} or lower, {} under the \
             rim, would have kept the water in.",
            units.bore(*bore),
            units.elevation(*lip),
            units.length(*under_rim)
        ),
        Hint::RunsBack(bed) => format!(
            "In every pause the water of {} runs back through its inlet before it comes to the lip.",
            say.bed(*bed)
        ),
        Hint::MoreSlots(bed) => format!("Give the bell of {} more slots.", say.bed(*bed)),
        Hint::OwnDrain(bed) => format!(
            "Lead the drain of {} to the sump in a pipe of its own.",
            say.bed(*bed)
        ),
        Hint::WashGravel { bed, left, moved } => format!(
            "At a break {} stay in the gravel of {} above the break level, and a cycle moves {}: \
             wash the gravel, or use coarser gravel.",
            units.volume(*left),
            say.bed(*bed),
            units.volume(*moved)
        ),
        Hint::LargerBed { bed, times } => {
            format!(
                "It takes a bed {times:.1} times as large as {}.",
                say.bed(*bed)
            )
        }
        Hint::Divide { bed, into } => format!(
            "Divide {} into {into:.0} beds, or give it a wider siphon.",
            say.bed(*bed)
        ),
        Hint::ShorterSiphon(bed) => format!(
            "Shorten the siphon of {}: the cap stands too high over the water it draws from.",
            say.bed(*bed)
        ),
        Hint::LowerWithSump { bed, by, fall } => format!(
            "Lower {} by {} together with the sump and the drain; its outlet has only {} to fall.",
            say.bed(*bed),
            units.length(*by),
            units.length(*fall)
        ),
        _ => return None,
    })
}

/// About pump, line, sump, tank and settler.
fn part_words(say: &Say, hint: &Hint) -> Option<String> {
    let units = say.units;
    Some(match hint {
        Hint::Pump(flow, head) => format!(
            "That takes a pump that gives {} at a head of {}.",
            units.flow(*flow),
            units.head(*head)
        ),
        Hint::Wyes => {
            "Letting the drains into the line by 45 degree wyes in the flow's direction does it too."
                .to_owned()
        }
        Hint::HigherLine => {
            "Lay the drain line higher over the sump's water and with more fall.".to_owned()
        }
        Hint::LargerSump(volume) => format!(
            "Use a sump that holds at least {} more between the pump's cover and the freeboard under \
             its overflow.",
            units.volume(*volume)
        ),
        Hint::FishElsewhere(volume) => format!(
            "Keep the fish in a tank of their own, or use a sump that holds at least {} more.",
            units.volume(*volume)
        ),
        Hint::WidenTankPipes => {
            "Widen the pipes from the fish tank to the beds, or raise its wall.".to_owned()
        }
        Hint::NoRoomForFloat(short) => format!(
            "Between the pump's need and the sump's lowest level there are {} too little for a float \
             valve.",
            units.length(*short)
        ),
        Hint::UntilItLeaks => {
            "A check valve at the pump would hold the water too, until it or the pipe above it leaks."
                .to_owned()
        }
        Hint::TankFlow { to, timer } => {
            let rests = if *timer {
                "let the timer rest less, open its valve further or take a larger pump"
            } else {
                "open its valve further or take a larger pump"
            };
            format!("Bring its mean inflow to {}: {rests}.", units.flow(*to))
        }
        Hint::SettlerSize { across, or_flow } => format!(
            "Give the settler the water surface of a circle {} across, or bring its flow down to {}.",
            units.length(*across),
            units.flow(*or_flow)
        ),
        Hint::RadialFlow => {
            "Turn it into a radial-flow settler, with the inlet in a well in its middle and a trough \
             round its rim."
                .to_owned()
        }
        _ => return None,
    })
}

/// About fish, water and reach.
fn garden_words(say: &Say, hint: &Hint) -> Option<String> {
    let units = say.units;
    Some(match hint {
        Hint::FewerFish {
            count,
            each,
            or_water,
        } => format!(
            "Keep at most {count} of them at {} each, or give them {} of water.",
            units.mass(*each),
            units.volume(*or_water)
        ),
        Hint::LessFeed { feed, or_area } => format!(
            "Feed at most {}, or plant {} of beds.",
            units.feed(*feed),
            units.area(*or_area)
        ),
        Hint::AirPump(count) => format!(
            "Fit an air pump that runs without the mains; {count} of these fish would have an hour."
        ),
        Hint::PurerWater {
            source,
            share,
            exchange,
        } => {
            let share = match share {
                Some((share, flow)) => format!(
                    "Let at least {} of what replaces the evaporation, {} a day, be {source}",
                    units.percent(*share),
                    units.volume(DAY * flow)
                ),
                None => format!("No share of {source} alone is enough"),
            };
            match exchange {
                Some(part) => format!(
                    "{share}; or exchange {} of all water every week for that of the top-off.",
                    units.percent(*part)
                ),
                None => {
                    format!("{share}; and an exchange for water of the top-off does not hold it.")
                }
            }
        }
        Hint::FreeSide { bed, arm } => format!(
            "Free another side of {}, or make it at most {} deep from one side, {} from two.",
            say.bed(*bed),
            units.length(*arm),
            units.length(2.0 * arm)
        ),
        _ => return None,
    })
}
