//! What to change, in words.

use crate::assessment::{Aim, Fix, Hint};
use crate::model::{BedPart, Change, Quantity, System};
use crate::report::change_words::change_words;
use crate::report::check_words::siphon::water_over;
use crate::report::{Kind, Say, Text, said};
use crate::units::DAY;
use crate::units::UnitSystem;

/// Decimals up to which two flows are told apart.
const MOST_PLACES: usize = 4;

/// What the owner can do that is no change of the scenario, by the first of `fixes` that is
/// none and waits for no other check; `None` where all of them are or do.
pub fn by_hand(system: &System, fixes: &[Fix], units: UnitSystem) -> Option<Text> {
    let say = Say { system, units };
    let waits = |hint: &Hint| order_words(&say, hint).is_some();
    let fix = fixes
        .iter()
        .find(|fix| fix.changes.is_empty() && !fix.hints.iter().any(waits))?;
    Some(fix_words(system, fix, units)).filter(|told| !told.is_empty())
}

/// What `fix` does to `system`, in sentences with figures in `units`.
pub fn fix_words(system: &System, fix: &Fix, units: UnitSystem) -> Text {
    let say = Say { system, units };
    let doing = fix_clause(&say, fix);
    let doing = (!doing.is_empty()).then(|| doing.capital().and("."));
    let hints = fix.hints.iter().map(|hint| hint_words(&say, hint));
    Text::joined(doing.into_iter().chain(hints), " ")
}

/// What `fix` changes and what that brings about, as a clause; empty where it changes nothing.
pub(super) fn fix_clause(say: &Say, fix: &Fix) -> Text {
    let steps = fix
        .changes
        .iter()
        .map(|change| change_words(change, say.system, say.units));
    let steps = Text::joined(steps, ", and ");
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
        Aim::Water(more) => said!(
            "{}, {} {}",
            steps,
            say.volume("water", more.abs()),
            if more > 0.0 { "more" } else { "less" }
        ),
        Aim::InflowAtLeast { bed, from, to } if alone => said!(
            "raise the inflow of {} {}",
            say.bed(bed),
            from_to(say, from, "least", to)
        ),
        Aim::InflowAtMost { bed, from, to } if alone => said!(
            "throttle the inflow of {} {}",
            say.bed(bed),
            from_to(say, from, "most", to)
        ),
        Aim::InflowAtLeast { bed, to, .. } => said!(
            "{}, so that {} gets at least {}",
            steps,
            say.bed(bed),
            say.flow("inflow_to", to)
        ),
        Aim::InflowAtMost { bed, to, .. } => said!(
            "{}, so that {} gets at most {}",
            steps,
            say.bed(bed),
            say.flow("inflow_to", to)
        ),
    }
}

/// "from 9.04 L/min to at most 9.0 L/min": with more figures where both would print alike.
fn from_to(say: &Say, from: f64, side: &str, to: f64) -> Text {
    let (factor, unit) = say.units.flow_axis();
    let target = say.flow("inflow_to", to);
    let figure = |text: &str| {
        text.split(' ')
            .next()
            .and_then(|word| word.parse::<f64>().ok())
    };
    let mut start = say.units.flow(from);
    for places in 2..=MOST_PLACES {
        if figure(&start) != figure(&target.shown) {
            break;
        }
        start = format!("{:.places$} {unit}", from * factor);
    }
    if figure(&start) == figure(&target.shown) {
        return said!("a little, to at {} {}", side, target);
    }
    let start = say.printed(Kind::Flow, "inflow_from", from, start);
    said!("from {} to at {} {}", start, side, target)
}

fn hint_words(say: &Say, hint: &Hint) -> Text {
    order_words(say, hint)
        .or_else(|| siphon_words(say, hint))
        .or_else(|| part_words(say, hint))
        .or_else(|| garden_words(say, hint))
        .unwrap_or_default()
}

/// What has to be done before.
fn order_words(say: &Say, hint: &Hint) -> Option<Text> {
    Some(match hint {
        Hint::First(id, subject) => said!(
            "See to {} of the {} first.",
            id.key(),
            subject.name(say.system)
        ),
        Hint::StartOrBreakFirst(bed) => {
            said!("Mend the start or the break of {} first.", say.bed(*bed))
        }
        Hint::KeepFromOverflowing(beds) => said!(
            "Keep {} from overflowing first: see rim and breaks.",
            say.beds(beds)
        ),
        Hint::ClearOutlet { bed, over, see } => said!(
            "Clear the outlet of {} first: {}. See {}.",
            say.bed(*bed),
            water_over(say, *over),
            see.key()
        ),
        Hint::ClearLineOutlet => {
            "Clear the outlet of the drain line of water first: see fall.".into()
        }
        Hint::Simulate(time) => said!("Simulate at least {}.", say.time("time", *time)),
        Hint::RunPump(time) => said!(
            "Let the pump run for at least {} before it stops for good.",
            say.time("time", *time)
        ),
        _ => return None,
    })
}

