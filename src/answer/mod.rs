//! The answer to a command as one document, and one renderer each for the terminal, Markdown,
//! HTML, JSON and CSV.
//!
//! A [`Document`] has a title, a verdict, a headline and sections of blocks: rows, tables,
//! sentences, lists, findings, pictures, series. Its texts are words with [`Figure`]s in them;
//! a figure knows where it stands in the results (`beds[0].period_s.mean`), its SI value, what
//! it measures and how it is printed. The JSON is a walk over the command's table of keys, filled
//! from the figures of the document, so that what people read and what programs read cannot
//! differ; `schema` prints the same table.
//!
//! # How to add a command's answer
//!
//! 1. Declare its keys in groups with `keys!` (`answer/<command>/keys.rs`): name in JSON with the
//!    SI unit, [`Kind`], what it says, and with `.absent(..)` when it is `null`. List in a
//!    [`KeyTable`] at which place each group stands (`"beds[]"`, `"beds[].levers[]"`); a group may
//!    stand at several. Add the table to [`TABLES`].
//! 2. Write a function from the study's result to a [`Document`]. Figures come from an [`At`], a
//!    place in the results: `let bed = At::top(units).item("beds", 0);`
//!    `said!("{} above the floor", bed.figure(&PEAK_DEPTH, depth))`. A key that is not shown
//!    anywhere goes into a [`Block::Data`]. What is left out is `null`, or an empty list.
//! 3. The command prints `document.terminal(look)` or `document.json()`, and writes
//!    `document.markdown()`, `document.html()` (pictures given before with
//!    [`Document::add_pictures`]), `document.json()` and each series with [`Series::csv`].
//! 4. Call [`Document::faults`] in a test: it names figures without a key in the table, keys with
//!    two values, and a `null` that the table does not allow.
//!
//! Names from a scenario are put into words as they are: each renderer makes them harmless.

#[macro_use]
mod key;

mod absorb;
mod account;
mod at;
mod block;
mod bucket;
mod counts;
mod csv;
mod cut;
mod fit;
mod html;
mod json;
mod markdown;
mod measure;
mod mend;
mod oxygen;
mod plan;
mod run;
#[cfg(test)]
mod sample;
#[cfg(feature = "schema")]
mod schema;
mod sentence;
mod shape;
mod terminal;
mod told;
mod vary;
mod why;
mod window;

pub use crate::report::{Figure, Kind, Piece, Text, Value, between, gaps, said};
pub use absorb::AbsorbReport;
pub use at::At;
pub use block::{Block, Cells, Column, Finding, Picture, Row, Series, SeriesColumn, Table, slug};
pub use csv::Csv;
pub use cut::{CutReport, refusal_because, refusal_hint};
pub use fit::{FitReport, Paste, PasteLine, fit_changes, paste};
#[cfg(feature = "cli")]
pub use html::Card;
pub use html::{Marks, Part};
pub use key::{BAND, ENDS, Form, Group, Key, SPREAD, Table as KeyTable};
pub use measure::{MeasureAnswer, readings_template};
pub use mend::MendAnswer;
#[cfg(feature = "schema")]
pub use schema::results_schema;
pub use terminal::Look;
pub use vary::{RandomReport, SweepReport};
pub use why::{WhyReport, WhySeveral, still_to_be_seen};
pub use window::{WindowReport, map_series};

use crate::assessment::Status;
use crate::numerics::in_order::InOrder;

/// The tables of keys of every command that answers with a document.
pub const TABLES: &[&KeyTable] = &[
    &mend::KEYS,
    &run::KEYS,
    &window::KEYS,
    &cut::KEYS,
    &why::KEYS,
    &fit::KEYS,
    &measure::KEYS,
    &absorb::KEYS,
    &vary::RANDOM,
    &vary::SWEEP,
];

/// The answer to a command.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// The command's table of keys.
    pub keys: &'static KeyTable,
    /// Title of the scenario.
    pub title: String,
    /// The answer in one word; `None`: nothing is judged.
    pub verdict: Option<Status>,
    /// The answer in a sentence or two.
    pub headline: Text,
    /// What is asked of which system; only on the page.
    pub opening: Text,
    /// Sentences after the headline.
    pub remarks: Vec<Text>,
    /// All else.
    pub sections: Vec<Section>,
}

/// What stands over all that is not on the first page.
const APPENDIX: &str = "Appendix: every figure, picture and source";

/// Where a section stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// What matters most: first on a page; on a terminal, which is read from its end, after
    /// the body.
    Lead,
    /// The picture that says most.
    Drawing,
    /// The figures.
    Body,
    /// Pictures.
    Pictures,
    /// Remarks, cautions and what all rests on.
    Back,
}

/// A heading and what stands under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Its key within the document: small letters, digits and hyphens.
    pub key: String,
    /// The heading; empty for figures that only the results hold.
    pub title: String,
    /// Where it stands.
    pub place: Place,
    /// Whether a terminal leaves it out.
    pub page_only: bool,
    /// Whether it is on the first screen of a terminal, and before the appendix of a page.
    pub first: bool,
    /// What the first screen says in its place.
    pub in_brief: Option<Text>,
    /// What stands under it.
    pub blocks: Vec<Block>,
}

