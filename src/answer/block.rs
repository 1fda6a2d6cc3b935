//! What a section holds.

use crate::answer::{Figure, Text};
use crate::assessment::Status;

/// One piece of a section.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// Labelled figures.
    Rows(Vec<Row>),
    /// A table.
    Table(Table),
    /// A sentence or several.
    Sentence(Text),
    /// A list.
    List(Vec<Text>),
    /// Points in the order of their weight.
    Findings(Vec<Finding>),
    /// Lines to be copied as they are, in this language.
    Code(&'static str, String),
    /// A picture.
    Picture(Picture),
    /// Values over time or over a sweep, for a file of their own.
    Series(Series),
    /// Figures for the results alone.
    Data(Vec<Figure>),
}

/// A labelled text.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Short name.
    pub label: String,
    /// What there is to say.
    pub text: Text,
}

impl Row {
    /// A label and its text.
    pub fn new(label: impl Into<String>, text: impl Into<Text>) -> Self {
        Self {
            label: label.into(),
            text: text.into(),
        }
    }

    /// The label as a key within its section: `water-a-cycle`.
    pub fn key(&self) -> String {
        slug(&self.label)
    }
}

/// Letters and digits of `text` in lower case, all else as single hyphens.
pub fn slug(text: &str) -> String {
    let words = text.split(|c: char| !c.is_ascii_alphanumeric());
    let words: Vec<String> = words
        .filter(|word| !word.is_empty())
        .map(str::to_ascii_lowercase)
        .collect();
    words.join("-")
}

/// A table; every row has a cell for each column.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The cells, row by row.
    pub rows: Vec<Vec<Text>>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// What stands above it.
    pub head: String,
    /// Figures stand right-aligned under one another.
    pub right: bool,
    /// Most letters on a terminal; longer cells are cut there, none are shown with nought.
    pub most: usize,
}

impl Column {
    /// Words.
    pub fn words(head: impl Into<String>) -> Self {
        Self {
            head: head.into(),
            right: false,
            most: usize::MAX,
        }
    }

    /// Figures.
    pub fn figures(head: impl Into<String>) -> Self {
        Self {
            right: true,
            ..Self::words(head)
        }
    }

    /// A first column of names, the others of figures.
    pub fn names_and_figures<H: Into<String>>(head: impl IntoIterator<Item = H>) -> Vec<Self> {
        let mut columns: Vec<Self> = head.into_iter().map(Self::figures).collect();
        if let Some(first) = columns.first_mut() {
            first.right = false;
        }
        columns
    }

    /// The same, cut to `most` letters on a terminal; with nought it is only on the page.
    #[must_use]
    pub fn at_most(self, most: usize) -> Self {
        Self { most, ..self }
    }
}

/// One point with its weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How bad it is.
    pub status: Option<(Status, &'static str)>,
    /// What it is.
    pub title: Text,
    /// What there is to say about it.
    pub rows: Vec<Row>,
}

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Name of its file beside the page.
    pub file: String,
    /// What it shows, in a line.
    pub caption: String,
    /// The picture itself, an SVG document whose texts are escaped.
    pub svg: String,
}

/// Values over time or over a sweep.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Name of its file beside the page.
    pub file: &'static str,
    /// Its columns, all of one length.
    pub columns: Vec<SeriesColumn>,
}

/// A column of a series.
#[derive(Debug, Clone, PartialEq)]
pub struct SeriesColumn {
    /// The key, with its SI unit.
    pub key: String,
    /// The values.
    pub cells: Cells,
}

/// The values of a column.
#[derive(Debug, Clone, PartialEq)]
pub enum Cells {
    /// Numbers with so many decimals; one that is not finite is an empty cell.
    Fixed(usize, Vec<f64>),
    /// Numbers with nine figures, enough to calculate with again.
    Full(Vec<f64>),
    /// Words.
    Words(Vec<String>),
    /// Words of a fixed list.
    Keys(Vec<&'static str>),
}

impl Block {
    /// Whether there is anything to see.
    pub(super) const fn is_seen(&self) -> bool {
        match self {
            Self::Rows(rows) => !rows.is_empty(),
            Self::List(items) => !items.is_empty(),
            Self::Findings(found) => !found.is_empty(),
            Self::Data(_) | Self::Series(_) => false,
            Self::Table(_) | Self::Sentence(_) | Self::Code(..) | Self::Picture(_) => true,
        }
    }

    /// The figures that stand under keys of the results.
    pub fn figures(&self) -> Vec<&Figure> {
        match self {
            Self::Rows(rows) => rows.iter().flat_map(|row| row.text.figures()).collect(),
            Self::Table(table) => table
                .rows
                .iter()
                .flatten()
                .flat_map(Text::figures)
                .collect(),
            Self::Sentence(text) => text.figures().collect(),
            Self::List(items) => items.iter().flat_map(Text::figures).collect(),
            Self::Findings(found) => found
                .iter()
                .flat_map(|finding| {
                    let rows = finding.rows.iter().flat_map(|row| row.text.figures());
                    finding.title.figures().chain(rows)
                })
                .collect(),
            Self::Data(figures) => figures.iter().collect(),
            Self::Code(..) | Self::Picture(_) | Self::Series(_) => Vec::new(),
        }
    }
}
