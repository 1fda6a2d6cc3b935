//! The document as one HTML file: no script, no network, all pictures inside.

use std::fmt::Write;

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

impl Document {
    /// The whole answer as a page that opens by itself. Every figure carries its key and SI value.
    pub fn html(&self) -> String {
        let mut page = Page::default();
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
        page.0
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
    pub fn head_html(&self) -> String {
        let mut page = Page::default();
        page.verdict(self);
        page.0
    }

    /// The sections as markup, in the order of a page; what the cards say is not among them.
    pub fn parts(&self) -> Vec<Part> {
        let sections = self.on_page().into_iter();
        sections
            .filter(|section| section.key != ANSWERS)
            .map(|section| {
                let mut page = Page::default();
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
                    html: page.0,
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
    pub fn cards(&self) -> Vec<Card> {
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
                    html: marked(says),
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
#[derive(Default)]
struct Page(String);

impl Page {
    fn put(&mut self, html: &str) {
        self.0.push_str(html);
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
            judged(document.verdict.map(|s| (s, status_word(s))), &document.headline)
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
                    self.put(&format!("<li>{}</li>\n", marked(item)));
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
            self.put(&format!("<p>{}</p>\n", marked(text)));
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
                marked(&row.text)
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
            judged(finding.status, &finding.title)
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
                self.put(&format!("<td{}>{}</td>", class(i), marked(cell)));
            }
            self.put("</tr>\n");
        }
        self.put("</tbody>\n</table>\n</div>\n");
    }
}

fn judged(status: Option<(Status, &'static str)>, text: &Text) -> String {
    let word = status.map(|(status, word)| piece(&Piece::Status(status, word)) + " ");
    word.unwrap_or_default() + &marked(text)
}

fn marked(text: &Text) -> String {
    text.0.iter().map(piece).collect()
}

fn piece(piece: &Piece) -> String {
    match piece {
        Piece::Words(words) => markup(words),
        Piece::Figure(figure) => data(figure),
        Piece::Unsaid(_) => String::new(),
        Piece::Code(words) => format!("<code>{}</code>", markup(words)),
        Piece::Stress(words) => format!("<em>{}</em>", markup(words)),
        Piece::Status(status, word) => {
            let class = status_key(*status);
            format!("<strong class=\"status {class}\">{word}</strong>")
        }
    }
}

/// A figure with its value for programs, and its key.
fn data(figure: &Figure) -> String {
    let mut marks = String::new();
    if let Some(key) = &figure.key {
        let _ = write!(marks, " data-key=\"{}\"", markup(key));
    }
    let shown = markup(&figure.shown);
    match &figure.value {
        Value::Number(number) if number.is_finite() => {
            if let Some(unit) = figure.kind.unit() {
                let _ = write!(marks, " data-unit=\"{unit}\"");
            }
            // Adding zero turns a negative nought into a plain one.
            format!("<data value=\"{}\"{marks}>{shown}</data>", number + 0.0)
        }
        Value::Count(count) => format!("<data value=\"{count}\"{marks}>{shown}</data>"),
        Value::Number(_) | Value::Flag(_) | Value::Word(_) if marks.is_empty() => shown,
        Value::Number(_) | Value::Flag(_) | Value::Word(_) => {
            format!("<span{marks}>{shown}</span>")
        }
    }
}

/// The `svg` element alone: HTML knows no XML declaration or document type.
fn inline(svg: &str) -> &str {
    svg.find("<svg").map_or("", |start| svg[start..].trim_end())
}

#[cfg(test)]
mod tests {
    use crate::answer::sample::{HOSTILE, document};

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
