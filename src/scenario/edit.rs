//! Changes written into the text of a scenario; comments and layout stay.

use thiserror::Error;
use toml_edit::{DocumentMut, InlineTable, Item, TableLike, Value};

use super::every_bed;
use super::format::Value as Kind;
use super::keys::FORMAT;
use super::typed_edit::{Edit, EditPath, Part};
use crate::scenario::keys::EVERY_BED;
use crate::units::parse::parse;
use crate::units::table::Quantity;

/// Why a change cannot be written into a scenario.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum EditError {
    /// The text is not TOML; reading it says where.
    #[error("the scenario is not TOML")]
    NotToml,
    /// No bed of this name.
    #[error("the scenario has no bed \"{name}\"; its beds: {}", .beds.join(", "))]
    NoBed {
        /// Asked for.
        name: String,
        /// There are these.
        beds: Vec<String>,
    },
    /// No such entry of a list.
    #[error("{path} has {entries} entries, not {asked}")]
    NoEntry {
        /// The list.
        path: EditPath,
        /// How many it has.
        entries: usize,
        /// Which was asked for.
        asked: usize,
    },
    /// A list without saying which of its entries.
    #[error("{path} is a list: say which entry, such as {path}[1], or {path}.* for all of them")]
    WhichEntry {
        /// The list.
        path: EditPath,
    },
    /// A value that has no keys below it.
    #[error("{path} is a value, and nothing lies below it")]
    NoTable {
        /// The value.
        path: EditPath,
    },
    /// What the owner keeps as it is.
    #[error("{path} is to stay as it is: {kept} is kept")]
    Kept {
        /// What should have changed.
        path: EditPath,
        /// What is kept.
        kept: EditPath,
    },
}

/// A scenario's text after changes.
#[derive(Debug, Clone)]
pub struct Edited {
    /// The text.
    pub text: String,
    /// Gives the text before it back, to the byte.
    pub undo: Undo,
}

/// What a text was before it changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undo {
    start: usize,
    /// Bytes that stand there now.
    length: usize,
    before: String,
}

impl Undo {
    /// From `after` back to `before`.
    pub(super) fn between(before: &str, after: &str) -> Self {
        // By characters, so that no cut falls inside one.
        let alike = |(a, b): &(char, char)| a == b;
        let pairs = before.chars().zip(after.chars());
        let start: usize = pairs.take_while(alike).map(|(c, _)| c.len_utf8()).sum();
        let (old, new) = (&before[start..], &after[start..]);
        let pairs = old.chars().rev().zip(new.chars().rev());
        let end: usize = pairs.take_while(alike).map(|(c, _)| c.len_utf8()).sum();
        Self {
            start,
            length: new.len() - end,
            before: old[..old.len() - end].to_owned(),
        }
    }

    /// The text before, from the one after; a text that is another stays as it is.
    pub fn apply(&self, after: &str) -> String {
        let parts = after
            .get(..self.start)
            .zip(after.get(self.start + self.length..));
        match parts {
            Some((head, tail)) => format!("{head}{}{tail}", self.before),
            None => after.to_owned(),
        }
    }
}

/// Writes `changes` into `text`, one after the other; nothing under `kept` may change.
///
/// Whether the scenario can be built so is for reading it to find out.
///
/// # Errors
/// [`EditError`] with the first change that has no place in the text.
///
/// # Example
/// ```
/// use ebbwright::scenario::{Edit, edited};
/// let text = "[sump]\nfloor = \"0 m\" # on the slab\n";
/// let change: Edit = "sump.floor = 0.1 m".parse()?;
/// let after = edited(text, &[change], &[])?;
/// assert_eq!(after.text, "[sump]\nfloor = \"0.1 m\" # on the slab\n");
/// assert_eq!(after.undo.apply(&after.text), text);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn edited(text: &str, changes: &[Edit], kept: &[EditPath]) -> Result<Edited, EditError> {
    let mut document: DocumentMut = text.parse().map_err(|_| EditError::NotToml)?;
    for change in changes {
        let mut all = vec![change.clone()];
        for path in places(&document, change.path())? {
            let beside = beside(&document, &path, change, changes);
            all.extend(beside.map(|(path, length)| Edit::new(path, Some(length))));
        }
        write_into(&mut document, &all, kept)?;
    }
    let changed = document.to_string();
    Ok(Edited {
        undo: Undo::between(text, &changed),
        text: changed,
    })
}

