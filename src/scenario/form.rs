//! What a form shows of a scenario: every key of the tables that are there, with its value as
//! written, its unit, its range and what it means.

use serde::Serialize;

use toml_edit::DocumentMut;

use super::Scenario;
use super::advice::allowed;
use super::edit::places;
use super::every_bed;
use super::form_entry::{Entry, entry, example_in};
use super::format::{Dependence, Table, Value, elevation, is_share};
use super::keys::FORMAT;
use super::plain;
use super::typed_edit::{EditPath, Part};
use crate::scenario::keys::EVERY_BED;
use crate::units::UnitSystem;
use crate::units::display::{join, plain as shown};
use crate::units::table::significant;

/// One key of a scenario as a field of a form.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Field {
    /// Its place, as a change is typed.
    pub key: String,
    /// The last part of it.
    pub name: &'static str,
    /// What a person with a tape calls it.
    pub says: Option<&'static str>,
    /// What a height is measured from.
    pub over: Option<&'static str>,
    /// What it says, in a line.
    pub help: &'static str,
    /// As the file has it, without quotes; `None` where it is left out.
    pub written: Option<String>,
    /// What may be written, in words.
    pub allowed: Option<String>,
    /// What applies when it is left out, in words.
    pub default: Option<String>,
    /// A value as one would write it, without quotes.
    pub example: String,
    /// Whether it must be there.
    pub required: bool,
    /// Whether no change may touch it.
    pub kept: bool,
    /// Whether it is what every bed has, not this bed's own.
    pub shared: bool,
    /// Of what every bed has: the beds that a change reaches, where others have their own.
    pub reaches: Option<Reach>,
    /// How often it is asked about.
    pub group: Group,
    /// How it is entered.
    pub entry: Entry,
}

/// Which beds have what stands there for every bed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Reach {
    /// Their names.
    pub beds: String,
    /// Whom a change reaches and whom not, as a sentence.
    pub says: String,
}

/// How often a key is asked about: where a form shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Group {
    /// What decides how a siphon works, and what is changed most.
    First,
    /// What everybody measures once.
    Usual,
    /// What most leave at its default.
    Seldom,
}

/// Keys that come first, by the end of their place; set here.
const FIRST: &[&str] = &[
    "standpipe.length",
    "standpipe.bore",
    "standpipe.nominal",
    "media.depth",
    "inlet.valve.ball",
    "inlet.valve.gate",
    "inlet.flow",
    "drain.outlet",
    "sump.start-level",
    "sump.overflow-level",
    "pump.steady-flow",
    "pump.speed",
    "box.open-flow",
    "drain-line.slope",
    "top-off.level",
    "tank.overflow-level",
];
/// Keys that are seldom told; set here.
const SELDOM: &[&str] = &[
    "roughness",
    "outside",
    "flare",
    "fouling",
    "air-leak",
    "grain",
    "tariff",
    "power",
    "efficiency",
    "total-k",
    "k",
    "dissolved",
    "anti-siphon-hole",
    "hours",
];

impl Group {
    fn of(place: &str, name: &str) -> Self {
        let ends = |key: &&str| place == *key || place.ends_with(&format!(".{key}"));
        let below = |table: &str| place.starts_with(table);
        if FIRST.iter().any(ends) {
            Self::First
        } else if SELDOM.contains(&name) || below("coefficients") || below("checks") {
            Self::Seldom
        } else {
            Self::Usual
        }
    }
}

/// Every key of the tables that a scenario has, in the order of the format, those of a bed in
/// the order of the file; keys that are left out come with what applies then.
pub fn fields(scenario: &Scenario, units: UnitSystem) -> Vec<Field> {
    let Ok(file) = toml::from_str::<toml::Table>(scenario.text()) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    // By number, as the places are: a bed may be kept by its name.
    let document = scenario.text().parse::<DocumentMut>().unwrap_or_default();
    let kept = scenario
        .keep
        .iter()
        .filter_map(|keep| places(&document, keep).ok());
    let form = Form {
        kept: kept.flatten().collect(),
        units,
    };
    let whole = every_bed::beside(&document).unwrap_or_else(|| file.clone());
    form.table(&FORMAT, &whole, Some(&file), &[], &mut found);
    let names: Vec<String> = scenario
        .system
        .beds
        .iter()
        .map(|bed| bed.name.clone())
        .collect();
    let reached: Vec<Option<Reach>> = found.iter().map(|one| reach(one, &found, &names)).collect();
    for (field, reaches) in found.iter_mut().zip(reached) {
        field.reaches = reaches;
    }
    found
}

