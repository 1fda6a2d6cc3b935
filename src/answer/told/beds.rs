//! What the beds do; those that do alike are told once.

use super::checks;
use crate::assessment::why::{Blocked, RimWhy, StartReason};
use crate::assessment::{Check, CheckId, Status, Subject, Why};
use crate::report::{Report, Topic, bed_names, regime_sentence};
use crate::simulation::Regime;
use crate::units::display::between;

/// Beds with the same status, and their checks.
struct Alike<'a> {
    status: Status,
    beds: Vec<(usize, &'a Check)>,
}

/// The beds by the status of this check, worst first.
fn alike<'a>(report: &Report<'a>, id: CheckId) -> Vec<Alike<'a>> {
    let mut groups: Vec<Alike> = Vec::new();
    for check in report
        .assessment
        .checks
        .iter()
        .filter(|check| check.id == id)
    {
        let Subject::Bed(i) = check.subject else {
            continue;
        };
        match groups.iter_mut().find(|group| group.status == check.status) {
            Some(group) => group.beds.push((i, check)),
            None => groups.push(Alike {
                status: check.status,
                beds: vec![(i, check)],
            }),
        }
    }
    groups.sort_by_key(|group| std::cmp::Reverse(group.status));
    groups
}

impl Alike<'_> {
    /// Smallest and largest of a figure of each bed, as printed.
    fn range(
        &self,
        figure: impl Fn(usize, &Check) -> Option<f64>,
        shown: impl Fn(f64) -> String,
    ) -> String {
        let values = self.beds.iter().filter_map(|(i, check)| figure(*i, check));
        let (least, most) = values
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                (low.min(value), high.max(value))
            });
        let (low, high) = (shown(least), shown(most));
        if low == high {
            low
        } else {
            between(&low, "to", &high)
        }
    }
}

/// Whose words these are: nobody's where there is one bed, or all do alike.
fn of(report: &Report, beds: &[usize], words: &str) -> String {
    match report.system.beds.len() {
        1 => words.to_owned(),
        _ => format!("{}: {words}", bed_names(report.system, beds)),
    }
}

/// The groups in words, and the worst status.
fn told(report: &Report, id: CheckId, words: impl Fn(&Alike) -> String) -> (Status, String) {
    let groups = alike(report, id);
    let worst = groups.first().map_or(Status::Pass, |group| group.status);
    let said: Vec<String> = groups
        .iter()
        .map(|group| {
            let beds: Vec<usize> = group.beds.iter().map(|(i, _)| *i).collect();
            of(report, &beds, &words(group))
        })
        .collect();
    (worst, said.join("; "))
}

/// Gravel over the highest water, and how long the standpipe is.
pub(super) fn dry_gravel(report: &Report) -> (Status, String) {
    let units = report.units;
    told(report, CheckId::DryLayer, |group| {
        let pipes = group.range(
            |i, _| Some(report.system.beds.get(i)?.siphon.standpipe.lip_height),
            |length| units.length(length),
        );
        let pipe = format!("standpipe {pipes}");
        let shown = |left: f64| {
            if left >= 0.0 {
                units.length(left)
            } else {
                format!("minus {}", units.length(-left))
            }
        };
        let left = group.range(|_, check| Some(check.value), shown);
        let wanted = group.range(|_, check| Some(check.limit), |limit| units.length(limit));
        let drowned = group.beds.iter().all(|(_, check)| check.value < 0.0);
        let foreseen = group.beds.iter().any(|(_, check)| match &check.why {
            Why::DryLayer(why) => why.foreseen,
            _ => false,
        });
        if foreseen {
            return format!(
                "never filled in this run; once it does, {left} stay dry, {wanted} is wanted ({pipe})"
            );
        }
        match group.status {
            Status::Pass => format!("{left} stay dry above the highest water ({pipe})"),
            _ if drowned => format!(
                "the water stands over the gravel ({left} stay dry, {wanted} is wanted; {pipe})"
            ),
            Status::Warn => format!(
                "{left} stay dry above the highest water, or less ({wanted} is wanted; {pipe})"
            ),
            Status::Fail => {
                format!("only {left} stay dry above the highest water, {wanted} is wanted ({pipe})")
            }
        }
    })
}

