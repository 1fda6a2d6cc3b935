//! Facts as people type them.

use crate::study::draft::PumpFact;
use crate::units::UnitSystem;
use crate::units::parse::{QuantityError, parse};
use crate::units::table::Quantity;

/// Ranges in which a fact makes sense; beyond them it was mistyped.
pub(super) const SIDE: (f64, f64) = (0.15, 6.0);
const BED_DEPTH: (f64, f64) = (0.15, 1.0);
const ROOM: (f64, f64) = (0.6, 100.0);
const CEILING: (f64, f64) = (0.8, 15.0);
const FLOW: (f64, f64) = (1e-5, 0.02);
const LIFT: (f64, f64) = (0.2, 50.0);

/// A fact that cannot be read: what it was, and what to type.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{problem}\n  Type {}", wanted.0)]
pub struct FactError {
    pub(super) problem: String,
    pub(super) wanted: Wanted,
}

impl FactError {
    /// The same with examples in `units`.
    pub fn told(&self, units: UnitSystem) -> String {
        let wanted = match units {
            UnitSystem::Metric => self.wanted.0,
            UnitSystem::Us => self.wanted.1,
        };
        format!("{}\n  Type {wanted}", self.problem)
    }
}

/// What to type, with examples in metric units and in US ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Wanted(pub(super) &'static str, pub(super) &'static str);

const BED: Wanted = Wanted(
    "the inside length, width and depth of a bed, such as \"1.2 m x 0.6 m x 0.3 m\".",
    "the inside length, width and depth of a bed, such as \"4 ft x 2 ft x 12 in\".",
);
const ROOM_WANTED: Wanted = Wanted(
    "the height of the room, such as \"2.2 m\", its length and width, such as \"3 m x 2.5 m\", or all \
     three, such as \"3 m x 2.5 m x 2.2 m\".",
    "the height of the room, such as \"7 ft\", its length and width, such as \"10 ft x 8 ft\", or all \
     three, such as \"10 ft x 8 ft x 7 ft\".",
);
const PUMP: Wanted = Wanted(
    "the two figures on its box, such as \"3000 L/h, 3 m\", a flow at a height, such as \
     \"2000 L/h at 1.5 m\", or what a bucket under the inlets measured, such as \
     \"1200 L/h measured\".",
    "the two figures on its box, such as \"800 gal/h, 10 ft\", a flow at a height, such as \
     \"500 gal/h at 5 ft\", or what a bucket under the inlets measured, such as \
     \"300 gal/h measured\".",
);

/// Length, width and depth of a bed `[m]`.
///
/// # Errors
/// [`FactError`] for anything else.
pub fn bed_fact(text: &str) -> Result<[f64; 3], FactError> {
    match sides(text).as_deref() {
        Ok(&[length, width, depth]) => {
            inside("side of a bed", text, SIDE, &[length, width], BED)?;
            inside("depth of a bed", text, BED_DEPTH, &[depth], BED)?;
            Ok([length, width, depth])
        }
        Ok(other) => Err(number_of_sides(text, other.len(), BED)),
        Err(problem) => Err(unread(problem, BED)),
    }
}

/// Length and width of a room, and its height `[m]`.
pub type Room = (Option<[f64; 2]>, Option<f64>);

/// A room: its height, its length and width, or all of them.
///
/// # Errors
/// [`FactError`] for anything else.
pub fn room_fact(text: &str) -> Result<Room, FactError> {
    let (floor, height) = match sides(text).as_deref() {
        Ok(&[height]) => (None, Some(height)),
        Ok(&[a, b]) => (Some([a, b]), None),
        Ok(&[a, b, height]) => (Some([a, b]), Some(height)),
        Ok(other) => return Err(number_of_sides(text, other.len(), ROOM_WANTED)),
        Err(problem) => return Err(unread(problem, ROOM_WANTED)),
    };
    inside(
        "height of a room",
        text,
        CEILING,
        height.as_slice(),
        ROOM_WANTED,
    )?;
    let sides = floor.iter().flatten().copied().collect::<Vec<_>>();
    inside("side of a room", text, ROOM, &sides, ROOM_WANTED)?;
    Ok((floor, height))
}

