//! The document as a terminal shows it.

use crate::answer::{Block, Document, Finding, Piece, Row, Section, Table, Text, status_word};
use crate::assessment::Status;
use crate::units::display::plain;

/// How the text may look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns to wrap at; fewer than 60 are taken as 60.
    pub width: usize,
    /// Whether status words are coloured; they stay words.
    pub colour: bool,
    /// All of it, not only the first screen.
    pub full: bool,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            width: 80,
            colour: false,
            full: true,
        }
    }
}

/// Columns before the text of a labelled row.
const LABEL: usize = 20;
/// Columns before the words after a status.
const STATUS: usize = 6;
/// Fewest columns in which the last cell of a table, words, is wrapped under itself.
const ROOM: usize = 20;
/// Fewest columns of a page.
const NARROWEST: usize = 60;

impl Document {
    /// Title, verdict, sections, and the verdict once more, wrapped to `look`'s width.
    pub fn terminal(&self, look: Look) -> String {
        let mut page = Page {
            out: String::new(),
            look: Look {
                width: look.width.max(NARROWEST),
                ..look
            },
        };
        page.paragraph("", &self.title);
        page.gap();
        page.verdict(self);
        for remark in &self.remarks {
            page.gap();
            page.paragraph("", &remark.to_string());
        }
        if self.has_first_screen() && !look.full {
            for section in self.on_page() {
                page.first(section);
            }
            page.gap();
            page.paragraph(
                "",
                "Every figure, check and remark: run it again with --full.",
            );
            return page.out;
        }
        for section in self.on_terminal() {
            page.section(section);
        }
        // Once more where the reader's eye is after a long page.
        page.gap();
        page.verdict(self);
        page.out
    }
}

/// Text being written, wrapped to the terminal's width.
struct Page {
    out: String,
    look: Look,
}

impl Page {
    fn gap(&mut self) {
        self.out.push('\n');
    }

    fn section(&mut self, section: &Section) {
        self.gap();
        self.paragraph("", &section.title);
        let seen = section.blocks.iter().filter(|block| block.is_seen());
        for (k, block) in seen.enumerate() {
            // A table stands apart from what is before it.
            if k > 0 && matches!(block, Block::Table(_)) {
                self.gap();
            }
            self.block(block);
        }
    }

    /// What a section has for the first screen.
    fn first(&mut self, section: &Section) {
        if let Some(text) = &section.in_brief {
            self.gap();
            self.paragraph("", &text.to_string());
        } else if section.first {
            self.section(section);
        }
    }

    /// Words after `lead`, later lines indented as far.
    fn paragraph(&mut self, lead: &str, text: &str) {
        self.wrapped(lead, lead.chars().count(), text);
    }

    fn wrapped(&mut self, lead: &str, indent: usize, text: &str) {
        let lines = wrap(&plain(text), self.look.width - indent);
        for (i, line) in lines.into_iter().enumerate() {
            let before = " ".repeat(indent);
            let before = if i == 0 { lead } else { before.as_str() };
            self.out.push_str(format!("{before}{line}").trim_end());
            self.gap();
        }
    }

    fn verdict(&mut self, document: &Document) {
        let word = document.verdict.map(|status| (status, status_word(status)));
        self.judged(word, &document.headline.to_string());
    }