/// Inflow against the start flow.
pub(super) fn starts(report: &Report) -> (Status, String) {
    let units = report.units;
    let flow = |value: f64| units.flow(value);
    told(report, CheckId::Starts, |group| {
        let usual = group.beds.iter().all(|(_, check)| match &check.why {
            Why::Starts(why) => matches!(
                (&why.reason, group.status),
                (StartReason::Enough { no_longer: false }, Status::Pass)
                    | (StartReason::InBand { dribbles: false }, Status::Warn)
                    | (StartReason::TooLittle, Status::Fail)
            ),
            _ => false,
        });
        if !usual {
            return because(report, group);
        }
        let gets = group.range(|_, check| Some(check.value), flow);
        let needs = |end: fn(&crate::model::Band) -> f64| {
            let of = move |_: usize, check: &Check| match &check.why {
                Why::Starts(why) => Some(end(&why.needs)),
                _ => None,
            };
            group.range(of, flow)
        };
        let (low, usual, high) = (needs(|b| b.low), needs(|b| b.nominal), needs(|b| b.high));
        match group.status {
            Status::Pass => format!("gets {gets}, and {high} surely starts the siphon"),
            Status::Warn => {
                format!("gets {gets}; the siphon starts somewhere between {low} and {high}")
            }
            Status::Fail => format!(
                "gets {gets}, too little: the siphon needs {usual} (at least {low}) and water only \
                 trickles away"
            ),
        }
    })
}

/// Inflow against the flow at which it runs on, and what else the siphon lacks.
pub(super) fn stops(report: &Report) -> (Status, String) {
    let units = report.units;
    let flow = |value: f64| units.flow(value);
    let (worst, words) = told(report, CheckId::Breaks, |group| {
        let gets = group.range(|_, check| Some(check.value), flow);
        let most = |end: fn(&crate::model::Band) -> f64| {
            let of = move |_: usize, check: &Check| match &check.why {
                Why::Breaks(why) => Some(end(&why.most)),
                _ => None,
            };
            group.range(of, flow)
        };
        let (low, usual, high) = (most(|b| b.low), most(|b| b.nominal), most(|b| b.high));
        match group.status {
            Status::Pass => format!("gets at most {gets}, and up to {low} the siphon surely stops"),
            Status::Warn => format!(
                "gets up to {gets}; above {low} the siphon may not stop, above {high} it will not"
            ),
            Status::Fail => format!(
                "gets up to {gets}, too much: above {usual} (at the latest {high}) the siphon never stops"
            ),
        }
    });
    let other: Vec<&Check> = checks(report, Topic::Stops)
        .filter(|check| check.id != CheckId::Breaks && check.status > Status::Pass)
        .collect();
    let worse = other.iter().map(|check| check.status).max();
    let Some(worse) = worse.filter(|worse| *worse >= worst) else {
        return (worst, words);
    };
    let why = other
        .iter()
        .filter(|check| check.status == worse)
        .map(|check| report.because(check));
    let all: Vec<String> = std::iter::once(words + ".").chain(why).collect();
    (worse, all.join(" "))
}

/// How often the beds flood, and what those do that do not.
pub(super) fn cycle(report: &Report) -> (Status, String) {
    let units = report.units;
    let time = |value: f64| units.time(value);
    let (worst, words) = told(report, CheckId::Period, |group| {
        let outcome = |i: usize| report.run.beds.get(i);
        let never: Vec<&str> = group
            .beds
            .iter()
            .filter_map(|(i, _)| outcome(*i))
            .filter(|bed| bed.cycles.is_empty())
            .map(|bed| regime_sentence(bed.regime))
            .collect();
        if let Some(first) = never.first() {
            return (*first).to_owned();
        }
        let mean = |of: fn(&crate::simulation::Cycle) -> f64| {
            let mean = move |i: usize, _: &Check| {
                let cycles = &report.run.beds.get(i)?.cycles;
                Some(cycles.iter().map(of).sum::<f64>() / cycles.len() as f64)
            };
            group.range(mean, time)
        };
        let period = group.range(|_, check| Some(check.value), time);
        let (fill, drain) = (mean(|c| c.fill), mean(|c| c.drain));
        let unusual = match group.status {
            Status::Pass => "",
            _ => " (15 min to 1 h is common)",
        };
        format!("floods every {period}{unusual}: fills in {fill}, drains in {drain}")
    });
    let standing = report
        .run
        .beds
        .iter()
        .any(|bed| !matches!(bed.regime, Regime::Cycles | Regime::Unfinished));
    // A bed that does not cycle is no pass, whatever it did before.
    if standing && worst == Status::Pass {
        return (Status::Warn, words);
    }
    (worst, words)
}

