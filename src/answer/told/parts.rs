//! What sump, pipes, tank and room do.

use super::{checks, reasons, the_check};
use crate::answer::account::whole_range;
use crate::answer::{Kind, Text, said};
use crate::assessment::why::{PumpCoverWhy, SumpSeen};
use crate::assessment::{Check, CheckId, Status, Why, open_hole};
use crate::report::Topic;
use crate::report::{Report, bed_name, bed_names, comes_back, drowned_hole, hole, merged, or_over};
use crate::units::DAY;

type Said = Option<(Status, Text)>;

/// Whether two elevations `[m]` are the same to a reader.
fn reads_alike(one: f64, other: f64, report: &Report) -> bool {
    let read = |level: f64| Text::from(report.say().elevation("level", level)).to_string();
    read(one) == read(other)
}

/// Between which levels the sump stands, against intake and overflow.
pub(super) fn sump(report: &Report) -> Said {
    let say = report.say();
    let low = |why: &PumpCoverWhy| say.elevation("low", why.low);
    let overflow = report.system.sump.overflow_level;
    let hole = open_hole(report.system).filter(|hole| hole.level < overflow);
    // What is not known to be sealed counts as open.
    let spills = || match hole {
        None => Text::from(say.elevation("overflow", overflow)),
        Some(hole) => said!(
            "{}, the lowest hole for a pipe in its wall, unless that is sealed (its overflow: {})",
            say.elevation("hole", hole.level),
            say.elevation("overflow", overflow)
        ),
    };
    let check = the_check(report, CheckId::PumpCover)?;
    let run = &report.run.sump;
    let stands = said!(
        "stands between {} and {}",
        say.elevation("lowest", run.level.min),
        say.elevation("highest", run.level.max)
    );
    if run.overflowed > 0.0 {
        let words = said!(
            "spills {} over its overflow at {}",
            say.volume("spilled", run.overflowed),
            say.elevation("overflow", overflow)
        );
        return Some((Status::Fail, words));
    }
    let Why::PumpCover(why) = &check.why else {
        return None;
    };
    // Nobody typed the sum of both.
    let needs = said!(
        "{} ({} over its intake)",
        say.elevation("needed", why.needed),
        say.length("cover", report.system.pump.minimum_cover)
    );
    // Water over it does not wait for the power to fail.
    if let Some((hole, status)) = drowned_hole(report) {
        let words = said!(
            "{}, never under {}; the pump needs {}. At its highest it stands over the lowest hole for a \
             pipe in its wall, at {}: unless that is sealed{}, it spills there",
            stands,
            low(why),
            needs,
            say.elevation("hole", hole.level),
            or_over(&hole)
        );
        return Some((status, words));
    }
    Some((
        check.status,
        match check.status {
            Status::Pass => said!(
                "{}, never under {}; the pump needs {}, and it spills at {}",
                stands,
                low(why),
                needs,
                spills()
            ),
            Status::Warn => report.because(check),
            Status::Fail if why.drew_air > 0.0 => said!(
                "runs dry: the pump draws air for {} of this run; with every bed full it would fall to {}, \
                 and the pump needs {}",
                say.time("drew_air", why.drew_air),
                low(why),
                needs
            ),
            // Two figures that read alike are no reason to fail.
            Status::Fail if reads_alike(why.low, why.needed, report) => said!(
                "{}, but with every bed full at once it falls to {}, a hair under the {} that the pump needs, \
                 and it draws air",
                stands,
                low(why),
                needs
            ),
            Status::Fail => said!(
                "{}, but with every bed full at once it falls to {} and the pump, which needs \
                 {}, draws air",
                stands,
                low(why),
                needs
            ),
        },
    ))
}

