//! Faults of a scenario file: what, where, and what to write instead.

use std::cmp::Ordering;
use std::fmt;
use std::ops::Range;

use thiserror::Error;

use super::rule::Rule;
use crate::units::UnitSystem;
use crate::units::display::{join, plain};
use crate::units::parse::QuantityError;

/// How bad a fault is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Severity {
    /// The file cannot be used.
    Error,
    /// The file can be used, but something in it looks wrong.
    Warning,
}

/// One step of a [`KeyPath`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Step {
    /// A key of a table.
    Key(String),
    /// An entry of a list, counting from 1.
    Entry(usize),
}

/// Where a value stands in the file's structure, as in `bed[2].standpipe.length`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KeyPath(pub Vec<Step>);

impl KeyPath {
    /// This path and a key below it.
    #[must_use]
    pub fn key(&self, key: &str) -> Self {
        let mut steps = self.0.clone();
        steps.push(Step::Key(key.to_owned()));
        Self(steps)
    }

    /// This path and an entry of its list, counting from 1.
    #[must_use]
    pub fn entry(&self, number: usize) -> Self {
        let mut steps = self.0.clone();
        steps.push(Step::Entry(number));
        Self(steps)
    }
}

impl fmt::Display for KeyPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.0.iter().enumerate() {
            match step {
                Step::Key(key) => write!(f, "{}{}", if i == 0 { "" } else { "." }, plain(key))?,
                Step::Entry(number) => write!(f, "[{number}]")?,
            }
        }
        Ok(())
    }
}

/// What is wrong. The texts follow a key path, as in `sump.floor has no unit`.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FaultKind {
    /// The text is not TOML.
    #[error("{message}")]
    Syntax {
        /// What the parser stumbled over.
        message: String,
    },
    /// A key that this table does not have.
    #[error("there is no such key")]
    UnknownKey {
        /// A key of this table that looks like it.
        suggestion: Option<String>,
        /// Tables that do have this key.
        belongs_to: Vec<String>,
    },
    /// A key that must be there.
    #[error("is missing")]
    Missing,
    /// None of several keys of which one must be there.
    #[error("needs {}", join(.keys, "or"))]
    NoneOf {
        /// The keys.
        keys: Vec<&'static str>,
    },
    /// Several keys of which only one may be there.
    #[error("has {}, which exclude each other", join(.keys, "and"))]
    SeveralOf {
        /// The keys found.
        keys: Vec<&'static str>,
    },
    /// A key that makes sense only beside another.
    #[error("makes no sense without {other}")]
    Without {
        /// The other key.
        other: &'static str,
    },
    /// A value of the wrong kind.
    #[error("is {value}, {found}, but {wanted} belongs here")]
    WrongKind {
        /// As written.
        value: String,
        /// Kind found, with its article.
        found: &'static str,
        /// Kind wanted, with its article.
        wanted: String,
    },
    /// A number without a unit where a unit is needed.
    #[error("is the bare number {number}, but {wanted} needs its unit")]
    BareNumber {
        /// As written.
        number: String,
        /// Quantity wanted, with its article.
        wanted: &'static str,
    },
    /// Text that is not the quantity wanted.
    #[error("is \"{text}\": {error}")]
    Quantity {
        /// As written.
        text: String,
        /// Why.
        error: QuantityError,
    },
    /// Not a number, infinite, or too large for a number.
    #[error("is {number}, which is not a finite number")]
    NotFinite {
        /// As written.
        number: String,
    },
    /// A value outside its range.
    #[error("is {value}, outside {allowed}")]
    OutOfRange {
        /// As written.
        value: String,
        /// The range allowed.
        allowed: String,
    },
    /// A size that is allowed, but unlike any that is usual.
    #[error("is {value}: is that right?")]
    Odd {
        /// As written.
        value: String,
    },
    /// A word that is not one of those allowed.
    #[error("is \"{value}\", not one of {}", join(.choices, "or"))]
    UnknownChoice {
        /// As written.
        value: String,
        /// Words allowed.
        choices: Vec<String>,
    },
    /// A list with too few or too many entries.
    #[error("has {count} {}, {allowed}", if *.count == 1 { "entry" } else { "entries" })]
    ListLength {
        /// Entries found.
        count: usize,
        /// How many there must be.
        allowed: String,
    },
    /// Text that is empty, too long, or has unprintable characters.
    #[error("{problem}")]
    Text {
        /// What is wrong with it.
        problem: String,
    },
    /// Values that are each allowed but cannot stand together.
    #[error("{0}")]
    Rule(#[from] Rule),
}

/// A place in the file with a remark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// Bytes of the text.
    pub span: Range<usize>,
    /// Remark printed under them.
    pub text: String,
}

