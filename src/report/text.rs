//! The results as a terminal shows them.

use crate::assessment::{Check, Status};
use crate::report::Report;
use crate::report::garden::garden_sections;
use crate::report::rows::{Row, balance, bed_rows, line_rows, pump_rows, sump_rows};
use crate::report::second_opinion::opinion_rows;
use crate::report::whole_loop::loop_sections;
use crate::report::words::{
    bed_title, by_trouble, check_figure, check_name, check_word, ending, headline, plain,
    status_word,
};

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
/// Columns of the longest name of a part in the table of checks.
const SUBJECT: usize = 16;

impl Report<'_> {
    /// Verdict, figures of every part, checks, what to change, cautions.
    pub fn text(&self, look: Look) -> String {
        let mut page = Page::new(look);
        page.paragraph(0, &plain(&self.system.title));
        page.gap();
        page.status(self.assessment.verdict, &headline(self));
        page.gap();
        page.paragraph(0, &ending(self));
        let beds = self
            .system
            .beds
            .iter()
            .zip(&self.run.beds)
            .zip(&self.assessment.beds);
        for ((bed, outcome), verdict) in beds {
            page.heading(&bed_title(bed));
            page.rows(&bed_rows(self, bed, outcome, verdict));
        }
        page.heading("Sump");
        page.rows(&sump_rows(self));
        page.heading("Pump");
        page.rows(&pump_rows(self));
        if let Some(line) = &self.run.line {
            page.heading("Drain line");
            page.rows(&line_rows(self, line));
        }
        for section in loop_sections(self).into_iter().chain(garden_sections(self)) {
            page.heading(section.title);
            page.rows(&section.rows);
        }
        page.heading("Checks");
        page.checks(self);
        self.advice(&mut page);
        let opinion = opinion_rows(self);
        if !opinion.is_empty() {
            page.heading("Second opinion");
            page.rows(&opinion);
        }
        page.list(
            "Notes",
            self.assessment.notes.iter().cloned().chain([balance(self)]),
        );
        page.list("Cautions", self.assessment.cautions.iter().cloned());
        // Once more where the reader's eye is after a long page.
        page.gap();
        page.status(self.assessment.verdict, &headline(self));
        page.out
    }

    /// Why each troubled check is troubled, and what to change first.
    fn advice(&self, page: &mut Page) {
        let troubled = by_trouble(&self.assessment.checks);
        if troubled.is_empty() {
            return;
        }
        page.heading("What to change, worst first");
        for check in troubled {
            page.status(check.status, &check_name(check));
            let mut rows = vec![Row {
                label: "Why",
                value: plain(&check.because),
            }];
            if !check.first_fix.is_empty() {
                rows.push(Row {
                    label: "Change first",
                    value: plain(&check.first_fix),
                });
            }
            rows.push(Row {
                label: "Rests on",
                value: check.basis.to_owned(),
            });
            page.rows(&rows);
        }
    }
}

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

    fn checks(&mut self, report: &Report) {
        let header = ["", "Check", "About", "Found", "Limit", "Margin"].map(str::to_owned);
        let table: Vec<[String; 6]> = std::iter::once(header)
            .chain(
                report
                    .assessment
                    .checks
                    .iter()
                    .map(|check| check_cells(check, report)),
            )
            .collect();
        let mut widths = [0; 6];
        for cells in &table {
            for (width, cell) in widths.iter_mut().zip(cells) {
                *width = (*width).max(cell.chars().count());
            }
        }
        for (line, cells) in table.iter().enumerate() {
            let mut text = String::new();
            for (column, (cell, width)) in cells.iter().zip(widths).enumerate() {
                let padding = " ".repeat(width - cell.chars().count());
                let coloured = line
                    .checked_sub(1)
                    .and_then(|i| report.assessment.checks.get(i));
                match (column, coloured) {
                    (0, Some(check)) => {
                        text += &format!("  {}{padding}", self.coloured(cell, check.status))
                    }
                    (0..=2, _) => text += &format!("  {cell}{padding}"),
                    // Figures stand right-aligned under one another.
                    _ => text += &format!("  {padding}{cell}"),
                }
            }
            self.out.push_str(text.trim_end());
            self.gap();
        }
    }
}

