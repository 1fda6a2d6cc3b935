//! A change of one value of a scenario, as it is typed: `bed.north.standpipe.length = 215 mm`.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;
use toml_edit::Value;

use crate::units::display::plain;

/// One step of a [`EditPath`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A key of a table, or the name of a bed.
    Name(String),
    /// An entry of a list, counting from 1.
    Entry(usize),
    /// Every entry of a list.
    Each,
}

/// Where a value stands: keys joined by dots, a bed by its name, by its number as in
/// `bed[2]`, or all of them as in `bed.*`.
///
/// A name with a dot in it is written in quotes. Nothing here knows whether a scenario has
/// such a key; applying the change finds out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditPath(Vec<Part>);

impl EditPath {
    /// The parts, never none.
    pub fn parts(&self) -> &[Part] {
        &self.0
    }

    /// Whether `other` is this very place or lies below it.
    pub fn covers(&self, other: &Self) -> bool {
        self.0.len() <= other.0.len()
            && self
                .0
                .iter()
                .zip(&other.0)
                .all(|(mine, its)| mine == its || *mine == Part::Each || *its == Part::Each)
    }

    pub(super) fn of(parts: Vec<Part>) -> Self {
        Self(parts)
    }
}

impl fmt::Display for EditPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, part) in self.0.iter().enumerate() {
            let dot = if i == 0 { "" } else { "." };
            match part {
                Part::Name(name) if name.contains(['.', '[', ']', '"', '=']) => {
                    write!(f, "{dot}\"{}\"", plain(name))?;
                }
                Part::Name(name) => write!(f, "{dot}{}", plain(name))?,
                Part::Entry(number) => write!(f, "[{number}]")?,
                Part::Each => write!(f, "{dot}*")?,
            }
        }
        Ok(())
    }
}

/// A new value for one place, or none where the key is to go.
#[derive(Debug, Clone)]
pub struct Edit {
    path: EditPath,
    value: Option<Value>,
}

impl Edit {
    /// Where.
    pub fn path(&self) -> &EditPath {
        &self.path
    }

    /// The key at `path` goes.
    pub const fn left_out(path: EditPath) -> Self {
        Self { path, value: None }
    }

    pub(super) fn value(&self) -> Option<&Value> {
        self.value.as_ref()
    }

    pub(super) fn new(path: EditPath, value: Option<Value>) -> Self {
        Self { path, value }
    }
}

impl fmt::Display for Edit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.value {
            Some(value) => write!(f, "{} = {}", self.path, plain(value.to_string().trim())),
            None => write!(f, "{} left out", self.path),
        }
    }
}

/// Why a text is no change.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum EditSyntax {
    /// No `=` between key and value.
    #[error("there is no = in it: write KEY = VALUE, such as sump.start-level = 0.5 m")]
    NoEquals,
    /// Nothing after the `=`.
    #[error("there is no value after the =")]
    NoValue,
    /// The key has an empty part.
    #[error(
        "a part of the key is empty: write keys with single dots between them, such as bed.north.floor"
    )]
    EmptyPart,
    /// A quote is not closed.
    #[error("a quote in the key is not closed")]
    OpenQuote,
    /// A bracket does not hold the number of an entry.
    #[error("brackets hold the number of an entry, counting from 1, such as bed[2]")]
    NoEntry,
}

impl FromStr for EditPath {
    type Err = EditSyntax;

    fn from_str(text: &str) -> Result<Self, EditSyntax> {
        let (parts, rest) = path(text)?;
        if rest.trim().is_empty() {
            Ok(Self(parts))
        } else {
            Err(EditSyntax::EmptyPart)
        }
    }
}

impl FromStr for Edit {
    type Err = EditSyntax;

    /// Reads `KEY = VALUE`, or `KEY left out` as an edit is printed. The value may be written as in the file; a text needs no
    /// quotes here, since a shell takes them away.
    fn from_str(text: &str) -> Result<Self, EditSyntax> {
        let gone = text.trim().strip_suffix(" left out");
        if let Some(key) = gone.filter(|key| !key.contains('=')) {
            return key.parse().map(Self::left_out);
        }
        let (parts, rest) = path(text)?;
        let written = rest.trim().strip_prefix('=').ok_or(EditSyntax::NoEquals)?;
        let written = written.trim();
        if written.is_empty() {
            return Err(EditSyntax::NoValue);
        }
        let value = written
            .parse::<Value>()
            .unwrap_or_else(|_| Value::from(written));
        Ok(Self::new(EditPath(parts), Some(value)))
    }
}