impl Section {
    /// A section of the body under this heading.
    pub fn new(title: impl Into<String>) -> Self {
        let title = title.into();
        Self {
            key: slug(&title),
            title,
            place: Place::Body,
            page_only: false,
            first: false,
            in_brief: None,
            blocks: Vec::new(),
        }
    }

    /// Figures for the results alone.
    pub fn data(figures: Vec<Figure>) -> Self {
        Self::new("").with(Block::Data(figures))
    }

    /// The same under a key of its own, where the heading holds a name.
    #[must_use]
    pub fn keyed(self, key: impl Into<String>) -> Self {
        Self {
            key: key.into(),
            ..self
        }
    }

    /// The same elsewhere.
    #[must_use]
    pub fn at(self, place: Place) -> Self {
        Self { place, ..self }
    }

    /// The same, left out on a terminal.
    #[must_use]
    pub fn on_page(self) -> Self {
        Self {
            page_only: true,
            ..self
        }
    }

    /// The same, on the first screen.
    #[must_use]
    pub fn on_first_screen(self) -> Self {
        Self {
            first: true,
            ..self
        }
    }

    /// The same, of which the first screen says only this.
    #[must_use]
    pub fn in_brief(self, text: impl Into<Text>) -> Self {
        Self {
            in_brief: Some(text.into()),
            ..self
        }
    }

    /// The same with one more block.
    #[must_use]
    pub fn with(mut self, block: Block) -> Self {
        self.blocks.push(block);
        self
    }

    /// Whether there is anything to see.
    fn is_seen(&self) -> bool {
        self.blocks.iter().any(Block::is_seen)
    }
}

impl Document {
    /// Adds pictures, each under its caption, after the body.
    pub fn add_pictures(&mut self, pictures: impl IntoIterator<Item = Picture>) {
        for picture in pictures {
            let stem = picture.file.split('.').next().unwrap_or_default();
            let place = if stem == "section" {
                Place::Drawing
            } else {
                Place::Pictures
            };
            self.sections.push(
                Section::new(picture.caption.clone())
                    .keyed(format!("picture-{}", slug(stem)))
                    .at(place)
                    .on_page()
                    .with(Block::Picture(picture)),
            );
        }
    }

    /// The sections in the order of a page.
    fn on_page(&self) -> Vec<&Section> {
        let mut seen: Vec<_> = self.sections.iter().filter(|s| s.is_seen()).collect();
        seen.order_by_key(|section| section.place);
        seen
    }

    /// Whether it has a first screen, with all else behind it.
    fn has_first_screen(&self) -> bool {
        self.sections.iter().any(|section| section.first)
    }

    /// Where on a page the appendix begins: behind what is first and the drawing.
    fn begins_appendix(&self, section: &Section) -> bool {
        self.has_first_screen() && !section.first && section.place > Place::Drawing
    }

    /// The sections in the order of a terminal.
    fn on_terminal(&self) -> Vec<&Section> {
        let mut seen: Vec<_> = self.sections.iter().filter(|s| s.is_seen()).collect();
        seen.retain(|section| !section.page_only);
        seen.order_by_key(|section| match section.place {
            Place::Body => 0,
            place => 1 + place as u8,
        });
        seen
    }

    /// All figures of the document.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        let blocks = self.sections.iter().flat_map(|section| &section.blocks);
        self.headline
            .figures()
            .chain(self.opening.figures())
            .chain(self.remarks.iter().flat_map(Text::figures))
            .chain(blocks.flat_map(Block::figures))
    }

    /// The series taken out, each for a file of its own; nothing else prints them.
    #[cfg(feature = "cli")]
    pub(crate) fn take_series(&mut self) -> Vec<Series> {
        let mut taken = Vec::new();
        for section in &mut self.sections {
            let blocks = std::mem::take(&mut section.blocks);
            for block in blocks {
                match block {
                    Block::Series(series) => taken.push(series),
                    block => section.blocks.push(block),
                }
            }
        }
        taken
    }

    /// The series, each for a file of its own.
    pub fn series(&self) -> impl Iterator<Item = &Series> {
        let blocks = self.sections.iter().flat_map(|section| &section.blocks);
        blocks.filter_map(|block| match block {
            Block::Series(series) => Some(series),
            _ => None,
        })
    }
}

/// The word for a status, readable without colour.
pub const fn status_word(status: Status) -> &'static str {
    match status {
        Status::Pass => "PASS",
        Status::Warn => "WARN",
        Status::Fail => "FAIL",
    }
}

/// The key of a status.
pub const fn status_key(status: Status) -> &'static str {
    match status {
        Status::Pass => "pass",
        Status::Warn => "warn",
        Status::Fail => "fail",
    }
}
