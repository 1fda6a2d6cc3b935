//! Faults as text that points into the file.

use std::fmt;

use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode,
};
use thiserror::Error;

use super::fault::{Fault, Label, Severity, Source};
use super::file::FileError;

/// Most faults printed; the rest are counted.
const MOST_PRINTED: usize = 60;
/// Longest line shown as a snippet; nobody reads longer ones.
const LONGEST_LINE: usize = 300;
/// Most lines between two remarks in one snippet.
const MOST_LINES_BETWEEN: usize = 4;
/// Width to which messages are wrapped.
const WIDTH: usize = 100;

/// Why a scenario cannot be used.
#[derive(Debug, Error)]
pub enum ScenarioError {
    /// The path gives no text.
    #[error(transparent)]
    File(#[from] FileError),
    /// The text has faults; at least one is an error, warnings may be among them.
    #[error("{}", summary(.file, .faults))]
    Faults {
        /// The text and its name.
        file: Source,
        /// All of them, in file order.
        faults: Vec<Fault>,
    },
}

impl ScenarioError {
    /// The faults found in the text; none for a [`FileError`].
    pub fn faults(&self) -> &[Fault] {
        match self {
            Self::File(_) => &[],
            Self::Faults { faults, .. } => faults,
        }
    }

    /// The whole message for people, ending with a line end; `color` adds terminal escape codes.
    pub fn render(&self, color: bool) -> String {
        match self {
            Self::File(error) => format!("error: {error}\n  help: {}\n", error.help()),
            Self::Faults {
                file,
                faults: found,
            } => faults(file, found, color),
        }
    }
}

/// `garden.toml: 2 errors, 1 warning`.
fn summary(file: &Source, faults: &[Fault]) -> String {
    let count = |severity| {
        faults
            .iter()
            .filter(|fault| fault.severity == severity)
            .count()
    };
    let some = |n: usize, what: &str| match n {
        0 => None,
        1 => Some(format!("1 {what}")),
        n => Some(format!("{n} {what}s")),
    };
    let parts: Vec<String> = [
        some(count(Severity::Error), "error"),
        some(count(Severity::Warning), "warning"),
    ]
    .into_iter()
    .flatten()
    .collect();
    format!("{}: {}", file.name, parts.join(", "))
}

/// All faults below one heading, empty if there are none.
pub(super) fn faults(file: &Source, faults: &[Fault], color: bool) -> String {
    if faults.is_empty() {
        return String::new();
    }
    let theme = if color {
        GraphicalTheme::unicode()
    } else {
        GraphicalTheme::unicode_nocolor()
    };
    let handler = GraphicalReportHandler::new_themed(theme)
        .with_width(WIDTH)
        .with_links(false)
        .without_syntax_highlighting();
    let page = Page {
        heading: summary(file, faults),
        source: NamedSource::new(&file.name, printable(&file.text)),
        faults: faults
            .iter()
            .take(MOST_PRINTED)
            .map(|fault| View { file, fault })
            .collect(),
        severity: if faults.iter().any(|f| f.severity == Severity::Error) {
            miette::Severity::Error
        } else {
            miette::Severity::Warning
        },
    };
    let mut out = String::new();
    if handler.render_report(&mut out, &page).is_err() {
        // Nothing but a lack of snippets is lost.
        out = faults
            .iter()
            .map(|f| format!("{}:{}: {f}\n  help: {}\n", file.name, f.line, f.help))
            .collect();
    }
    if let Some(more) = faults
        .len()
        .checked_sub(MOST_PRINTED)
        .filter(|more| *more > 0)
    {
        out.push_str(&format!("\nand {more} more\n"));
    }
    out
}

/// The text with every unprintable character replaced by as many `?` as it has bytes.
fn printable(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() && !matches!(c, '\n' | '\r' | '\t') {
            out.extend(std::iter::repeat_n('?', c.len_utf8()));
        } else {
            out.push(c);
        }
    }
    out
}

/// All faults of a file.
struct Page<'f> {
    heading: String,
    source: NamedSource<String>,
    faults: Vec<View<'f>>,
    severity: miette::Severity,
}

impl fmt::Debug for Page<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.heading)
    }
}

impl fmt::Display for Page<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.heading)
    }
}

impl std::error::Error for Page<'_> {}

impl Diagnostic for Page<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(self.severity)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.source)
    }

    fn related<'a>(&'a self) -> Option<Box<dyn Iterator<Item = &'a dyn Diagnostic> + 'a>> {
        Some(Box::new(
            self.faults.iter().map(|view| view as &dyn Diagnostic),
        ))
    }
}

/// One fault beside its file.
struct View<'f> {
    file: &'f Source,
    fault: &'f Fault,
}

impl View<'_> {
    /// Whether a label stands close enough to the fault for one snippet; others are told by line.
    fn is_near(&self, label: &Label) -> bool {
        self.file.line(label.span.start).abs_diff(self.fault.line) <= MOST_LINES_BETWEEN
    }

    /// Whether every line concerned is short enough to be shown.
    fn shows_snippet(&self) -> bool {
        self.fault.labels.iter().all(|label| {
            let last = label.span.end.max(label.span.start + 1) - 1;
            let first = self.file.line_bounds(label.span.start).start;
            let end = self.file.line_bounds(last).end;
            // The lines around are shown too.
            let before = self.file.line_bounds(first.saturating_sub(1)).start;
            let after = self.file.line_bounds(end + 1).end;
            self.file
                .slice(&(before..after))
                .lines()
                .all(|line| line.len() <= LONGEST_LINE)
        })
    }
}

impl fmt::Debug for View<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl fmt::Display for View<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.shows_snippet() {
            write!(f, "{}", self.fault)
        } else {
            write!(f, "line {}: {}", self.fault.line, self.fault)
        }
    }
}

impl std::error::Error for View<'_> {}

impl Diagnostic for View<'_> {
    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.fault.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
        })
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        let mut help = self.fault.help.clone();
        for label in self
            .fault
            .labels
            .iter()
            .skip(1)
            .filter(|label| !self.is_near(label))
        {
            help.push_str(&format!(
                "\nsee line {}: {}",
                self.file.line(label.span.start),
                label.text
            ));
        }
        Some(Box::new(help))
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        if !self.shows_snippet() {
            return None;
        }
        let near = self.fault.labels.iter().filter(|label| self.is_near(label));
        Some(Box::new(near.enumerate().map(|(i, label)| {
            let text = Some(label.text.clone());
            let span = label.span.clone();
            if i == 0 {
                LabeledSpan::new_primary_with_span(text, span)
            } else {
                LabeledSpan::new_with_span(text, span)
            }
        })))
    }
}
