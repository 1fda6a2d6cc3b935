//! What only somebody at a terminal needs, in words for whoever reads a page.

use crate::answer::Part;
use crate::model::Coefficient;
use crate::report::coefficient_meaning;

/// Parts that speak of files and of lines to write.
const TERMINAL_PARTS: [&str; 2] = ["the-readings-as-a-file", "for-your-scenario"];

/// Phrases of answers as markup, and what the page says in their place.
const PHRASES: [(&str, &str); 29] = [
    (
        "take the reading named below: the command measure prints how.",
        "take the reading named below; \u{201c}What to measure, step by step\u{201d} says how.",
    ),
    (
        "put the coefficients they imply into the scenario&#39;s <code>[coefficients]</code> table.",
        "type them under \u{201c}Something is wrong, or measured\u{201d} and take in what they tell.",
    ),
    (
        "put what you measure into <code>[coefficients]</code>.",
        "type what you measure under \u{201c}Something is wrong, or measured\u{201d}.",
    ),
    (
        "on the page by its buttons, else with --check NAME=yes or NAME=no.",
        "by the buttons beside it.",
    ),
    (
        "write the lengths into the scenario and let <code>ebbwright run</code> say why and what to change.",
        "put the lengths in under \u{201c}Sizes\u{201d}, and \u{201c}What to do\u{201d} says why and what to change.",
    ),
    (
        "write the lengths into the scenario and let `ebbwright run` say why and what to change.",
        "put the lengths in under \u{201c}Sizes\u{201d}, and \u{201c}What to do\u{201d} says why and what to change.",
    ),
    (
        "run the window command for what widens it",
        "\u{201c}What to do\u{201d} looks for what helps",
    ),
    (
        "the window command says what gives or widens that",
        "\u{201c}What to do\u{201d} looks for what helps",
    ),
    (
        " How often they were right in simulated trials stands in DEVELOPERS.md of the sources.",
        "",
    ),
    (
        "; over random beds the truth lay inside as often as DEVELOPERS.md says.",
        ".",
    ),
    (" DEVELOPERS.md says how often they hold.", ""),
    ("; absorb compares sumps.", "."),
    (
        "; <code>--keep</code> protects what is glued, buried or bought.",
        "; \u{201c}keep\u{201d} beside a size protects what is glued, buried or bought.",
    ),
    (
        "; `--keep` protects what is glued, buried or bought.",
        "; \u{201c}keep\u{201d} beside a size protects what is glued, buried or bought.",
    ),
    (
        "; where it has [coefficients] already, in place of the lines of the same name",
        "",
    ),
    // Whoever reads a page has a garden before him, and knows of no scenario.
    (
        "disagrees with the scenario: with its bore",
        "disagrees with the sizes put in: with this bore",
    ),
    ("events of the scenario", "events put in"),
    ("The scenario&#39;s events", "Power cuts and other events"),
    ("The scenario's events", "Power cuts and other events"),
    (" asked for in the scenario", " asked for"),
    ("given in the scenario", "put in"),
    (
        "the scenario gives no power",
        "nobody told what power the pump takes",
    ),
    (
        "the scenario gives a measured loss",
        "a measured loss was put in",
    ),
    (
        "raise hours in the scenario.",
        "raise \u{201c}hours\u{201d} under \u{201c}Sizes\u{201d}.",
    ),
    (">scenario<", ">as put in<"),
    ("those of the scenario.", "those put in."),
    ("what the scenario could only", "what could only"),
    ("The same scenario ", "The same garden "),
    ("Put this into the scenario", "Take this in"),
];

/// How the sentence on files beside a report begins and ends.
const FILES: [&str; 2] = [
    " <code>levels.csv</code> holds levels and flows over time",
    "holds all figures in SI units.",
];

/// Markup of an answer as a page says it.
pub(super) fn plain(html: &str) -> String {
    let mut out = html.to_owned();
    for (terminal, page) in PHRASES {
        if out.contains(terminal) {
            out = out.replace(terminal, page);
        }
    }
    out = without(out, FILES);
    // A coefficient's key is for whoever writes a file.
    for which in Coefficient::ALL {
        let key = format!(">{}<", which.key());
        if out.contains(&key) {
            out = out.replace(&key, &format!(">{}<", coefficient_meaning(which).0));
        }
    }
    without_options(&out)
}

/// The parts that a page shows.
pub(super) fn plain_parts(parts: Vec<Part>) -> impl Iterator<Item = Part> {
    let shown = |part: &Part| !TERMINAL_PARTS.contains(&part.key.as_str());
    parts.into_iter().filter(shown).map(|mut part| {
        part.html = plain(&part.html);
        part
    })
}

/// Without what begins and ends so.
fn without(mut html: String, [begins, ends]: [&str; 2]) -> String {
    if let Some(at) = html.find(begins)
        && let Some(length) = html[at..].find(ends)
    {
        html.replace_range(at..at + length + ends.len(), "");
    }
    html
}

/// Without the option's name behind a reading's: "Fill time (--fill)".
fn without_options(html: &str) -> String {
    let mut out = String::with_capacity(html.len());
    let mut rest = html;
    while let Some(at) = rest.find(" (--") {
        let name = &rest[at + 4..];
        let end = name.find(|c: char| !(c.is_ascii_lowercase() || c == '-'));
        let end = end.filter(|&end| end > 0 && name[end..].starts_with(')'));
        let kept = if end.is_some() { at } else { at + 4 };
        out.push_str(&rest[..kept]);
        rest = end.map_or(name, |end| &name[end + 1..]);
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_names_no_option_and_leaves_brackets_of_others() {
        assert_eq!(
            plain("Fill time of <b>west</b> (--fill): start; (--) and (-- x) and (a)"),
            "Fill time of <b>west</b>: start; (--) and (-- x) and (a)"
        );
    }
}
