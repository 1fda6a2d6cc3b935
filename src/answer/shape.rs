//! A table of keys as the tree that JSON is.

use crate::answer::key::common;
use crate::answer::{Form, Group, Key, KeyTable, Kind};

/// What stands at a place of the results.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    /// One value of a key.
    Value(Key),
    /// Named parts, in order.
    Parts {
        /// The key, where the table has one for the whole.
        key: Option<Key>,
        /// The parts.
        parts: Vec<(&'static str, Shape)>,
    },
    /// A list of equal parts.
    List {
        /// The key of the whole.
        key: Option<Key>,
        /// One of them.
        each: Box<Shape>,
    },
}

impl Shape {
    /// The tree of a command's results.
    pub(super) fn of(table: &KeyTable) -> Self {
        let mut top = Self::parts();
        let common: (&str, Group) = ("", common::TOP);
        for &(place, group) in std::iter::once(&common).chain(table.groups) {
            for key in group {
                top.down(place).add(key);
            }
        }
        top
    }

    const fn parts() -> Self {
        Self::Parts {
            key: None,
            parts: Vec::new(),
        }
    }

    /// The key of this place, if it has one.
    pub(super) const fn key(&self) -> Option<&Key> {
        match self {
            Self::Value(key) => Some(key),
            Self::Parts { key, .. } | Self::List { key, .. } => key.as_ref(),
        }
    }

    /// The place `path` below this one, made where the table did not name it before.
    fn down(&mut self, path: &'static str) -> &mut Self {
        let mut at = self;
        for step in path.split('.').filter(|step| !step.is_empty()) {
            let name = step.trim_end_matches("[]");
            at = at.part(name);
            if step.ends_with("[]") {
                at = at.each();
            }
        }
        at
    }

    fn part(&mut self, name: &'static str) -> &mut Self {
        if !matches!(self, Self::Parts { .. }) {
            *self = Self::parts();
        }
        let Self::Parts { parts, .. } = self else {
            return self;
        };
        let index = parts.iter().position(|(known, _)| *known == name);
        let index = index.unwrap_or_else(|| {
            parts.push((name, Self::parts()));
            parts.len() - 1
        });
        &mut parts[index].1
    }

    fn each(&mut self) -> &mut Self {
        if !matches!(self, Self::List { .. }) {
            *self = Self::List {
                key: None,
                each: Box::new(Self::parts()),
            };
        }
        match self {
            Self::List { each, .. } => each,
            other => other,
        }
    }

    fn add(&mut self, key: &Key) {
        let leaf = match key.kind {
            Kind::Part => Self::parts(),
            _ => Self::Value(Key {
                form: Form::One,
                ..*key
            }),
        };
        let shape = match key.form {
            Form::One => match leaf {
                Self::Parts { parts, .. } => Self::Parts {
                    key: Some(*key),
                    parts,
                },
                leaf => leaf,
            },
            Form::Named(names) => Self::Parts {
                key: Some(*key),
                parts: names.iter().map(|name| (*name, leaf.clone())).collect(),
            },
            Form::List => Self::List {
                key: Some(*key),
                each: Box::new(leaf),
            },
        };
        *self.part(key.name) = shape;
    }
}
