//! The results as JSON: a walk over the command's table of keys.

use std::collections::BTreeMap;

use serde::ser::{SerializeMap, SerializeSeq};
use serde::{Serialize, Serializer};

use crate::answer::key::common;
use crate::answer::shape::Shape;
use crate::answer::{At, Document, Figure, Form, Value, status_key};
use crate::units::UnitSystem;
use crate::units::display::{escaped_json, is_plain};

/// Version of the keys.
pub(super) const SCHEMA: u64 = 2;

/// Values under their keys.
#[derive(Debug, Clone, PartialEq)]
enum Node {
    Value(Value),
    Parts(BTreeMap<String, Node>),
    List(BTreeMap<usize, Node>),
}

impl Document {
    /// One JSON document, indented, ending with a line break; everything is SI. Keys stand in the
    /// order of their table; what the document does not say is `null`, or an empty list.
    ///
    /// # Errors
    /// None that numbers and text can cause; the error of the serialiser is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let node = self.node(&mut Vec::new());
        let shape = Shape::of(self.keys);
        let text = serde_json::to_string_pretty(&Walk(&shape, Some(&node)))?;
        let mut plain = escaped_json(&text, |c| c == '\n' || is_plain(c));
        plain.push('\n');
        Ok(plain)
    }

    /// What is wrong with the figures of this document: those without a key in the table, keys with
    /// two values, values that are missing where the table does not say when. Empty if all is well.
    pub fn faults(&self) -> Vec<String> {
        let mut faults = Vec::new();
        let node = self.node(&mut faults);
        compare(&Shape::of(self.keys), Some(&node), "", &mut faults);
        faults
    }

    /// All figures by their keys.
    fn node(&self, faults: &mut Vec<String>) -> Node {
        let at = At::top(UnitSystem::Metric);
        let own = [
            Some(at.count(&common::SCHEMA, SCHEMA)),
            Some(at.word(&common::VERSION, env!("CARGO_PKG_VERSION"))),
            Some(at.word(&common::COMMAND, self.keys.command)),
            Some(at.word(&common::TITLE, self.title.as_str())),
            self.verdict
                .map(|status| at.word(&common::VERDICT, status_key(status))),
            Some(at.word(&common::HEADLINE, self.headline.to_string())),
        ];
        let mut top = Node::Parts(BTreeMap::new());
        for figure in own.iter().flatten().chain(self.figures()) {
            if !top.put(figure) {
                let key = &figure.key;
                faults.push(format!("{key} has two values or two shapes"));
            }
        }
        top
    }
}

impl Node {
    /// Puts a figure under its key; false where another stands there.
    fn put(&mut self, figure: &Figure) -> bool {
        let mut at = self;
        for step in figure.key.split('.') {
            let mut names = step.split('[');
            let Self::Parts(parts) = at else { return false };
            let name = names.next().unwrap_or_default().to_owned();
            at = parts.entry(name).or_insert_with(Self::open);
            for index in names {
                let index = index.trim_end_matches(']').parse().unwrap_or(usize::MAX);
                if at.is_open() {
                    *at = Self::List(BTreeMap::new());
                }
                let Self::List(items) = at else { return false };
                at = items.entry(index).or_insert_with(Self::open);
            }
        }
        if at.is_open() {
            *at = Self::Value(figure.value.clone());
            return true;
        }
        matches!(at, Self::Value(known) if same(known, &figure.value))
    }

    const fn open() -> Self {
        Self::Parts(BTreeMap::new())
    }

    fn is_open(&self) -> bool {
        matches!(self, Self::Parts(parts) if parts.is_empty())
    }
}

/// The same value; not known is the same as not known.
fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => a == b || (!a.is_finite() && !b.is_finite()),
        _ => a == b,
    }
}

/// A place of the table and what the document has there.
struct Walk<'a>(&'a Shape, Option<&'a Node>);

impl Serialize for Walk<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match (self.0, self.1) {
            (Shape::Value(_), Some(Node::Value(value))) => match value {
                // Adding zero turns a negative nought into a plain one.
                Value::Number(number) if number.is_finite() => to.serialize_f64(number + 0.0),
                Value::Number(_) => to.serialize_none(),
                Value::Count(count) => to.serialize_u64(*count),
                Value::Flag(flag) => to.serialize_bool(*flag),
                Value::Word(word) => to.serialize_str(word),
            },
            (Shape::Value(_), _) => to.serialize_none(),
            (Shape::Parts { key: Some(key), .. }, None) if key.absent.is_some() => {
                to.serialize_none()
            }
            (Shape::Parts { parts, .. }, node) => {
                let mut map = to.serialize_map(Some(parts.len()))?;
                for (name, shape) in parts {
                    let below = match node {
                        Some(Node::Parts(found)) => found.get(*name),
                        _ => None,
                    };
                    map.serialize_entry(name, &Walk(shape, below))?;
                }
                map.end()
            }
            (Shape::List { each, .. }, node) => {
                let items = match node {
                    Some(Node::List(items)) => Some(items),
                    _ => None,
                };
                let mut list = to.serialize_seq(Some(items.map_or(0, BTreeMap::len)))?;
                for item in items.into_iter().flat_map(BTreeMap::values) {
                    list.serialize_element(&Walk(each, Some(item)))?;
                }
                list.end()
            }
        }
    }
}

