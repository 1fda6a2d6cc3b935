//! What sump, pipes, tank and room do.

use super::{checks, reasons, the_check};
use crate::answer::account::whole_range;
use crate::assessment::why::SumpSeen;
use crate::assessment::{Check, CheckId, Status, Why};
use crate::report::Topic;
use crate::report::{Report, bed_name, bed_names};
use crate::units::DAY;

type Said = Option<(Status, String)>;

/// Between which levels the sump stands, against intake and overflow.
pub(super) fn sump(report: &Report) -> Said {
    let units = report.units;
    let level = |value: f64| units.elevation(value);
    let check = the_check(report, CheckId::PumpCover)?;
    let run = &report.run.sump;
    let stands = format!(
        "stands between {} and {}",
        level(run.level.min),
        level(run.level.max)
    );
    let spills = report.system.sump.overflow_level;
    if run.overflowed > 0.0 {
        let words = format!(
            "spills {} over its overflow at {}",
            units.volume(run.overflowed),
            level(spills)
        );
        return Some((Status::Fail, words));
    }
    let Why::PumpCover(why) = &check.why else {
        return None;
    };
    let needs = level(why.needed);
    Some((
        check.status,
        match check.status {
            Status::Pass => format!(
                "{stands}, never under {}; the pump needs {needs}, and it spills at {}",
                level(why.low),
                level(spills)
            ),
            Status::Warn => report.because(check),
            Status::Fail if why.drew_air > 0.0 => format!(
                "runs dry: the pump draws air for {} of this run; with every bed full it would fall to {}, \
                 and the pump needs {needs}",
                units.time(why.drew_air),
                level(why.low)
            ),
            Status::Fail => format!(
                "{stands}, but with every bed full at once it falls to {} and the pump, which needs \
                 {needs}, draws air",
                level(why.low)
            ),
        },
    ))
}

/// Where the water goes with the pump off and every bed empty.
pub(super) fn power_cut(report: &Report) -> Said {
    let units = report.units;
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
        (Some(lost), _) => format!(
            "with the pump off and every bed empty{fed} {} have no room in the sump and run over its \
             overflow at {}",
            units.volume(lost),
            units.elevation(why.overflow)
        ),
        (None, SumpSeen::Overflowed(volume)) => format!(
            "{} run over the sump's overflow in this run",
            units.volume(volume)
        ),
        (None, SumpSeen::RoseTo(_)) => format!(
            "with the pump off and every bed empty{fed} the sump rises to {}, {} under its overflow",
            units.elevation(why.high),
            units.length(why.overflow - why.high)
        ),
    };
    Some((check.status, words))
}

/// What the way back carries, and whether all of it falls.
pub(super) fn drain_line(report: &Report) -> Said {
    let units = report.units;
    let troubled: Vec<&Check> = checks(report, Topic::DrainLine)
        .filter(|check| check.status > Status::Pass)
        .collect();
    let worst = troubled.iter().map(|check| check.status).max();
    let line = the_check(report, CheckId::DrainLine)
        .filter(|check| matches!(check.why, Why::DrainLine(_)))
        .map(|check| load(report, check));
    let falls = checks(report, Topic::DrainLine).filter(|check| check.id == CheckId::Fall);
    let least = falls.map(|check| check.value).fold(f64::INFINITY, f64::min);
    let mut said: Vec<String> = line.into_iter().collect();
    said.extend(
        troubled
            .iter()
            .filter(|check| !matches!(check.why, Why::DrainLine(_)))
            .map(|check| report.because(check)),
    );
    if worst.is_none() {
        if said.is_empty() {
            said.push("None is shared.".to_owned());
        }
        if least.is_finite() {
            said.push(format!(
                "Every pipe ends at least {} above the water it falls to.",
                units.length(least)
            ));
        }
    }
    Some((worst.unwrap_or(Status::Pass), said.join(" ")))
}

/// How full a shared line gets, in a sentence or two.
fn load(report: &Report, check: &Check) -> String {
    let units = report.units;
    let Why::DrainLine(why) = &check.why else {
        return String::new();
    };
    if !why.came_up.is_empty() || !why.may_come_up.is_empty() {
        return report.because(check);
    }
    let (peak, most) = (units.flow(why.peak), units.flow(why.capacity));
    let full = |fill: f64| units.percent(fill.min(1.0));
    if why.peak <= 0.0 {
        return format!("Takes no water in this run; it could carry {most}.");
    }
    let mut text = match &why.fill {
        None => format!("Takes up to {peak} and carries {most}: it backs up."),
        Some((fill, bed)) => format!(
            "Takes up to {peak} and carries {most}; filled to {} ({} to {}) just above the drain of {}.",
            full(fill.nominal),
            full(fill.low),
            full(fill.high),
            bed_name(report.system, *bed)
        ),
    };
    if !why.held.is_empty() {
        let held = bed_names(report.system, &why.held);
        text += &format!(" Its water keeps {held} from stopping.");
    }
    text
}

/// How low the water of the fish can fall, and how often it is renewed.
pub(super) fn fish_tank(report: &Report) -> Said {
    let tank = report.run.tank.as_ref()?;
    if let Some(reasons) = reasons(report, Topic::FishTank) {
        return Some(reasons);
    }
    let units = report.units;
    let words = format!(
        "cannot fall under {}; its water is renewed {}",
        units.elevation(tank.lowest_possible),
        units.per_hour(tank.turnover_per_hour)
    );
    Some((Status::Pass, words))
}

/// The float valve, or what is missing every day without one.
pub(super) fn top_off(report: &Report) -> Said {
    let units = report.units;
    if let Some(reasons) = reasons(report, Topic::TopOff) {
        return Some(reasons);
    }
    let account = &report.assessment.garden.account;
    let range = account.float.map_or_else(String::new, |range| {
        let (low, high) = whole_range(range, units);
        format!(" (anywhere from {low} to {high} does)")
    });
    if let (Some(valve), Some(found)) = (&report.system.top_off, &report.run.top_off) {
        let lasts = account.reservoir.map_or_else(String::new, |time| {
            format!("; its reservoir lasts {}", units.days(time))
        });
        let words = format!(
            "the float valve opens below {}, where no cycle reaches{range}, and adds {} a day{lasts}",
            units.elevation(valve.level),
            units.volume(found.added_per_day)
        );
        return Some((Status::Pass, words));
    }
    if let Some(time) = account.until_full {
        let words = format!(
            "sources bring {} a day more than the air takes: after {} the sump goes over its overflow",
            units.volume(-DAY * account.to_add()),
            units.days(time)
        );
        return Some((Status::Warn, words));
    }
    let time = account.until_dry?;
    let words = format!(
        "no float valve: {} a day have to be filled in by hand; left alone, the pump draws air \
         after {}",
        units.volume(DAY * account.to_add()),
        units.days(time)
    );
    Some((Status::Pass, words))
}

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
    let words = format!("{} between rim and ceiling", report.units.length(why.left));
    Some((Status::Pass, words))
}

/// A question that is only raised where something is wrong.
pub(super) fn troubled(report: &Report, topic: Topic) -> Said {
    reasons(report, topic)
}
