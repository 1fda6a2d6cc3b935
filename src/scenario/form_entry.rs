//! How a size is entered: in which unit, within what limits.

use super::format::{Value, is_share};
use super::plain;
use crate::units::UnitSystem;
use crate::units::display::round_inches;
use crate::units::parse::parse;
use crate::units::table::{Quantity, significant};
use serde::Serialize;

/// How a value is entered.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "as")]
#[non_exhaustive]
pub enum Entry {
    /// A number, with a unit where there is one; all three in that unit.
    Number {
        /// As written last, or of the example.
        unit: String,
        /// The value; `None` where none is written or it has no single unit.
        value: Option<f64>,
        /// Least allowed.
        least: f64,
        /// Most allowed.
        most: f64,
        /// Whether it is a whole number.
        whole: bool,
        /// Whether it is a share of one, shown in per cent.
        share: bool,
    },
    /// One of these words.
    Choice {
        /// The words.
        words: Vec<String>,
        /// How a person says each.
        says: Vec<String>,
    },
    /// Yes or no.
    Flag,
    /// Anything else, typed as the file has it.
    Text,
}

/// How what stands at `place` is entered: the unit is that of the file, of `example` where nothing is written.
pub(super) fn entry(
    place: &str,
    value: &Value,
    (written, example): (Option<&str>, &str),
    units: UnitSystem,
) -> Entry {
    match value {
        Value::Quantity(bounds) => {
            let unit = at_home(unit_of(written.unwrap_or(example)), units);
            let unit = by_hand(place, unit);
            quantity(bounds.quantity, (bounds.least, bounds.most), written, unit)
        }
        Value::Number(least, most) if is_share(*least, *most) => share(written, *least, *most),
        Value::Number(least, most) => number(written, *least, *most, false),
        Value::Count(least, most) => number(written, f64::from(*least), f64::from(*most), true),
        Value::Choice(words) => {
            let name = place.rsplit('.').next().unwrap_or_default();
            Entry::Choice {
                words: words.iter().map(|word| (*word).to_owned()).collect(),
                says: words.iter().map(|word| plain::choice(name, word)).collect(),
            }
        }
        Value::Flag => Entry::Flag,
        _ => Entry::Text,
    }
}

fn number(written: Option<&str>, least: f64, most: f64, whole: bool) -> Entry {
    Entry::Number {
        unit: String::new(),
        value: written.and_then(|text| text.parse().ok()),
        least,
        most,
        whole,
        share: false,
    }
}

/// The example in the unit that stands beside the box, as round as one would say it.
pub(super) fn example_in(value: &Value, entry: &Entry, example: String) -> String {
    let (Value::Quantity(bounds), Entry::Number { unit, .. }) = (value, entry) else {
        return example;
    };
    let si = |text: &str| parse(text, bounds.quantity).ok();
    let found = si(&example).and_then(|value| {
        let (zero, one) = (si(&format!("0 {unit}"))?, si(&format!("1 {unit}"))?);
        Some(match unit.as_str() {
            "in" => round_inches(value).trim_end_matches(" in").to_owned(),
            _ => significant((value - zero) / (one - zero), 2),
        })
    });
    found.unwrap_or(example)
}

/// A share, bare or in per cent, as people say it.
fn share(written: Option<&str>, least: f64, most: f64) -> Entry {
    let read = |text: &str| match text.trim_end().strip_suffix('%') {
        Some(percent) => percent.trim().parse().ok(),
        None => text.trim().parse().ok().map(|share: f64| 100.0 * share),
    };
    Entry::Number {
        unit: "%".to_owned(),
        value: written.and_then(read),
        least: 100.0 * least,
        most: 100.0 * most,
        whole: false,
        share: true,
    }
}

/// Units of tape and bucket, and what stands for each among who reads the others.
const ABROAD: [(&str, &str); 9] = [
    ("mm", "in"),
    ("cm", "in"),
    ("m", "in"),
    ("L/min", "gal/min"),
    ("L/h", "gal/h"),
    ("L", "gal"),
    ("mm2", "in2"),
    ("cm2", "in2"),
    ("m3/h", "gal/h"),
];