/// Writes just `changes` into `document`.
pub(super) fn write_into(
    document: &mut DocumentMut,
    changes: &[Edit],
    kept: &[EditPath],
) -> Result<(), EditError> {
    for change in changes {
        for path in places(document, change.path())? {
            let keeps = |kept: &&EditPath| {
                // By number, as the place itself is; a bed that is not there keeps nothing.
                places(document, kept).is_ok_and(|all| {
                    let lower = |one: &EditPath| every_bed::under(one);
                    all.iter().any(|one| {
                        one.covers(&path) || lower(one).is_some_and(|low| low.covers(&path))
                    })
                })
            };
            if let Some(kept) = kept.iter().find(keeps) {
                return Err(EditError::Kept {
                    path,
                    kept: kept.clone(),
                });
            }
            set(document, &path, change.value())?;
        }
    }
    Ok(())
}

/// What moves with a standpipe's lip, an outlet or a bed's floor, and whether up or down.
fn follows(moved: &[&str]) -> &'static [(&'static [&'static str], f64)] {
    match moved {
        // The siphon's pipe begins at the lip and ends at the outlet.
        ["standpipe", "length"] => &[(&["drain", "length"], 1.0)],
        ["drain", "outlet"] => &[(&["drain", "length"], -1.0)],
        ["floor"] => &[
            (&["drain", "length"], 1.0),
            (&["rim"], 1.0),
            (&["start-level"], 1.0),
        ],
        _ => &[],
    }
}

/// The places that move with the one at `path`, and their new values; none that is changed by
/// itself.
fn beside<'d>(
    document: &'d DocumentMut,
    path: &'d EditPath,
    change: &'d Edit,
    all: &'d [Edit],
) -> impl Iterator<Item = (EditPath, Value)> + 'd {
    let (bed, keys) = match path.parts() {
        [list @ Part::Name(bed), entry @ Part::Entry(_), keys @ ..] if bed == "bed" => {
            (vec![list.clone(), entry.clone()], keys)
        }
        [lower @ Part::Name(name), keys @ ..] if name == EVERY_BED => (vec![lower.clone()], keys),
        _ => (Vec::new(), [].as_slice()),
    };
    let names: Vec<&str> = keys
        .iter()
        .filter_map(|part| match part {
            Part::Name(name) => Some(name.as_str()),
            Part::Entry(_) | Part::Each => None,
        })
        .collect();
    follows(&names).iter().filter_map(move |(keys, sign)| {
        let keys = keys.iter().map(|key| Part::Name((*key).to_owned()));
        let other = EditPath::of(bed.iter().cloned().chain(keys).collect());
        if all.iter().any(|one| one.path().covers(&other)) {
            return None;
        }
        let text = |path: &EditPath| Some(value_at(document, path)?.as_str()?.to_owned());
        let (was, length) = (text(path)?, text(&other)?);
        let metres = |text: &str| parse(text, Quantity::Length).ok();
        let moved = metres(change.value()?.as_str()?)? - metres(&was)?;
        Some((
            other,
            Value::from(near(metres(&length)? + sign * moved, &length)),
        ))
    })
}

/// A length to the tenth of a millimetre, in the unit that the file has there.
fn near(metres: f64, written: &str) -> String {
    if written.contains("in") || written.contains('"') || written.contains("ft") {
        format!("{:.3} in", metres / 0.0254)
    } else {
        format!("{:.1} mm", 1000.0 * metres)
    }
}

