//! The file: markup that can be read without script, the scenario, the scripts, the engine.

use super::lean::{lean, lean_style, tight};
use super::plain::{plain as plain_html, plain_parts};
use crate::answer::{Document, Marks, Picture};
use crate::plots::scene;
use crate::scenario::parse;
use crate::units::UnitSystem;
use crate::units::display::{escaped_json, is_plain, markup, plain};

/// The engine, compressed and in letters (`build.rs`).
const ENGINE: &str = include_str!(concat!(env!("OUT_DIR"), "/engine.txt"));
const STYLE: &str = concat!(include_str!("../answer/page.css"), include_str!("page.css"));
const FRAME: &str = include_str!("page.html");
/// What the worker runs, as text.
const WORKER: &str = concat!(include_str!("unpack.js"), include_str!("worker.js"));
/// The scripts, packed as the engine is (`build.rs`), and what unpacks them.
const SCRIPTS: &str = include_str!(concat!(env!("OUT_DIR"), "/scripts.txt"));
const BEGIN: &str = concat!(include_str!("unpack.js"), include_str!("begin.js"));
/// Nothing may be loaded, sent or embedded: the page's own script and style, its engine, its worker.
const POLICY: &str = "default-src 'none'; script-src 'unsafe-inline' 'wasm-unsafe-eval'; \
     style-src 'unsafe-inline'; worker-src blob:; img-src data:; base-uri 'none'; form-action 'none'";
/// Width of the drawing before any script has measured the screen `[px]`.
const DRAWING: f64 = 720.0;

/// What a page begins with.
#[derive(Debug, Clone, Copy)]
pub struct Page<'a> {
    /// The scenario's text.
    pub text: &'a str,
    /// Its file's name.
    pub name: &'a str,
    /// An answer to it.
    pub document: Option<&'a Document>,
    /// Pictures of that answer which the page does not draw by itself.
    pub pictures: &'a [Picture],
    /// Units of what people read.
    pub units: UnitSystem,
    /// Whether the scenario is only there to begin with.
    pub fresh: bool,
}

/// The page as one HTML file.
pub fn page(page: &Page) -> String {
    let scenario = parse(page.text, page.name).ok();
    let system = scenario.as_ref().map(|scenario| &scenario.system);
    let title = system.map_or(page.name, |system| &system.title);
    let drawing = system.map_or(String::new(), |system| scene(system, DRAWING, &|_| None));
    let start = serde_json::json!({
        "text": page.text,
        "name": plain(page.name),
        "units": match page.units { UnitSystem::Metric => "metric", UnitSystem::Us => "us" },
        "fresh": page.fresh,
        "command": page.document.map(|document| document.keys.command),
    });
    let parts = [
        ("{policy}", POLICY.to_owned()),
        ("{title}", markup(title)),
        ("{style}", lean_style(STYLE)),
        ("{answer}", answer(page)),
        ("{rest}", rest(page)),
        ("{drawing}", drawing),
        ("{version}", env!("CARGO_PKG_VERSION").to_owned()),
        // Data for the script stands in markup: no text of a scenario may end it.
        ("{start}", in_script(&start.to_string())),
        ("{worker}", tight(&lean(WORKER))),
        ("{begin}", tight(&lean(BEGIN))),
        ("{scripts}", SCRIPTS.to_owned()),
        ("{engine}", ENGINE.to_owned()),
    ];
    filled(FRAME, &parts)
}

/// Text in a script element, as JSON: what could end the element is escaped, and what turns
/// the direction of text or drives a terminal.
fn in_script(json: &str) -> String {
    escaped_json(json, |c| c != '<' && is_plain(c))
}

