//! The checks: all in a table, those that did not pass with their reasons, and the plan.

use crate::answer::plan::step_for;
use crate::answer::run::keys::{
    BASIS, BECAUSE, CHECK_ID, CHECK_LIMIT, CHECK_UNIT, CHECKS, FIRST_FIX, MARGIN, STATUS, SUBJECT,
    VALUE,
};
use crate::answer::sentence::told_at;
use crate::answer::{
    At, Block, Column, Figure, Finding, Piece, Row, Section, Table, Text, said, status_key,
    status_word,
};
use crate::assessment::{Check, Status};
use crate::numerics::in_order::InOrder;
use crate::report::{Report, check_figure};

/// Columns of the longest name of a part on a terminal.
const ABOUT: usize = 16;

/// Place of check `i` in the results.
fn place(report: &Report, i: usize) -> At {
    At::top(report.units).item(CHECKS.name, i)
}

/// The word for a check; one that only informs is neither passed nor failed.
fn word(check: &Check) -> Piece {
    let word = if check.informs() {
        "INFO"
    } else {
        status_word(check.status)
    };
    Piece::Status(check.status, word)
}

/// What did not pass and why: failed checks, then warnings, each in the order of the design.
pub(super) fn reasons(report: &Report) -> Section {
    let checks = report.assessment.checks.iter().enumerate();
    let mut troubled: Vec<(usize, &Check)> = checks
        .filter(|(_, check)| check.status != Status::Pass)
        .collect();
    troubled.order_by_key(|(_, check)| std::cmp::Reverse(check.status));
    let found = troubled.into_iter().map(|(i, check)| {
        let at = place(report, i);
        Finding {
            status: Some((check.status, status_word(check.status))),
            title: said!(
                "{}: {}",
                at.word(&CHECK_ID, check.id.key()),
                at.word(&SUBJECT, report.about(check))
            ),
            rows: vec![
                Row::new("Why", told_at(&at, &BECAUSE, report.because(check))),
                Row::new(
                    "Rests on",
                    at.word(&BASIS, check.basis)
                        .said(report.units.words(check.basis)),
                ),
            ],
        }
    });
    Section::new("What did not pass, worst first").with(Block::Findings(found.collect()))
}

/// Every check with its figures.
pub(super) fn table(report: &Report) -> Section {
    let mut data = Vec::new();
    let rows = report
        .assessment
        .checks
        .iter()
        .enumerate()
        .map(|(i, check)| {
            let at = place(report, i);
            data.extend(unsaid(report, check, &at));
            let figure = |key, value| -> Text {
                let shown = check_figure(value, check.unit, report.units);
                at.in_unit(key, value, check.unit.symbol(), shown).into()
            };
            vec![
                word(check).into(),
                at.word(&CHECK_ID, check.id.key()).into(),
                at.word(&SUBJECT, report.about(check)).into(),
                figure(&VALUE, check.value),
                figure(&CHECK_LIMIT, check.limit),
                figure(&MARGIN, check.margin),
                at.word(&BASIS, check.basis)
                    .said(report.units.words(check.basis))
                    .into(),
            ]
        });
    let table = Table {
        rows: rows.collect(),
        columns: vec![
            Column::words("Result"),
            Column::words("Check"),
            Column::words("About").at_most(ABOUT),
            Column::figures("Found"),
            Column::figures("Limit"),
            Column::figures("Margin"),
            Column::words("Rests on").at_most(0),
        ],
    };
    Section::new("Checks")
        .with(Block::Table(table))
        .with(Block::Sentence(
            "A margin is positive on the good side of its limit. A check that warns there has another \
             reason, which its sentence says."
                .into(),
        ))
        .with(Block::Data(data))
}

/// What the table leaves out.
fn unsaid(report: &Report, check: &Check, at: &At) -> Vec<Figure> {
    let step = report
        .advice
        .and_then(|advice| step_for(advice, check, report));
    let step = step.map(|step| step.to_string());
    let why = told_at(at, &BECAUSE, report.because(check));
    let mut data: Vec<Figure> = why.figures().cloned().collect();
    data.extend([
        at.word(&STATUS, status_key(check.status)),
        at.word(&CHECK_UNIT, check.unit.symbol()),
        at.word(&FIRST_FIX, step.unwrap_or_default()),
    ]);
    data
}
