//! TOML errors, and what people most often meant.

use toml::de::DeTable;

use super::fault::{FaultKind, Faults, KeyPath};
use super::keys::FORMAT;
use super::{build, walk};
use crate::model::System;

/// Parses, walks and builds; `None` once a fault has been reported.
pub(super) fn document(faults: &mut Faults<'_>) -> Option<System> {
    let text = faults.source.text.as_str();
    let (raw, errors) = DeTable::parse_recoverable(text);
    let mut broken_lines = Vec::new();
    for error in errors {
        let span = clipped(text, error.span().unwrap_or(0..0));
        let bounds = faults.source.line_bounds(span.start);
        let line = &text[bounds.clone()];
        // One broken line often gives several complaints; the first tells it.
        if broken_lines.contains(&bounds.start) {
            continue;
        }
        broken_lines.push(bounds.start);
        let help = advice(line, error.message());
        let kind = FaultKind::Syntax { message: format!("this is not TOML: {}", error.message()) };
        faults.error(kind, KeyPath::default(), span, "here", help);
    }
    let root = walk::table(&FORMAT, raw.get_ref(), (KeyPath::default(), 0..0), faults);
    if broken_lines.is_empty() {
        let system = build::system(&root, faults);
        debug_assert!(system.is_some() || faults.has_errors(), "a fault was not reported");
        return system;
    }
    // What a broken line swallowed is not missing, and its own value is no value.
    let source = faults.source;
    faults.found.retain(|fault| match fault.kind {
        FaultKind::Syntax { .. } => true,
        FaultKind::Missing | FaultKind::NoneOf { .. } | FaultKind::Without { .. } => false,
        _ => !broken_lines.contains(&source.line_bounds(fault.span().start).start),
    });
    None
}

/// A span that lies within the text and on character borders.
fn clipped(text: &str, span: std::ops::Range<usize>) -> std::ops::Range<usize> {
    let border = |at: usize| (0..=at.min(text.len())).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
    let start = border(span.start);
    // Points at a character even where the parser points between two.
    let end = border(span.end).max(start);
    start..end
}

/// What to write instead, judged from the line.
fn advice(line: &str, message: &str) -> String {
    let (key, value) = line.split_once('=').map_or(("", line), |(k, v)| (k.trim(), v.trim()));
    let bare = value.split('#').next().unwrap_or_default().trim();
    if bare.contains(['“', '”', '„', '‘', '’']) {
        return format!("type plain quotes: {key} = \"{}\"", bare.trim_matches(|c| "“”„‘’\"".contains(c)));
    }
    if message.contains("duplicate key") {
        return "a key or table may stand only once; several beds are each written as [[bed]]".to_owned();
    }
    if !key.is_empty() && bare.is_empty() {
        return format!("write a value after the equals sign, such as {key} = \"0.3 m\"");
    }
    if !key.is_empty() && !bare.contains(['"', '\'', '[', '{']) && bare.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '.') {
        if let Some((whole, part)) = bare.split_once(',')
            && part.chars().all(|c| c.is_ascii_digit())
        {
            return format!("write decimals with a point: {key} = {whole}.{part}");
        }
        return format!("put a value with its unit in quotes: {key} = \"{bare}\"");
    }
    if line.trim_start().starts_with('[') && line.matches('[').count() != line.matches(']').count() {
        return "close the brackets, as in [sump] or [[bed]]".to_owned();
    }
    if bare.matches('"').count() % 2 == 1 {
        return "close the quotes, as in floor = \"0.3 m\"".to_owned();
    }
    if bare.matches('{').count() > bare.matches('}').count() {
        return "close the braces on the same line, as in media = { depth = \"0.30 m\", void = 0.40 }".to_owned();
    }
    if key.is_empty() && !line.trim_start().starts_with('[') {
        return "each line is key = value, a [table], or a # comment".to_owned();
    }
    "a value is text in quotes, a bare number, true, false, [a, list] or { key = value }".to_owned()
}
