//! Changes to a scenario that leave it a scenario by its schema: other values inside the
//! allowed ranges, their very ends, parts that come, go, or come from another file.

use crate::dice::Dice;
use serde_json::{Map, Value, json};

/// A place in a tree, with its schema.
type Place<'s> = (String, &'s Value);

/// Entries of a list that is drawn anew, at most.
const ENTRIES: usize = 4;
/// Beds that a walk makes, at most.
const BEDS: usize = 6;

/// Units of a quantity, with what one of them is in the unit of its range.
fn units(quantity: &str) -> &'static [(&'static str, f64)] {
    match quantity {
        "length" => &[
            ("m", 1.0),
            ("mm", 1e-3),
            ("cm", 1e-2),
            ("in", 0.0254),
            ("ft", 0.3048),
        ],
        "area" => &[("m2", 1.0), ("cm2", 1e-4), ("in2", 0.0254 * 0.0254)],
        "volume" => &[("m3", 1.0), ("L", 1e-3)],
        "flow" => &[
            ("m3/s", 1.0),
            ("L/min", 1e-3 / 60.0),
            ("L/h", 1e-3 / 3600.0),
        ],
        "time" => &[("s", 1.0), ("min", 60.0), ("h", 3600.0)],
        "temperature" => &[("degC", 1.0)],
        "power" => &[("W", 1.0)],
        "speed" => &[("m/s", 1.0), ("ft/s", 0.3048)],
        _ => &[],
    }
}

/// `tree` with one change; it may have become a file that the reader refuses.
pub fn step(tree: &mut Value, schema: &Value, other: &Value, dice: &mut Dice) {
    let mut places = Vec::new();
    collect(tree, schema, "", &mut places);
    if places.is_empty() {
        return;
    }
    let (path, schema_here) = dice.one(&places).clone();
    match dice.roll(10) {
        0..=4 => {
            let leaves: Vec<&Place> = places.iter().filter(|place| is_leaf(place.1)).collect();
            if !leaves.is_empty() {
                let (path, schema) = *dice.one(&leaves);
                let old = tree.pointer(path).cloned();
                put(tree, path, draw(schema, old.as_ref(), dice));
            }
        }
        5 => add(tree, schema, &places, dice),
        6 => remove(tree, &path),
        7 => {
            if let Some(part) = other.pointer(&path) {
                put(tree, &path, part.clone());
            }
        }
        8 => beds(tree, dice),
        // The same part of another bed, or any of the same kind.
        _ => {
            let alike: Vec<&Place> = places
                .iter()
                .filter(|place| std::ptr::eq(place.1, schema_here))
                .collect();
            let from = tree.pointer(&dice.one(&alike).0).cloned();
            put(tree, &path, from);
        }
    }
}

fn is_leaf(schema: &Value) -> bool {
    schema.get("properties").is_none()
}

/// Every place of the tree that the schema knows.
fn collect<'s>(tree: &Value, schema: &'s Value, path: &str, places: &mut Vec<Place<'s>>) {
    match tree {
        Value::Object(map) => {
            for (key, value) in map {
                if let Some(property) = schema["properties"].get(key) {
                    let path = format!("{path}/{key}");
                    places.push((path.clone(), property));
                    collect(value, property, &path, places);
                }
            }
        }
        Value::Array(list) if schema["items"].get("properties").is_some() => {
            for (i, value) in list.iter().enumerate() {
                collect(value, &schema["items"], &format!("{path}/{i}"), places);
            }
        }
        _ => {}
    }
}

fn put(tree: &mut Value, path: &str, value: impl Into<Option<Value>>) {
    if let (Some(place), Some(value)) = (tree.pointer_mut(path), value.into()) {
        *place = value;
    }
}

/// A key that a table may have and has not.
fn add(tree: &mut Value, root: &Value, places: &[Place], dice: &mut Dice) {
    let tables: Vec<(&str, &Value)> = places
        .iter()
        .filter(|place| !is_leaf(place.1))
        .map(|(path, schema)| (path.as_str(), *schema))
        .chain([("", root), ("", root)])
        .collect();
    let (path, schema) = *dice.one(&tables);
    let Some(table) = tree.pointer_mut(path).and_then(Value::as_object_mut) else {
        return;
    };
    let lacking: Vec<_> = schema["properties"]
        .as_object()
        .into_iter()
        .flatten()
        .filter(|(key, _)| !table.contains_key(*key))
        .collect();
    if !lacking.is_empty() {
        let (key, property) = *dice.one(&lacking);
        let value = draw(property, None, dice);
        table.insert(key.clone(), value);
    }
}

fn remove(tree: &mut Value, path: &str) {
    let Some((above, key)) = path.rsplit_once('/') else {
        return;
    };
    match tree.pointer_mut(above) {
        Some(Value::Object(map)) => {
            map.remove(key);
        }
        Some(Value::Array(list)) if list.len() > 1 => {
            if let Ok(at) = key.parse::<usize>() {
                list.remove(at);
            }
        }
        _ => {}
    }
}

/// One bed more or less.
fn beds(tree: &mut Value, dice: &mut Dice) {
    let Some(beds) = tree.get_mut("bed").and_then(Value::as_array_mut) else {
        return;
    };
    if beds.len() > 1 && dice.chance(0.4) {
        beds.remove(dice.roll(beds.len()));
    } else if beds.len() < BEDS && !beds.is_empty() {
        let mut copy = dice.one(beds).clone();
        copy["name"] = json!(format!("bed {}", dice.roll(10_000)));
        beds.push(copy);
    }
}

