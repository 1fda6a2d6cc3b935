//! Quantities within fixed words, as people of either system read them.

use super::figures::{significant, sixteenths, with_unit};
use super::{FOOT, INCH, POUND, US_GALLON, UnitSystem, between};

/// Kilograms per cubic metre from which something is a solid, not fish in water.
const SOLID: f64 = 500.0;
/// How far a round fraction of an inch may lie beside what is meant.
const ROUND_ENOUGH: f64 = 0.03;

impl UnitSystem {
    /// Words whose quantities are metric, with them in these units: lengths in the roundest
    /// fraction of an inch that says them, from one metre on in feet.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// let words = "common practice, 38 to 50 mm (from memory)";
    /// assert_eq!(UnitSystem::Metric.words(words), words);
    /// assert_eq!(UnitSystem::Us.words(words), "common practice, 1 1/2 in to 2 in (from memory)");
    /// ```
    pub fn words(self, words: &str) -> String {
        if self == Self::Metric {
            return words.to_owned();
        }
        let mut out: Vec<String> = Vec::new();
        for word in words.split(' ') {
            match said(&out, word) {
                Some((told, from)) => {
                    out.truncate(from);
                    out.push(told);
                }
                None => out.push(word.to_owned()),
            }
        }
        out.join(" ")
    }
}

/// The quantity that ends in `word`, a unit, and from where on it replaces what stands before it.
fn said(before: &[String], word: &str) -> Option<(String, usize)> {
    let unit = word.trim_end_matches(|c| ".,;:)]\"".contains(c));
    let (opens, high) = number(before.last()?)?;
    let (told, after) = (us(high, unit)?, &word[unit.len()..]);
    if let [.., low, to, _] = before
        && to == "to"
        && let Some((opens, low)) = number(low)
    {
        let both = between(&us(low, unit)?, "to", &told);
        return Some((format!("{opens}{both}{after}"), before.len() - 3));
    }
    Some((format!("{opens}{told}{after}"), before.len() - 1))
}

/// A number and what opens before it.
fn number(word: &str) -> Option<(&str, f64)> {
    let digits = word.trim_start_matches(|c| "([\"".contains(c));
    let value = digits.parse().ok()?;
    Some((&word[..word.len() - digits.len()], value))
}

/// A metric quantity in US units; `None` for what is no such unit.
fn us(value: f64, unit: &str) -> Option<String> {
    let us = UnitSystem::Us;
    Some(match unit {
        "mm" => length(value / 1000.0),
        "cm" => length(value / 100.0),
        "m" => length(value),
        "L" => us.volume(value / 1000.0),
        "L/min" => us.flow(value / 60_000.0),
        "L/h" => with_unit(significant(value / 1000.0 / US_GALLON, 2), "gal/h"),
        "L/day" => with_unit(significant(value / 1000.0 / US_GALLON, 2), "gal/day"),
        "cm2" => us.area(value / 1e4),
        "m2" => us.area(value),
        "m/s" => us.velocity(value),
        "kg/m3" if value < SOLID => us.stocking(value),
        "kg/m3" => with_unit(significant(value / POUND * FOOT * FOOT * FOOT, 3), "lb/ft3"),
        "kN/m2" => us.floor_load(1000.0 * value),
        "g" => us.mass(value / 1000.0),
        "bar" => us.pressure(1e5 * value),
        "degC" => with_unit(significant(1.8 * value + 32.0, 3), "degF"),
        _ => return None,
    })
}

/// A length `[m]`: in feet from one metre on.
fn length(metres: f64) -> String {
    match metres {
        1.0.. => UnitSystem::Us.head(metres),
        _ => round_inches(metres),
    }
}

/// A length `[m]` that means no more than a round figure: the coarsest fraction of an inch near it,
/// else the sixteenth; less than one in figures.
pub(crate) fn round_inches(metres: f64) -> String {
    let inches = metres / INCH;
    if inches > 0.0 && inches < 1.0 / 16.0 {
        return small(inches);
    }
    let near = |parts: &f64| (inches * parts).round() / parts;
    let mut fractions = [2.0, 4.0, 8.0].into_iter();
    let round = fractions.find(|parts| (near(parts) - inches).abs() <= ROUND_ENOUGH * inches);
    sixteenths(INCH * round.map_or(inches, |parts| near(&parts)))
}

/// Less than a tape shows, in two figures.
fn small(inches: f64) -> String {
    let (mut decimals, mut size) = (1, inches);
    while size < 1.0 && decimals < 9 {
        decimals += 1;
        size *= 10.0;
    }
    format!("{inches:.decimals$} in")
}

#[cfg(test)]
mod tests {
    use super::UnitSystem::Us;

    #[test]
    fn fixed_words_are_told_in_inches_gallons_and_pounds() {
        for (words, told) in [
            ("bore plus 6 mm", "bore plus 1/4 in"),
            ("38 mm, 5 mm; 40 mm", "1 1/2 in, 3/16 in; 1 9/16 in"),
            ("0.0015 mm, plastic", "0.000059 in, plastic"),
            ("within 0.2 mm and 0.5 %", "within 0.0079 in and 0.5 %"),
            ("20 kg/m3 of fish", "0.17 lb/gal of fish"),
            (
                "of 2650 kg/m3, 1.4 to 1.9 kN/m2 (from memory)",
                "of 165 lb/ft3, 29 to 40 lb/ft2 (from memory)",
            ),
            (
                "[ [\"0 L/h\", \"2.4 m\"], [\"2500 L/h\", \"0 m\"] ]",
                "[ [\"0 gal/h\", \"7.9 ft\"], [\"660 gal/h\", \"0 in\"] ]",
            ),
            ("20 degC", "68 degF"),
            ("0.3 bar; 500 g", "4.35 psi; 1.1 lb"),
            ("a mm 3 apples, bed 2 m-wide", "a mm 3 apples, bed 2 m-wide"),
        ] {
            assert_eq!(Us.words(words), told);
        }
    }
}
