//! What the beds do; those that do alike are told once.

use super::checks;
use crate::answer::{Figure, Text, between, said};
use crate::assessment::why::{Blocked, BreakSeen, Meanwhile, RimWhy, StartReason};
use crate::assessment::{Check, CheckId, Status, Subject, Why};
use crate::model::DrainTarget;
use crate::numerics::in_order::InOrder;
use crate::report::{Report, Topic, bed_name, bed_names, regime_sentence};
use crate::simulation::{BedOutcome, Cycle, Regime};

/// Share of the filling over which a bed that only trickles says so `[-]`.
const TRICKLES: f64 = 0.5;

/// Share of what comes in over which what stays in the gravel is told `[-]`.
const STAYS: f64 = 0.15;

/// How a bed's flooding goes through a run; those that differ are not told together.
#[derive(Clone, Copy, PartialEq)]
enum Course {
    /// It goes on to the run's end, or a cut of the pump ends it.
    On,
    /// It floods at first and then does something else.
    AtFirst(Regime),
    /// It never completes a cycle.
    Never(Regime),
}

impl Course {
    fn of(bed: &BedOutcome) -> Self {
        match (bed.regime, bed.cycles.is_empty()) {
            (regime, true) => Self::Never(regime),
            (Regime::Cycles | Regime::Unfinished, false) => Self::On,
            (regime, false) => Self::AtFirst(regime),
        }
    }
}

/// Beds with the same status, and their checks.
struct Alike<'a> {
    status: Status,
    beds: Vec<(usize, &'a Check)>,
}

/// The beds by the status of this check, worst first, and by what sets them `apart`.
fn alike<'a, A: PartialEq>(
    report: &Report<'a>,
    id: CheckId,
    apart: &dyn Fn(usize) -> A,
) -> Vec<Alike<'a>> {
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
        let same = |group: &&mut Alike| {
            group.status == check.status && group.beds.iter().all(|one| apart(one.0) == apart(i))
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.beds.push((i, check)),
            None => groups.push(Alike {
                status: check.status,
                beds: vec![(i, check)],
            }),
        }
    }
    groups.order_by_key(|group| std::cmp::Reverse(group.status));
    groups
}

impl Alike<'_> {
    /// A figure of each bed, as printed: of a few beds each, of many the smallest and largest, which
    /// of two or three would read as something uncertain.
    fn range(
        &self,
        figure: impl Fn(usize, &Check) -> Option<f64>,
        named: impl Fn(f64) -> Figure + Copy,
    ) -> Text {
        let values = self.beds.iter().filter_map(|(i, check)| figure(*i, check));
        let values: Vec<f64> = values.collect();
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = (named(least), named(most));
        match values.as_slice() {
            _ if low.shown == high.shown => low.into(),
            [first, second] => between(named(*first), "and", named(*second)),
            [first, second, third] => {
                let [first, second, third] = [*first, *second, *third].map(named);
                let twice = first.shown == second.shown
                    || second.shown == third.shown
                    || third.shown == first.shown;
                match twice {
                    true => between(low, "or", high),
                    false => said!("{}, {} and {}", first, second, third),
                }
            }
            _ => between(low, "to", high),
        }
    }
}

/// Whose words these are: nobody's where there is one bed, or the words name all of them.
fn of(report: &Report, beds: &[usize], words: Text) -> Text {
    let printed = words.to_string();
    let mut names = beds.iter().map(|&i| bed_name(report.system, i));
    match report.system.beds.len() {
        1 => words,
        _ if names.all(|name| printed.contains(&name)) => words,
        _ => said!("{}: {}", bed_names(report.system, beds), words),
    }
}

/// The groups in words, and the worst status.
fn told(report: &Report, id: CheckId, words: impl Fn(&Alike) -> Text) -> (Status, Text) {
    told_apart(report, id, &|_| (), words)
}

fn told_apart<A: PartialEq>(
    report: &Report,
    id: CheckId,
    apart: &dyn Fn(usize) -> A,
    words: impl Fn(&Alike) -> Text,
) -> (Status, Text) {
    let groups = alike(report, id, apart);
    let worst = groups.first().map_or(Status::Pass, |group| group.status);
    let said = groups.iter().map(|group| {
        let beds: Vec<usize> = group.beds.iter().map(|(i, _)| *i).collect();
        of(report, &beds, words(group))
    });
    (worst, one_after_another(said))
}

