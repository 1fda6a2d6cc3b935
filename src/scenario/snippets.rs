//! Faults as text that points into the file.

use std::fmt;

use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode,
};

use super::fault::MOST_PRINTED;
use super::fault::{Fault, Label, Severity, Source};
use crate::units::display::{is_plain, plain_lines};

/// Longest line shown as a snippet; nobody reads longer ones.
const LONGEST_LINE: usize = 300;
/// Most lines between two remarks in one snippet.
const MOST_LINES_BETWEEN: usize = 4;
/// Width to which messages are wrapped.
const WIDTH: usize = 100;

/// The first faults below their heading; `None` where they cannot be drawn, and nothing but a
/// lack of snippets is lost.
pub(super) fn drawn(file: &Source, heading: &str, faults: &[Fault], color: bool) -> Option<String> {
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
        heading: heading.to_owned(),
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
    handler.render_report(&mut out, &page).ok()?;
    Some(out)
}

/// The text with every unprintable character replaced by as many `?` as it has bytes.
fn printable(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        // Alone, a carriage return would write over the line.
        let ends_line = c == '\n' || (c == '\r' && chars.peek() == Some(&'\n'));
        if ends_line || c == '\t' || is_plain(c) {
            out.push(c);
        } else {
            out.extend(std::iter::repeat_n('?', c.len_utf8()));
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
        let said = plain_lines(&self.fault.to_string());
        if self.shows_snippet() {
            write!(f, "{said}")
        } else {
            write!(f, "line {}: {said}", self.fault.line)
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
        Some(Box::new(plain_lines(&help)))
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        if !self.shows_snippet() {
            return None;
        }
        let near = self.fault.labels.iter().filter(|label| self.is_near(label));
        Some(Box::new(near.enumerate().map(|(i, label)| {
            let text = Some(plain_lines(&label.text));
            let span = label.span.clone();
            if i == 0 {
                LabeledSpan::new_primary_with_span(text, span)
            } else {
                LabeledSpan::new_with_span(text, span)
            }
        })))
    }
}
