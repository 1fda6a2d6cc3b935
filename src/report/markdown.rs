//! Pages in Markdown, of the commands that have no document yet.

use crate::report::rows::Row;
use crate::report::words::plain;

/// A picture to show on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Picture<'a> {
    /// File name beside the page.
    pub file: &'a str,
    /// One line on what it shows.
    pub caption: &'a str,
}

/// Text that Markdown shall show as it is.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in plain(text).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '!' => out.extend(['\\', c]),
            _ => out.push(c),
        }
    }
    out
}

/// A file name as a link target.
pub(super) fn link(file: &str) -> String {
    file.replace('%', "%25")
        .replace(' ', "%20")
        .replace('(', "%28")
        .replace(')', "%29")
}

/// A page being written.
#[derive(Default)]
pub(super) struct Page(pub(super) String);

impl Page {
    fn gap(&mut self) {
        self.0.push('\n');
    }

    pub(super) fn line(&mut self, text: &str) {
        self.0.push_str(text.trim_end());
        self.gap();
    }

    pub(super) fn heading(&mut self, level: usize, text: &str) {
        // A blank line before, whatever came last.
        if !self.0.ends_with("\n\n") {
            self.gap();
        }
        self.line(&format!("{} {text}", "#".repeat(level)));
        self.gap();
    }

    pub(super) fn paragraph(&mut self, text: &str) {
        if !self.0.ends_with("\n\n") {
            self.gap();
        }
        self.line(text);
        self.gap();
    }

    pub(super) fn rows(&mut self, rows: &[Row]) {
        self.table(
            &["Figure", "Value"],
            rows.iter()
                .map(|row| vec![row.label.to_owned(), escaped(&row.value)]),
        );
    }

    pub(super) fn table(&mut self, head: &[&str], rows: impl Iterator<Item = Vec<String>>) {
        self.line(&format!("| {} |", head.join(" | ")));
        self.line(&format!("|{}", " --- |".repeat(head.len())));
        for cells in rows {
            self.line(&format!("| {} |", cells.join(" | ")));
        }
        self.gap();
    }

    pub(super) fn list(&mut self, title: &str, items: impl Iterator<Item = String>) {
        let items: Vec<_> = items.collect();
        if items.is_empty() {
            return;
        }
        self.heading(2, title);
        for item in items {
            self.line(&format!("- {}", escaped(&item)));
        }
        self.gap();
    }
}
