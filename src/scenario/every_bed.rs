//! `[every-bed]`: what holds for all beds unless a bed says otherwise.
//!
//! Its keys are laid under those of each bed before anything is judged, so that nothing else has
//! to know of them. Where a bed says one of several keys that exclude each other, the others of
//! `[every-bed]` give way, with what needs them.

use toml::Spanned;
use toml::de::{DeTable, DeValue};
use toml_edit::{DocumentMut, InlineTable, Item, TableLike, Value as Edited};

use super::fault::{Fault, Step};
use super::format::{Dependence, MOST_ENTRIES, Table, Value};
use super::keys::{EVERY_BED, FORMAT};
use super::typed_edit::{EditPath, Part};

/// What it is laid under.
const BED: &str = "bed";
/// Keys whose tables are one thing, taken whole or not at all.
const WHOLE: [&str; 1] = ["fittings"];

fn bed_format() -> Option<&'static Table> {
    match &FORMAT.key(BED)?.value {
        Value::Tables(table) => Some(table),
        _ => None,
    }
}

/// Which of the keys of the lower table stand beside `own` ones: not those that a bed has itself,
/// nor what excludes them, nor what needs what is gone.
fn left<'k>(format: &Table, own: &[&str], lower: &[&'k str]) -> Vec<&'k str> {
    let mut left: Vec<&str> = lower
        .iter()
        .copied()
        .filter(|key| !own.contains(key))
        .collect();
    for rule in &format.rules {
        if let Dependence::OneOf(keys) | Dependence::AtMostOne(keys) = rule
            && keys.iter().any(|key| own.contains(key))
        {
            left.retain(|key| !keys.contains(key));
        }
    }
    // What is gone may be needed by what needs it in turn.
    for _ in 0..format.rules.len() {
        for rule in &format.rules {
            if let Dependence::Needs(key, other) = rule
                && !own.contains(other)
                && !left.contains(other)
            {
                left.retain(|one| one != key);
            }
        }
    }
    left
}

fn inner(format: &'static Table, key: &str) -> Option<&'static Table> {
    match &format.key(key)?.value {
        Value::Table(table) if !WHOLE.contains(&key) => Some(table),
        _ => None,
    }
}

/// The file with `[every-bed]` under each bed; `None` where it has none.
pub(super) fn spread<'i>(raw: &DeTable<'i>) -> Option<DeTable<'i>> {
    let lower = raw
        .iter()
        .find(|(name, _)| name.get_ref() == EVERY_BED)
        .and_then(|(_, value)| value.get_ref().as_table())?;
    let format = bed_format()?;
    let mut all = raw.clone();
    for (name, value) in all.iter_mut() {
        if name.get_ref() != BED {
            continue;
        }
        if let DeValue::Array(list) = value.get_mut() {
            // A longer list is refused, and needs no copies of what its beds share.
            for item in list.iter_mut().take(MOST_ENTRIES) {
                if let DeValue::Table(own) = item.get_mut() {
                    lay_under(format, own, lower);
                }
            }
        }
    }
    Some(all)
}

fn lay_under<'i>(format: &'static Table, own: &mut DeTable<'i>, lower: &DeTable<'i>) {
    let names = |table: &DeTable<'i>| -> Vec<String> {
        table
            .iter()
            .map(|(name, _)| name.get_ref().to_string())
            .collect()
    };
    let (mine, its) = (names(own), names(lower));
    let mine: Vec<&str> = mine.iter().map(String::as_str).collect();
    let its: Vec<&str> = its.iter().map(String::as_str).collect();
    let added = left(format, &mine, &its);
    for (name, value) in lower.iter() {
        let key: &str = name.get_ref();
        if added.contains(&key) {
            own.insert(name.clone(), value.clone());
        } else if let (Some(format), DeValue::Table(lower)) = (inner(format, key), value.get_ref())
        {
            let here = own.iter_mut().find(|(mine, _)| mine.get_ref() == key);
            if let Some(DeValue::Table(own)) = here.map(|(_, value)| Spanned::get_mut(value)) {
                lay_under(format, own, lower);
            }
        }
    }
}

