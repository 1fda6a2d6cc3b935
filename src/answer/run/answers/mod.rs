//! The answer to each question in a line: the first screen.

mod what_if;

use crate::answer::run::keys::{ANSWER, ANSWER_SETTLES, ANSWER_STATUS, ANSWER_WORDS, ANSWERS};
use crate::answer::sentence::told_at;
use crate::answer::told::{Told, told};
use crate::answer::{
    At, Block, Column, Piece, Place, Section, Table, Text, said, status_key, status_word,
};
use crate::report::Report;

/// The answers that this system has, as one table.
pub(super) fn section(report: &Report) -> Section {
    let top = At::top(report.units);
    let mut rows: Vec<Vec<Text>> = told(report)
        .enumerate()
        .map(|(i, answer)| row(&top.item(ANSWERS.name, i), answer))
        .collect();
    rows.extend(what_if::row(report));
    let columns = ["", "", ""].map(Column::words).to_vec();
    Section::new("Answers")
        .at(Place::Lead)
        .on_first_screen()
        .with(Block::Table(Table { columns, rows }))
        .with(Block::Data(what_if::worse(report)))
}

fn row(at: &At, answer: Told) -> Vec<Text> {
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
        said!("{}{}", told_at(at, &ANSWER_WORDS, answer.words), settles),
    ]
}