/// Whom a change of what every bed has leaves out, because they have their own.
fn reach(field: &Field, all: &[Field], names: &[String]) -> Option<Reach> {
    let place = field.key.strip_prefix(EVERY_BED)?;
    let own = |k: usize| {
        let key = format!("bed[{}]{place}", k + 1);
        let mut fields = all.iter();
        fields.any(|one| one.key == key && one.written.is_some() && !one.shared)
    };
    let (apart, like): (Vec<usize>, Vec<usize>) = (0..names.len()).partition(|k| own(*k));
    if apart.is_empty() {
        return None;
    }
    let named = |beds: &[usize]| {
        let names: Vec<String> = beds.iter().map(|k| shown(&names[*k])).collect();
        join(&names, "and")
    };
    let (beds, others) = (named(&like), named(&apart));
    let has = if apart.len() == 1 {
        "has its own"
    } else {
        "have their own"
    };
    let says = match like.len() {
        0 => format!("changes no bed: {others} {has}"),
        1 => format!("changes {beds} alone: {others} {has}"),
        _ => format!("changes {beds}, which have the same: {others} {has}"),
    };
    Some(Reach { beds, says })
}

struct Form {
    kept: Vec<EditPath>,
    units: UnitSystem,
}

impl Form {
    /// `file` as it counts, `own` as it is written here.
    fn table(
        &self,
        table: &Table,
        file: &toml::Table,
        own: Option<&toml::Table>,
        at: &[Part],
        found: &mut Vec<Field>,
    ) {
        // Where one of several kinds is told, the others are no sizes of what stands there.
        let other_kind = |name: &str| {
            let mut kinds = table.rules.iter().filter_map(|rule| match rule {
                Dependence::OneOf(kinds) if kinds.contains(&name) => Some(*kinds),
                _ => None,
            });
            let told = kinds.any(|kinds| kinds.iter().any(|kind| file.contains_key(*kind)));
            told && !file.contains_key(name)
        };
        for key in table.keys.iter().filter(|key| !other_kind(key.name)) {
            let written = file.get(key.name);
            let own = own.and_then(|own| own.get(key.name));
            let mut place = at.to_vec();
            place.push(Part::Name(key.name.to_owned()));
            match (&key.value, written) {
                (Value::Table(inner), Some(toml::Value::Table(file))) => {
                    let own = own.and_then(toml::Value::as_table);
                    self.table(inner, file, own, &place, found);
                }
                (Value::Tables(inner), Some(toml::Value::Array(entries))) => {
                    let own = own.and_then(toml::Value::as_array);
                    for (i, entry) in entries.iter().enumerate() {
                        let Some(file) = entry.as_table() else {
                            continue;
                        };
                        let mut place = place.clone();
                        place.push(Part::Entry(i + 1));
                        let own = own.and_then(|own| own.get(i)?.as_table());
                        self.table(inner, file, own, &place, found);
                    }
                }
                (Value::Table(_) | Value::Tables(_), _) => {}
                (value, written) => {
                    let path = EditPath::of(place);
                    let kept = self.kept.iter().any(|keep| keep.covers(&path));
                    let shared = written.is_some() && own.is_none();
                    let written = written.map(plain_value);
                    let example = key.example.trim_matches('"').to_owned();
                    let place = path.to_string();
                    let as_written = (written.as_deref(), &*example);
                    let entry = entry(&place, value, as_written, self.units);
                    let example = self.units.words(&example_in(value, &entry, example));
                    found.push(Field {
                        group: Group::of(&place, key.name),
                        says: plain::plain(&place),
                        over: over(&place, value),
                        key: place,
                        name: key.name,
                        help: key.help,
                        allowed: allowed_here(value, self.units),
                        default: key.default.as_deref().map(|told| self.units.words(told)),
                        entry,
                        example,
                        written,
                        required: key.required,
                        kept,
                        shared,
                        reaches: None,
                    });
                }
            }
        }
    }
}

