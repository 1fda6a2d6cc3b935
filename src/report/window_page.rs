//! Sections as terminal text and as Markdown.

use crate::report::Picture;
use crate::report::markdown::{escaped, link};
use crate::report::rows::Row;
use crate::report::text::{Look, wrap};
use crate::report::words::plain;

/// A heading and what stands under it.
pub(super) struct Section {
    pub heading: String,
    pub blocks: Vec<Block>,
}

/// One piece of a section.
pub(super) enum Block {
    Rows(Vec<Row>),
    Table {
        head: Vec<String>,
        rows: Vec<Vec<String>>,
    },
    Paragraph(String),
    List(Vec<String>),
    /// Lines to be copied as they are.
    Code(String),
}

/// Columns before the value of a labelled row.
const LABEL: usize = 20;
/// Fewest columns of a page.
const NARROWEST: usize = 60;

/// The sections wrapped to `look`'s width.
pub(super) fn as_text(title: &str, headline: &str, sections: &[Section], look: Look) -> String {
    let width = look.width.max(NARROWEST);
    let mut out = String::new();
    paragraph(&mut out, width, "", title);
    out.push('\n');
    paragraph(&mut out, width, "", headline);
    for section in sections {
        out.push('\n');
        paragraph(&mut out, width, "", &section.heading);
        for block in &section.blocks {
            match block {
                Block::Rows(rows) => {
                    for row in rows {
                        let label = format!("{:LABEL$}", format!("  {}:", row.label));
                        paragraph(&mut out, width, &label, &row.value);
                    }
                }
                Block::Table { head, rows } => table(&mut out, head, rows),
                Block::Paragraph(text) => paragraph(&mut out, width, "  ", text),
                Block::List(items) => {
                    for item in items {
                        paragraph(&mut out, width, "  - ", item);
                    }
                }
                Block::Code(text) => {
                    text.lines()
                        .for_each(|line| out += &format!("    {line}\n"));
                }
            }
        }
    }
    out
}

/// Words after `lead`, later lines indented as far.
fn paragraph(out: &mut String, width: usize, lead: &str, text: &str) {
    let indent = lead.chars().count();
    for (i, line) in wrap(&plain(text), width - indent).into_iter().enumerate() {
        let before = if i == 0 {
            lead.to_owned()
        } else {
            " ".repeat(indent)
        };
        out.push_str(format!("{before}{line}").trim_end());
        out.push('\n');
    }
}

/// Columns as wide as their figures; the first to the left, the others to the right.
fn table(out: &mut String, head: &[String], rows: &[Vec<String>]) {
    let all: Vec<Vec<String>> = std::iter::once(head.to_vec())
        .chain(rows.iter().cloned())
        .map(|cells| cells.iter().map(|cell| plain(cell)).collect())
        .collect();
    let width = |column: usize| {
        all.iter()
            .filter_map(|cells| cells.get(column))
            .map(|c| c.chars().count())
            .max()
            .unwrap_or(0)
    };
    for cells in &all {
        let mut line = String::from(" ");
        for (column, cell) in cells.iter().enumerate() {
            let padding = " ".repeat(width(column) - cell.chars().count());
            if column == 0 {
                line += &format!(" {cell}{padding}");
            } else {
                line += &format!("  {padding}{cell}");
            }
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
}

/// The sections as a page, pictures after the opening.
pub(super) fn as_markdown(
    title: &str,
    opening: &[String],
    sections: &[Section],
    pictures: &[Picture],
) -> String {
    let mut out = format!("# {}\n", escaped(title));
    let (first, rest) = opening.split_at(opening.len().min(1));
    // The first paragraph is the program's own and may hold marks.
    first.iter().for_each(|text| out += &format!("\n{text}\n"));
    rest.iter()
        .for_each(|text| out += &format!("\n**{}**\n", escaped(text)));
    for picture in pictures {
        let caption = escaped(picture.caption);
        out += &format!("\n## {caption}\n\n![{caption}]({})\n", link(picture.file));
    }
    for section in sections {
        out += &format!("\n## {}\n", escaped(&section.heading));
        for block in &section.blocks {
            out.push('\n');
            match block {
                Block::Rows(rows) => {
                    let rows: Vec<Vec<String>> = rows
                        .iter()
                        .map(|row| vec![row.label.to_owned(), row.value.clone()])
                        .collect();
                    markdown_table(&mut out, &["Figure".to_owned(), "Value".to_owned()], &rows);
                }
                Block::Table { head, rows } => markdown_table(&mut out, head, rows),
                Block::Paragraph(text) => out += &format!("{}\n", escaped(text)),
                Block::Code(text) => out += &format!("```toml\n{text}```\n"),
                Block::List(items) => {
                    items
                        .iter()
                        .for_each(|item| out += &format!("- {}\n", escaped(item)));
                }
            }
        }
    }
    out
}

fn markdown_table(out: &mut String, head: &[String], rows: &[Vec<String>]) {
    *out += &format!(
        "| {} |\n|{}\n",
        head.join(" | "),
        " --- |".repeat(head.len())
    );
    for cells in rows {
        let cells: Vec<String> = cells.iter().map(|cell| escaped(cell)).collect();
        *out += &format!("| {} |\n", cells.join(" | "));
    }
}
