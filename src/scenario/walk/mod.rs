//! The walk over a parsed file: every key against the format.

mod judge;

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::advice::{belongs_to, nearest, usage};
use super::fault::{FaultKind, Faults, KeyPath};
use super::format::{Bounds, Dependence, Key, Table, Value};
use super::node::{Content, Entry, Node};
use crate::numerics::in_order::InOrder;
use crate::units::table::significant;

use judge::Judge;
pub(super) use judge::percent;

/// A key's path, and where its value stands.
pub(super) type Place = (KeyPath, Range<usize>);

/// Judges a table and everything below it.
pub(super) fn table(
    format: &'static Table,
    raw: &DeTable<'_>,
    (path, span): Place,
    faults: &mut Faults<'_>,
) -> Node {
    let mut entries: Vec<(Entry, Range<usize>)> = Vec::new();
    let mut meant: Vec<&str> = Vec::new();
    for (name, value) in raw.iter() {
        let here = path.key(name.get_ref());
        if let Some(key) = format.key(name.get_ref()) {
            let content = value_of(key, value, here, faults).unwrap_or(Content::Faulty);
            entries.push((
                Entry {
                    key,
                    span: value.span(),
                    content,
                },
                name.span(),
            ));
        } else {
            let keys = format.keys.iter().map(|key| key.name);
            let suggestion = (!faults.are_many())
                .then(|| nearest(name.get_ref(), keys))
                .flatten();
            meant.extend(suggestion);
            unknown_key(format, here, name, suggestion, faults);
        }
    }
    // In the order of the file, whatever order the reader keeps.
    entries.order_by_key(|(_, key_span)| key_span.start);
    // A table that only offers a choice, with a stray key, has been told what it offers.
    let strays = raw.len() > entries.len();
    depend(format, &entries, (&meant, strays), (&path, &span), faults);
    Node {
        format,
        path,
        span,
        entries: entries.into_iter().map(|(entry, _)| entry).collect(),
    }
}

fn unknown_key(
    format: &Table,
    path: KeyPath,
    name: &Spanned<toml::de::DeString<'_>>,
    suggestion: Option<&'static str>,
    faults: &mut Faults<'_>,
) {
    let elsewhere = if faults.are_many() {
        Vec::new()
    } else {
        belongs_to(name.get_ref())
    };
    let (label, help) = match suggestion.and_then(|s| format.key(s)) {
        Some(key) => (
            format!("did you mean {}?", key.name),
            usage(key, &sibling(&path, key.name), faults.system),
        ),
        None => {
            let keys: Vec<&str> = format.keys.iter().map(|key| key.name).collect();
            let mut help = format!("keys here: {}", keys.join(", "));
            if !elsewhere.is_empty() {
                help = format!(
                    "{} belongs to {}; a key belongs to the [table] line above it\n{help}",
                    name.get_ref(),
                    elsewhere.join(" or ")
                );
            }
            ("not a key of this table".to_owned(), help)
        }
    };
    let kind = FaultKind::UnknownKey {
        suggestion: suggestion.map(str::to_owned),
        belongs_to: elsewhere,
    };
    faults.error(kind, path, name.span(), label, help);
}

/// The path of another key of the same table.
fn sibling(path: &KeyPath, name: &str) -> KeyPath {
    let mut steps = path.0.clone();
    steps.pop();
    KeyPath(steps).key(name)
}