/// One fault of `[every-bed]` once, not once for each bed.
pub(super) fn once(found: &mut Vec<Fault>) {
    let begins = |fault: &Fault, name: &str| matches!(fault.path.0.first(), Some(Step::Key(key)) if key == name);
    let its: Vec<_> = found
        .iter()
        .filter(|fault| begins(fault, EVERY_BED))
        .map(|fault| fault.span().clone())
        .collect();
    let mut told: Vec<(std::ops::Range<usize>, String)> = Vec::new();
    found.retain(|fault| {
        if !begins(fault, BED) {
            return true;
        }
        let span = fault.span().clone();
        if its.contains(&span) {
            return false;
        }
        let this = (span, fault.kind.to_string());
        let new = !told.contains(&this);
        told.push(this);
        new
    });
}

/// `bed[2].standpipe.length` in `[every-bed]`; `None` for what is not in a bed.
pub(super) fn under(path: &EditPath) -> Option<EditPath> {
    match path.parts() {
        [Part::Name(list), Part::Entry(_) | Part::Each, rest @ ..] if list == BED => {
            let mut parts = vec![Part::Name(EVERY_BED.to_owned())];
            parts.extend(rest.iter().cloned());
            Some(EditPath::of(parts))
        }
        _ => None,
    }
}

/// `every-bed.shape` as `bed.*.shape`: what is kept there is kept in every bed.
pub(super) fn in_each(path: EditPath) -> EditPath {
    match path.parts() {
        [Part::Name(name), rest @ ..] if name == EVERY_BED => {
            let mut parts = vec![Part::Name(BED.to_owned()), Part::Each];
            parts.extend(rest.iter().cloned());
            EditPath::of(parts)
        }
        _ => path,
    }
}

/// The file with what every bed has written into each of them too; `None` where there is nothing such.
pub(super) fn beside(document: &DocumentMut) -> Option<toml::Table> {
    let mut spread = document.clone();
    let shared = document.get(EVERY_BED)?.clone();
    expand(&mut spread)?;
    spread.insert(EVERY_BED, shared);
    toml::from_str(&spread.to_string()).ok()
}

/// Writes `[every-bed]` into each bed and takes it away: for a change that one bed alone cannot
/// say over it.
pub(super) fn expand(document: &mut DocumentMut) -> Option<()> {
    let format = bed_format()?;
    let lower = document.remove(EVERY_BED)?;
    let lower = lower.as_table_like()?;
    match document.get_mut(BED)? {
        Item::ArrayOfTables(list) => {
            for own in list.iter_mut() {
                write_under(format, own, lower);
            }
        }
        Item::Value(Edited::Array(list)) => {
            for own in list.iter_mut().filter_map(Edited::as_inline_table_mut) {
                write_under(format, own, lower);
            }
        }
        _ => return None,
    }
    Some(())
}

fn write_under(format: &'static Table, own: &mut dyn TableLike, lower: &dyn TableLike) {
    let mine: Vec<String> = own.iter().map(|(key, _)| key.to_owned()).collect();
    let mine: Vec<&str> = mine.iter().map(String::as_str).collect();
    let its: Vec<&str> = lower.iter().map(|(key, _)| key).collect();
    let added = left(format, &mine, &its);
    for (key, item) in lower.iter() {
        if added.contains(&key) {
            own.insert(key, plain(item));
        } else if let (Some(format), Some(lower)) = (inner(format, key), item.as_table_like())
            && let Some(own) = own.get_mut(key).and_then(Item::as_table_like_mut)
        {
            write_under(format, own, lower);
        }
    }
}

/// A value, or a table as one line, without the remarks round it.
fn plain(item: &Item) -> Item {
    match item.as_table_like() {
        Some(table) => {
            let mut inline = InlineTable::new();
            for (key, item) in table.iter() {
                if let Item::Value(value) = plain(item) {
                    inline.insert(key, value);
                }
            }
            Item::Value(Edited::InlineTable(inline))
        }
        None => match item.as_value() {
            Some(value) => {
                let mut value = value.clone();
                value.decor_mut().clear();
                Item::Value(value)
            }
            None => item.clone(),
        },
    }
}
