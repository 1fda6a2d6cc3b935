//! What `absorb` found, on a terminal and as a page.

use crate::assessment::Status;
use crate::report::absorb::{AbsorbReport, Block};
use crate::report::markdown::{Picture, escaped, link};
use crate::report::text::{Look, wrap};
use crate::report::words::{plain, status_word};

/// Columns before the value of a labelled row.
const LABEL: usize = 17;

impl AbsorbReport<'_> {
    /// Everything for a terminal.
    pub fn text(&self, look: Look) -> String {
        let width = look.width.max(60);
        let mut out = String::new();
        paragraph(&mut out, width, 0, &plain(&self.system.title));
        out.push('\n');
        for block in self.blocks() {
            match block {
                Block::Heading(text) => {
                    out.push('\n');
                    paragraph(&mut out, width, 0, &text);
                }
                Block::Paragraph(text) => paragraph(&mut out, width, 0, &text),
                Block::Verdict(status, text) => {
                    out.push_str(&coloured(status, look.colour));
                    out.push_str("  ");
                    paragraph(&mut out, width, 6, &text);
                }
                Block::Rows(rows) => {
                    for (label, value) in rows {
                        let label = format!("  {label}:");
                        out.push_str(&format!("{label:LABEL$}"));
                        paragraph(&mut out, width, LABEL, &value);
                    }
                }
                Block::Table { head, rows } => table(&mut out, &head, &rows, look.colour),
                Block::List(items) => {
                    for item in items {
                        out.push_str("  - ");
                        paragraph(&mut out, width, 4, &plain(&item));
                    }
                }
            }
        }
        out
    }

    /// Everything as a page in Markdown. `source` is the scenario's file name;
    /// pictures are linked, not copied.
    pub fn markdown(&self, source: &str, pictures: &[Picture]) -> String {
        let mut out = format!(
            "# {}: what the sump absorbs\n\n",
            escaped(&self.system.title)
        );
        out += &format!(
            "This page answers whether the sump of the system in `{}` takes what the beds and \
             pipes can do to it, what a power cut does, which sump would do, and what the same \
             drum does upright and on its side.\n",
            source.replace('`', "'")
        );
        let mut shown = false;
        for block in self.blocks() {
            out.push('\n');
            match block {
                Block::Heading(text) => {
                    // The picture follows the verdict.
                    if !shown {
                        for picture in pictures {
                            let caption = escaped(picture.caption);
                            out += &format!("![{caption}]({})\n\n", link(picture.file));
                        }
                        shown = true;
                    }
                    out += &format!("## {}\n", escaped(&text));
                }
                Block::Paragraph(text) => out += &format!("{}\n", escaped(&text)),
                Block::Verdict(status, text) => {
                    out += &format!("**{}** {}\n", status_word(status), escaped(&text));
                }
                Block::Rows(rows) => {
                    out += "| Figure | Value |\n| --- | --- |\n";
                    for (label, value) in rows {
                        out += &format!("| {label} | {} |\n", escaped(&value));
                    }
                }
                Block::Table { head, rows } => {
                    out += &format!(
                        "| {} |\n|{}\n",
                        head.join(" | "),
                        " --- |".repeat(head.len())
                    );
                    for cells in rows {
                        let cells: Vec<String> = cells.iter().map(|cell| escaped(cell)).collect();
                        out += &format!("| {} |\n", cells.join(" | "));
                    }
                }
                Block::List(items) => {
                    for item in items {
                        out += &format!("- {}\n", escaped(&item));
                    }
                }
            }
        }
        out
    }
}

/// Words wrapped to the page, later lines indented.
fn paragraph(out: &mut String, width: usize, indent: usize, text: &str) {
    for (i, line) in wrap(text, width - indent).into_iter().enumerate() {
        if i > 0 {
            out.push_str(&" ".repeat(indent));
        }
        out.push_str(&line);
        out.push('\n');
    }
}

fn coloured(status: Status, colour: bool) -> String {
    let word = status_word(status);
    if !colour {
        return word.to_owned();
    }
    let code = match status {
        Status::Pass => 32,
        Status::Warn => 33,
        Status::Fail => 31,
    };
    format!("\u{1b}[1;{code}m{word}\u{1b}[0m")
}

/// Columns as wide as their widest cell, the first one left, figures right-aligned.
fn table(out: &mut String, head: &[String], rows: &[Vec<String>], colour: bool) {
    let all: Vec<&[String]> = std::iter::once(head)
        .chain(rows.iter().map(Vec::as_slice))
        .collect();
    let width = |column: usize| {
        all.iter()
            .filter_map(|row| row.get(column))
            .map(|cell| cell.chars().count())
            .max()
    };
    for row in &all {
        let mut line = String::new();
        for (column, cell) in row.iter().enumerate() {
            let padding = " ".repeat(width(column).unwrap_or(0) - cell.chars().count());
            let shown = match cell.as_str() {
                "PASS" => coloured(Status::Pass, colour),
                "FAIL" => coloured(Status::Fail, colour),
                other => other.to_owned(),
            };
            line += &if column == 0 {
                format!("  {shown}{padding}")
            } else {
                format!("  {padding}{shown}")
            };
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
}