/// The single places that a path stands for, lists by number.
pub(super) fn places(document: &DocumentMut, path: &EditPath) -> Result<Vec<EditPath>, EditError> {
    let mut found = vec![Vec::new()];
    for part in path.parts() {
        let mut next = Vec::new();
        for so_far in found {
            let here = at(document, &so_far);
            let listed = here.and_then(list_of);
            let Some(entries) = listed else {
                next.push(one_more(so_far, part.clone()));
                continue;
            };
            let whole = EditPath::of(so_far.clone());
            match part {
                Part::Each => {
                    next.extend((1..=entries.len()).map(|n| {
                        let mut path = so_far.clone();
                        path.push(Part::Entry(n));
                        path
                    }));
                }
                Part::Entry(n) if *n <= entries.len() => {
                    next.push(one_more(so_far, Part::Entry(*n)));
                }
                Part::Entry(n) => {
                    return Err(EditError::NoEntry {
                        path: whole,
                        entries: entries.len(),
                        asked: *n,
                    });
                }
                Part::Name(name) => {
                    let named = entries.iter().position(|known| known == name);
                    match named {
                        Some(n) => next.push(one_more(so_far, Part::Entry(n + 1))),
                        // The only bed needs no name.
                        None if entries.len() == 1 && has_key(&so_far, name) => {
                            next.push(one_more(one_more(so_far, Part::Entry(1)), part.clone()));
                        }
                        None if entries.iter().all(String::is_empty) => {
                            return Err(EditError::WhichEntry { path: whole });
                        }
                        None => {
                            return Err(EditError::NoBed {
                                name: name.clone(),
                                beds: entries,
                            });
                        }
                    }
                }
            }
        }
        found = next;
    }
    Ok(found.into_iter().map(EditPath::of).collect())
}

fn one_more(mut path: Vec<Part>, part: Part) -> Vec<Part> {
    path.push(part);
    path
}

/// Whether entries of the list at `path` have such a key.
fn has_key(path: &[Part], name: &str) -> bool {
    let [Part::Name(list)] = path else {
        return false;
    };
    match FORMAT.key(list).map(|key| &key.value) {
        Some(Kind::Tables(table)) => table.key(name).is_some(),
        _ => false,
    }
}

/// Something in a document that a path leads to.
enum Place<'d> {
    Item(&'d Item),
    Table(&'d dyn TableLike),
}

impl<'d> Place<'d> {
    fn table(&self) -> Option<&'d dyn TableLike> {
        match self {
            Self::Item(item) => item.as_table_like(),
            Self::Table(table) => Some(*table),
        }
    }
}

/// What holds at a single place: what stands there, or for every bed.
pub(super) fn value_at<'d>(document: &'d DocumentMut, path: &EditPath) -> Option<&'d Item> {
    own_at(document, path).or_else(|| own_at(document, &every_bed::under(path)?))
}

/// What stands at a single place itself.
pub(super) fn own_at<'d>(document: &'d DocumentMut, path: &EditPath) -> Option<&'d Item> {
    match at(document, path.parts())? {
        Place::Item(item) => Some(item),
        Place::Table(_) => None,
    }
}

fn at<'d>(document: &'d DocumentMut, path: &[Part]) -> Option<Place<'d>> {
    let mut here = Place::Table(document.as_table());
    for part in path {
        here = match part {
            Part::Name(name) => Place::Item(here.table()?.get(name)?),
            Part::Entry(n) => {
                let Place::Item(item) = here else { return None };
                match item {
                    Item::ArrayOfTables(list) => Place::Table(list.get(n.checked_sub(1)?)?),
                    Item::Value(Value::Array(list)) => {
                        Place::Table(list.get(n.checked_sub(1)?)?.as_inline_table()?)
                    }
                    _ => return None,
                }
            }
            Part::Each => return None,
        };
    }
    Some(here)
}

