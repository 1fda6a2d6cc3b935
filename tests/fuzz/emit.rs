//! A scenario held as a tree, and the tree as text.

use serde_json::Value;
use std::fmt::Write as _;

/// The tree of a text in TOML; `None` where it is none.
pub fn tree(text: &str) -> Option<Value> {
    let value: Value = toml::from_str(text).ok()?;
    value.is_object().then_some(value)
}

/// The text of a tree, its tables by headings.
pub fn text(tree: &Value) -> String {
    let mut out = String::new();
    let Value::Object(map) = tree else {
        return out;
    };
    for (key, value) in map.iter().filter(|(_, value)| !is_table(value)) {
        let _ = writeln!(out, "{key} = {}", inline(value));
    }
    for (key, value) in map.iter().filter(|(_, value)| is_table(value)) {
        match value {
            Value::Array(entries) => {
                for entry in entries {
                    table(&format!("[[{key}]]"), entry, &mut out);
                }
            }
            value => table(&format!("[{key}]"), value, &mut out),
        }
    }
    out
}

fn is_table(value: &Value) -> bool {
    match value {
        Value::Object(_) => true,
        Value::Array(list) => !list.is_empty() && list.iter().all(Value::is_object),
        _ => false,
    }
}

fn table(heading: &str, value: &Value, out: &mut String) {
    let _ = writeln!(out, "\n{heading}");
    for (key, value) in value.as_object().into_iter().flatten() {
        let _ = writeln!(out, "{} = {}", word(key), inline(value));
    }
}

fn inline(value: &Value) -> String {
    match value {
        Value::Object(map) => {
            let pairs: Vec<String> = map
                .iter()
                .map(|(key, value)| format!("{} = {}", word(key), inline(value)))
                .collect();
            format!("{{ {} }}", pairs.join(", "))
        }
        Value::Array(list) => {
            let entries: Vec<String> = list.iter().map(inline).collect();
            format!("[{}]", entries.join(", "))
        }
        Value::String(text) => quoted(text),
        other => other.to_string(),
    }
}

fn word(key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if !key.is_empty() && key.chars().all(bare) {
        key.to_owned()
    } else {
        quoted(key)
    }
}

/// A basic string of TOML 1.0.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04x}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