/// What may be entered: a share has one form here.
fn allowed_here(value: &Value, units: UnitSystem) -> Option<String> {
    match value {
        Value::Number(least, most) if is_share(*least, *most) => {
            let percent = |share: f64| significant(100.0 * share, 6);
            Some(format!("{} to {} %", percent(*least), percent(*most)))
        }
        // The words stand in the list.
        Value::Choice(_) | Value::Flag => None,
        _ => allowed(value, units),
    }
}

/// What a height at `place` is measured from; `None` for what is no height.
fn over(place: &str, value: &Value) -> Option<&'static str> {
    let Value::Quantity(bounds) = elevation() else {
        return None;
    };
    let room = matches!(value, Value::Quantity(own)
        if own.quantity == bounds.quantity && own.least == bounds.least && own.most == bounds.most);
    match room {
        true => Some("the room's floor"),
        false => plain::over_bed(place).then_some("the bed's floor"),
    }
}

/// A value without the quotes of a text.
fn plain_value(value: &toml::Value) -> String {
    match value {
        toml::Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::scenario::{parse as read, starter, starter_us};
    use crate::units::parse::parse;
    use crate::units::table::Quantity;

    fn field(text: &str, key: &str) -> Field {
        let scenario = read(text, "starter.toml").unwrap();
        let mut all = fields(&scenario, UnitSystem::Metric).into_iter();
        all.find(|field| field.key == key).unwrap()
    }

    // Beside a ball valve the opening of a gate valve was asked for.
    #[test]
    fn of_several_kinds_only_the_one_that_is_told_is_a_field() {
        let text = include_str!("../../scenarios/four-beds-metric.toml");
        let scenario = read(text, "four.toml").unwrap();
        let all = fields(&scenario, UnitSystem::Metric);
        let told = |end: &str| all.iter().filter(|one| one.key.ends_with(end)).count();
        assert!(told("valve.ball") > 0);
        assert_eq!(told("valve.gate"), 0);
    }

    #[test]
    fn a_length_comes_in_the_unit_of_the_file() {
        let pipe = field(starter(), "bed[1].standpipe.length");
        let Entry::Number {
            unit,
            value,
            least,
            most,
            ..
        } = pipe.entry
        else {
            unreachable!("a length is a number")
        };
        assert_eq!(unit, "mm");
        assert_eq!(pipe.written, Some(format!("{} mm", value.unwrap())));
        assert!(least < value.unwrap() && value.unwrap() < most);
    }

    // Tubs stood in metres beside gravel in millimetres.
    #[test]
    fn what_a_tape_measures_is_in_centimetres_and_a_siphon_in_millimetres() {
        let text = include_str!("../../scenarios/four-beds-metric.toml");
        let scenario = read(text, "four.toml").unwrap();
        let mut units = std::collections::BTreeSet::new();
        for one in fields(&scenario, UnitSystem::Metric) {
            let Entry::Number { unit, value, .. } = &one.entry else {
                continue;
            };
            if let ("mm" | "cm" | "m", Some(value)) = (unit.as_str(), value) {
                let siphon = [".standpipe.", ".bell.", "bore"];
                let wanted = match siphon.iter().any(|part| one.key.contains(part)) {
                    true => "mm",
                    false => "cm",
                };
                assert_eq!(unit, wanted, "{}", one.key);
                let metres = value * if unit == "mm" { 1e-3 } else { 1e-2 };
                let written = parse(&one.written.unwrap(), Quantity::Length).unwrap();
                assert!((metres - written).abs() < 1e-12, "{}", one.key);
                units.insert(unit.clone());
            }
        }
        assert_eq!(units.len(), 2);
    }

    #[test]
    fn a_share_is_shown_in_per_cent_however_it_is_written() {
        for (written, shown) in [("0.4", 40.0), ("\"35 %\"", 35.0), ("\"7%\"", 7.0)] {
            let text = starter().replacen("void = 0.40", &format!("void = {written}"), 1);
            let found = field(&text, "bed[1].media.void");
            let Entry::Number {
                unit,
                value,
                least,
                most,
                share,
                ..
            } = found.entry
            else {
                unreachable!("a share is a number")
            };
            assert!(share && unit == "%", "{written}");
            assert!((value.unwrap() - shown).abs() < 1e-9, "{written} {value:?}");
            assert_eq!((least, most), (5.0, 95.0));
            assert_eq!(found.allowed.unwrap(), "5 to 95 %");
        }
    }

    #[test]
    fn who_reads_inches_gets_inches() {
        let scenario = read(starter(), "starter.toml").unwrap();
        let all = fields(&scenario, UnitSystem::Us);
        let pipe = all.iter().find(|one| one.key == "bed[1].standpipe.length");
        let Entry::Number { unit, value, .. } = &pipe.unwrap().entry else {
            unreachable!("a length is a number")
        };
        let metric = field(starter(), "bed[1].standpipe.length").written.unwrap();
        let mm: f64 = metric.trim_end_matches(" mm").parse().unwrap();
        assert_eq!(unit, "in");
        assert!(
            (value.unwrap() * 25.4 - mm).abs() < 1e-9,
            "{value:?} {metric}"
        );
        for one in all {
            if let Entry::Number { unit, .. } = one.entry {
                assert!(!["mm", "cm", "m", "L", "L/min", "L/h"].contains(&unit.as_str()));
            }
        }
    }

    // Inches with fractions and feet with inches are one number each.
    #[test]
    fn fractions_are_read() {
        let scenario = read(starter_us(), "starter.toml").unwrap();
        for field in fields(&scenario, UnitSystem::Us) {
            if let (Entry::Number { value, .. }, Some(written)) = (&field.entry, &field.written) {
                assert!(value.is_some(), "{} = {written}", field.key);
            }
        }
    }

    #[test]
    fn what_is_measured_has_a_plain_name_and_a_height_its_zero() {
        for text in [starter(), starter_us()] {
            let scenario = read(text, "starter.toml").unwrap();
            for field in fields(&scenario, UnitSystem::Metric) {
                if field.written.is_some() && field.group != Group::Seldom {
                    assert!(field.says.is_some(), "{} has no plain name", field.key);
                }
            }
        }
        let over = |key| field(starter(), key).over;
        assert_eq!(over("bed[1].standpipe.length"), Some("the bed's floor"));
        assert_eq!(over("bed[1].drain.outlet"), Some("the room's floor"));
        assert_eq!(over("bed[1].bell.clearance"), None);
    }

    // "Every bed" changed some, and did not say which.
    #[test]
    fn what_every_bed_has_says_whom_a_change_reaches() {
        let text = include_str!("../../tests/page/box-and-drum.toml");
        let reaches = |key: &str| field(text, key).reaches.map(|one| (one.beds, one.says));
        let alone = "changes A alone: B has its own";
        for key in [
            "media.depth",
            "standpipe.length",
            "drain.outlet",
            "inlet.level",
        ] {
            let found = reaches(&format!("every-bed.{key}"));
            assert_eq!(found, Some(("A".into(), alone.into())), "{key}");
        }
        assert_eq!(reaches("every-bed.standpipe.bore"), None);
        assert_eq!(reaches("every-bed.media.grain"), None);
        assert_eq!(reaches("bed[1].media.depth"), None);
        let third = format!("{text}[[bed]]\nname = \"C\"\n");
        let found = field(&third, "every-bed.media.depth").reaches.unwrap();
        assert_eq!(
            found.says,
            "changes A and C, which have the same: B has its own"
        );
    }

    #[test]
    fn what_is_kept_says_so() {
        let text = starter().replacen("title", "keep = [\"bed.*.standpipe\"]\ntitle", 1);
        assert!(field(&text, "bed[1].standpipe.length").kept);
        assert!(!field(&text, "sump.floor").kept);
    }
}
