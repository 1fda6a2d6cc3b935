//! What `why` found, in sections for the terminal and the page alike.

mod json;
mod words;

use crate::model::System;
use crate::report::Picture;
use crate::report::rows::Row;
use crate::report::text::Look;
use crate::report::window_page::{Block, Section, as_markdown, as_text};
use crate::study::why::{Diagnosis, Outcome, Suspect};
use crate::units::UnitSystem;

use words::figure_text;

/// Suspects with less than this share are only listed.
const TOLD: f64 = 0.05;
/// Most suspects told of in full.
const MOST_TOLD: usize = 4;
/// Suspects with less than this share are not listed.
const LISTED: f64 = 0.01;

/// Everything there is to say about what may be wrong.
#[derive(Debug, Clone, Copy)]
pub struct WhyReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub diagnosis: &'a Diagnosis,
    /// Units of text and page; JSON is SI.
    pub units: UnitSystem,
}

impl WhyReport<'_> {
    /// What to try first, suspects with their evidence, what to measure next.
    pub fn text(&self, look: Look) -> String {
        as_text(
            &self.system.title,
            &words::headline(self),
            &self.sections(),
            look,
        )
    }

    /// The same as a page in Markdown. `source` is the scenario's file name; pictures are
    /// linked, not copied.
    pub fn markdown(&self, source: &str, pictures: &[Picture]) -> String {
        let opening = format!(
            "This page ranks what may be wrong with the system described in `{}`, each cause put \
             into the model and held against what was seen and measured.",
            source.replace('`', "'")
        );
        as_markdown(
            &self.system.title,
            &[opening, words::headline(self)],
            &self.sections(),
            pictures,
        )
    }

    /// Suspects to list, with at least one.
    fn listed(&self) -> impl Iterator<Item = &Suspect> {
        let list = self.diagnosis.suspects.iter().enumerate();
        list.filter(|(k, suspect)| *k == 0 || suspect.share >= LISTED)
            .map(|(_, suspect)| suspect)
    }

    /// Suspects to tell of in full.
    fn told(&self) -> impl Iterator<Item = &Suspect> {
        let list = self.diagnosis.suspects.iter().enumerate();
        list.filter(|(k, suspect)| *k == 0 || suspect.share >= TOLD)
            .map(|(_, suspect)| suspect)
            .take(MOST_TOLD)
    }

    fn sections(&self) -> Vec<Section> {
        let mut sections = vec![self.ranking()];
        for suspect in self.told() {
            sections.push(self.suspect(suspect));
        }
        sections.push(self.next());
        sections.push(Section {
            heading: "How far to trust this".to_owned(),
            blocks: vec![Block::List(words::trust(self))],
        });
        sections
    }

    fn ranking(&self) -> Section {
        let mut rows: Vec<Vec<String>> = self
            .listed()
            .map(|suspect| {
                vec![
                    suspect.outcome.words().to_owned(),
                    words::percent(suspect.share),
                ]
            })
            .collect();
        rows.push(vec![
            "something this catalogue does not hold".to_owned(),
            words::percent(self.diagnosis.other),
        ]);
        Section {
            heading: "What it may be".to_owned(),
            blocks: vec![
                Block::Paragraph(words::asked(self)),
                Block::Table {
                    head: vec!["cause".to_owned(), "share".to_owned()],
                    rows,
                },
            ],
        }
    }

    fn suspect(&self, suspect: &Suspect) -> Section {
        let row = |label, value| Row { label, value };
        let mut rows = vec![row("Share", words::share(suspect))];
        if let Some(shows) = &suspect.shows {
            let bed = &shows.beds[self.diagnosis.question.bed];
            rows.push(row("It would show", words::bed_shows(bed, self.units)));
        }
        if let Outcome::Cause(cause) = suspect.outcome {
            rows.push(row("Quick check", words::sentence(cause.entry().check)));
            rows.push(row("Check's name", cause.entry().key.to_owned()));
        }
        rows.push(row("What to do", words::fix(suspect, self.units)));
        rows.extend(
            words::after(suspect, self.diagnosis, self.units).map(|text| row("After that", text)),
        );
        let mut blocks = vec![Block::Rows(rows)];
        if !suspect.evidence.is_empty() {
            blocks.push(self.evidence(suspect));
        }
        Section {
            heading: words::sentence(suspect.outcome.words()),
            blocks,
        }
    }

    fn evidence(&self, suspect: &Suspect) -> Block {
        let (question, units) = (&self.diagnosis.question, self.units);
        let rows = suspect
            .evidence
            .iter()
            .map(|one| {
                let reading = &question.readings[one.reading];
                let text = |value: f64| figure_text(reading.figure, value, units);
                let promised = reading
                    .figure
                    .in_sight(&self.diagnosis.promised, reading.bed);
                vec![
                    words::reading_name(self, reading),
                    text(reading.value),
                    promised.map_or_else(|| "none".to_owned(), text),
                    format!(
                        "{} ({} to {})",
                        text(one.expected),
                        text(one.allowed.0),
                        text(one.allowed.1)
                    ),
                    words::agreement(one.off).to_owned(),
                ]
            })
            .collect();
        Block::Table {
            head: [
                "figure",
                "measured",
                "as in the file",
                "with this cause",
                "verdict",
            ]
            .map(str::to_owned)
            .to_vec(),
            rows,
        }
    }

    fn next(&self) -> Section {
        let items = words::next(self);
        let heading = if self.diagnosis.question.readings.is_empty() {
            "What to measure first"
        } else {
            "What to measure next"
        };
        let blocks = if items.is_empty() {
            vec![Block::Paragraph(
                "No further measurement would tell the leading causes apart; do the quick checks."
                    .to_owned(),
            )]
        } else {
            vec![Block::List(items)]
        };
        Section {
            heading: heading.to_owned(),
            blocks,
        }
    }
}