/// In one line; what ends as a sentence needs nothing between.
fn one_after_another(texts: impl Iterator<Item = Text>) -> Text {
    texts.fold(Text::default(), |all, text| {
        let between = match all.to_string() {
            said if said.is_empty() => "",
            said if said.ends_with('.') => " ",
            _ => "; ",
        };
        all.and(between).and(text)
    })
}

/// Gravel over the highest water, and how long the standpipe is.
pub(super) fn dry_gravel(report: &Report) -> (Status, Text) {
    let say = report.say();
    told(report, CheckId::DryLayer, |group| {
        let pipes = group.range(
            |i, _| Some(report.system.beds.get(i)?.siphon.standpipe.lip_height),
            |length| say.length("standpipe", length),
        );
        let pipe = said!("standpipe {}", pipes);
        let dry = |left: f64| {
            let figure = say.length("left", left);
            if left >= 0.0 {
                return figure;
            }
            let minus = format!("minus {}", report.units.length(-left));
            figure.said(minus)
        };
        let left = group.range(|_, check| Some(check.value), dry);
        let wanted = group.range(
            |_, check| Some(check.limit),
            |limit| say.length("wanted", limit),
        );
        let drowned = group.beds.iter().all(|(_, check)| check.value < 0.0);
        let foreseen = group.beds.iter().any(|(_, check)| match &check.why {
            Why::DryLayer(why) => why.foreseen,
            _ => false,
        });
        if foreseen {
            return said!(
                "never filled in this run; once it does, {} stay dry, {} is wanted ({})",
                left,
                wanted,
                pipe
            );
        }
        match group.status {
            Status::Pass => said!("{} stay dry above the highest water ({})", left, pipe),
            _ if drowned => said!(
                "the water stands over the gravel ({} stay dry, {} is wanted; {})",
                left,
                wanted,
                pipe
            ),
            Status::Warn => said!(
                "{} stay dry above the highest water, or less ({} is wanted; {})",
                left,
                wanted,
                pipe
            ),
            Status::Fail => {
                said!(
                    "only {} stay dry above the highest water, {} is wanted ({})",
                    left,
                    wanted,
                    pipe
                )
            }
        }
    })
}

/// Inflow against the start flow.
pub(super) fn starts(report: &Report) -> (Status, Text) {
    let flow = |name| move |value: f64| report.say().flow(name, value);
    told(report, CheckId::Starts, |group| {
        let usual = group.beds.iter().all(|(_, check)| match &check.why {
            Why::Starts(why) => matches!(
                (&why.reason, group.status),
                (StartReason::Enough { no_longer: false }, Status::Pass)
                    | (StartReason::InBand(Meanwhile::NoDribble), Status::Warn)
                    | (StartReason::TooLittle, Status::Fail)
            ),
            _ => false,
        });
        if !usual {
            return because(report, group);
        }
        let gets = group.range(|_, check| Some(check.value), flow("inflow"));
        let needs = |name, end: fn(&crate::model::Band) -> f64| {
            let of = move |_: usize, check: &Check| match &check.why {
                Why::Starts(why) => Some(end(&why.needs)),
                _ => None,
            };
            group.range(of, flow(name))
        };
        let (low, usual, high) = (
            needs("start_flow_low", |b| b.low),
            needs("start_flow", |b| b.nominal),
            needs("start_flow_high", |b| b.high),
        );
        match group.status {
            Status::Pass => said!(
                "gets {} when full, and {} surely starts the siphon",
                gets,
                high
            ),
            Status::Warn => {
                said!(
                    "gets {} when full; the siphon starts somewhere between {} and {}",
                    gets,
                    low,
                    high
                )
            }
            Status::Fail => said!(
                "gets {} when full, too little: the siphon needs {} (at least {}) and water only \
                 trickles away",
                gets,
                usual,
                low
            ),
        }
    })
}