/// The unit of `system` for what is written in `unit`.
fn at_home(unit: &str, system: UnitSystem) -> &str {
    let found = match system {
        UnitSystem::Us => ABROAD.iter().find(|one| one.0 == unit).map(|one| one.1),
        UnitSystem::Metric => match unit {
            "in" | "ft" => Some("mm"),
            _ => ABROAD.iter().find(|one| one.1 == unit).map(|one| one.0),
        },
    };
    found.unwrap_or(unit)
}

/// Parts of a siphon, and what is measured of any pipe: sold and cut by the millimetre.
const BY_MILLIMETRE: [&str; 12] = [
    "standpipe",
    "bell",
    "guard",
    "slots",
    "air-tube",
    "bore",
    "outside",
    "flare",
    "nominal",
    "roughness",
    "grain",
    "coefficients",
];

/// The unit that goes with the tool for a length at `place`, however it is written: a tape has centimetres,
/// and lengths that stand side by side have one unit.
fn by_hand<'a>(place: &str, unit: &'a str) -> &'a str {
    let name = |part: &str| BY_MILLIMETRE.contains(&part.split('[').next().unwrap_or_default());
    match unit {
        "mm" | "cm" | "m" if place.split('.').any(name) => "mm",
        // No tape measures what a pump's box says.
        "mm" | "cm" | "m" if place.ends_with("head") => unit,
        "mm" | "cm" | "m" => "cm",
        other => other,
    }
}

/// A quantity in `unit`; text where it has no single one.
fn quantity(
    quantity: Quantity,
    (least, most): (f64, f64),
    written: Option<&str>,
    unit: &str,
) -> Entry {
    let si = |number: &str| parse(&format!("{number} {unit}"), quantity).ok();
    let (Some(zero), Some(one)) = (si("0"), si("1")) else {
        return Entry::Text;
    };
    let in_unit = |value: f64| (value - zero) / (one - zero);
    Entry::Number {
        unit: unit.to_owned(),
        value: written
            .and_then(|text| parse(text, quantity).ok())
            .map(in_unit),
        least: in_unit(least),
        most: in_unit(most),
        whole: false,
        share: false,
    }
}

/// Words about what stands at `place`, lengths in the unit that a form asks it in.
pub(crate) fn in_form_units(place: &str, words: &str) -> String {
    // Limits are told in the millimetres of a siphon.
    if by_hand(place, "m") != "cm" || place.starts_with("checks") {
        return words.to_owned();
    }
    let mut out: Vec<String> = Vec::new();
    for word in words.split(' ') {
        let unit = word.trim_end_matches(|c| ".,;:)".contains(c));
        let centimetres = match unit {
            "m" => Some(100.0),
            "mm" => Some(0.1),
            _ => None,
        };
        let number = out.last().and_then(|last| last.parse::<f64>().ok());
        match (centimetres, number) {
            (Some(factor), Some(number)) => {
                out.pop();
                out.push(significant(factor * number, 5));
                out.push(format!("cm{}", &word[unit.len()..]));
            }
            _ => out.push(word.to_owned()),
        }
    }
    out.join(" ")
}

/// The unit at the end of a quantity: `in` of `1 1/2 in`, `cm2` of `60cm2`.
fn unit_of(text: &str) -> &str {
    let last = text.split_whitespace().next_back().unwrap_or_default();
    last.trim_start_matches(|c: char| c.is_ascii_digit() || ".,+-/½¼¾⅛⅜⅝⅞".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_about_a_size_are_in_the_unit_it_is_asked_in() {
        let words = "is 0.55 m, more than 750 mm (write 1.3 m).";
        let cm = "is 55 cm, more than 75 cm (write 130 cm).";
        assert_eq!(in_form_units("tank.overflow-level", words), cm);
        assert_eq!(in_form_units("bed[1].standpipe.length", words), words);
        assert_eq!(
            in_form_units("sump.floor", "m 3 L, 0.5 m2, 0.5 m²"),
            "m 3 L, 0.5 m2, 0.5 m²"
        );
        assert_eq!(in_form_units("checks.dry-layer", words), words);
    }
}
