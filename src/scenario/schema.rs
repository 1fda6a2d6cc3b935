//! The JSON Schema of the format, for editors.

use serde_json::{Map, Value as Json, json};

use super::advice::allowed;
use super::format::{Bounds, Dependence, Key, MOST_ENTRIES, Table, Value, is_share};
use super::keys::{EVERY_BED, FORMAT};
use super::measured::FORMAT as READINGS;
use crate::units::UnitSystem;
use crate::units::pattern::pattern;
use crate::units::table::Quantity;

/// The JSON Schema (draft 2020-12) of a scenario file.
///
/// It holds every key with its help, every kind of value and every dependence
/// between keys of one table. Ranges of quantities are in the descriptions and, in SI
/// (temperature: degC), in `x-range`, as a schema cannot compare `"18 in"` with `"0.3 m"`;
/// reading a file checks them. `x-order` has the keys of a table as one would write them,
/// `x-default` what applies without one, in words.
pub fn schema() -> Json {
    whole(with_every_bed(table(&FORMAT)), "Flood-and-drain scenario")
}

/// The JSON Schema (draft 2020-12) of a file of readings, which with its sizes and without
/// names is an open record; its `sizes` are a scenario by [`schema`].
pub fn readings_schema() -> Json {
    whole(table(&READINGS), "Readings on a flood-and-drain bed")
}

