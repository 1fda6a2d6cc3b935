//! A validator for JSON Schema that knows just the keywords our schemas use, and fails on any other.

use regex::Regex;
use serde_json::{Value, json};

/// Whether `value` fits `schema`, whose references are looked up in `root`.
pub fn valid(schema: &Value, root: &Value, value: &Value) -> bool {
    let schema = schema.as_object().unwrap();
    schema.iter().all(|(keyword, rule)| match keyword.as_str() {
        "$schema" | "$defs" | "title" | "description" | "examples" | "unit" => true,
        "$ref" => {
            let target = root
                .pointer(rule.as_str().unwrap().trim_start_matches('#'))
                .unwrap();
            valid(target, root, value)
        }
        "type" => match rule {
            Value::Array(kinds) => kinds.iter().any(|kind| is_a(kind, value)),
            kind => is_a(kind, value),
        },
        "pattern" => value
            .as_str()
            .is_none_or(|text| Regex::new(rule.as_str().unwrap()).unwrap().is_match(text)),
        "enum" => rule.as_array().unwrap().contains(value),
        "const" => rule == value,
        "minLength" => value
            .as_str()
            .is_none_or(|t| t.chars().count() as u64 >= rule.as_u64().unwrap()),
        "maxLength" => value
            .as_str()
            .is_none_or(|t| t.chars().count() as u64 <= rule.as_u64().unwrap()),
        "minimum" => value.as_f64().is_none_or(|n| n >= rule.as_f64().unwrap()),
        "maximum" => value.as_f64().is_none_or(|n| n <= rule.as_f64().unwrap()),
        "minItems" => value
            .as_array()
            .is_none_or(|a| a.len() as u64 >= rule.as_u64().unwrap()),
        "maxItems" => value
            .as_array()
            .is_none_or(|a| a.len() as u64 <= rule.as_u64().unwrap()),
        "items" => value
            .as_array()
            .is_none_or(|a| a.iter().all(|item| valid(rule, root, item))),
        "prefixItems" => value.as_array().is_none_or(|a| {
            a.iter()
                .zip(rule.as_array().unwrap())
                .all(|(item, rule)| valid(rule, root, item))
        }),
        "properties" => value.as_object().is_none_or(|object| {
            object
                .iter()
                .all(|(key, item)| rule.get(key).is_none_or(|rule| valid(rule, root, item)))
        }),
        "additionalProperties" => {
            assert_eq!(rule, &json!(false));
            let known = schema["properties"].as_object().unwrap();
            value
                .as_object()
                .is_none_or(|object| object.keys().all(|key| known.contains_key(key)))
        }
        "required" => value.as_object().is_none_or(|object| {
            rule.as_array()
                .unwrap()
                .iter()
                .all(|key| object.contains_key(key.as_str().unwrap()))
        }),
        "dependentRequired" => value.as_object().is_none_or(|object| {
            rule.as_object().unwrap().iter().all(|(key, others)| {
                !object.contains_key(key)
                    || others
                        .as_array()
                        .unwrap()
                        .iter()
                        .all(|o| object.contains_key(o.as_str().unwrap()))
            })
        }),
        "allOf" => rule
            .as_array()
            .unwrap()
            .iter()
            .all(|rule| valid(rule, root, value)),
        "anyOf" => rule
            .as_array()
            .unwrap()
            .iter()
            .any(|rule| valid(rule, root, value)),
        "oneOf" => {
            rule.as_array()
                .unwrap()
                .iter()
                .filter(|rule| valid(rule, root, value))
                .count()
                == 1
        }
        "not" => !valid(rule, root, value),
        // Remarks for forms judge nothing.
        "x-range" | "x-default" | "x-order" => true,
        other => panic!("keyword {other}"),
    })
}

fn is_a(kind: &Value, value: &Value) -> bool {
    match kind.as_str().unwrap() {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "number" => value.is_number(),
        "integer" => value.is_i64() || value.is_u64(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        other => panic!("type {other}"),
    }
}