/// About a bed, its siphon and its drain.
fn siphon_words(say: &Say, hint: &Hint) -> Option<Text> {
    Some(match hint {
        Hint::MayRunOn => "It may then run on instead of breaking.".into(),
        Hint::MayNotStart => {
            "It may then not start, which only more fall below the bed mends.".into()
        }
        Hint::IfItStarts => "That holds if it still starts.".into(),
        Hint::LeaveAtLeast(flow) => {
            said!(
                "Leave at least {} for it to start.",
                say.flow("flow", *flow)
            )
        }
        Hint::Overflow {
            bore,
            lip,
            under_rim,
            ..
        } => said!(
            "An overflow pipe of at least {} bore to the sump, its lip at {} or lower, {} under the \
             rim, would have kept the water in.",
            say.bore("bore", *bore),
            say.elevation("lip", *lip),
            say.length("under_rim", *under_rim)
        ),
        Hint::RunsBack(bed) => said!(
            "In every pause the water of {} runs back through its inlet before it comes to the lip.",
            say.bed(*bed)
        ),
        Hint::MoreSlots(bed) => said!("Give the bell of {} more slots.", say.bed(*bed)),
        Hint::OwnDrain(bed) => said!(
            "Lead the drain of {} to the sump in a pipe of its own.",
            say.bed(*bed)
        ),
        Hint::WashGravel { bed, left, moved } => said!(
            "At a break {} stay in the gravel of {} above the break level, and a cycle moves {}: \
             wash the gravel, or use coarser gravel.",
            say.volume("left", *left),
            say.bed(*bed),
            say.volume("moved", *moved)
        ),
        Hint::LargerBed { bed, times } => {
            said!(
                "It takes a bed {} times as large as {}.",
                say.number("times", *times, 1),
                say.bed(*bed)
            )
        }
        Hint::Divide { bed, into } => said!(
            "Divide {} into {} beds, or give it a wider siphon.",
            say.bed(*bed),
            say.number("into", *into, 0)
        ),
        Hint::ShorterSiphon(bed) => said!(
            "Shorten the siphon of {}: the cap stands too high over the water it draws from.",
            say.bed(*bed)
        ),
        Hint::LowerWithSump { bed, by, fall } => said!(
            "Lower {} by {} together with the sump and the drain; its outlet has only {} to fall.",
            say.bed(*bed),
            say.length("by", *by),
            say.length("fall", *fall)
        ),
        _ => return None,
    })
}

/// About pump, line, sump, tank and settler.
fn part_words(say: &Say, hint: &Hint) -> Option<Text> {
    Some(match hint {
        Hint::Pump(flow, head) => said!(
            "That takes a pump that gives {} at a head of {}.",
            say.flow("flow", *flow),
            say.head("head", *head)
        ),
        Hint::Wyes => {
            "Letting the drains into the line by 45 degree wyes in the flow's direction does it too."
                .into()
        }
        Hint::HigherLine => {
            "Lay the drain line higher over the sump's water and with more fall.".into()
        }
        Hint::LargerSump(volume) => said!(
            "Use a sump that holds at least {} more between the pump's cover and the freeboard under \
             its overflow.",
            say.volume("volume", *volume)
        ),
        Hint::FishElsewhere(volume) => said!(
            "Keep the fish in a tank of their own, or use a sump that holds at least {} more.",
            say.volume("volume", *volume)
        ),
        Hint::WidenTankPipes => {
            "Widen the pipes from the fish tank to the beds, or raise its wall.".into()
        }
        Hint::NoRoomForFloat(short) => said!(
            "Between the pump's need and the sump's lowest level there are {} too little for a float \
             valve.",
            say.length("short", *short)
        ),
        Hint::UntilItLeaks => {
            "A check valve at the pump would hold the water too, until it or the pipe above it leaks."
                .into()
        }
        Hint::TankFlow { to, timer } => {
            let rests = if *timer {
                "let the timer rest less, open its valve further or take a larger pump"
            } else {
                "open its valve further or take a larger pump"
            };
            said!("Bring its mean inflow to {}: {}.", say.flow("flow", *to), rests)
        }
        Hint::SettlerSize { across, or_flow } => said!(
            "Give the settler the water surface of a circle {} across, or bring its flow down to {}.",
            say.length("across", *across),
            say.flow("or_flow", *or_flow)
        ),
        Hint::RadialFlow => {
            "Turn it into a radial-flow settler, with the inlet in a well in its middle and a trough \
             round its rim."
                .into()
        }
        _ => return None,
    })
}

/// About fish, water and reach.
fn garden_words(say: &Say, hint: &Hint) -> Option<Text> {
    Some(match hint {
        Hint::FewerFish {
            count,
            each,
            or_water,
        } => said!(
            "Keep at most {} of them at {} each, or give them {} of water.",
            say.number("count", *count, 0),
            say.mass("each", *each),
            say.volume("or_water", *or_water)
        ),
        Hint::LessFeed { feed, or_area } => said!(
            "Feed at most {}, or plant {} of beds.",
            say.feed("feed", *feed),
            say.area("or_area", *or_area)
        ),
        Hint::AirPump(count) => said!(
            "Fit an air pump that runs without the mains; {} of these fish would have an hour.",
            say.number("count", *count, 0)
        ),
        Hint::PurerWater {
            source,
            share,
            exchange,
        } => {
            let share = match share {
                Some((share, flow)) => said!(
                    "Let at least {} of what replaces the evaporation, {} a day, be {}",
                    say.percent("share", *share),
                    say.volume("a_day", DAY * flow),
                    source.as_str()
                ),
                None => said!("No share of {} alone is enough", source.as_str()),
            };
            match exchange {
                Some(part) => said!(
                    "{}; or exchange {} of all water every week for that of the top-off.",
                    share,
                    say.percent("exchange", *part)
                ),
                None => {
                    said!(
                        "{}; and an exchange for water of the top-off does not hold it.",
                        share
                    )
                }
            }
        }
        Hint::FreeSide { bed, arm } => said!(
            "Free another side of {}, or make it at most {} deep from one side, {} from two.",
            say.bed(*bed),
            say.length("arm", *arm),
            say.length("both_arms", 2.0 * arm)
        ),
        _ => return None,
    })
}
