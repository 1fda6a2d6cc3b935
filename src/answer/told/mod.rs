//! The answer to each question that an owner has, in words.

mod beds;
mod parts;

use crate::answer::{Piece, Text};
use crate::assessment::{Check, CheckId, Status};
use crate::numerics::in_order::InOrder;
use crate::report::{Report, Topic};
use crate::units::display::capital;

/// What there is to say to one question.
pub(super) struct Told {
    pub topic: Topic,
    pub status: Status,
    pub words: Text,
    /// What would settle a doubt.
    pub settles: Option<String>,
}

/// What this system has to say to each question, in their order.
pub(super) fn told<'a>(report: &'a Report<'a>) -> impl Iterator<Item = Told> + 'a {
    Topic::ALL
        .into_iter()
        .filter_map(|topic| answer(report, topic))
}

fn answer(report: &Report, topic: Topic) -> Option<Told> {
    let (status, words) = match topic {
        Topic::DryGravel => beds::dry_gravel(report),
        Topic::Starts => beds::starts(report),
        Topic::Stops => beds::stops(report),
        Topic::Cycle => beds::cycle(report),
        Topic::DeadSiphon => beds::dead_siphon(report),
        Topic::Sump => parts::sump(report)?,
        Topic::PowerCut => parts::power_cut(report)?,
        Topic::DrainLine => parts::drain_line(report)?,
        Topic::FishTank => parts::fish_tank(report)?,
        Topic::TopOff => parts::top_off(report)?,
        Topic::Headroom => parts::headroom(report)?,
        Topic::Settler | Topic::Weight => parts::troubled(report, topic)?,
    };
    let settles = match (topic, status) {
        (Topic::Starts, Status::Warn) => {
            Some("One reading settles it: the lowest flow at which it starts.")
        }
        (Topic::Stops, Status::Warn) => {
            Some("One reading settles it: the highest flow at which it still stops.")
        }
        _ => None,
    };
    Some(Told {
        topic,
        status,
        words: sentence(words),
        settles: settles.map(str::to_owned),
    })
}

/// Checks that say something to this question; those that only inform say nothing here.
fn checks<'a>(report: &Report<'a>, topic: Topic) -> impl Iterator<Item = &'a Check> + use<'a> {
    let checks = report.assessment.checks.iter();
    checks.filter(move |check| Topic::of(check.id) == topic && !check.informs())
}

/// The one check of this kind.
fn the_check<'a>(report: &Report<'a>, id: CheckId) -> Option<&'a Check> {
    report.assessment.checks.iter().find(|check| check.id == id)
}

/// Why those checks did not pass, the worst first; `None` where all did.
fn reasons(report: &Report, topic: Topic) -> Option<(Status, Text)> {
    let mut troubled: Vec<&Check> = checks(report, topic)
        .filter(|check| check.status != Status::Pass)
        .collect();
    troubled.order_by_key(|check| std::cmp::Reverse(check.status));
    let worst = troubled.first()?.status;
    let said = troubled.iter().map(|check| report.because(check));
    Some((worst, Text::joined(said, " ")))
}

/// A capital in front and a full stop behind.
pub(super) fn sentence(mut words: Text) -> Text {
    if let Some(Piece::Words(first)) = words.0.first_mut() {
        *first = capital(first);
    }
    if words.to_string().ends_with('.') {
        return words;
    }
    words.and(".")
}
