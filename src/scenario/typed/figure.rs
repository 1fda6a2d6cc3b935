//! A number as the file would have it.

use toml_edit::Value;

use super::SAME;
use super::differs::close;

use crate::scenario::format::Value as Kind;
use crate::scenario::keys::FORMAT;
use crate::scenario::typed_edit::{EditPath, Part};
use crate::scenario::walk::percent;
use crate::units::UnitSystem;
use crate::units::parse::parse;
use crate::units::table::{Quantity, significant};

/// Figures that are written: what a sum leaves behind the sixteenth is gone, and nothing else.
pub(super) const FIGURES: i32 = 12;

/// What may stand at `path`.
pub(super) fn kind(path: &EditPath) -> Option<&'static Kind> {
    let table: &'static super::super::format::Table = &FORMAT;
    let mut names = path.parts().iter().filter_map(|part| match part {
        Part::Name(name) => Some(name.as_str()),
        Part::Entry(_) | Part::Each => None,
    });
    let mut here = &table.key(names.next()?)?.value;
    for name in names {
        let (Kind::Table(table) | Kind::Tables(table)) = here else {
            return None;
        };
        here = &table.key(name)?.value;
    }
    Some(here)
}

/// `value` for `path`, in the unit of the text that stands there now where there is one.
pub(super) fn at(
    path: &EditPath,
    value: f64,
    now: Option<&Value>,
    usual: UnitSystem,
) -> Option<Value> {
    match kind(path)? {
        Kind::Quantity(bounds) => {
            let now = now.and_then(Value::as_str);
            Some(Value::from(text(bounds.quantity, value, now, usual)))
        }
        Kind::Number(..) if now.and_then(Value::as_str).and_then(percent).is_some() => {
            let share = significant(100.0 * value, FIGURES);
            Some(Value::from(format!("{share} %")))
        }
        Kind::Number(..) | Kind::Count(..) | Kind::Band(..) => number(value),
        _ => None,
    }
}

/// A bare number, whole where it is.
pub(super) fn number(value: f64) -> Option<Value> {
    significant(value, FIGURES).parse().ok()
}

/// A figure with its unit.
pub(super) fn text(quantity: Quantity, value: f64, now: Option<&str>, usual: UnitSystem) -> String {
    let unit = now
        .and_then(unit_of)
        .filter(|unit| scale(unit, quantity).is_some())
        .unwrap_or_else(|| usual_unit(quantity, value, usual));
    if unit == "in"
        && let Some(text) = on_the_tape(value, quantity)
    {
        return text;
    }
    let (one, zero) = scale(unit, quantity).unwrap_or((1.0, 0.0));
    format!(
        "{} {unit}",
        significant((value - zero) / (one - zero), FIGURES)
    )
}

/// A length as a tape in inches shows it, where it lies on one of its marks.
fn on_the_tape(value: f64, quantity: Quantity) -> Option<String> {
    let text = UnitSystem::Us.length(value);
    let read = parse(&text, quantity).ok()?;
    close(read, value, SAME).then_some(text)
}

/// What one of a unit is, and what none is.
fn scale(unit: &str, quantity: Quantity) -> Option<(f64, f64)> {
    let of = |count: &str| parse(&format!("{count} {unit}"), quantity).ok();
    of("1").zip(of("0"))
}

/// The last unit in a text: of `7 ft 2 in` the inch.
fn unit_of(text: &str) -> Option<&str> {
    let last = text.split_whitespace().next_back()?;
    let unit =
        last.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | '-'));
    // The mark of the inch is written as the word.
    match unit {
        "" => None,
        "\"" | "\u{2033}" => Some("in"),
        // `1:50` is no number with a unit.
        unit if unit.starts_with(':') => None,
        unit => Some(unit),
    }
}

fn usual_unit(quantity: Quantity, value: f64, usual: UnitSystem) -> &'static str {
    let us = usual == UnitSystem::Us;
    match quantity {
        Quantity::Length if us => "in",
        Quantity::Length if value.abs() < 0.3 && value != 0.0 => "mm",
        Quantity::Length => "m",
        Quantity::Area if us => "in2",
        Quantity::Area if value < 0.1 => "cm2",
        Quantity::Area => "m2",
        Quantity::Volume if us => "gal",
        Quantity::Volume => "L",
        Quantity::Flow if us => "gal/h",
        Quantity::Flow => "L/min",
        Quantity::Time => "s",
        Quantity::Temperature if us => "degF",
        Quantity::Temperature => "degC",
        other => other.usual_units()[0],
    }
}

/// The units in which most of a scenario is written.
pub(super) fn units_of(text: &str) -> UnitSystem {
    let count =
        |units: &[&str]| -> usize { units.iter().map(|unit| text.matches(unit).count()).sum() };
    // With the quote that ends them, or `m` would count inside words.
    let us = count(&[" in\"", " ft\"", " gal", "in2\"", " degF"]);
    let metric = count(&[" mm\"", " cm\"", " m\"", " L", "m2\"", " degC"]);
    if us > metric {
        UnitSystem::Us
    } else {
        UnitSystem::Metric
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_keeps_the_unit_it_had() {
        let length = |value, now| text(Quantity::Length, value, now, UnitSystem::Metric);
        assert_eq!(length(0.587, Some("0.6 m")), "0.587 m");
        assert_eq!(length(0.2143125, Some("8 1/2 in")), "8 7/16 in");
        assert_eq!(length(0.2143125, Some("8-1/2\"")), "8 7/16 in");
        assert_eq!(length(2.2098, Some("7 ft 2 in")), "87 in");
        assert_eq!(length(0.0266, Some("26.6mm")), "26.6 mm");
        assert_eq!(length(0.0266, None), "26.6 mm");
        let area = |now| text(Quantity::Area, 0.0061, Some(now), UnitSystem::Metric);
        assert_eq!(area("60 cm2"), "61 cm2");
        let slope = |now| text(Quantity::Slope, 0.025, Some(now), UnitSystem::Metric);
        assert_eq!(slope("1/4 in/ft"), "0.3 in/ft");
        assert_eq!(slope("1:50"), "2.5 %");
        let warm = text(
            Quantity::Temperature,
            20.0,
            Some("70 degF"),
            UnitSystem::Metric,
        );
        assert_eq!(warm, "68 degF");
    }
}
