//! TOML errors, and what people most often meant.

use std::ops::Range;

use toml::de::DeTable;

use super::fault::{FaultKind, Faults, KeyPath};
use super::format::Table;
use super::keys::FORMAT;
use super::node::Node;
use super::typed_edit::EditPath;
use super::{assemble, every_bed, walk};
use crate::model::System;

/// Broken lines reported; a file with more is no scenario.
const MOST_BROKEN_LINES: usize = 100;

/// Parses, walks and builds; `None` once a fault has been reported.
pub(super) fn document(faults: &mut Faults<'_>) -> Option<(System, Vec<EditPath>)> {
    let root = judged(&FORMAT, faults)?;
    let keep = assemble::kept(&root, faults);
    let system = assemble::system(&root, faults);
    debug_assert!(
        system.is_some() || faults.has_errors(),
        "a fault was not reported"
    );
    Some((system?, keep?))
}

/// Parses and walks a text; `None` once it proved not to be TOML.
pub(super) fn judged(format: &'static Table, faults: &mut Faults<'_>) -> Option<Node> {
    let text = faults.source.text.as_str();
    let (raw, errors) = DeTable::parse_recoverable(text);
    let spans: Vec<_> = errors
        .iter()
        .map(|error| (error.message(), clipped(text, error.span().unwrap_or(0..0))))
        .collect();
    let broken = report(&spans, faults);
    let spread = every_bed::spread(raw.get_ref());
    let raw = spread.as_ref().unwrap_or(raw.get_ref());
    let root = walk::table(format, raw, (KeyPath::default(), 0..0), faults);
    let Some(broken) = broken else {
        return Some(root);
    };
    // What a broken line swallowed is not missing, and its own value is no value.
    let source = faults.source;
    faults.found.retain(|fault| match fault.kind {
        FaultKind::Syntax { .. } => true,
        FaultKind::Missing | FaultKind::NoneOf { .. } | FaultKind::Without { .. } => false,
        _ => {
            let line = source.line_bounds(fault.span().start).start;
            line < broken.from && !broken.lines.contains(&line)
        }
    });
    None
}

/// Where the text cannot be trusted.
struct Broken {
    /// Starts of broken lines.
    lines: Vec<usize>,
    /// From here on everything is doubtful.
    from: usize,
}

/// Reports each broken line once; `None` if the text is good TOML.
fn report(errors: &[(&str, Range<usize>)], faults: &mut Faults<'_>) -> Option<Broken> {
    let source = faults.source;
    let text = source.text.as_str();
    let mut broken = Broken {
        lines: Vec::new(),
        from: usize::MAX,
    };
    let (_, first) = errors.first()?;
    if let Some(at) = another_format(text) {
        faults.error(
            syntax("the file begins with a brace, as other formats do"),
            KeyPath::default(),
            at..at + 1,
            "a table or a key belongs here",
            "a scenario has lines of key = value below [table] lines; `ebbwright new` writes a starter to fill in",
        );
        return Some(Broken { from: 0, ..broken });
    }
    if let Some((at, bracket)) = open_bracket(text, first.start) {
        let what = if bracket == '{' { "brace" } else { "bracket" };
        faults.error(
            syntax(&format!("the {what} opened here is never closed")),
            KeyPath::default(),
            at..at + 1,
            "never closed",
            "count the brackets on this line: each [ needs its ], each { its }; what follows was not read",
        );
        return Some(Broken { from: at, ..broken });
    }
    for (message, span) in errors {
        let bounds = source.line_bounds(span.start);
        if broken.lines.len() >= MOST_BROKEN_LINES {
            broken.from = broken.from.min(bounds.start);
            break;
        }
        // One broken line often gives several complaints; the first tells it.
        if broken.lines.contains(&bounds.start) {
            continue;
        }
        broken.lines.push(bounds.start);
        let (cause, help) = advice(&text[bounds], message);
        faults.error(
            syntax(&cause),
            KeyPath::default(),
            span.clone(),
            "here",
            help,
        );
    }
    Some(broken)
}

fn syntax(cause: &str) -> FaultKind {
    FaultKind::Syntax {
        message: format!("this is not TOML: {cause}"),
    }
}

/// A span that lies within the text and on character borders.
fn clipped(text: &str, span: Range<usize>) -> Range<usize> {
    let border = |at: usize| {
        (0..=at.min(text.len()))
            .rev()
            .find(|i| text.is_char_boundary(*i))
            .unwrap_or(0)
    };
    let start = border(span.start);
    start..border(span.end).max(start)
}

/// Where a file begins with a brace.
fn another_format(text: &str) -> Option<usize> {
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let plain = line.trim_start();
        if !plain.is_empty() && !plain.starts_with('#') {
            return plain
                .starts_with('{')
                .then(|| at + line.len() - plain.len());
        }
        at += line.len();
    }
    None
}