/// A value that the schema allows, often near the one that stands there.
fn draw(schema: &Value, old: Option<&Value>, dice: &mut Dice) -> Value {
    if let Some(value) = schema.get("const") {
        return value.clone();
    }
    for one_of in ["enum", "anyOf"] {
        if let Some(choices) = schema.get(one_of).and_then(Value::as_array) {
            let choice = dice.one(choices);
            return match one_of {
                "enum" => choice.clone(),
                _ => draw(choice, old, dice),
            };
        }
    }
    if let Some(kind) = schema.get("$ref").and_then(Value::as_str) {
        let kind = kind.rsplit('/').next().unwrap_or_default();
        return quantity(kind, schema, old, dice);
    }
    match schema["type"].as_str() {
        Some("boolean") => json!(dice.chance(0.5)),
        Some("integer") => {
            let [least, most] = range(schema, "minimum", "maximum");
            json!(number(least, most, old.and_then(Value::as_f64), dice).round() as i64)
        }
        Some("number") => {
            let [least, most] = range(schema, "minimum", "maximum");
            json!(number(least, most, old.and_then(Value::as_f64), dice))
        }
        Some("array") => list(schema, old, dice),
        Some("object") => Value::Object(object(schema, dice)),
        _ => example(schema, old, dice),
    }
}

fn range(schema: &Value, least: &str, most: &str) -> [f64; 2] {
    [least, most].map(|end| schema.get(end).and_then(Value::as_f64).unwrap_or(1.0))
}

/// Within both ends, often near `old`, sometimes an end itself.
fn number(least: f64, most: f64, old: Option<f64>, dice: &mut Dice) -> f64 {
    match (dice.roll(8), old) {
        (0, _) => least,
        (1, _) => most,
        (2..=5, Some(old)) if old != 0.0 => (old * dice.between(0.5, 2.0)).clamp(least, most),
        _ => dice.between(least, most),
    }
}

/// A quantity as text. Without a range of its own it stays near what stood there.
fn quantity(kind: &str, schema: &Value, old: Option<&Value>, dice: &mut Dice) -> Value {
    let units = units(kind);
    let written = old.and_then(Value::as_str).and_then(|text| {
        let (number, unit) = text.trim().split_once(' ')?;
        let (_, size) = units.iter().find(|(name, _)| *name == unit.trim())?;
        Some(number.parse::<f64>().ok()? * size)
    });
    let bounds = schema
        .get("x-range")
        .map(|range| self::range(range, "least", "most"));
    let value = match (bounds, written) {
        (Some([least, most]), written) if !units.is_empty() => number(least, most, written, dice),
        (None, Some(written)) => written * dice.between(0.5, 2.0),
        _ => return example(schema, old, dice),
    };
    // An end of the range is kept to the last bit in the unit that the range has.
    let is_end = bounds.is_some_and(|ends| ends.contains(&value));
    let (unit, size) = if is_end { units[0] } else { *dice.one(units) };
    json!(if dice.chance(0.5) && !is_end {
        format!("{:.4} {unit}", value / size)
    } else {
        format!("{} {unit}", value / size)
    })
}

/// The example of the schema; without one what stood there.
fn example(schema: &Value, old: Option<&Value>, dice: &mut Dice) -> Value {
    let examples = schema.get("examples").and_then(Value::as_array);
    match (examples, old) {
        (Some(examples), _) if !examples.is_empty() => dice.one(examples).clone(),
        (_, Some(old)) => old.clone(),
        _ => json!("x"),
    }
}

fn list(schema: &Value, old: Option<&Value>, dice: &mut Dice) -> Value {
    let old = old.and_then(Value::as_array);
    if let Some(items) = schema.get("prefixItems").and_then(Value::as_array) {
        let at = |i: usize| old.and_then(|old| old.get(i));
        let drawn = items
            .iter()
            .enumerate()
            .map(|(i, item)| draw(item, at(i), dice));
        return Value::Array(drawn.collect());
    }
    let fewest = schema["minItems"].as_u64().unwrap_or(0) as usize;
    let count = old.map_or(fewest + dice.roll(ENTRIES), Vec::len);
    let at = |i: usize| old.and_then(|old| old.get(i));
    let drawn = (0..count).map(|i| draw(&schema["items"], at(i), dice));
    Value::Array(drawn.collect())
}

/// What a table must have, and some of what it may have.
fn object(schema: &Value, dice: &mut Dice) -> Map<String, Value> {
    let required: Vec<&str> = schema["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    // Of several ways to say one thing, one.
    let ways = schema["allOf"].as_array().into_iter().flatten();
    let chosen: Vec<&str> = ways
        .filter_map(|rule| {
            rule["oneOf"]
                .as_array()
                .or_else(|| rule["anyOf"].as_array())
        })
        .filter_map(|choices| dice.one(choices)["required"][0].as_str())
        .collect();
    let mut map = Map::new();
    for (key, property) in schema["properties"].as_object().into_iter().flatten() {
        let wanted = required.contains(&key.as_str()) || chosen.contains(&key.as_str());
        if wanted || dice.chance(0.1) {
            map.insert(key.clone(), draw(property, None, dice));
        }
    }
    map
}