/// One fault of a scenario file.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Error or warning.
    pub severity: Severity,
    /// What is wrong, with the values concerned.
    pub kind: FaultKind,
    /// The key concerned.
    pub path: KeyPath,
    /// Line of the file, counting from 1.
    pub line: usize,
    /// The place concerned, then others that matter.
    pub labels: Vec<Label>,
    /// What to write instead.
    pub help: String,
}

impl Fault {
    /// Where the fault stands in the text.
    pub fn span(&self) -> Range<usize> {
        self.labels.first().map_or(0..0, |label| label.span.clone())
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path = self.path.to_string();
        match (&self.kind, path.as_str()) {
            (FaultKind::Syntax { .. }, _) | (_, "") => write!(f, "{}", self.kind),
            (FaultKind::UnknownKey { .. } | FaultKind::Text { .. } | FaultKind::Rule(_), path) => {
                write!(f, "{path}: {}", self.kind)
            }
            (_, path) => write!(f, "{path} {}", self.kind),
        }
    }
}

/// The file's text with its name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// File name for messages.
    pub name: String,
    /// Its text.
    pub text: String,
}

impl Source {
    /// Line of a byte, counting from 1. A byte beyond the end is on the last line.
    pub fn line(&self, byte: usize) -> usize {
        let until = byte.min(self.text.len());
        1 + self.text.as_bytes()[..until]
            .iter()
            .filter(|b| **b == b'\n')
            .count()
    }

    /// The text of a span; empty if it is none.
    pub fn slice(&self, span: &Range<usize>) -> &str {
        self.text.get(span.clone()).unwrap_or_default()
    }

    /// Bounds of the line that holds a byte, without its line end.
    pub(super) fn line_bounds(&self, byte: usize) -> Range<usize> {
        let bytes = self.text.as_bytes();
        let at = byte.min(bytes.len());
        let start = bytes[..at]
            .iter()
            .rposition(|b| *b == b'\n')
            .map_or(0, |i| i + 1);
        let end = bytes[at..]
            .iter()
            .position(|b| *b == b'\n')
            .map_or(bytes.len(), |i| at + i);
        start..end
    }
}

/// Collects the faults of one file.
#[derive(Debug)]
pub(super) struct Faults<'a> {
    pub source: &'a Source,
    /// First byte of each line; a file of nothing but faults must not cost a scan each.
    line_starts: Vec<usize>,
    /// Units for messages.
    pub system: UnitSystem,
    pub found: Vec<Fault>,
}

impl<'a> Faults<'a> {
    pub fn new(source: &'a Source) -> Self {
        Self {
            source,
            line_starts: std::iter::once(0)
                .chain(source.text.match_indices('\n').map(|(at, _)| at + 1))
                .collect(),
            system: unit_system(&source.text, UnitSystem::Metric),
            found: Vec::new(),
        }
    }

    /// Adds an error at a place.
    pub fn error(
        &mut self,
        kind: FaultKind,
        path: KeyPath,
        span: Range<usize>,
        label: impl Into<String>,
        help: impl Into<String>,
    ) {
        let label = Label {
            span,
            text: label.into(),
        };
        self.add(Severity::Error, kind, path, vec![label], help.into());
    }

    pub fn add(
        &mut self,
        severity: Severity,
        kind: FaultKind,
        path: KeyPath,
        labels: Vec<Label>,
        help: String,
    ) {
        let at = labels.first().map_or(0, |label| label.span.start);
        let line = self.line_starts.partition_point(|start| *start <= at);
        self.found.push(Fault {
            severity,
            kind,
            path,
            line,
            labels,
            help,
        });
    }

    /// More than anybody will read: no need for advice on each.
    pub fn are_many(&self) -> bool {
        self.found.len() > 500
    }

    pub fn has_errors(&self) -> bool {
        self.found
            .iter()
            .any(|fault| fault.severity == Severity::Error)
    }
}

/// The units that most quoted values of a text end in; `even` if neither leads.
pub(super) fn unit_system(text: &str, even: UnitSystem) -> UnitSystem {
    let count = |endings: &[&str]| -> usize {
        endings
            .iter()
            .map(|ending| text.matches(&format!("{ending}\"")).count())
            .sum()
    };
    let us = count(&["in", "ft", "degF", " gal", "gal/h", "gal/min", "gph", "gpm"]);
    let metric = count(&["mm", "cm", " m", "degC", " L", "L/h", "L/min"]);
    match us.cmp(&metric) {
        Ordering::Greater => UnitSystem::Us,
        Ordering::Less => UnitSystem::Metric,
        Ordering::Equal => even,
    }
}

/// Most faults printed; the rest are counted.
pub(super) const MOST_PRINTED: usize = 60;