/// The frame with each place filled once; what is filled in is not looked at again.
fn filled(frame: &str, parts: &[(&str, String)]) -> String {
    let mut out =
        String::with_capacity(frame.len() + parts.iter().map(|p| p.1.len()).sum::<usize>());
    let mut rest = frame;
    while let Some(open) = rest.find('{') {
        out.push_str(&rest[..open]);
        rest = &rest[open..];
        let found = parts.iter().find(|(place, _)| rest.starts_with(place));
        match found {
            Some((place, text)) => {
                out.push_str(text);
                rest = &rest[place.len()..];
            }
            None => {
                out.push('{');
                rest = &rest[1..];
            }
        }
    }
    out.push_str(rest);
    out
}

/// Verdict and what matters most.
fn answer(page: &Page) -> String {
    let Some(document) = page.document else {
        return String::new();
    };
    let parts = plain_parts(document.parts(Marks::Short)).filter(|part| part.place == "lead");
    plain_html(&document.head_html(Marks::Short))
        + &cards(document)
        + &parts
            .map(|part| section(&part.key, &part.title, &part.html))
            .collect::<String>()
}

/// The answers as the script will show them.
fn cards(document: &Document) -> String {
    let cards: String = document
        .cards(Marks::Short)
        .iter()
        .map(|card| {
            format!(
                "<div class=\"card {0}\"><p><strong class=\"status {0}\">{1}</strong> \
                 <b>{2}</b> <span>{3}</span></p></div>\n",
                card.status,
                card.word,
                markup(&card.asks),
                plain_html(&card.html)
            )
        })
        .collect();
    format!("<div class=\"cards\">{cards}</div>\n")
}

/// Figures, pictures, cautions, how far to trust it.
fn rest(page: &Page) -> String {
    let Some(document) = page.document else {
        return String::new();
    };
    let mut document = document.clone();
    document.add_pictures(page.pictures.iter().cloned());
    let parts = plain_parts(document.parts(Marks::Short)).filter(|part| part.place != "lead");
    parts
        .map(|part| section(&part.key, &part.title, &part.html))
        .collect()
}

fn section(key: &str, title: &str, html: &str) -> String {
    format!(
        "<section id=\"part-{key}\"><h2>{}</h2>\n{html}</section>\n",
        markup(title)
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn a_text_over_several_lines_would_lose_its_indents() {
        let scripts = std::fs::read_dir("src/page").unwrap();
        let paths = scripts.map(|one| one.unwrap().path());
        let scripts = paths.filter(|path| path.extension().is_some_and(|end| end == "js"));
        for script in scripts.map(|path| std::fs::read_to_string(path).unwrap()) {
            for line in script.lines() {
                assert_eq!(line.matches('`').count() % 2, 0, "{line}");
            }
        }
        assert_eq!(lean("a {\n  // why\n\n  b\n}\n"), "a {\nb\n}\n");
        assert_eq!(
            tight("if (a === b) { c(\"d, e\", `f = ${g}`); }\nh = /i, j/.test(k)\n"),
            "if(a===b){c(\"d, e\",`f = ${g}`)}\nh = /i, j/.test(k)\n"
        );
        assert_eq!(
            lean_style("/* why */\na, b:hover > i { c: 1px 2px; d: e; }\n"),
            "\na,b:hover>i{c:1px 2px;d:e}\n"
        );
    }

    #[test]
    fn a_file_s_name_and_text_reach_the_page_without_what_steers_a_terminal_or_text() {
        let page = page(&Page {
            text: "# </script> \u{202e}turned\u{9b}2J\u{2028}",
            name: "a\u{1b}[31mb\u{202e}c\u{9b}.toml",
            document: None,
            pictures: &[],
            units: UnitSystem::Metric,
            fresh: false,
        });
        let start = page.split("id=\"start\">").nth(1).unwrap();
        let start = start.split("</script>").next().unwrap();
        assert_eq!(start.chars().find(|c| !is_plain(*c)), None, "{start:?}");
        let read: serde_json::Value = serde_json::from_str(start).unwrap();
        assert_eq!(read["name"], "a [31mb c .toml");
        assert_eq!(read["text"], "# </script> \u{202e}turned\u{9b}2J\u{2028}");
    }
}