/// Missing keys, and keys that need or exclude each other.
fn depend(
    format: &'static Table,
    entries: &[(Entry, Range<usize>)],
    (meant, strays): (&[&str], bool),
    (path, span): (&KeyPath, &Range<usize>),
    faults: &mut Faults<'_>,
) {
    let found = |name: &str| entries.iter().find(|(entry, _)| entry.key.name == name);
    // A key that is only misspelt is not missing as well.
    let there = |name: &str| found(name).is_some() || meant.contains(&name);
    let usage_of = |names: &[&str], faults: &Faults<'_>| {
        let lines: Vec<String> = names
            .iter()
            .filter_map(|name| format.key(name))
            .map(|key| usage(key, &path.key(key.name), faults.system))
            .collect();
        lines.join("\n")
    };
    for key in format
        .keys
        .iter()
        .filter(|key| key.required && !there(key.name))
    {
        let here = path.key(key.name);
        let help = usage(key, &here, faults.system);
        let label = if path.0.is_empty() {
            format!("{} is nowhere in this file", key.name)
        } else {
            format!("{} is missing here", key.name)
        };
        faults.error(FaultKind::Missing, here, span.clone(), label, help);
    }
    for rule in &format.rules {
        match *rule {
            Dependence::OneOf(keys)
                if strays && entries.is_empty() && keys.len() == format.keys.len() => {}
            Dependence::OneOf(keys) | Dependence::AnyOf(keys) if !keys.iter().any(|k| there(k)) => {
                let label = format!("one of {} is missing here", keys.join(", "));
                let help = format!("write one of these\n{}", usage_of(keys, faults));
                let kind = FaultKind::NoneOf {
                    keys: keys.to_vec(),
                };
                faults.error(kind, path.clone(), span.clone(), label, help);
            }
            Dependence::OneOf(keys) | Dependence::AtMostOne(keys) => {
                let mut present: Vec<_> = keys.iter().filter_map(|k| found(k)).collect();
                present.order_by_key(|(_, key_span)| key_span.start);
                let [_, .., (_, last_span)] = present.as_slice() else {
                    continue;
                };
                let names: Vec<&'static str> = present.iter().map(|(e, _)| e.key.name).collect();
                let label = format!("keep only one: {}", names.join(" or "));
                let help = usage_of(&names, faults);
                let kind = FaultKind::SeveralOf { keys: names };
                faults.error(kind, path.clone(), last_span.clone(), label, help);
            }
            Dependence::AnyOf(_) => {}
            Dependence::Needs(name, other) => {
                if let Some((_, key_span)) = found(name)
                    && !there(other)
                {
                    let kind = FaultKind::Without { other };
                    let help = usage_of(&[other], faults);
                    let label = format!("{other} is missing beside it");
                    faults.error(kind, path.key(name), key_span.clone(), label, help);
                }
            }
        }
    }
}

/// Judges one value; `None` once a fault has been reported.
fn value_of(
    key: &'static Key,
    raw: &Spanned<DeValue<'_>>,
    path: KeyPath,
    faults: &mut Faults<'_>,
) -> Option<Content> {
    let mut judge = Judge {
        key,
        place: (path, raw.span()),
        faults,
    };
    let raw = raw.get_ref();
    match &key.value {
        Value::Text(longest) => judge.text(raw, *longest),
        Value::Nominal => judge.text(raw, 40),
        Value::Quantity(bounds) => {
            let value = judge.quantity(raw, bounds)?;
            judge.ask_if_odd(value, |least, most, units| {
                Bounds::new(bounds.quantity, least, most).text(units)
            });
            Some(Content::Number(value))
        }
        Value::Reading(bounds) => judge
            .reading(raw, bounds)
            .map(|(value, spread)| Content::Reading(value, spread)),
        Value::Readings(bounds) => judge.readings(raw, bounds),
        Value::TimeOr(_, word) if raw.as_str() == Some(*word) => Some(Content::Word(word)),
        Value::TimeOr(_, word)
            if raw
                .as_str()
                .is_some_and(|t| !t.contains(|c: char| c.is_ascii_digit())) =>
        {
            judge.choice(raw, &[*word], Some("a time such as \"2 h\""))
        }
        Value::TimeOr(bounds, _) => judge.quantity(raw, bounds).map(Content::Number),
        Value::Number(least, most) => {
            let value = judge.number(raw, *least, *most)?;
            judge.ask_if_odd(value, |least, most, _| {
                format!("{} to {}", significant(least, 6), significant(most, 6))
            });
            Some(Content::Number(value))
        }
        Value::Count(least, most) => judge.count(raw, *least, *most).map(Content::Number),
        Value::Flag => match raw.as_bool() {
            Some(flag) => Some(Content::Flag(flag)),
            None => judge.wrong_kind(raw, "true or false"),
        },
        Value::Choice(words) => judge.choice(raw, words, None),
        Value::Words(words) => judge.words(raw, words),
        Value::Band(least, most) => judge.band(raw, *least, *most),
        Value::Texts(longest) => judge.texts(raw, *longest),
        Value::Anything => Some(Content::Anything),
        Value::List(bounds, fewest) => judge.list(raw, bounds, *fewest),
        Value::Pairs(first, second, fewest) => judge.pairs(raw, (first, second), *fewest),
        Value::Table(format) => match raw {
            DeValue::Table(raw) => Some(Content::Table(table(format, raw, judge.place, faults))),
            // One table written as a list: judge the first so that its own faults show too.
            DeValue::Array(list) if list.iter().any(|item| item.get_ref().is_table()) => {
                judge.report(
                    FaultKind::WrongKind {
                        value: format!("[[{}]]", judge.key.name),
                        found: "a list of tables",
                        wanted: "one table".into(),
                    },
                    "single brackets here",
                    format!("write [{}] once, with single brackets", judge.place.0),
                );
                let place = judge.place.clone();
                if let Some(DeValue::Table(first)) = list.first().map(Spanned::get_ref) {
                    table(format, first, place, faults);
                }
                None
            }
            _ => judge.wrong_kind(raw, "a table"),
        },
        Value::Tables(format) => judge.tables(raw, format),
    }
}
