//! The document as one HTML file: no script, no network, all pictures inside.

use crate::answer::{
    APPENDIX, Block, Document, Figure, Finding, Piece, Place, Row, Section, Table, Text, Value,
    slug, status_key, status_word,
};
use crate::assessment::Status;
use crate::units::display::markup;

/// How the page looks: paper and ink, light or dark as the reader's system is, and in print.
const STYLE: &str = include_str!("page.css");
/// The page may show itself and load nothing: no script, picture, font, frame or form.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// For whom figures are marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Marks {
    /// For any program: key, SI value in all its digits, unit.
    Whole,
    /// For a file that carries an engine beside the markup, where every byte travels: numbers with
    /// key and nine digits, enough to calculate with again; their unit belongs to the key, and
    /// words have no mark.
    Short,
}

impl Document {
    /// The whole answer as a page that opens by itself. Every figure carries its key and SI value.
    pub fn html(&self) -> String {
        let mut page = Page::new(Marks::Whole);
        page.head(self);
        page.verdict(self);
        let mut in_appendix = false;
        for section in self.on_page() {
            if !in_appendix && self.begins_appendix(section) {
                in_appendix = true;
                page.put(&format!("<h2 id=\"appendix\">{APPENDIX}</h2>\n"));
            }
            page.section(section);
        }
        page.put(&format!(
            "</main>\n<footer><p>ebbwright {}, <code>{}</code></p></footer>\n</body>\n</html>\n",
            env!("CARGO_PKG_VERSION"),
            markup(self.keys.command)
        ));
        page.html
    }
}

/// A section as markup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Its key within the document.
    pub key: String,
    /// The heading.
    pub title: String,
    /// Where it stands: `lead`, `body`, `pictures`, `back`.
    pub place: &'static str,
    /// What stands under the heading.
    pub html: String,
}

impl Document {
    /// Title, verdict and remarks as markup.
    pub fn head_html(&self, marks: Marks) -> String {
        let mut page = Page::new(marks);
        page.verdict(self);
        page.html
    }

    /// The sections as markup, in the order of a page; what the cards say is not among them.
    pub fn parts(&self, marks: Marks) -> Vec<Part> {
        let sections = self.on_page().into_iter();
        sections
            .filter(|section| section.key != ANSWERS)
            .map(|section| {
                let mut page = Page::new(marks);
                for block in &section.blocks {
                    page.block(block, &section.title);
                }
                Part {
                    key: slug(&section.key),
                    title: section.title.clone(),
                    place: match section.place {
                        Place::Lead => "lead",
                        Place::Drawing => "drawing",
                        Place::Body => "body",
                        Place::Pictures => "pictures",
                        Place::Back => "back",
                    },
                    html: page.html,
                }
            })
            .collect()
    }
}

/// The answer to one question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Card {
    /// How it stands: `pass`, `warn`, `fail`.
    pub status: &'static str,
    /// The same as a word.
    pub word: &'static str,
    /// What is asked.
    pub asks: String,
    /// The answer as markup.
    pub html: String,
}

impl Document {
    /// The answers of the first screen; none where a command gives no such.
    pub fn cards(&self, marks: Marks) -> Vec<Card> {
        let answers = self
            .sections
            .iter()
            .filter(|section| section.key == ANSWERS);
        let tables = answers
            .flat_map(|section| &section.blocks)
            .filter_map(|block| match block {
                Block::Table(table) => Some(table),
                _ => None,
            });
        let rows = tables.flat_map(|table| &table.rows);
        rows.filter_map(|row| match row.as_slice() {
            [status, asks, says] => {
                let (status, word) = status.0.iter().find_map(|piece| match piece {
                    Piece::Status(status, word) => Some((*status, *word)),
                    _ => None,
                })?;
                Some(Card {
                    status: status_key(status),
                    word,
                    asks: asks.to_string(),
                    html: Page::new(marks).marked(says),
                })
            }
            _ => None,
        })
        .collect()
    }
}

/// Key of the section whose table the cards are.
const ANSWERS: &str = "answers";

/// A page being written.
struct Page {
    html: String,
    marks: Marks,
}

impl Page {
    const fn new(marks: Marks) -> Self {
        Self {
            html: String::new(),
            marks,
        }
    }

    fn put(&mut self, html: &str) {
        self.html.push_str(html);
    }

    fn head(&mut self, document: &Document) {
        let title = markup(&document.title);
        self.put(&format!(
            "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <meta name=\"color-scheme\" content=\"light dark\">\n\
             <meta name=\"referrer\" content=\"no-referrer\">\n\
             <title>{title}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n\
             <h1>{title}</h1>\n"
        ));
        self.paragraph(&document.opening);
    }