/// The key at the beginning of `text`, and what follows it.
fn path(text: &str) -> Result<(Vec<Part>, &str), EditSyntax> {
    let mut parts = Vec::new();
    let mut rest = text.trim_start();
    loop {
        let (part, after) = name(rest)?;
        parts.push(part);
        rest = after.trim_start();
        while let Some(inside) = rest.strip_prefix('[') {
            let (number, after) = inside.split_once(']').ok_or(EditSyntax::NoEntry)?;
            let number = number.trim().parse::<usize>();
            let entry = number.ok().filter(|n| *n > 0).ok_or(EditSyntax::NoEntry)?;
            parts.push(Part::Entry(entry));
            rest = after.trim_start();
        }
        match rest.strip_prefix('.') {
            Some(more) => rest = more.trim_start(),
            None => return Ok((parts, rest)),
        }
    }
}

/// A name, in quotes or not, at the beginning of `text`, and what follows it.
fn name(text: &str) -> Result<(Part, &str), EditSyntax> {
    if let Some(quoted) = text.strip_prefix('"') {
        let (name, after) = quoted.split_once('"').ok_or(EditSyntax::OpenQuote)?;
        return Ok((Part::Name(name.to_owned()), after));
    }
    let end = text.find(['.', '[', '=']).unwrap_or(text.len());
    let (name, after) = text.split_at(end);
    match name.trim() {
        "" => Err(EditSyntax::EmptyPart),
        "*" => Ok((Part::Each, after)),
        name => Ok((Part::Name(name.to_owned()), after)),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn shown(text: &str) -> String {
        text.parse::<Edit>().unwrap().to_string()
    }

    // A plan whose step leaves a key out could not be tried.
    #[test]
    fn a_key_left_out_is_read_as_it_is_printed() {
        assert_eq!(
            shown("bed[1].drain.fittings left out"),
            "bed[1].drain.fittings left out"
        );
        assert_eq!(shown("event[2] left out"), "event[2] left out");
        assert_eq!(shown("title = left out"), "title = \"left out\"");
    }

    #[test]
    fn a_text_needs_no_quotes_and_a_number_none_either() {
        assert_eq!(
            shown("sump.start-level = 0.5 m"),
            "sump.start-level = \"0.5 m\""
        );
        assert_eq!(
            shown("sump.start-level=\"0.5 m\""),
            "sump.start-level = \"0.5 m\""
        );
        assert_eq!(
            shown("bed.north.inlet.valve.ball = 0.64"),
            "bed.north.inlet.valve.ball = 0.64"
        );
        assert_eq!(
            shown("bed.*.drain.into = sump"),
            "bed.*.drain.into = \"sump\""
        );
        assert_eq!(shown("pump.check-valve = true"), "pump.check-valve = true");
        assert_eq!(
            shown("bed[2].floor = 3 ft 2 in"),
            "bed[2].floor = \"3 ft 2 in\""
        );
        assert_eq!(
            shown("bed.north east.floor = 1 m"),
            "bed.north east.floor = \"1 m\""
        );
        assert_eq!(
            shown("bed.\"no. 1\".floor = 1 m"),
            "bed.\"no. 1\".floor = \"1 m\""
        );
    }

    #[test]
    fn what_is_no_change_says_what_to_write() {
        let error = |text: &str| text.parse::<Edit>().unwrap_err();
        assert_eq!(error("sump.start-level 0.5 m"), EditSyntax::NoEquals);
        assert_eq!(error("sump.start-level ="), EditSyntax::NoValue);
        assert_eq!(error("sump..floor = 1 m"), EditSyntax::EmptyPart);
        assert_eq!(error(" = 1 m"), EditSyntax::EmptyPart);
        assert_eq!(error("bed[0].floor = 1 m"), EditSyntax::NoEntry);
        assert_eq!(error("bed[two].floor = 1 m"), EditSyntax::NoEntry);
        assert_eq!(error("bed.\"north.floor = 1 m"), EditSyntax::OpenQuote);
    }

    #[test]
    fn a_place_covers_all_that_lies_below_it() {
        let path = |text: &str| text.parse::<EditPath>().unwrap();
        let covers = |a: &str, b: &str| path(a).covers(&path(b));
        assert!(covers("sump", "sump.floor"));
        assert!(covers("bed.north", "bed.north.standpipe.length"));
        assert!(covers("bed.*.standpipe", "bed.north.standpipe.length"));
        // A change to every bed would change the kept one too.
        assert!(covers("bed.north.standpipe", "bed.*.standpipe.length"));
        assert!(!covers("bed.north", "bed.south.standpipe.length"));
        assert!(!covers("sump.floor", "sump"));
    }
}