fn check_cells(check: &Check, report: &Report) -> [String; 6] {
    let figure = |value| check_figure(value, check.unit, report.units);
    [
        check_word(check).to_owned(),
        check.id.key().to_owned(),
        shortened(&plain(&check.subject), SUBJECT),
        figure(check.value),
        figure(check.limit),
        figure(check.margin),
    ]
}

/// A long name cut to fit a column.
fn shortened(text: &str, columns: usize) -> String {
    if text.chars().count() <= columns {
        return text.to_owned();
    }
    let head: String = text.chars().take(columns - 2).collect();
    format!("{}..", head.trim_end())
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample::Sample;
    use crate::units::UnitSystem;

    fn held(name: &str, text: &str) {
        insta::with_settings!({ snapshot_path => "../../tests/snapshots", prepend_module_to_snapshot => false }, {
            insta::assert_snapshot!(name, text);
        });
    }

    #[test]
    fn a_failing_system_in_metric_units() {
        held(
            "text_failing",
            &Sample::new()
                .report(UnitSystem::Metric)
                .text(Look::default()),
        );
    }

    #[test]
    fn a_passing_system_in_us_units() {
        held(
            "text_passing",
            &Sample::passing()
                .report(UnitSystem::Us)
                .text(Look::default()),
        );
    }

    #[test]
    fn no_line_passes_the_asked_width() {
        let mut sample = Sample::new();
        sample.system.title = "A title that goes on and on ".repeat(9);
        sample.system.beds[0].name = "a bed with quite a long name for a bed ".repeat(3);
        for width in [60, 80, 100] {
            for units in [UnitSystem::Metric, UnitSystem::Us] {
                let text = sample.report(units).text(Look {
                    width,
                    colour: false,
                });
                for line in text.lines().filter(|line| !is_table(line)) {
                    assert!(line.chars().count() <= width, "{width}: {line}");
                }
            }
        }
    }

    /// Rows of the table of checks have the width their figures need.
    fn is_table(line: &str) -> bool {
        [
            "  PASS  ",
            "  WARN  ",
            "  FAIL  ",
            "  INFO  ",
            "        Check  ",
        ]
        .iter()
        .any(|start| line.starts_with(start))
    }

    #[test]
    fn the_table_of_checks_fits_an_old_terminal() {
        let mut sample = Sample::new();
        for check in &mut sample.assessment.checks {
            check.subject = "a bed with quite a long name".to_owned();
        }
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let text = sample.report(units).text(Look::default());
            let rows: Vec<_> = text.lines().filter(|line| is_table(line)).collect();
            assert_eq!(rows.len(), 6);
            for row in rows {
                assert!(row.chars().count() <= 80, "{row}");
            }
        }
    }

    #[test]
    fn colour_adds_to_the_words_and_takes_nothing_away() {
        let sample = Sample::new();
        let report = sample.report(UnitSystem::Metric);
        let plain = report.text(Look::default());
        let coloured = report.text(Look {
            colour: true,
            ..Look::default()
        });
        assert!(!plain.contains('\u{1b}'));
        assert!(coloured.contains("\u{1b}[1;31mFAIL\u{1b}[0m"));
        let mut stripped = coloured;
        for code in ["\u{1b}[1;31m", "\u{1b}[1;32m", "\u{1b}[1;33m", "\u{1b}[0m"] {
            stripped = stripped.replace(code, "");
        }
        assert_eq!(stripped, plain);
    }

    #[test]
    fn a_figure_is_not_torn_from_its_unit() {
        assert_eq!(wrap("about 180 mm.", 9), ["about", "180 mm."]);
        assert_eq!(wrap("at 46 1/4 in", 10), ["at", "46 1/4 in"]);
        assert_eq!(wrap("aaaa unbreakable b", 6), ["aaaa", "unbreakable", "b"]);
        assert_eq!(wrap("", 10), [""]);
    }
}