    fn verdict(&mut self, document: &Document) {
        let class = document.verdict.map_or("plain", status_key);
        self.put(&format!(
            "<section id=\"verdict\" class=\"{class}\" data-key=\"verdict\" data-value=\"{class}\">\n<h2>Verdict</h2>\n<p>{}</p>\n",
            self.judged(document.verdict.map(|s| (s, status_word(s))), &document.headline)
        ));
        for remark in &document.remarks {
            self.paragraph(remark);
        }
        self.put("</section>\n");
    }

    fn section(&mut self, section: &Section) {
        self.put(&format!(
            "<section id=\"{}\">\n<h2>{}</h2>\n",
            slug(&section.key),
            markup(&section.title)
        ));
        for block in &section.blocks {
            self.block(block, &section.title);
        }
        self.put("</section>\n");
    }

    fn block(&mut self, block: &Block, heading: &str) {
        match block {
            Block::Rows(rows) => self.rows(rows),
            Block::Table(table) => self.table(table, heading),
            Block::Sentence(text) => self.paragraph(text),
            Block::List(items) if items.is_empty() => {}
            Block::List(items) => {
                self.put("<ul>\n");
                for item in items {
                    self.put(&format!("<li>{}</li>\n", self.marked(item)));
                }
                self.put("</ul>\n");
            }
            Block::Findings(found) if found.is_empty() => {}
            Block::Findings(found) => {
                self.put("<ol class=\"findings\">\n");
                found.iter().for_each(|finding| self.finding(finding));
                self.put("</ol>\n");
            }
            Block::Code(language, text) => {
                let lines: Vec<String> = text.lines().map(markup).collect();
                self.put(&format!(
                    "<pre class=\"{}\" tabindex=\"0\"><code>{}</code></pre>\n",
                    markup(language),
                    lines.join("\n")
                ));
            }
            Block::Picture(picture) => self.put(&format!(
                "<figure role=\"img\" aria-label=\"{}\">\n{}\n</figure>\n",
                markup(&picture.caption),
                inline(&picture.svg)
            )),
            Block::Series(_) | Block::Data(_) => {}
        }
    }

    fn paragraph(&mut self, text: &Text) {
        if !text.is_empty() {
            self.put(&format!("<p>{}</p>\n", self.marked(text)));
        }
    }

    fn rows(&mut self, rows: &[Row]) {
        if rows.is_empty() {
            return;
        }
        self.put("<dl>\n");
        for row in rows {
            self.put(&format!(
                "<div data-row=\"{}\"><dt>{}</dt><dd>{}</dd></div>\n",
                row.key(),
                markup(&row.label),
                self.marked(&row.text)
            ));
        }
        self.put("</dl>\n");
    }

    fn finding(&mut self, finding: &Finding) {
        let class = finding
            .status
            .map_or("plain", |(status, _)| status_key(status));
        self.put(&format!(
            "<li class=\"{class}\"><p>{}</p>\n",
            self.judged(finding.status, &finding.title)
        ));
        self.rows(&finding.rows);
        self.put("</li>\n");
    }

    fn table(&mut self, table: &Table, heading: &str) {
        let class = |column: usize| match table.columns.get(column) {
            Some(column) if column.right => " class=\"figure\"",
            _ => "",
        };
        // A wide table scrolls inside its own frame, by keyboard too.
        self.put(&format!(
            "<div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"{}\">\n<table>\n",
            markup(heading)
        ));
        let headed = table.columns.iter().any(|column| !column.head.is_empty());
        if headed {
            self.put("<thead><tr>");
            for (i, column) in table.columns.iter().enumerate() {
                let head = markup(&column.head);
                self.put(&format!("<th scope=\"col\"{}>{head}</th>", class(i)));
            }
            self.put("</tr></thead>\n");
        }
        self.put("<tbody>\n");
        for row in &table.rows {
            self.put("<tr>");
            for (i, cell) in row.iter().enumerate() {
                self.put(&format!("<td{}>{}</td>", class(i), self.marked(cell)));
            }
            self.put("</tr>\n");
        }
        self.put("</tbody>\n</table>\n</div>\n");
    }