/// Where the water goes with the pump off and every bed empty.
pub(super) fn power_cut(report: &Report) -> Said {
    let say = report.say();
    let check = the_check(report, CheckId::SumpHigh)?;
    let Why::SumpHigh(why) = &check.why else {
        return None;
    };
    let fed = if why.topped_up {
        ", and the float valve has added all it can"
    } else {
        ""
    };
    let words = match (why.lost, why.seen) {
        (Some(lost), _) => said!(
            "with the pump off and every bed empty{} {} have no room in the sump and run over its \
             overflow at {}",
            fed,
            say.volume("lost", lost),
            say.elevation("overflow", why.overflow)
        ),
        (None, SumpSeen::Overflowed(volume)) => said!(
            "{} run over the sump's overflow in this run",
            say.volume("spilled", volume)
        ),
        (None, SumpSeen::RoseTo(_)) => said!(
            "with the pump off and every bed empty{} the sump rises to {}, {} under its overflow",
            fed,
            say.elevation("high", why.high),
            say.length("under_overflow", why.overflow - why.high)
        ),
    };
    let back = comes_back(&say, why).map(|back| said!(": {}", back));
    let hole = hole(&say, why).map(|hole| said!("; {}", hole));
    let words = words.and(back).and(hole);
    Some((check.status, words))
}

/// What the way back carries, and whether all of it falls.
pub(super) fn drain_line(report: &Report) -> Said {
    let say = report.say();
    let troubled: Vec<&Check> = checks(report, Topic::DrainLine)
        .filter(|check| check.status > Status::Pass)
        .collect();
    let worst = troubled.iter().map(|check| check.status).max();
    let line = the_check(report, CheckId::DrainLine)
        .filter(|check| matches!(check.why, Why::DrainLine(_)))
        .map(|check| load(report, check));
    let falls = checks(report, Topic::DrainLine).filter(|check| check.id == CheckId::Fall);
    let least = falls.map(|check| check.value).fold(f64::INFINITY, f64::min);
    let mut said: Vec<Text> = line.into_iter().collect();
    let others = troubled.iter();
    let others = others.filter(|check| !matches!(check.why, Why::DrainLine(_)));
    let others = others.map(|check| report.because(check)).collect();
    said.extend(merged(others, report.system));
    if worst.is_none() {
        if said.is_empty() {
            said.push("None is shared.".into());
        }
        if least.is_finite() {
            said.push(said!(
                "Every pipe ends at least {} above the water it falls to.",
                say.length("least_fall", least)
            ));
        }
        said.extend(entry(report));
    }
    Some((worst.unwrap_or(Status::Pass), Text::joined(said, " ")))
}

/// How what ends under the sump's rim has to come in, where its water reaches no hole.
fn entry(report: &Report) -> Option<Text> {
    let say = report.say();
    let Why::SumpEntry(why) = &the_check(report, CheckId::SumpEntry)?.why else {
        return None;
    };
    let hole = why.open_hole()?;
    let way = if why.through.is_empty() {
        "bring what comes in over it, or seal it into the wall"
    } else {
        "what has to go through its wall wants a seal there"
    };
    Some(said!(
        "Pipes end under the rim of the sump, {}: {}; a hole at {} leaks under water.",
        say.elevation("rim", why.rim),
        way,
        say.elevation("lowest_hole", hole.level)
    ))
}

/// How full a shared line gets, in a sentence or two.
fn load(report: &Report, check: &Check) -> Text {
    let say = report.say();
    let Why::DrainLine(why) = &check.why else {
        return Text::default();
    };
    if !why.came_up.is_empty() || !why.may_come_up.is_empty() {
        return report.because(check);
    }
    let (peak, most) = (
        say.flow("peak", why.peak),
        say.flow("capacity", why.capacity),
    );
    let full = |name, fill: f64| say.percent(name, fill.min(1.0));
    if why.peak <= 0.0 {
        return said!("Takes no water in this run; it could carry {}.", most);
    }
    let mut text = match &why.fill {
        None => said!("Takes up to {} and carries {}: it backs up.", peak, most),
        Some((fill, bed)) => said!(
            "Takes up to {} and carries {}; filled to {} ({} to {}) just above the drain of {}.",
            peak,
            most,
            full("fill", fill.nominal),
            full("fill_low", fill.low),
            full("fill_high", fill.high),
            bed_name(report.system, *bed)
        ),
    };
    if check.status == Status::Warn && why.fill.is_some() && why.is_over_half() {
        text =
            text.and(" Half full at most is plumbing practice, so that air can follow the water.");
    }
    if !why.held.is_empty() {
        let held = bed_names(report.system, &why.held);
        text = text.and(said!(" Its water keeps {} from stopping.", held));
    }
    text
}