/// What is known of a pump.
///
/// # Errors
/// [`FactError`] for anything else.
pub fn pump_fact(text: &str) -> Result<PumpFact, FactError> {
    let lower = text.trim().to_lowercase();
    let flow_of = |text: &str| -> Result<f64, FactError> {
        let flow =
            parse(text.trim(), Quantity::Flow).map_err(|error| unread(&error.to_string(), PUMP))?;
        inside("flow of a pump", text, FLOW, &[flow], PUMP)?;
        Ok(flow)
    };
    let lift_of = |text: &str| -> Result<f64, FactError> {
        let lift = lift(text).map_err(|error| unread(&error.to_string(), PUMP))?;
        inside("lift of a pump", text, LIFT, &[lift], PUMP)?;
        Ok(lift)
    };
    if let Some(flow) = lower.strip_suffix("measured") {
        return Ok(PumpFact::Measured(flow_of(flow)?));
    }
    if let Some((flow, head)) = lower.split_once(" at ") {
        let (flow, head) = (flow_of(flow)?, lift_of(head)?);
        return Ok(PumpFact::At { flow, head });
    }
    let both = [", ", " and ", " x "]
        .iter()
        .find_map(|mark| lower.split_once(mark));
    if let Some((one, other)) = side_by_side(&lower).or(both) {
        // Boxes give either first.
        let (flow, lift) = if parse(one.trim(), Quantity::Flow).is_ok() {
            (one, other)
        } else {
            (other, one)
        };
        return Ok(PumpFact::Box {
            open_flow: flow_of(flow)?,
            shut_off_head: lift_of(lift)?,
        });
    }
    let _ = flow_of(&lower)?;
    Err(FactError {
        problem: format!("{text:?} says what the pump gives, but not how high it lifts"),
        wanted: PUMP,
    })
}

/// A lift, bare or after a word that says so `[m]`.
fn lift(text: &str) -> Result<f64, QuantityError> {
    let words = ["lifts", "lift", "max", "up to", "to"];
    let mut words = words
        .iter()
        .filter_map(|word| text.trim().strip_prefix(word));
    parse(words.next().unwrap_or(text).trim(), Quantity::Length)
}

/// A flow and a lift, in either order, with no more than blanks and a mark between them.
fn side_by_side(text: &str) -> Option<(&str, &str)> {
    let marks = [' ', ',', ';', '/'];
    let flow = |text: &str| parse(text, Quantity::Flow).is_ok();
    let is_both = |&(one, other): &(&str, &str)| {
        (flow(one) && lift(other).is_ok()) || (lift(one).is_ok() && flow(other))
    };
    text.match_indices(marks)
        .map(|(at, mark)| {
            let (one, other) = (&text[..at], &text[at + mark.len()..]);
            (one.trim_end_matches(marks), other.trim_start_matches(marks))
        })
        .find(is_both)
}

/// The units that `text` is written in, by those that it names; `None` without any.
pub fn units_typed(text: &str) -> Option<UnitSystem> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower
        .split(|c: char| !(c.is_ascii_alphabetic() || c == '"' || c == '\''))
        .collect();
    let names = |all: &[&str]| words.iter().any(|word| all.contains(word));
    if names(&[
        "in", "inch", "inches", "ft", "foot", "feet", "gal", "gph", "gpm", "\"", "'",
    ]) {
        Some(UnitSystem::Us)
    } else if names(&["m", "mm", "cm", "l", "m3"]) {
        Some(UnitSystem::Metric)
    } else {
        None
    }
}

/// Measures between crosses; one without a unit has that of the next.
pub(super) fn sides(text: &str) -> Result<Vec<f64>, String> {
    let lower = text
        .trim()
        .to_lowercase()
        .replace('\u{d7}', " x ")
        .replace(" by ", " x ")
        // No unit has this letter.
        .replace('x', " x ");
    let mut read = Vec::new();
    let mut unit = String::new();
    for part in lower.split(" x ").collect::<Vec<_>>().iter().rev() {
        let part = part.trim();
        let bare = !part.is_empty()
            && part
                .chars()
                .all(|c| c.is_ascii_digit() || c == '.' || c == '/' || c == ' ');
        let whole = if bare {
            format!("{part} {unit}")
        } else {
            part.to_owned()
        };
        if !bare {
            unit = part
                .rsplit(|c: char| c.is_ascii_digit() || c == ' ')
                .next()
                .unwrap_or_default()
                .to_owned();
        }
        read.push(parse(whole.trim(), Quantity::Length).map_err(|error| error.to_string())?);
    }
    read.reverse();
    Ok(read)
}

