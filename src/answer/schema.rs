//! The JSON Schema of results, made from the tables of keys.

use serde_json::{Map, Value, json};

use crate::answer::json::SCHEMA;
use crate::answer::shape::Shape;
use crate::answer::{Key, KeyTable, Kind, TABLES};

/// The JSON Schema of every command's results.
pub fn results_schema() -> Value {
    let commands: Vec<Value> = TABLES.iter().map(|table| command(table)).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "ebbwright results",
        "description": format!(
            "What the commands print with --json, and write beside their reports. All numbers are SI, \
             elevations are above the floor of the room; \"unit\" names the unit of a number. Version \
             {SCHEMA} of the keys; further keys may be added to it."
        ),
        "oneOf": commands,
    })
}

fn command(table: &KeyTable) -> Value {
    let mut schema = schema(&Shape::of(table));
    for (name, constant) in [("schema", json!(SCHEMA)), ("command", json!(table.command))] {
        let property = schema.pointer_mut(&format!("/properties/{name}"));
        if let Some(property) = property.and_then(Value::as_object_mut) {
            property.insert("const".to_owned(), constant);
        }
    }
    if let Some(whole) = schema.as_object_mut() {
        whole.insert("title".to_owned(), json!(table.command));
        whole.insert("description".to_owned(), json!(table.means));
    }
    schema
}

fn schema(shape: &Shape) -> Value {
    match shape {
        Shape::Value(key) => {
            let mut rule = about(Some(key), kind(key));
            if let Kind::Word(words) = key.kind {
                let mut all: Vec<Value> = words.iter().map(|word| json!(word)).collect();
                if key.absent.is_some() {
                    all.push(Value::Null);
                }
                rule.insert("enum".to_owned(), Value::Array(all));
            }
            if let Some(unit) = key.kind.unit() {
                rule.insert("unit".to_owned(), json!(unit));
            }
            Value::Object(rule)
        }
        Shape::Parts { key, parts } => {
            let mut rule = about(key.as_ref(), "object");
            let properties: Map<String, Value> = parts
                .iter()
                .map(|(name, shape)| ((*name).to_owned(), schema(shape)))
                .collect();
            let names: Vec<&str> = parts.iter().map(|(name, _)| *name).collect();
            rule.insert("properties".to_owned(), Value::Object(properties));
            rule.insert("required".to_owned(), json!(names));
            rule.insert("additionalProperties".to_owned(), json!(false));
            Value::Object(rule)
        }
        Shape::List { key, each } => {
            let mut rule = about(key.as_ref(), "array");
            rule.insert("type".to_owned(), json!("array"));
            rule.insert("items".to_owned(), schema(each));
            Value::Object(rule)
        }
    }
}

const fn kind(key: &Key) -> &'static str {
    match key.kind {
        Kind::Count => "integer",
        Kind::Flag => "boolean",
        Kind::Word(_) | Kind::Text => "string",
        _ => "number",
    }
}

/// Type and description; what may be `null` says when.
fn about(key: Option<&Key>, kind: &str) -> Map<String, Value> {
    let mut rule = Map::new();
    let absent = key.and_then(|key| key.absent);
    if let Some(key) = key {
        let when = absent.map_or_else(String::new, |when| format!(" null: {when}."));
        rule.insert(
            "description".to_owned(),
            json!(format!("{}{when}", key.means)),
        );
    }
    let kinds = if absent.is_some() {
        json!([kind, "null"])
    } else {
        json!(kind)
    };
    rule.insert("type".to_owned(), kinds);
    rule
}