    fn judged(&self, status: Option<(Status, &'static str)>, text: &Text) -> String {
        let word = status.map(|(status, word)| self.piece(&Piece::Status(status, word)) + " ");
        word.unwrap_or_default() + &self.marked(text)
    }

    fn marked(&self, text: &Text) -> String {
        text.0.iter().map(|piece| self.piece(piece)).collect()
    }

    fn piece(&self, piece: &Piece) -> String {
        match piece {
            Piece::Words(words) => markup(words),
            Piece::Figure(figure) => match self.marks {
                Marks::Whole => whole(figure),
                Marks::Short => short(figure),
            },
            Piece::Unsaid(_) => String::new(),
            Piece::Code(words) => format!("<code>{}</code>", markup(words)),
            Piece::Stress(words) => format!("<em>{}</em>", markup(words)),
            Piece::Status(status, word) => {
                let class = status_key(*status);
                format!("<strong class=\"status {class}\">{word}</strong>")
            }
        }
    }
}

/// A figure with its key, its value for programs and the unit of that.
fn whole(figure: &Figure) -> String {
    let (key, shown) = (markup(&figure.key), markup(&figure.shown));
    let unit = figure.kind.unit();
    let unit = unit.map_or_else(String::new, |unit| format!(" data-unit=\"{unit}\""));
    match &figure.value {
        // Adding zero turns a negative nought into a plain one.
        Value::Number(number) if number.is_finite() => format!(
            "<data value=\"{}\" data-key=\"{key}\"{unit}>{shown}</data>",
            number + 0.0
        ),
        Value::Count(count) => {
            format!("<data value=\"{count}\" data-key=\"{key}\">{shown}</data>")
        }
        Value::Number(_) | Value::Flag(_) | Value::Word(_) => {
            format!("<span data-key=\"{key}\">{shown}</span>")
        }
    }
}

/// A number with its key and nine digits of its value; anything else as it is read.
fn short(figure: &Figure) -> String {
    let (key, shown) = (markup(&figure.key), markup(&figure.shown));
    match &figure.value {
        Value::Number(number) if number.is_finite() => {
            let nine = format!("{:.8e}", number + 0.0).parse().unwrap_or(*number);
            format!("<data value=\"{nine}\" data-key=\"{key}\">{shown}</data>")
        }
        Value::Count(count) => {
            format!("<data value=\"{count}\" data-key=\"{key}\">{shown}</data>")
        }
        Value::Number(_) | Value::Flag(_) | Value::Word(_) => shown,
    }
}

/// The `svg` element alone: HTML knows no XML declaration or document type.
fn inline(svg: &str) -> &str {
    svg.find("<svg").map_or("", |start| svg[start..].trim_end())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::answer::sample::{HOSTILE, document};
    use crate::answer::{At, Key, Kind};
    use crate::units::UnitSystem;

    const WANTED: Key = Key::new("x_m3_s", Kind::Flow, "A flow.");

    #[test]
    fn a_page_marks_every_figure_with_key_and_value() {
        let page = document("north").html();
        for part in [
            "<data value=\"0.225\" data-key=\"beds[0].peak_depth_m\" data-unit=\"m\">225 mm</data>",
            "<span data-key=\"beds[0].name\">north</span>",
            "data-key=\"beds[0].inflow_m3_s.min\"",
            "<section id=\"bed-0\">",
            "<div data-row=\"peak-water\"><dt>Peak water</dt>",
            "<strong class=\"status fail\">FAIL</strong> Something has to change",
            "<figure role=\"img\" aria-label=\"north\">\n<svg viewBox",
            "default-src 'none'",
        ] {
            assert!(page.contains(part), "{part} in {page}");
        }
        let (lead, body) = (
            page.find("What to change"),
            page.find("<section id=\"bed-0\""),
        );
        assert!(lead < body);
        assert!(!page.contains("<?xml"));
    }

    #[test]
    fn a_file_with_an_engine_marks_numbers_alone_and_shortly() {
        let parts = document("north").parts(Marks::Short);
        let bed = parts.iter().find(|part| part.key == "bed-0").unwrap();
        let peak = "<data value=\"0.225\" data-key=\"beds[0].peak_depth_m\">225 mm</data>";
        assert!(bed.html.contains(peak), "{}", bed.html);
        assert!(!bed.html.contains("data-unit") && !bed.html.contains("<span"));
        let long = Figure {
            value: Value::Number(0.000_112_867_511_332_551_21),
            ..At::top(UnitSystem::Metric)
                .figure(&WANTED, 0.0)
                .said("6.8 L/min")
        };
        assert_eq!(
            short(&long),
            "<data value=\"0.000112867511\" data-key=\"x_m3_s\">6.8 L/min</data>"
        );
    }

    // The page may hold only elements that the renderer writes itself.
    #[test]
    fn names_stay_text() {
        let page = document(HOSTILE).html();
        assert!(!page.contains("<script"));
        assert!(!page.contains('\u{202e}') && !page.contains('\u{1b}'));
        assert!(page.contains("&lt;script&gt;alert(1)"));
        let tags = page.matches('<').count();
        assert_eq!(tags, document("north").html().matches('<').count());
        // Nor does a quote leave its attribute.
        let quotes = page.matches('"').count();
        assert_eq!(quotes, document("north").html().matches('"').count());
    }

    #[test]
    fn nothing_is_loaded_from_anywhere() {
        let page = document("north").html();
        for word in ["http:", "https:", "url(", "@import", "src=", "href="] {
            assert!(!page.contains(word), "{word}");
        }
    }
}