    fn judged(&mut self, status: Option<(Status, &str)>, text: &str) {
        match status {
            Some((status, word)) => {
                let lead = format!("{}  ", self.coloured(word, status));
                self.wrapped(&lead, STATUS, text);
            }
            None => self.paragraph("", text),
        }
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

    fn block(&mut self, block: &Block) {
        match block {
            Block::Rows(rows) => self.rows(rows),
            Block::Table(table) => self.table(table),
            Block::Sentence(text) => self.paragraph("  ", &text.to_string()),
            Block::List(items) => {
                for item in items {
                    self.paragraph("  - ", &item.to_string());
                }
            }
            Block::Findings(found) => {
                for (i, finding) in found.iter().enumerate() {
                    self.finding(i + 1, finding);
                }
            }
            Block::Code(_, text) => {
                for line in text.lines() {
                    self.out.push_str(format!("    {}", plain(line)).trim_end());
                    self.gap();
                }
            }
            Block::Picture(_) | Block::Series(_) | Block::Data(_) => {}
        }
    }

    fn rows(&mut self, rows: &[Row]) {
        for row in rows {
            let label = format!("  {}:", plain(&row.label));
            let text = row.text.to_string();
            if label.chars().count() < LABEL {
                self.wrapped(&format!("{label:LABEL$}"), LABEL, &text);
            } else {
                // A long label has a line of its own.
                self.paragraph("  ", &label);
                self.wrapped(&" ".repeat(LABEL), LABEL, &text);
            }
        }
    }

    fn finding(&mut self, number: usize, finding: &Finding) {
        let title = finding.title.to_string();
        match finding.status {
            None => self.paragraph(&format!("{number:>2}. "), &title),
            judged => self.judged(judged, &title),
        }
        self.rows(&finding.rows);
    }

    /// Columns as wide as their cells; a first one of a status has no head.
    fn table(&mut self, table: &Table) {
        let shown: Vec<usize> = (0..table.columns.len())
            .filter(|&column| table.columns[column].most > 0)
            .collect();
        let text = |row: &[Text], column: usize| {
            let cell = row.get(column).map_or_else(String::new, Text::to_string);
            shortened(&plain(&cell), table.columns[column].most)
        };
        let head = |column: usize| match table.rows.first().and_then(|row| row.get(column)) {
            Some(cell) if column == 0 && status(cell).is_some() => String::new(),
            _ => plain(&table.columns[column].head),
        };
        let headed = table.columns.iter().any(|column| !column.head.is_empty());
        let heads = headed.then(|| shown.iter().map(|&c| head(c)).collect());
        let lines: Vec<Vec<String>> = heads
            .into_iter()
            .chain(
                table
                    .rows
                    .iter()
                    .map(|row| shown.iter().map(|&c| text(row, c)).collect()),
            )
            .collect();
        let widest = |k: usize| lines.iter().map(|cells| cells[k].chars().count()).max();
        let widths: Vec<usize> = (0..shown.len()).map(|k| widest(k).unwrap_or(0)).collect();
        let last_wraps = shown.last().is_some_and(|&c| !table.columns[c].right);
        for (line, cells) in lines.iter().enumerate() {
            let (mut out, mut used) = (String::new(), 0);
            for (k, (cell, width)) in cells.iter().zip(&widths).enumerate() {
                if k + 1 == cells.len() && last_wraps && used + ROOM < self.look.width {
                    self.wrapped(&format!("{out}  "), used + 2, cell);
                    out.clear();
                    break;
                }
                let padding = " ".repeat(width - cell.chars().count());
                let row = line
                    .checked_sub(usize::from(headed))
                    .and_then(|i| table.rows.get(i));
                let judged = row.and_then(|row| status(row.get(shown[k])?));
                out += &match judged {
                    Some(status) if table.columns[shown[k]].right => {
                        format!("  {padding}{}", self.coloured(cell, status))
                    }
                    Some(status) => format!("  {}{padding}", self.coloured(cell, status)),
                    None if table.columns[shown[k]].right => format!("  {padding}{cell}"),
                    None => format!("  {cell}{padding}"),
                };
                used += 2 + width;
            }
            if !out.is_empty() {
                self.out.push_str(out.trim_end());
                self.gap();
            }
        }
    }
}

/// The status that a cell begins with.
fn status(cell: &Text) -> Option<Status> {
    match cell.0.first() {
        Some(Piece::Status(status, _)) => Some(*status),
        _ => None,
    }
}

/// A long name cut to fit a column.
fn shortened(text: &str, columns: usize) -> String {
    if text.chars().count() <= columns {
        return text.to_owned();
    }
    let head: String = text.chars().take(columns.saturating_sub(2)).collect();
    format!("{}..", head.trim_end())
}

/// Lines of at most `width` columns, broken between words; a longer word gets a
/// line of its own. A figure stays with the word after it, its unit.
fn wrap(text: &str, width: usize) -> Vec<String> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::sample::{HOSTILE, document};
    use crate::answer::{Column, Section};