pub(super) fn inside(
    what: &str,
    text: &str,
    (low, high): (f64, f64),
    values: &[f64],
    wanted: Wanted,
) -> Result<(), FactError> {
    if values.iter().all(|value| (low..=high).contains(value)) {
        return Ok(());
    }
    Err(FactError {
        problem: format!("{text:?} is no likely {what}"),
        wanted,
    })
}

pub(super) fn number_of_sides(text: &str, found: usize, wanted: Wanted) -> FactError {
    let measures = if found == 1 { "measure" } else { "measures" };
    FactError {
        problem: format!("{text:?} has {found} {measures}"),
        wanted,
    }
}

pub(super) fn unread(problem: &str, wanted: Wanted) -> FactError {
    FactError {
        problem: problem.to_owned(),
        wanted,
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const FOOT: f64 = 0.3048;
    const GALLON_AN_HOUR: f64 = 0.003_785_411_784 / 3600.0;

    fn close(found: f64, wanted: f64) {
        assert!((found - wanted).abs() < 1e-9, "{found} is not {wanted}");
    }

    #[test]
    fn a_bed_is_three_measures_and_shares_a_unit() {
        for text in [
            "4 ft x 2 ft x 12 in",
            "4x2x1 ft",
            "48 x 24 x 12 in",
            "4 ft by 2 ft by 1 ft",
        ] {
            let text = text.replace("4x2x1", "4 x 2 x 1");
            let bed = bed_fact(&text).unwrap();
            close(bed[0], 4.0 * FOOT);
            close(bed[1], 2.0 * FOOT);
            close(bed[2], FOOT);
        }
        for (text, says) in [
            ("4 ft x 2 ft", "2 measures"),
            ("4 x 2 x 1", "has no unit"),
            ("40 ft x 2 ft x 1 ft", "no likely"),
        ] {
            let error = bed_fact(text).unwrap_err().to_string();
            assert!(
                error.contains(says) && error.contains("Type the inside"),
                "{error}"
            );
        }
    }

    #[test]
    fn a_room_is_its_height_its_floor_or_both() {
        assert_eq!(room_fact("7 ft").unwrap().0, None);
        close(
            room_fact("10 ft x 8 ft x 7 ft").unwrap().1.unwrap(),
            7.0 * FOOT,
        );
        close(room_fact("10 ft x 8 ft").unwrap().0.unwrap()[1], 8.0 * FOOT);
        assert!(room_fact("tall").is_err());
    }

    #[test]
    fn a_pump_is_its_box_a_point_or_a_bucket() {
        let PumpFact::Box {
            open_flow,
            shut_off_head,
        } = pump_fact("800 gal/h, 10 ft").unwrap()
        else {
            unreachable!("a box")
        };
        close(open_flow, 800.0 * GALLON_AN_HOUR);
        close(shut_off_head, 10.0 * FOOT);
        for same in [
            "10 ft, 800 gal/h",
            "800 gal/h 10 ft",
            "800 gal/h,10 ft",
            "10ft 800gal/h",
            "800 gal/h; lifts 10 ft",
            "800 gal/h / 120 in",
            "800 gal/h max 10 ft",
        ] {
            assert_eq!(pump_fact(same), pump_fact("800 gal/h, 10 ft"), "{same}");
        }
        let mixed = pump_fact("3500 L/h 2 1/2 ft").unwrap();
        assert_eq!(mixed, pump_fact("3500 L/h, 2.5 ft").unwrap());
        assert!(matches!(
            pump_fact("500 gal/h at 5 ft").unwrap(),
            PumpFact::At { .. }
        ));
        assert!(matches!(
            pump_fact("300 gal/h measured").unwrap(),
            PumpFact::Measured(_)
        ));
        let error = pump_fact("800 gal/h").unwrap_err().to_string();
        assert!(error.contains("how high"), "{error}");
        let error = pump_fact("a big one").unwrap_err();
        let (metric, us) = (error.told(UnitSystem::Metric), error.told(UnitSystem::Us));
        assert!(
            metric.contains("3000 L/h, 3 m") && !metric.contains("ft"),
            "{metric}"
        );
        assert!(
            us.contains("800 gal/h, 10 ft") && !us.contains("L/h"),
            "{us}"
        );
    }
}
