//! What to write instead: usage lines, near misses, homes of stray keys.

use super::fault::{KeyPath, Step};
use super::format::{Bounds, Key, Table, Value, is_share};
use super::keys::{EVERY_BED, FORMAT};
use crate::units::UnitSystem;
use crate::units::display::join;
use crate::units::parse::parse;
use crate::units::table::{significant, unit};

/// The range or the words allowed for a value, if it has any.
pub(super) fn allowed(value: &Value, system: UnitSystem) -> Option<String> {
    Some(match value {
        Value::Quantity(bounds) | Value::Reading(bounds) => bounds.text(system),
        Value::TimeOr(bounds, word) => format!("\"{word}\" or {}", bounds.text(system)),
        Value::Number(least, most) if is_share(*least, *most) => format!(
            "{} to {}, or in per cent: \"{} %\" to \"{} %\"",
            significant(*least, 6),
            significant(*most, 6),
            significant(100.0 * least, 6),
            significant(100.0 * most, 6)
        ),
        Value::Number(least, most) | Value::Band(least, most) => {
            format!("{} to {}", significant(*least, 6), significant(*most, 6))
        }
        Value::Count(least, most) => format!("{least} to {most}"),
        Value::List(bounds, _) | Value::Readings(bounds) => {
            format!("each {}", bounds.text(system))
        }
        Value::Pairs(first, second, _) => {
            format!("each {} and {}", first.text(system), second.text(system))
        }
        Value::Choice(words) => {
            let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
            quoted.join(", ")
        }
        Value::Words(words) => {
            let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
            format!("any of {}", quoted.join(", "))
        }
        Value::Flag => "true, false".to_owned(),
        Value::Text(_)
        | Value::Nominal
        | Value::Texts(_)
        | Value::Anything
        | Value::Table(_)
        | Value::Tables(_) => {
            return None;
        }
    })
}

/// `floor = "0 m": elevation of the bottom; allowed: -10 m to 30 m`, for the key at this path.
pub(super) fn usage(key: &Key, path: &KeyPath, system: UnitSystem) -> String {
    let written = match &key.value {
        Value::Tables(table) => format!("[[{}]]{}", header(path), contents(table)),
        Value::Table(table) if !key.example.starts_with('{') => {
            format!("[{}]{}", header(path), contents(table))
        }
        Value::Quantity(bounds) | Value::Reading(bounds) => match us_example(key, bounds, system) {
            Some(example) => format!("{} = \"{example}\"", key.name),
            None => format!("{} = {}", key.name, key.example),
        },
        _ => format!("{} = {}", key.name, key.example),
    };
    let mut line = format!("{written}: {}", key.help);
    if let Some(range) = allowed(&key.value, system) {
        line = format!("{line}; allowed: {range}");
    }
    line
}

/// A path as a table's header has it, without numbers of entries.
fn header(path: &KeyPath) -> String {
    let keys: Vec<&str> = path
        .0
        .iter()
        .filter_map(|step| match step {
            Step::Key(key) => Some(key.as_str()),
            Step::Entry(_) => None,
        })
        .collect();
    keys.join(".")
}

/// ` with shape, floor`: what a table must have.
fn contents(table: &Table) -> String {
    let required: Vec<&str> = table
        .keys
        .iter()
        .filter(|key| key.required)
        .map(|key| key.name)
        .collect();
    if required.is_empty() {
        String::new()
    } else {
        format!(" with {}", required.join(", "))
    }
}

/// The example in US units, in round figures.
fn us_example(key: &Key, bounds: &Bounds, system: UnitSystem) -> Option<String> {
    if system == UnitSystem::Metric {
        return None;
    }
    let si = parse(key.example.trim_matches('"'), bounds.quantity).ok()?;
    let text = bounds.quantity.text(si, system);
    let (number, unit) = text.split_once(' ')?;
    let number: f64 = number.parse().ok()?;
    Some(format!("{} {unit}", significant(number, 2)))
}

/// A bare number with each usual unit that brings it into range; all usual units if none does.
pub(super) fn with_units(number: &str, bounds: &Bounds) -> String {
    let units = bounds.quantity.usual_units();
    let fits = |name: &&str| {
        let value: Option<f64> = number.replace('_', "").parse().ok();
        value
            .zip(unit(name))
            .is_some_and(|(value, unit)| bounds.allow(unit.to_si(value)))
    };
    let fitting: Vec<&str> = units.iter().copied().filter(|name| fits(name)).collect();
    let units = if fitting.is_empty() { units } else { &fitting };
    let ways: Vec<String> = units
        .iter()
        .map(|unit| format!("\"{number} {unit}\""))
        .collect();
    format!(
        "write the unit you measured in, in quotes: {}",
        join(&ways, "or")
    )
}

/// The word closest to a misspelt one, if close enough to be meant.
pub(super) fn nearest<'w>(word: &str, words: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    // Longer than any key: not a slip of the finger, and slow to compare.
    if word.len() > 60 {
        return None;
    }
    let plain = |text: &str| text.to_lowercase().replace(['_', ' ', '-'], "");
    let wanted = plain(word);
    words
        .filter_map(|candidate| {
            let other = plain(candidate);
            let distance = strsim::damerau_levenshtein(&wanted, &other);
            let longest = wanted.chars().count().max(other.chars().count());
            // `bore-diameter` for `bore`, but not every key that begins with `at`.
            let inside =
                other.len() >= 4 && (wanted.starts_with(&other) || wanted.ends_with(&other));
            let slip = distance <= 1 && longest > 2 || distance * 4 <= longest;
            (inside || slip).then_some((distance, candidate))
        })
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// Names of the tables that have this key, at most four.
pub(super) fn belongs_to(key: &str) -> Vec<String> {
    let mut homes = Vec::new();
    search(&FORMAT, "", key, &mut homes);
    homes.truncate(4);
    homes
}

fn search(table: &Table, name: &str, wanted: &str, homes: &mut Vec<String>) {
    if table.key(wanted).is_some() {
        homes.push(if name.is_empty() {
            "the top of the file".to_owned()
        } else {
            format!("[{name}]")
        });
    }
    for key in table.keys.iter().filter(|key| key.name != EVERY_BED) {
        let below = if name.is_empty() {
            key.name.to_owned()
        } else {
            format!("{name}.{}", key.name)
        };
        match &key.value {
            Value::Table(inner) => search(inner, &below, wanted, homes),
            Value::Tables(inner) if name.is_empty() => {
                let from = homes.len();
                search(inner, &below, wanted, homes);
                if homes
                    .get(from)
                    .is_some_and(|home| *home == format!("[{below}]"))
                    && let Some(home) = homes.get_mut(from)
                {
                    *home = format!("[[{below}]]");
                }
            }
            _ => {}
        }
    }
}
