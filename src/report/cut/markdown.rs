//! The answer as a page to take to the bench.

use crate::report::Picture;
use crate::report::cut::CutReport;
use crate::report::cut::{refusal_because, refusal_fix};
use crate::report::markdown::{Page, escaped, link};
use crate::report::words::{bed_title, plain};

impl CutReport<'_> {
    /// The whole answer in Markdown. `source` is the scenario's file name;
    /// `pictures` has one picture per bed, in the order of the beds; they are linked.
    pub fn markdown(&self, source: &str, pictures: &[Picture]) -> String {
        let mut page = Page::default();
        page.line(&format!("# What to cut: {}", escaped(&self.system.title)));
        page.paragraph(&format!(
            "For the system in `{}`. {}",
            source.replace('`', "'"),
            self.wish()
        ));
        page.heading(2, "Answer");
        let word = if self.all_cut() { "PASS" } else { "FAIL" };
        page.paragraph(&format!("**{word}** {}", escaped(&self.headline())));
        for (k, found) in self.cuts.beds.iter().enumerate() {
            page.heading(2, &escaped(&bed_title(self.bed(found))));
            match &found.answer {
                Ok(cut) => {
                    page.table(
                        &["Length", "Bed floor to lip", "Highest water", "Dry gravel"],
                        self.stands(found, cut).into_iter().map(Vec::from),
                    );
                    page.rows(&self.rows(found, cut));
                    page.heading(3, "To cut");
                    page.table(
                        &["Piece", "Length", "What"],
                        self.pieces(found)
                            .iter()
                            .map(|piece| piece.iter().map(|cell| escaped(cell)).collect()),
                    );
                }
                Err(refusal) => {
                    let because = plain(&refusal_because(self.system, refusal, self.units));
                    page.paragraph(&format!("**FAIL** {}", escaped(&because)));
                    let fix = refusal_fix(self.system, refusal, self.units);
                    if !fix.is_empty() {
                        page.paragraph(&format!("Change first: {}", escaped(&fix)));
                    }
                }
            }
            if let Some(picture) = pictures.get(k) {
                page.paragraph(&format!(
                    "![{}]({})",
                    escaped(picture.caption),
                    link(picture.file)
                ));
            }
        }
        page.list("Notes", self.notes().into_iter());
        page.heading(2, "How it was computed");
        page.paragraph(&escaped(&self.method()));
        page.0
    }
}