fn whole(mut root: Json, title: &str) -> Json {
    let definitions: Map<String, Json> = Quantity::ALL
        .into_iter()
        .map(|quantity| {
            let text = format!("{}, such as {}", quantity.name(), quantity.examples());
            let definition = json!({
                "type": "string",
                "pattern": pattern(quantity),
                "description": text,
            });
            (definition_name(quantity), definition)
        })
        .collect();
    if let Some(root) = root.as_object_mut() {
        root.insert(
            "$schema".into(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        root.insert("title".into(), json!(title));
        root.insert("$defs".into(), Json::Object(definitions));
    }
    root
}

/// The same with beds in which nothing is missing that stands in `[every-bed]`.
fn with_every_bed(mut root: Json) -> Json {
    let strict = root["properties"]["bed"]["items"].clone();
    root["properties"]["bed"]["items"] = relaxed(strict.clone());
    root["anyOf"] = json!([
        { "required": [EVERY_BED] },
        { "properties": { "bed": { "items": strict } } },
    ]);
    root
}

/// The same with nothing required, at any depth.
fn relaxed(mut schema: Json) -> Json {
    match &mut schema {
        Json::Object(map) => {
            for key in ["required", "dependentRequired", "allOf"] {
                if map.get(key).is_some_and(|value| !value.is_string()) && map.contains_key("type")
                {
                    let _ = map.remove(key);
                }
            }
            for value in map.values_mut() {
                *value = relaxed(value.take());
            }
        }
        Json::Array(list) => {
            for value in list {
                *value = relaxed(value.take());
            }
        }
        _ => {}
    }
    schema
}

/// `length` of `a length`.
fn definition_name(quantity: Quantity) -> String {
    let name = quantity.name();
    name.split_once(' ')
        .map_or(name, |(_, rest)| rest)
        .replace(' ', "-")
}

fn table(table: &Table) -> Json {
    let properties: Map<String, Json> = table
        .keys
        .iter()
        .map(|key| (key.name.to_owned(), property(key)))
        .collect();
    let required: Vec<&str> = table
        .keys
        .iter()
        .filter(|key| key.required)
        .map(|key| key.name)
        .collect();
    let mut dependent = Map::new();
    let mut all_of = Vec::new();
    for rule in &table.rules {
        let each = |keys: &[&str]| -> Vec<Json> {
            keys.iter()
                .map(|key| json!({ "required": [key] }))
                .collect()
        };
        match *rule {
            Dependence::OneOf(keys) => all_of.push(json!({ "oneOf": each(keys) })),
            Dependence::AnyOf(keys) => all_of.push(json!({ "anyOf": each(keys) })),
            Dependence::AtMostOne(keys) => {
                for (i, first) in keys.iter().enumerate() {
                    for second in &keys[i + 1..] {
                        all_of.push(json!({ "not": { "required": [first, second] } }));
                    }
                }
            }
            Dependence::Needs(key, other) => {
                dependent
                    .entry(key.to_owned())
                    .or_insert_with(|| json!([]))
                    .as_array_mut()
                    .into_iter()
                    .for_each(|others| others.push(json!(other)));
            }
        }
    }
    let mut out = json!({
        "type": "object",
        "description": table.help,
        "properties": properties,
        "additionalProperties": false,
        "x-order": table.keys.iter().map(|key| key.name).collect::<Vec<_>>(),
    });
    if let Some(out) = out.as_object_mut() {
        if !required.is_empty() {
            out.insert("required".into(), json!(required));
        }
        if !dependent.is_empty() {
            out.insert("dependentRequired".into(), Json::Object(dependent));
        }
        if !all_of.is_empty() {
            out.insert("allOf".into(), Json::Array(all_of));
        }
    }
    out
}

/// A value's schema with the key's own description.
fn property(key: &Key) -> Json {
    let mut schema = value(&key.value);
    let mut text = key.help.to_owned();
    if let Some(range) = allowed(&key.value, UnitSystem::Metric) {
        text = format!("{text}; allowed: {range}");
    }
    if let Some(default) = &key.default {
        text = format!("{text}; default: {default}");
    }
    if let Some(schema) = schema.as_object_mut() {
        if let Value::Quantity(bounds) | Value::Reading(bounds) = &key.value {
            let range = json!({ "least": bounds.least, "most": bounds.most });
            schema.insert("x-range".into(), range);
        }
        if let Some(default) = &key.default {
            schema.insert("x-default".into(), json!(default));
        }
        schema.insert("description".into(), json!(text));
        // A string example is written in quotes, as in the file.
        let example = key
            .example
            .strip_prefix('"')
            .and_then(|rest| rest.strip_suffix('"'));
        if let Some(example) = example {
            schema.insert("examples".into(), json!([example]));
        }
    }
    schema
}

fn value(value: &Value) -> Json {
    match value {
        Value::Text(longest) => json!({ "type": "string", "minLength": 1, "maxLength": longest }),
        Value::Nominal => json!({ "type": "string", "minLength": 1, "maxLength": 40 }),
        Value::Quantity(bounds) => quantity(bounds),
        Value::Reading(_) => json!({ "type": "string" }),
        Value::Readings(_) => json!({ "anyOf": [
            { "type": "string" },
            { "type": "array", "items": { "type": "string" } },
        ] }),
        Value::TimeOr(bounds, word) => json!({ "anyOf": [{ "const": word }, quantity(bounds)] }),
        Value::Number(least, most) if is_share(*least, *most) => json!({ "anyOf": [
            number(*least, *most),
            { "type": "string", "pattern": "^ *[0-9]*\\.?[0-9]+ *% *$" },
        ] }),
        Value::Number(least, most) => number(*least, *most),
        Value::Count(least, most) => {
            json!({ "type": "integer", "minimum": least, "maximum": most })
        }
        Value::Flag => json!({ "type": "boolean" }),
        Value::Choice(words) => json!({ "enum": words }),
        Value::Words(words) => list(json!({ "enum": words }), 0),
        Value::Band(least, most) => json!({ "anyOf": [
            number(*least, *most),
            { "type": "array", "items": number(*least, *most), "minItems": 3, "maxItems": 3 },
        ] }),
        Value::Texts(longest) => list(
            json!({ "type": "string", "minLength": 1, "maxLength": longest }),
            0,
        ),
        Value::List(bounds, fewest) => list(quantity(bounds), *fewest),
        Value::Pairs(first, second, fewest) => list(
            json!({
                "type": "array",
                "prefixItems": [quantity(first), quantity(second)],
                "minItems": 2,
                "maxItems": 2,
            }),
            *fewest,
        ),
        Value::Anything => json!({ "type": "object" }),
        Value::Table(inner) => table(inner),
        Value::Tables(inner) => list(table(inner), 1),
    }
}

fn quantity(bounds: &Bounds) -> Json {
    json!({ "$ref": format!("#/$defs/{}", definition_name(bounds.quantity)) })
}

fn number(least: f64, most: f64) -> Json {
    json!({ "type": "number", "minimum": least, "maximum": most })
}

fn list(items: Json, fewest: usize) -> Json {
    json!({ "type": "array", "items": items, "minItems": fewest, "maxItems": MOST_ENTRIES })
}
