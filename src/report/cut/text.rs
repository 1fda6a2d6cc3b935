//! The answer as a terminal shows it.

use crate::assessment::Status;
use crate::report::Look;
use crate::report::cut::CutReport;
use crate::report::cut::{refusal_because, refusal_fix};
use crate::report::rows::{Row, row};
use crate::report::text::Page;
use crate::report::words::{bed_title, plain};

/// Columns of a piece's name and of its length.
const PIECE: usize = 12;
const LENGTH: usize = 13;
/// Columns of a table of figures.
const FIGURE: usize = 15;

impl CutReport<'_> {
    /// Answer, figures and cut list of every bed.
    pub fn text(&self, look: Look) -> String {
        let mut page = Page::new(look);
        page.paragraph(0, &plain(&self.system.title));
        page.gap();
        let status = if self.all_cut() {
            Status::Pass
        } else {
            Status::Fail
        };
        page.status(status, &self.headline());
        page.gap();
        page.paragraph(0, &self.wish());
        for found in &self.cuts.beds {
            page.heading(&bed_title(self.bed(found)));
            match &found.answer {
                Ok(cut) => {
                    page.rows(&self.rows(found, cut));
                    page.gap();
                    let head = ["", "Length", "Highest water", "Dry gravel"].map(str::to_owned);
                    for line in [&head].into_iter().chain(&self.stands(found, cut)) {
                        figures(&mut page, line);
                    }
                    page.gap();
                    page.out.push_str("  To cut\n");
                    for piece in self.pieces(found) {
                        self::piece(&mut page, &piece);
                    }
                }
                Err(refusal) => {
                    page.status(
                        Status::Fail,
                        &plain(&refusal_because(self.system, refusal, self.units)),
                    );
                    let fix = refusal_fix(self.system, refusal, self.units);
                    let rows: Vec<Row> = if fix.is_empty() {
                        Vec::new()
                    } else {
                        vec![row("Change first", plain(&fix))]
                    };
                    page.rows(&rows);
                }
            }
        }
        page.list("Notes", self.notes().into_iter().chain([self.method()]));
        page.out
    }
}

/// One line of figures, right-aligned under their heads.
fn figures(page: &mut Page, cells: &[String; 4]) {
    let mut line = format!("  {:PIECE$}", cells[0]);
    for cell in &cells[1..] {
        line += &format!("{cell:>FIGURE$}");
    }
    page.out.push_str(line.trim_end());
    page.gap();
}

/// One line of the cut list, its description wrapped under itself.
fn piece(page: &mut Page, [name, length, what]: &[String; 3]) {
    page.out
        .push_str(&format!("    {name:PIECE$}{length:LENGTH$}"));
    page.paragraph(4 + PIECE + LENGTH, &plain(what));
}