    #[test]
    fn a_terminal_reads_from_its_end() {
        let expected = "\
north

FAIL  Something has to change in north.

north

Bed north
  Water a cycle:    8.0 L/min (7.0 to 9.5 L/min)
  Starts above:     9.0 L/min (band 6.0 to 12.0 L/min)
  Peak water:       225 mm above the floor of north, `a.toml`
  north:            north

        About   Found
  FAIL  north  225 mm

What to change
WARN  starts: north
  Why:              it does, see `north`

Notes
  - north

FAIL  Something has to change in north.
";
        assert_eq!(document("north").terminal(Look::default()), expected);
    }

    fn lines_of(table: Table) -> Vec<String> {
        let mut sample = document("north");
        sample.sections = vec![
            Section::new("Table")
                .with(Block::Sentence("before".into()))
                .with(Block::Table(table)),
        ];
        let look = Look {
            width: 60,
            colour: false,
            full: true,
        };
        let text = sample.terminal(look);
        let lines = text.lines().skip_while(|line| *line != "Table").skip(2);
        lines.map(str::to_owned).collect()
    }

    #[test]
    fn words_in_the_last_column_wrap_under_themselves() {
        let what = "20 mm bore, from the floor to the lip, the joint in the floor on top";
        let lines = lines_of(Table {
            columns: ["Piece", "What"].map(Column::words).to_vec(),
            rows: vec![vec!["standpipe".into(), what.into()]],
        });
        let expected = [
            "",
            "  Piece      What",
            "  standpipe  20 mm bore, from the floor to the lip, the",
            "             joint in the floor on top",
        ];
        assert_eq!(lines[..4], expected);
    }

    // The verdicts of several vessels side by side stood without their names.
    #[test]
    fn only_a_first_column_of_statuses_has_no_head() {
        let pass = || Text::from(Piece::Status(Status::Pass, "PASS"));
        let lines = lines_of(Table {
            columns: ["", "Upright", "Lying"].map(Column::figures).to_vec(),
            rows: vec![vec!["Result".into(), pass(), pass()]],
        });
        assert_eq!(lines[1], "          Upright  Lying");
        assert_eq!(lines[2], "  Result     PASS   PASS");
        let lines = lines_of(Table {
            columns: ["Result", "Upright"].map(Column::figures).to_vec(),
            rows: vec![vec![pass(), "x".into()]],
        });
        assert_eq!(lines[1], "        Upright");
    }

    #[test]
    fn names_drive_no_terminal_and_no_line_passes_the_width() {
        let text = document(HOSTILE).terminal(Look::default());
        assert!(
            text.chars()
                .all(|c| c == '\n' || plain(&c.to_string()) == c.to_string())
        );
        let long = "a bed with quite a long name for a bed ".repeat(5);
        for width in [60, 80, 100] {
            let look = Look {
                width,
                colour: false,
                full: true,
            };
            for line in document(&long).terminal(look).lines() {
                assert!(line.chars().count() <= width, "{width}: {line}");
            }
        }
    }

    #[test]
    fn colour_adds_to_the_words_and_takes_nothing_away() {
        let look = Look {
            colour: true,
            full: true,
            ..Look::default()
        };
        let coloured = document("north").terminal(look);
        assert_eq!(coloured.matches("\u{1b}[1;31mFAIL\u{1b}[0m").count(), 3);
        let mut stripped = coloured;
        for code in ["\u{1b}[1;31m", "\u{1b}[1;33m", "\u{1b}[0m"] {
            stripped = stripped.replace(code, "");
        }
        assert_eq!(stripped, document("north").terminal(Look::default()));
    }

    #[test]
    fn a_figure_is_not_torn_from_its_unit() {
        assert_eq!(wrap("about 180 mm.", 9), ["about", "180 mm."]);
        assert_eq!(wrap("at 46 1/4 in", 10), ["at", "46 1/4 in"]);
        assert_eq!(wrap("aaaa unbreakable b", 6), ["aaaa", "unbreakable", "b"]);
        assert_eq!(wrap("", 10), [""]);
    }
}