/// Says where the document and its table differ.
fn compare(shape: &Shape, node: Option<&Node>, path: &str, faults: &mut Vec<String>) {
    let absent = shape.key().is_some_and(|key| key.absent.is_some());
    match (shape, node) {
        (Shape::Value(_), Some(Node::Value(Value::Number(number)))) if !number.is_finite() => {
            if !absent {
                faults.push(format!(
                    "{path} is not a number, and its key does not say when"
                ));
            }
        }
        (Shape::Value(_), Some(Node::Value(_))) => {}
        (Shape::Value(_) | Shape::Parts { .. }, None) if absent => {}
        (Shape::Value(_), None) => {
            faults.push(format!("{path} is missing, and its key does not say when"));
        }
        (Shape::Parts { parts, .. }, None) => {
            for (name, shape) in parts {
                compare(shape, None, &format!("{path}.{name}"), faults);
            }
        }
        (Shape::Parts { key, parts }, Some(Node::Parts(found))) => {
            for name in found.keys() {
                if !parts.iter().any(|(known, _)| known == name) {
                    faults.push(format!("{path}.{name} is not in the table of keys"));
                }
            }
            let named = matches!(key.map(|key| key.form), Some(Form::Named(_)));
            for (name, shape) in parts {
                // A whole that is there has all its named values.
                let below = found.get(*name);
                if named && below.is_none() {
                    faults.push(format!("{path}.{name} is missing beside its fellows"));
                }
                compare(shape, below, &format!("{path}.{name}"), faults);
            }
        }
        (Shape::List { .. }, None) => {}
        (Shape::List { each, .. }, Some(Node::List(items))) => {
            for (place, (index, item)) in items.iter().enumerate() {
                if place != *index {
                    faults.push(format!("{path}[{place}] is missing before {path}[{index}]"));
                }
                compare(each, Some(item), &format!("{path}[{index}]"), faults);
            }
        }
        (_, Some(_)) => faults.push(format!("{path} has another shape than its key")),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use serde_json::{Value as Json, json};

    use crate::answer::sample::{HOSTILE, document};
    use crate::answer::{At, Key, Kind, Section};
    use crate::units::UnitSystem::Metric;
    use crate::units::display::is_plain;

    fn parsed(document: &crate::answer::Document) -> Json {
        serde_json::from_str(&document.json().unwrap()).unwrap()
    }

    #[test]
    fn keys_follow_the_table_and_what_is_not_said_is_null() {
        let sample = document("north");
        assert_eq!(sample.faults(), [""; 0]);
        let text = sample.json().unwrap();
        let order = [
            "\"schema\": 2",
            "\"verdict\": \"fail\"",
            "\"beds\"",
            "\"name\": \"north\"",
            "\"works\"",
            "\"line\": null",
        ];
        let places: Vec<_> = order.iter().map(|part| text.find(part).unwrap()).collect();
        assert!(places.is_sorted(), "{text}");
        let bed = &parsed(&sample)["beds"][0];
        assert_eq!(bed["inflow_m3_s"]["max"], json!(9.5e-3 / 60.0));
        assert_eq!(bed["peak_depth_m"], json!(0.225));
        assert_eq!(bed["spent_s"], Json::Null);
        assert_eq!(bed["window_m3_s"], Json::Null);
        assert_eq!(parsed(&sample)["points"], json!([]));
    }

    // `--json` is looked at in terminals too, and a title may hold a mark of direction.
    #[test]
    fn nothing_that_turns_or_drives_a_terminal_stands_in_the_text() {
        let text = document(HOSTILE).json().unwrap();
        assert_eq!(text.chars().find(|c| *c != '\n' && !is_plain(*c)), None);
    }

    #[test]
    fn names_come_out_as_they_went_in() {
        let found = parsed(&document(HOSTILE));
        assert_eq!(found["title"], json!(HOSTILE));
        assert_eq!(found["beds"][0]["name"], json!(HOSTILE));
    }

    #[test]
    fn a_document_that_leaves_its_table_is_found_out() {
        let bed = At::top(Metric).item("beds", 0);
        let key = |name| Key::new(name, Kind::Length, "A length.");
        let with = |figures| {
            let mut sample = document("north");
            sample.sections.push(Section::data(figures));
            sample.faults()
        };
        let stray = with(vec![bed.figure(&key("depth_m"), 1.0)]);
        assert_eq!(stray, [".beds[0].depth_m is not in the table of keys"]);
        let twice = with(vec![bed.figure(&key("peak_depth_m"), 0.3)]);
        assert_eq!(twice, ["beds[0].peak_depth_m has two values or two shapes"]);
        let mut sample = document("north");
        sample.sections.retain(|section| section.key != "bed-0");
        sample.sections.push(Section::data(vec![
            bed.figure(&key("peak_depth_m"), f64::NAN),
        ]));
        let faults = sample.faults();
        assert!(
            faults.contains(&".beds[0].name is missing, and its key does not say when".to_owned())
        );
        assert!(
            faults
                .iter()
                .any(|fault| fault.starts_with(".beds[0].peak_depth_m is not a number"))
        );
    }
}
