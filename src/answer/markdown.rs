//! The document as a page in Markdown.

use crate::answer::{APPENDIX, Block, Document, Finding, Piece, Row, Table, Text, status_word};
use crate::assessment::Status;
use crate::units::display::plain;

impl Document {
    /// The whole answer in Markdown; pictures are linked, not copied.
    pub fn markdown(&self) -> String {
        let mut page = Page(String::new());
        page.0 = format!("# {}\n", escaped(&self.title));
        page.paragraph(&marked(&self.opening));
        page.heading("Verdict");
        page.paragraph(&judged(
            self.verdict.map(|status| (status, status_word(status))),
            &self.headline,
        ));
        for remark in &self.remarks {
            page.paragraph(&marked(remark));
        }
        let mut in_appendix = false;
        for section in self.on_page() {
            if !in_appendix && self.begins_appendix(section) {
                in_appendix = true;
                page.paragraph(&format!("# {APPENDIX}"));
            }
            page.heading(&escaped(&section.title));
            section.blocks.iter().for_each(|block| page.block(block));
        }
        page.0
    }
}

/// A page being written; every block begins with a blank line.
struct Page(String);

impl Page {
    fn heading(&mut self, text: &str) {
        self.paragraph(&format!("## {text}"));
    }

    fn paragraph(&mut self, text: &str) {
        if !text.is_empty() {
            self.0 += &format!("\n{}\n", text.trim_end());
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Rows(rows) => self.rows(rows),
            Block::Table(table) => self.table(table),
            Block::Sentence(text) => self.paragraph(&marked(text)),
            Block::List(items) => {
                let lines: Vec<String> = items.iter().map(|i| format!("- {}", marked(i))).collect();
                self.paragraph(&lines.join("\n"));
            }
            Block::Findings(found) => {
                let lines: Vec<String> = (1..).zip(found).map(|(i, f)| finding(i, f)).collect();
                self.paragraph(&lines.join("\n"));
            }
            Block::Code(language, text) => {
                let lines: Vec<String> = text.lines().map(plain).collect();
                // No line of the text may close the block.
                let fence = "`".repeat(3.max(1 + longest_run(text, '`')));
                self.paragraph(&format!("{fence}{language}\n{}\n{fence}", lines.join("\n")));
            }
            Block::Picture(picture) => {
                let caption = escaped(&picture.caption);
                self.paragraph(&format!("![{caption}]({})", link(&picture.file)));
            }
            Block::Series(_) | Block::Data(_) => {}
        }
    }

    fn rows(&mut self, rows: &[Row]) {
        let cells = rows
            .iter()
            .map(|row| vec![escaped(&row.label), cell(&row.text)]);
        self.grid(vec!["Figure".to_owned(), "Value".to_owned()], cells);
    }

    fn table(&mut self, table: &Table) {
        let head = table.columns.iter().map(|c| escaped(&c.head)).collect();
        let rows = table.rows.iter().map(|row| row.iter().map(cell).collect());
        self.grid(head, rows);
    }

    fn grid(&mut self, head: Vec<String>, rows: impl Iterator<Item = Vec<String>>) {
        let line = |cells: &[String]| format!("| {} |", cells.join(" | "));
        let mut lines = vec![line(&head), format!("|{}", " --- |".repeat(head.len()))];
        lines.extend(rows.map(|cells| line(&cells)));
        self.paragraph(&lines.join("\n"));
    }
}

fn judged(status: Option<(Status, &str)>, text: &Text) -> String {
    match status {
        Some((_, word)) => format!("**{word}** {}", marked(text)),
        None => marked(text),
    }
}

fn finding(number: usize, finding: &Finding) -> String {
    let mut out = format!("{number}. {}", judged(finding.status, &finding.title));
    for row in &finding.rows {
        out += &format!("\n   - {}: {}", escaped(&row.label), marked(&row.text));
    }
    out
}

fn cell(text: &Text) -> String {
    text.0
        .iter()
        .map(|piece| match piece {
            // A bar inside code still ends a cell.
            Piece::Code(_) => piece_marked(piece).replace('|', "\\|"),
            piece => piece_marked(piece),
        })
        .collect()
}

fn marked(text: &Text) -> String {
    text.0.iter().map(piece_marked).collect()
}

fn piece_marked(piece: &Piece) -> String {
    match piece {
        Piece::Words(words) => escaped(words),
        Piece::Figure(figure) => escaped(&figure.shown),
        Piece::Unsaid(_) => String::new(),
        Piece::Code(words) => format!("`{}`", plain(words).replace('`', "'")),
        Piece::Stress(words) => format!("*{}*", escaped(words)),
        Piece::Status(_, word) => (*word).to_owned(),
    }
}

/// Text that Markdown shall show as it is.
fn escaped(text: &str) -> String {
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
fn link(file: &str) -> String {
    file.replace('%', "%25")
        .replace(' ', "%20")
        .replace('(', "%28")
        .replace(')', "%29")
}

/// The longest stretch of one letter.
fn longest_run(text: &str, letter: char) -> usize {
    let runs = text.split(|c| c != letter).map(str::len);
    runs.max().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use crate::answer::sample::{HOSTILE, document};

    #[test]
    fn a_page_begins_with_what_matters() {
        let expected = "\
# north

This page is about `north`.

## Verdict

**FAIL** Something has to change in north.

north

## What to change

1. **WARN** starts: north
   - Why: it does, see `north`

## Bed north

| Figure | Value |
| --- | --- |
| Water a cycle | 8.0 L/min (7.0 to 9.5 L/min) |
| Starts above | 9.0 L/min (band 6.0 to 12.0 L/min) |
| Peak water | 225 mm above the floor of north, `a.toml` |
| north | north |

| Result | About | Found | Rests on |
| --- | --- | --- | --- |
| FAIL | north | 225 mm | north |

## For the page

*north*

````toml
north
```
end
````

## north

![north](levels%20%28all%29.svg)

## Notes

- north
";
        assert_eq!(document("north").markdown(), expected);
    }

    #[test]
    fn names_stay_text() {
        let page = document(HOSTILE).markdown();
        assert!(!page.contains('\u{202e}') && !page.contains('\u{1b}'));
        let outside = page.split("````").step_by(2).collect::<String>();
        assert!(page.starts_with("# &lt;script&gt;alert(1)&lt;/script&gt; \\| \\`x\\` "));
        let spans: String = outside.split('`').step_by(2).collect();
        assert!(!spans.contains("<script>"), "{spans}");
        // Every row of a table has the cells of its head.
        let mut cells = 0;
        for line in outside.lines().filter(|line| !line.starts_with("   -")) {
            let bars = line.replace("\\|", "").matches('|').count();
            if !line.starts_with('|') {
                cells = 0;
                continue;
            }
            if cells == 0 {
                cells = bars;
            }
            assert_eq!(bars, cells, "{line}");
        }
    }
}
