//! A file after the walk: known keys, values in SI, places kept.

use std::ops::Range;

use super::fault::KeyPath;
use super::format::{Key, Table};
use crate::model::Band;

/// A table whose keys have been judged.
#[derive(Debug)]
pub(super) struct Node {
    pub format: &'static Table,
    pub path: KeyPath,
    pub span: Range<usize>,
    pub entries: Vec<Entry>,
}

/// A known key and its value.
#[derive(Debug)]
pub(super) struct Entry {
    pub key: &'static Key,
    pub span: Range<usize>,
    pub content: Content,
}

/// A value.
#[derive(Debug)]
pub(super) enum Content {
    Text(String),
    Number(f64),
    Flag(bool),
    Word(&'static str),
    Words(Vec<&'static str>),
    Band(Band),
    List(Vec<f64>),
    Texts(Vec<String>),
    Pairs(Vec<Pair>),
    /// Value and spread of a measurement.
    Reading(f64, Option<f64>),
    /// Several of these.
    Readings(Vec<(f64, Option<f64>)>),
    /// Read by somebody else.
    Anything,
    Table(Node),
    Tables(Vec<Node>),
    /// Reported already; neither there nor missing.
    Faulty,
}

/// A pair of a list, such as a point of a pump curve.
#[derive(Debug, Clone)]
pub(super) struct Pair {
    pub values: (f64, f64),
    pub span: Range<usize>,
}

/// A number and where it stands.
#[derive(Debug, Clone)]
pub(super) struct At {
    pub value: f64,
    pub span: Range<usize>,
}

impl Node {
    fn entry(&self, key: &str) -> Option<&Entry> {
        debug_assert!(
            self.format.key(key).is_some(),
            "{key} is no key of {}",
            self.path
        );
        self.entries.iter().find(|entry| entry.key.name == key)
    }

    /// Whether the key is there, faulty or not.
    pub fn has(&self, key: &str) -> bool {
        self.entry(key).is_some()
    }

    /// Where the key's value stands, else the table itself.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.entry(key)
            .map_or_else(|| self.span.clone(), |entry| entry.span.clone())
    }

    /// A number in SI with its place; `None` if missing or faulty.
    pub fn at(&self, key: &str) -> Option<At> {
        let entry = self.entry(key)?;
        match entry.content {
            Content::Number(value) => Some(At {
                value,
                span: entry.span.clone(),
            }),
            _ => None,
        }
    }

    /// A number in SI; `None` if missing or faulty.
    pub fn number(&self, key: &str) -> Option<f64> {
        self.at(key).map(|at| at.value)
    }

    /// A number, or the default if the key is missing; `None` if it is faulty.
    pub fn number_or(&self, key: &str, default: f64) -> Option<f64> {
        if self.has(key) {
            self.number(key)
        } else {
            Some(default)
        }
    }

    /// `Some(None)` if the key is missing, `None` if it is faulty.
    pub fn optional(&self, key: &str) -> Option<Option<f64>> {
        if self.has(key) {
            self.number(key).map(Some)
        } else {
            Some(None)
        }
    }

    pub fn text(&self, key: &str) -> Option<&str> {
        match &self.entry(key)?.content {
            Content::Text(text) => Some(text),
            _ => None,
        }
    }

    /// A list of texts; an empty one if it is missing.
    pub fn texts(&self, key: &str) -> &[String] {
        match self.entry(key).map(|entry| &entry.content) {
            Some(Content::Texts(texts)) => texts,
            _ => &[],
        }
    }

    pub fn word(&self, key: &str) -> Option<&'static str> {
        match self.entry(key)?.content {
            Content::Word(word) => Some(word),
            _ => None,
        }
    }

    pub fn words(&self, key: &str) -> Option<&[&'static str]> {
        match &self.entry(key)?.content {
            Content::Words(words) => Some(words),
            _ => None,
        }
    }

    /// A flag, or the default if the key is missing; `None` if it is faulty.
    pub fn flag_or(&self, key: &str, default: bool) -> Option<bool> {
        match self.entry(key).map(|entry| &entry.content) {
            None => Some(default),
            Some(Content::Flag(flag)) => Some(*flag),
            Some(_) => None,
        }
    }

    pub fn band(&self, key: &str) -> Option<Band> {
        match self.entry(key)?.content {
            Content::Band(band) => Some(band),
            _ => None,
        }
    }

    /// A measured value and its spread, if one was given.
    pub fn reading(&self, key: &str) -> Option<(f64, Option<f64>)> {
        match self.entry(key)?.content {
            Content::Reading(value, spread) => Some((value, spread)),
            _ => None,
        }
    }

    /// Measured values and their spreads, where given; none where the key is missing.
    pub fn readings(&self, key: &str) -> &[(f64, Option<f64>)] {
        match self.entry(key).map(|entry| &entry.content) {
            Some(Content::Readings(all)) => all,
            _ => &[],
        }
    }

    pub fn list(&self, key: &str) -> Option<&[f64]> {
        match &self.entry(key)?.content {
            Content::List(list) => Some(list),
            _ => None,
        }
    }

    pub fn pairs(&self, key: &str) -> Option<&[Pair]> {
        match &self.entry(key)?.content {
            Content::Pairs(pairs) => Some(pairs),
            _ => None,
        }
    }

    pub fn table(&self, key: &str) -> Option<&Node> {
        match &self.entry(key)?.content {
            Content::Table(node) => Some(node),
            _ => None,
        }
    }

    pub fn tables(&self, key: &str) -> &[Node] {
        match self.entry(key).map(|entry| &entry.content) {
            Some(Content::Tables(nodes)) => nodes,
            _ => &[],
        }
    }

    /// The path of one of its keys.
    pub fn path_of(&self, key: &str) -> KeyPath {
        self.path.key(key)
    }
}