/// Names of the entries of a list of tables, empty where an entry has none.
fn list_of(place: Place<'_>) -> Option<Vec<String>> {
    let Place::Item(item) = place else {
        return None;
    };
    let name = |table: &dyn TableLike| {
        let name = table.get("name").and_then(Item::as_str);
        name.unwrap_or_default().to_owned()
    };
    match item {
        Item::ArrayOfTables(list) => Some(list.iter().map(|table| name(table)).collect()),
        Item::Value(Value::Array(list)) if list.iter().all(Value::is_inline_table) => Some(
            list.iter()
                .filter_map(Value::as_inline_table)
                .map(|table| name(table))
                .collect(),
        ),
        _ => None,
    }
}

/// Sets one value, or takes the key or the entry of a list away.
fn set(
    document: &mut DocumentMut,
    path: &EditPath,
    value: Option<&Value>,
) -> Result<(), EditError> {
    let Some((last, way)) = path.parts().split_last() else {
        return Err(EditError::NoTable { path: path.clone() });
    };
    let Part::Name(key) = last else {
        return match (way, last, value) {
            ([Part::Name(list)], Part::Entry(n), None) => take_out(document, list, *n),
            _ => Err(EditError::WhichEntry {
                path: EditPath::of(way.to_vec()),
            }),
        };
    };
    let mut table: &mut dyn TableLike = document.as_table_mut();
    let mut walked: Vec<Part> = Vec::new();
    let mut steps = way.iter().peekable();
    while let Some(step) = steps.next() {
        let Part::Name(name) = step else {
            return Err(EditError::NoTable {
                path: EditPath::of(walked),
            });
        };
        walked.push(step.clone());
        if table.get(name).is_none_or(Item::is_none) {
            table.insert(name, Item::Value(Value::InlineTable(InlineTable::new())));
        }
        let here = || EditPath::of(walked.clone());
        let item = table
            .get_mut(name)
            .ok_or_else(|| EditError::NoTable { path: here() })?;
        table = match steps.peek() {
            Some(Part::Entry(n)) => {
                let n = *n;
                steps.next();
                let missing = EditError::NoTable { path: here() };
                walked.push(Part::Entry(n));
                entry_mut(item, n).ok_or(missing)?
            }
            _ => {
                let missing = EditError::NoTable { path: here() };
                item.as_table_like_mut().ok_or(missing)?
            }
        };
    }
    replace(table, key, value);
    Ok(())
}

/// Takes an entry out of a list at the top of the file.
fn take_out(document: &mut DocumentMut, list: &str, n: usize) -> Result<(), EditError> {
    let missing = EditError::NoTable {
        path: EditPath::of(vec![Part::Name(list.to_owned())]),
    };
    let index = n.checked_sub(1);
    let left = match (document.get_mut(list), index) {
        (Some(Item::ArrayOfTables(tables)), Some(i)) if i < tables.len() => {
            tables.remove(i);
            tables.len()
        }
        (Some(Item::Value(Value::Array(values))), Some(i)) if i < values.len() => {
            values.remove(i);
            values.len()
        }
        _ => return Err(missing),
    };
    if left == 0 {
        document.remove(list);
    }
    Ok(())
}

fn entry_mut(item: &mut Item, n: usize) -> Option<&mut dyn TableLike> {
    let index = n.checked_sub(1)?;
    match item {
        Item::ArrayOfTables(list) => list.get_mut(index).map(|table| table as &mut dyn TableLike),
        Item::Value(Value::Array(list)) => list
            .get_mut(index)?
            .as_inline_table_mut()
            .map(|table| table as &mut dyn TableLike),
        _ => None,
    }
}

/// Puts `value` under `key`, with the blanks and remarks round the old one.
fn replace(table: &mut dyn TableLike, key: &str, value: Option<&Value>) {
    match (table.get_mut(key), value) {
        (Some(Item::Value(old)), Some(new)) => {
            let mut new = new.clone();
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        (_, Some(new)) => {
            table.insert(key, Item::Value(new.clone()));
        }
        (_, None) => {
            table.remove(key);
        }
    }
}
