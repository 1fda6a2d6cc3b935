//! The answer to each question in a line: the first screen.

mod beds;
mod parts;
mod what_if;

use crate::answer::run::keys::{ANSWER, ANSWER_SETTLES, ANSWER_STATUS, ANSWER_WORDS, ANSWERS};
use crate::answer::{
    At, Block, Column, Piece, Place, Section, Table, Text, said, status_key, status_word,
};
use crate::assessment::{Check, CheckId, Status};
use crate::report::Report;
use crate::report::Topic;
use crate::units::display::capital;

/// What there is to say to one question.
struct Answer {
    topic: Topic,
    status: Status,
    words: String,
    /// What would settle a doubt.
    settles: Option<String>,
}

/// The answers that this system has, as one table.
pub(super) fn section(report: &Report) -> Section {
    let top = At::top(report.units);
    let answers = Topic::ALL
        .into_iter()
        .filter_map(|topic| answer(report, topic));
    let mut rows: Vec<Vec<Text>> = answers
        .enumerate()
        .map(|(i, answer)| row(&top.item(ANSWERS.name, i), &answer))
        .collect();
    rows.extend(what_if::row(report));
    let columns = ["", "", ""].map(Column::words).to_vec();
    Section::new("Answers")
        .at(Place::Lead)
        .on_first_screen()
        .with(Block::Table(Table { columns, rows }))
        .with(Block::Data(what_if::data(report)))
}

fn row(at: &At, answer: &Answer) -> Vec<Text> {
    let status = at.word(&ANSWER_STATUS, status_key(answer.status)).said("");
    let topic = at.word(&ANSWER, answer.topic.key());
    let settles = answer
        .settles
        .as_ref()
        .map(|text| said!(" {}", at.word(&ANSWER_SETTLES, &**text)));
    vec![
        said!(
            "{}{}",
            Piece::Status(answer.status, status_word(answer.status)),
            status
        ),
        topic.said(answer.topic.label()).into(),
        said!("{}{}", at.word(&ANSWER_WORDS, &*answer.words), settles),
    ]
}

fn answer(report: &Report, topic: Topic) -> Option<Answer> {
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
    Some(Answer {
        topic,
        status,
        words: sentence(&words),
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
fn reasons(report: &Report, topic: Topic) -> Option<(Status, String)> {
    let mut troubled: Vec<&Check> = checks(report, topic)
        .filter(|check| check.status != Status::Pass)
        .collect();
    troubled.sort_by_key(|check| std::cmp::Reverse(check.status));
    let worst = troubled.first()?.status;
    let said: Vec<String> = troubled.iter().map(|check| report.because(check)).collect();
    Some((worst, said.join(" ")))
}

/// A capital in front and a full stop behind.
fn sentence(words: &str) -> String {
    let mut out = capital(words);
    if !out.ends_with('.') {
        out.push('.');
    }
    out
}
