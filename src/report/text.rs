//! Text for a terminal, of the commands that have no document yet.

use crate::assessment::Status;
use crate::report::rows::Row;
use crate::report::words::{plain, status_word};

/// How the text may look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns to wrap at; fewer than 60 are taken as 60.
    pub width: usize,
    /// Whether status words are coloured; they stay words.
    pub colour: bool,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            width: 80,
            colour: false,
        }
    }
}

/// Columns before the value of a labelled row.
const LABEL: usize = 20;
/// Text being written, wrapped to the terminal's width.
pub(super) struct Page {
    pub(super) out: String,
    look: Look,
}

impl Page {
    pub(super) fn new(look: Look) -> Self {
        Self {
            out: String::new(),
            look: Look {
                width: look.width.max(60),
                ..look
            },
        }
    }

    pub(super) fn gap(&mut self) {
        self.out.push('\n');
    }

    pub(super) fn heading(&mut self, text: &str) {
        self.gap();
        self.paragraph(0, text);
    }

    /// Words wrapped to the page, later lines indented.
    pub(super) fn paragraph(&mut self, indent: usize, text: &str) {
        for (i, line) in wrap(text, self.look.width - indent).into_iter().enumerate() {
            if i > 0 {
                self.out.push_str(&" ".repeat(indent));
            }
            self.out.push_str(&line);
            self.gap();
        }
    }

    pub(super) fn status(&mut self, status: Status, text: &str) {
        let word = self.coloured(status_word(status), status);
        self.out.push_str(&word);
        self.out.push_str("  ");
        self.paragraph(6, text);
    }

    fn coloured(&self, word: &str, status: Status) -> String {
        if !self.look.colour {
            return word.to_owned();
        }
        let code = match status {
            Status::Pass => 32,
            Status::Warn => 33,
            Status::Fail => 31,
        };
        format!("\u{1b}[1;{code}m{word}\u{1b}[0m")
    }

    pub(super) fn rows(&mut self, rows: &[Row]) {
        for row in rows {
            let label = format!("  {}:", row.label);
            self.out.push_str(&format!("{label:LABEL$}"));
            self.paragraph(LABEL, &row.value);
        }
    }

    pub(super) fn list(&mut self, title: &str, items: impl Iterator<Item = String>) {
        let items: Vec<_> = items.collect();
        if items.is_empty() {
            return;
        }
        self.heading(title);
        for item in items {
            self.out.push_str("  - ");
            self.paragraph(4, &plain(&item));
        }
    }
}

/// Lines of at most `width` columns, broken between words; a longer word gets a
/// line of its own. A figure stays with the word after it, its unit.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    let mut after_figure = false;
    for word in text.split_whitespace() {
        match pieces.last_mut() {
            Some(piece) if after_figure => *piece += &format!(" {word}"),
            _ => pieces.push(word.to_owned()),
        }
        after_figure = word.ends_with(|c: char| c.is_ascii_digit());
    }
    let mut lines = vec![String::new()];
    for piece in pieces {
        let Some(line) = lines.last_mut() else { break };
        let used = line.chars().count();
        if used == 0 {
            line.push_str(&piece);
        } else if used + 1 + piece.chars().count() <= width {
            *line += &format!(" {piece}");
        } else {
            lines.push(piece);
        }
    }
    lines
}