/// Inflow against the flow at which it runs on, and what else the siphon lacks.
pub(super) fn stops(report: &Report) -> (Status, Text) {
    let flow = |name| move |value: f64| report.say().flow(name, value);
    let (worst, words) = told(report, CheckId::Breaks, |group| {
        let gets = group.range(|_, check| Some(check.value), flow("inflow"));
        let most = |name, end: fn(&crate::model::Band) -> f64| {
            let of = move |_: usize, check: &Check| match &check.why {
                Why::Breaks(why) => Some(end(&why.most)),
                _ => None,
            };
            group.range(of, flow(name))
        };
        let (low, usual, high) = (
            most("most_low", |b| b.low),
            most("most", |b| b.nominal),
            most("most_high", |b| b.high),
        );
        // A bed that never stops in the run may have to stop against all the sump's water that was ever
        // there; in a line it looks at the line.
        let in_line = |i: usize| {
            let into = &report.system.beds[i].siphon.drain.into;
            matches!(into, DrainTarget::Line { .. })
        };
        let never = |i: usize, check: &Check| match &check.why {
            Why::Breaks(why) if why.seen == BreakSeen::Never && !in_line(i) => why.under_water,
            _ => None,
        };
        let drowned = group
            .beds
            .iter()
            .all(|(i, check)| never(*i, check).is_some());
        let drowned = drowned.then(|| {
            let deep = group.range(never, |value| report.say().length("under_water", value));
            said!(
                " (reckoned with its outlet {} under water, the most while the pump runs: where the sump \
                 stands once it stops is not known, for it never does here)",
                deep
            )
        });
        let words = match group.status {
            Status::Pass => said!(
                "gets {} when drained, and up to {} the siphon surely stops",
                gets,
                low
            ),
            Status::Warn
                if group
                    .beds
                    .iter()
                    .all(|(i, _)| suits_for_sure_nowhere(report, *i)) =>
            {
                said!(
                    "gets {} when drained; above {} it is in doubt whether the siphon stops, above {} it \
                     does not, and no inflow is sure both to start and to stop it",
                    gets,
                    low,
                    high
                )
            }
            Status::Warn => said!(
                "gets {} when drained; above {} it is in doubt whether the siphon stops, above {} it does \
                 not",
                gets,
                low,
                high
            ),
            Status::Fail => said!(
                "gets {} when drained, too much: above {} (at the latest {}) the siphon never stops",
                gets,
                usual,
                high
            ),
        };
        words.and(drowned)
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
    let all = std::iter::once(words.and(".")).chain(why);
    (worse, Text::joined(all, " "))
}

/// Whether no inflow of bed `i` is sure both to start its siphon and to stop it.
fn suits_for_sure_nowhere(report: &Report, i: usize) -> bool {
    let judged = report.assessment.beds.get(i);
    judged.is_some_and(|bed| bed.window().has_no_sure_inflow())
}

/// A bed whose period is longer than the shortest by more than this is told by itself `[-]`; ours.
const SLOW: f64 = 2.0;

/// How often the beds flood, and what those do that do not.
pub(super) fn cycle(report: &Report) -> (Status, Text) {
    let time = |name| move |value: f64| report.say().time(name, value);
    let course = |i: usize| report.run.beds.get(i).map(Course::of);
    // Times of beds that have little to do with each other are no list.
    let mean_period = |i: usize| report.run.beds.get(i)?.mean(Cycle::period);
    let periods = (0..report.run.beds.len()).filter_map(mean_period);
    let shortest = periods.fold(f64::INFINITY, f64::min);
    let slow = |i: usize| mean_period(i).is_some_and(|period| period > SLOW * shortest);
    let apart = |i: usize| (course(i), slow(i));
    let (worst, words) = told_apart(report, CheckId::Period, &apart, |group| {
        let course = group.beds.first().and_then(|(i, _)| course(*i));
        if let Some(Course::Never(regime)) = course {
            return regime_sentence(regime).into();
        }
        let of_all = |of: fn(&Cycle) -> f64| {
            move |i: usize, _: &Check| report.run.beds.get(i).and_then(|bed| bed.mean(of))
        };
        let mean = |name, of| group.range(of_all(of), time(name));
        let period = group.range(|_, check| Some(check.value), time("period"));
        let (fill, start, drain) = (
            mean("fill", |c| c.fill),
            mean("start", |c| c.prime),
            mean("drain", |c| c.drain),
        );
        let unusual = match group.status {
            Status::Pass => "",
            _ => " (15 min to 1 h is common)",
        };
        let is_much = |part: fn(&Cycle) -> f64, share: f64, of: fn(&Cycle) -> f64| {
            let mut beds = group
                .beds
                .iter()
                .filter_map(|(i, _)| report.run.beds.get(*i));
            beds.any(|bed| bed.mean(part) > bed.mean(of).map(|all| share * all))
        };
        // A siphon that its inflow does not start waits for what the other beds do.
        let trickle = is_much(|c| c.trickle, TRICKLES, |c| c.fill).then(|| {
            said!(
                " (of that {} only trickling over the pipe's edge)",
                mean("trickle", |c| c.trickle)
            )
        });
        let stays = is_much(|c| c.left_volume, STAYS, |c| c.water).then(|| {
            let volume = |value: f64| report.say().volume("stays", value);
            said!(
                ", but {} stay in it then, held back by gravel and guard",
                group.range(of_all(|c| c.left_volume), volume)
            )
        });
        let (at_first, then) = match course {
            Some(Course::AtFirst(regime)) => (
                "at first ",
                format!("; then it {}", regime_sentence(regime)),
            ),
            _ => ("", String::new()),
        };
        said!(
            "{}floods every {}{}: fills in {}{}, starts within {}, drains in {}{}{}",
            at_first,
            period,
            unusual,
            fill,
            trickle,
            start,
            drain,
            stays,
            then
        )
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
pub(super) fn dead_siphon(report: &Report) -> (Status, Text) {
    let say = report.say();
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
            say.length("held", held.max(0.0))
        });
        let mut words = match group.status {
            Status::Fail if group.beds.iter().any(|(_, check)| check.value < 0.0) => {
                "the water of a siphon that never starts would go over the rim".into()
            }
            Status::Fail => said!(
                "the water of a siphon that never starts would stand only {} under the rim",
                held
            ),
            Status::Warn | Status::Pass => {
                said!(
                    "a siphon that never starts leaves its water {} under the rim, running off through \
                     the standpipe",
                    held
                )
            }
        };
        let spilled: fn(&RimWhy) -> Option<f64> = |rim| rim.spilled.map(|(volume, _)| volume);
        if any(spilled) {
            let lost = group.range(why(spilled), |volume| say.volume("spilled", volume));
            words = words.and(said!(", and {} went over it in this run", lost));
        }
        let together: fn(&RimWhy) -> Option<f64> = |rim| rim.together;
        if any(together) {
            let level = group.range(why(together), |level| say.elevation("with_others", level));
            words = words.and(said!(", but may rise to {} over the room's floor while the other beds fill the drain line", level));
        }
        let blocked: fn(&RimWhy) -> Option<f64> = |rim| match rim.if_blocked {
            Some(Blocked::AtOnce) => Some(0.0),
            Some(Blocked::After(time)) => Some(time),
            Some(Blocked::PumpRunsOut) | None => None,
        };
        if group.status > Status::Pass && any(blocked) {
            let after = group.range(why(blocked), |time| say.time("spills_after", time));
            words = words.and(said!("; blocked at its peak, it spills after {}", after));
        }
        words
    })
}

/// Why, in the checks' own words: of beds with the same reason only the first is told.
fn because(report: &Report, group: &Alike) -> Text {
    let mut told: Vec<(&Check, Vec<usize>)> = Vec::new();
    for (i, check) in &group.beds {
        let alike = |known: &&mut (&Check, Vec<usize>)| same_reason(known.0, check);
        match told.iter_mut().find(alike) {
            Some((_, others)) => others.push(*i),
            None => told.push((check, Vec::new())),
        }
    }
    let said = told.iter().map(|(check, others)| match others.as_slice() {
        [] => report.because(check),
        others => said!(
            "{} The same holds for {}.",
            report.because(check),
            bed_names(report.system, others)
        ),
    });
    Text::joined(said, " ")
}

fn same_reason(a: &Check, b: &Check) -> bool {
    match (&a.why, &b.why) {
        (Why::Starts(a), Why::Starts(b)) => {
            std::mem::discriminant(&a.reason) == std::mem::discriminant(&b.reason)
        }
        _ => false,
    }
}