/// How high the water stands beside a siphon that does not start, and what a blocked pipe does.
pub(super) fn dead_siphon(report: &Report) -> (Status, String) {
    let units = report.units;
    told(report, CheckId::Rim, |group| {
        let why = |of: fn(&RimWhy) -> Option<f64>| {
            move |_: usize, check: &Check| match &check.why {
                Why::Rim(why) => of(why),
                _ => None,
            }
        };
        let any = |of: fn(&RimWhy) -> Option<f64>| {
            group
                .beds
                .iter()
                .any(|(i, check)| why(of)(*i, check).is_some())
        };
        let held = group.range(why(|rim| Some(rim.held)), |held| {
            units.length(held.max(0.0))
        });
        let mut words = match group.status {
            Status::Fail if group.beds.iter().any(|(_, check)| check.value < 0.0) => {
                "the water of a siphon that never starts would go over the rim".to_owned()
            }
            Status::Fail => format!(
                "the water of a siphon that never starts would stand only {held} under the rim"
            ),
            Status::Warn | Status::Pass => {
                format!(
                    "a siphon that never starts leaves its water {held} under the rim, running off through \
                     the standpipe"
                )
            }
        };
        let spilled: fn(&RimWhy) -> Option<f64> = |rim| rim.spilled.map(|(volume, _)| volume);
        if any(spilled) {
            let lost = group.range(why(spilled), |volume| units.volume(volume));
            words += &format!(", and {lost} went over it in this run");
        }
        let together: fn(&RimWhy) -> Option<f64> = |rim| rim.together;
        if any(together) {
            let level = group.range(why(together), |level| units.elevation(level));
            words += &format!(
                ", but may rise to {level} over the room's floor while the other beds fill the drain line"
            );
        }
        let blocked: fn(&RimWhy) -> Option<f64> = |rim| match rim.if_blocked {
            Some(Blocked::AtOnce) => Some(0.0),
            Some(Blocked::After(time)) => Some(time),
            Some(Blocked::PumpRunsOut) | None => None,
        };
        if group.status > Status::Pass && any(blocked) {
            let after = group.range(why(blocked), |time| units.time(time));
            words += &format!("; blocked at its peak, it spills after {after}");
        }
        words
    })
}

/// Why, in the checks' own words: of beds with the same reason only the first is told.
fn because(report: &Report, group: &Alike) -> String {
    let mut told: Vec<(&Check, Vec<usize>)> = Vec::new();
    for (i, check) in &group.beds {
        let alike = |known: &&mut (&Check, Vec<usize>)| same_reason(known.0, check);
        match told.iter_mut().find(alike) {
            Some((_, others)) => others.push(*i),
            None => told.push((check, Vec::new())),
        }
    }
    let said: Vec<String> = told
        .iter()
        .map(|(check, others)| match others.as_slice() {
            [] => report.because(check),
            others => format!(
                "{} The same holds for {}.",
                report.because(check),
                bed_names(report.system, others)
            ),
        })
        .collect();
    said.join(" ")
}

fn same_reason(a: &Check, b: &Check) -> bool {
    match (&a.why, &b.why) {
        (Why::Starts(a), Why::Starts(b)) => {
            std::mem::discriminant(&a.reason) == std::mem::discriminant(&b.reason)
        }
        _ => false,
    }
}