/// A bracket opened on a line before this byte, and open still.
fn open_bracket(text: &str, until: usize) -> Option<(usize, char)> {
    let mut open: Vec<(usize, char)> = Vec::new();
    let mut quote: Option<char> = None;
    let mut comment = false;
    for (at, c) in text.char_indices().take_while(|(at, _)| *at < until) {
        match (c, quote) {
            // Quotes end with their line; a longer string would have been closed.
            ('\n', _) => (quote, comment) = (None, false),
            (_, _) if comment => {}
            (c, Some(q)) if c == q => quote = None,
            (_, Some(_)) => {}
            ('#', None) => comment = true,
            ('"' | '\'', None) => quote = Some(c),
            ('[' | '{', None) => open.push((at, c)),
            (']' | '}', None) => {
                open.pop();
            }
            _ => {}
        }
    }
    let first = *open.first()?;
    text.get(first.0..until)?.contains('\n').then_some(first)
}

/// The text of a line outside quotes and comments, quoted parts emptied.
fn outside_quotes(line: &str) -> String {
    let mut out = String::new();
    let mut quote: Option<char> = None;
    for c in line.chars() {
        match quote {
            Some(q) if c == q => quote = None,
            Some(_) => {}
            None if c == '#' => break,
            None => {
                if c == '"' || c == '\'' {
                    quote = Some(c);
                }
                out.push(c);
            }
        }
    }
    out
}

/// `0,40` in a text, and the same with a point.
fn decimal_comma(text: &str) -> Option<(String, String)> {
    let number = |c: char| c.is_ascii_digit() || c == ',';
    text.split(|c| !number(c)).find_map(|word| {
        let (whole, part) = word.split_once(',')?;
        let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        (digits(whole) && digits(part)).then(|| (word.to_owned(), format!("{whole}.{part}")))
    })
}

/// `3/4` of `"3/4""`: a number whose inch mark is read as the closing quote.
fn inch_mark(value: &str) -> Option<&str> {
    let (before, _) = value.split_once("\"\"")?;
    let inches = before.rsplit('"').next()?;
    let number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | ' ' | '-' | '\'');
    let ends = inches.ends_with(|c: char| c.is_ascii_digit());
    (before.contains('"') && ends && inches.chars().all(number)).then_some(inches)
}

/// What is wrong and what to write instead, judged from the line.
fn advice(line: &str, message: &str) -> (String, String) {
    let (key, value) = line
        .split_once('=')
        .map_or(("", line), |(k, v)| (k.trim(), v.trim()));
    let plain = outside_quotes(value);
    let bare = plain.trim();
    let told = |cause: &str, help: String| (cause.to_owned(), help);
    if plain.contains(['“', '”', '„', '‘', '’']) {
        let inside = bare.trim_matches(|c| "“”„‘’\"".contains(c));
        return told(
            "these are not plain quotes",
            format!("type plain quotes: {key} = \"{inside}\""),
        );
    }
    if let Some(inches) = inch_mark(value) {
        return told(
            "the inch mark ends the quoted text",
            format!("write in for the inch mark: {key} = \"{inches} in\""),
        );
    }
    if message.contains("duplicate key") {
        return told(
            "this key or table stands twice",
            "a key or table may stand only once; several beds are each written as [[bed]]"
                .to_owned(),
        );
    }
    if !key.is_empty() && bare.is_empty() {
        return told(
            "a value is missing",
            format!("write a value after the equals sign, such as {key} = \"0.3 m\""),
        );
    }
    if let Some((comma, point)) = decimal_comma(bare) {
        return told(
            &format!("{comma} has a comma"),
            format!("write decimals with a point: {point}"),
        );
    }
    if !key.is_empty()
        && !bare.contains(['"', '\'', '[', '{'])
        && bare.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '.')
    {
        return told(
            "a value with a unit stands without quotes",
            format!("put a value with its unit in quotes: {key} = \"{bare}\""),
        );
    }
    let header = line.trim_start().starts_with('[');
    let count = |c: char| plain.matches(c).count();
    if header && count('[') != count(']') {
        return told(
            "a bracket is missing",
            "close the brackets, as in [sump] or [[bed]]".to_owned(),
        );
    }
    if count('"') > 0 && value.matches('"').count() % 2 == 1 {
        return told(
            "a quote is missing",
            "close the quotes, as in floor = \"0.3 m\"".to_owned(),
        );
    }
    if message.contains("unclosed array") {
        return told(
            "a list is not closed",
            "close the list with ] at its end".to_owned(),
        );
    }
    let help = if key.is_empty() && !header {
        "each line is key = value, a [table], or a # comment"
    } else {
        "a value is text in quotes, a bare number, true, false, [a, list] or { key = value }"
    };
    (message.to_owned(), help.to_owned())
}