/// How low the water of the fish can fall, and how often it is renewed.
pub(super) fn fish_tank(report: &Report) -> Said {
    let tank = report.run.tank.as_ref()?;
    if let Some(reasons) = reasons(report, Topic::FishTank) {
        return Some(reasons);
    }
    let say = report.say();
    let words = said!(
        "cannot fall under {}; its water is renewed at a rate of {}",
        say.elevation("lowest_possible", tank.lowest_possible),
        say.per_hour("turnover_per_hour", tank.turnover_per_hour)
    );
    Some((Status::Pass, words))
}

/// The float valve, or what is missing every day without one.
pub(super) fn top_off(report: &Report) -> Said {
    let say = report.say();
    if let Some(reasons) = reasons(report, Topic::TopOff) {
        return Some(reasons);
    }
    let account = &report.assessment.garden.account;
    let range = account.float.map_or_else(Text::default, |range| {
        let (low, high) = whole_range(range, report.units);
        let low = say.printed(Kind::Elevation, "float_lowest", range.0, low);
        let high = say.printed(Kind::Elevation, "float_highest", range.1, high);
        said!(" (anywhere from {} to {} does)", low, high)
    });
    if let (Some(valve), Some(found)) = (&report.system.top_off, &report.run.top_off) {
        let lasts = account.reservoir.map_or_else(Text::default, |time| {
            said!(
                "; its reservoir lasts {}",
                say.days("reservoir_lasts", time)
            )
        });
        let words = said!(
            "the float valve opens below {}, where no cycle reaches{}, and adds {} a day{}",
            say.elevation("opens", valve.level),
            range,
            say.volume("added_per_day", found.added_per_day),
            lasts
        );
        return Some((Status::Pass, words));
    }
    if let Some(time) = account.until_full {
        let words = said!(
            "sources bring {} a day more than the air takes: after {} the sump goes over its overflow",
            say.volume("gained_a_day", -DAY * account.to_add()),
            say.days("until_full", time)
        );
        return Some((Status::Warn, words));
    }
    let time = account.until_dry?;
    let words = said!(
        "no float valve: {} a day have to be filled in by hand; left alone, the pump draws air \
         after {}",
        say.volume("to_add_a_day", DAY * account.to_add()),
        say.days("until_dry", time)
    );
    Some((Status::Pass, words))
}

/// Rims higher than that are not reached over from the ground `[m]`; common practice, no source.
const WITHIN_REACH: f64 = 1.5;

/// Room between rim and ceiling, and whether an arm reaches everywhere.
pub(super) fn headroom(report: &Report) -> Said {
    if let Some(reasons) = reasons(report, Topic::Headroom) {
        return Some(reasons);
    }
    let found = checks(report, Topic::Headroom).filter(|check| check.id == CheckId::Headroom);
    let Some(Why::Headroom(why)) = found
        .min_by(|a, b| a.value.total_cmp(&b.value))
        .map(|check| &check.why)
    else {
        return None;
    };
    let highest = report.system.highest_rim();
    // Whoever has the height drawn does not see that nobody reaches it.
    let reach = (highest > WITHIN_REACH).then(|| {
        said!(
            ". The highest rim stands {} over the floor: too high to plant and pick without a step",
            report.say().elevation("rim", highest)
        )
    });
    let words = said!(
        "{} between rim and ceiling{}",
        report.say().length("left", why.left),
        reach
    );
    Some((Status::Pass, words))
}

/// A question that is only raised where something is wrong.
pub(super) fn troubled(report: &Report, topic: Topic) -> Said {
    reasons(report, topic)
}
