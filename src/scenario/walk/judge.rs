//! The trial of single values.

use std::ops::Range;

use toml::de::{DeArray, DeValue};

use super::{Place, table};
use crate::model::{Band, Rules};
use crate::scenario::advice::{nearest, usage, with_units};
use crate::scenario::fault::{FaultKind, Faults, Label, Severity, unit_system};
use crate::scenario::format::{Bounds, Key, MOST_ENTRIES, Table, is_share};
use crate::scenario::node::{Content, Pair};
use crate::scenario::rule::Rule;
use crate::scenario::usual::unlike;
use crate::units::UnitSystem;
use crate::units::display::plain;
use crate::units::parse::{QuantityError, parse};
use crate::units::reading::{read, widest_spread};
use crate::units::table::{Quantity, significant};

/// One value on trial.
pub(super) struct Judge<'j, 'f> {
    pub key: &'static Key,
    pub place: Place,
    pub faults: &'j mut Faults<'f>,
}

impl<'f> Judge<'_, 'f> {
    pub fn report(&mut self, kind: FaultKind, label: &str, help: String) {
        let (path, span) = self.place.clone();
        self.faults.error(kind, path, span, label, help);
    }

    fn usage(&self) -> String {
        usage(self.key, &self.place.0, self.system())
    }

    /// The units of this value if it shows them, else of the file.
    fn system(&self) -> UnitSystem {
        let text = self.faults.source.slice(&self.place.1);
        match (
            unit_system(text, UnitSystem::Metric),
            unit_system(text, UnitSystem::Us),
        ) {
            // Shows both or neither: the file decides.
            (one, other) if one == other => one,
            _ => self.faults.system,
        }
    }

    pub fn wrong_kind<T>(&mut self, raw: &DeValue<'_>, wanted: &str) -> Option<T> {
        let value = shortened(self.faults.source.slice(&self.place.1));
        let kind = FaultKind::WrongKind {
            value,
            found: kind_name(raw),
            wanted: wanted.to_owned(),
        };
        let help = self.usage();
        self.report(kind, &format!("{wanted} belongs here"), help);
        None
    }

    fn out_of_range<T>(&mut self, range: &str) -> Option<T> {
        let value = shortened(self.faults.source.slice(&self.place.1));
        let kind = FaultKind::OutOfRange {
            value,
            allowed: range.to_owned(),
        };
        let help = self.usage();
        self.report(kind, &format!("allowed: {range}"), help);
        None
    }

    /// Asks about a size that is allowed but unlike what is usual; `range` prints that.
    pub fn ask_if_odd(&mut self, value: f64, range: impl Fn(f64, f64, UnitSystem) -> String) {
        let Some((least, most)) = unlike(&self.place.0, value) else {
            return;
        };
        let label = Label {
            span: self.place.1.clone(),
            text: format!("usual: {}", range(least, most, self.system())),
        };
        let kind = FaultKind::Odd {
            value: shortened(self.faults.source.slice(&self.place.1)),
        };
        let help = "nothing is refused: leave it if it is so, else look at number and unit again";
        let path = self.place.0.clone();
        self.faults
            .add(Severity::Warning, kind, path, vec![label], help.to_owned());
    }

    pub fn text(&mut self, raw: &DeValue<'_>, longest: usize) -> Option<Content> {
        let Some(text) = raw.as_str() else {
            return self.wrong_kind(raw, "text in quotes");
        };
        let length = text.chars().count();
        let problem = if text.trim().is_empty() {
            "the text is empty".to_owned()
        } else if length > longest {
            format!("the text has {length} characters, at most {longest} are allowed")
        } else if text.chars().any(char::is_control) {
            "the text has a line end or another character that cannot be printed".to_owned()
        } else {
            return Some(Content::Text(text.trim().to_owned()));
        };
        let help = self.usage();
        let label = format!("1 to {longest} characters on one line");
        self.report(FaultKind::Text { problem }, &label, help);
        None
    }

    pub fn quantity(&mut self, raw: &DeValue<'_>, bounds: &Bounds) -> Option<f64> {
        let value = self.with_unit(raw, bounds, parse)?;
        self.within(value, bounds)
    }

    /// A quantity with its spread, which must say something about it.
    pub fn reading(&mut self, raw: &DeValue<'_>, bounds: &Bounds) -> Option<(f64, Option<f64>)> {
        let reading = self.with_unit(raw, bounds, read)?;
        let value = self.within(reading.value, bounds)?;
        let most = widest_spread(bounds.quantity, value);
        if reading.spread.is_some_and(|spread| spread > most) {
            let most = bounds.quantity.text(most, self.system());
            return self.out_of_range(&format!("a spread of at most {most}"));
        }
        Some((value, reading.spread))
    }

    /// One such reading, or a list of them.
    pub fn readings(&mut self, raw: &DeValue<'_>, bounds: &Bounds) -> Option<Content> {
        if !raw.is_array() {
            let one = self.reading(raw, bounds)?;
            return Some(Content::Readings(vec![one]));
        }
        let list = self.entries(raw, 0, "quantities")?;
        let all: Vec<_> = list
            .iter()
            .enumerate()
            .map(|(i, item)| {
                self.entry(i + 1, item.span())
                    .reading(item.get_ref(), bounds)
            })
            .collect();
        let all: Option<Vec<_>> = all.into_iter().collect();
        all.map(Content::Readings)
    }

    fn within(&mut self, value: f64, bounds: &Bounds) -> Option<f64> {
        if bounds.allow(value) {
            return Some(value);
        }
        let range = bounds.text(self.system());
        self.out_of_range(&range)
    }

    /// What `read` makes of a text with a unit.
    fn with_unit<T>(
        &mut self,
        raw: &DeValue<'_>,
        bounds: &Bounds,
        read: fn(&str, Quantity) -> Result<T, QuantityError>,
    ) -> Option<T> {
        let wanted = bounds.quantity;
        let text = match raw {
            DeValue::String(text) => text,
            DeValue::Integer(_) | DeValue::Float(_) => {
                let number = shortened(self.faults.source.slice(&self.place.1));
                if finite(raw).is_none() {
                    return self.not_finite(number);
                }
                let help = format!("{}\n{}", with_units(&number, bounds), self.usage());
                let kind = FaultKind::BareNumber {
                    number,
                    wanted: wanted.name(),
                };
                self.report(kind, "no unit", help);
                return None;
            }
            _ => return self.wrong_kind(raw, &format!("{} in quotes", wanted.name())),
        };
        match read(text, wanted) {
            Ok(value) => Some(value),
            Err(error) => {
                let advice = match &error {
                    QuantityError::NoUnit { number, .. } if **number == *text.trim() => {
                        with_units(number, bounds)
                    }
                    _ => error.help(wanted),
                };
                let help = format!("{advice}\n{}", self.usage());
                let label = format!("{} belongs here", wanted.name());
                self.report(
                    FaultKind::Quantity {
                        text: shortened(text),
                        error,
                    },
                    &label,
                    help,
                );
                None
            }
        }
    }

    fn not_finite<T>(&mut self, number: String) -> Option<T> {
        let help = self.usage();
        self.report(FaultKind::NotFinite { number }, "not a finite number", help);
        None
    }

    pub fn number(&mut self, raw: &DeValue<'_>, least: f64, most: f64) -> Option<f64> {
        let value = match raw {
            DeValue::Integer(_) | DeValue::Float(_) => {
                let Some(value) = finite(raw) else {
                    let number = shortened(self.faults.source.slice(&self.place.1));
                    return self.not_finite(number);
                };
                value
            }
            DeValue::String(text) => match percent(text).filter(|_| is_share(least, most)) {
                Some(share) => share,
                None => return self.wrong_kind(raw, "a bare number without quotes"),
            },
            _ => return self.wrong_kind(raw, "a number"),
        };
        if (least..=most).contains(&value) {
            return Some(value);
        }
        self.out_of_range(&format!(
            "{} to {}",
            significant(least, 6),
            significant(most, 6)
        ))
    }

    pub fn count(&mut self, raw: &DeValue<'_>, least: u32, most: u32) -> Option<f64> {
        let value = match raw {
            DeValue::Integer(_) => finite(raw),
            _ => return self.wrong_kind(raw, "a whole number without quotes"),
        };
        match value {
            Some(value) if (f64::from(least)..=f64::from(most)).contains(&value) => Some(value),
            _ => self.out_of_range(&format!("{least} to {most}")),
        }
    }

    pub fn choice(
        &mut self,
        raw: &DeValue<'_>,
        words: &[&'static str],
        besides: Option<&str>,
    ) -> Option<Content> {
        let Some(text) = raw.as_str() else {
            return self.wrong_kind(raw, "a word in quotes");
        };
        if let Some(word) = words.iter().find(|word| **word == text) {
            return Some(Content::Word(word));
        }
        let mut quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
        quoted.extend(besides.map(str::to_owned));
        let label = match nearest(text, words.iter().copied()) {
            Some(word) => format!("did you mean \"{word}\"?"),
            None => format!("allowed: {}", quoted.join(", ")),
        };
        let kind = FaultKind::UnknownChoice {
            value: shortened(text),
            choices: quoted,
        };
        let help = self.usage();
        self.report(kind, &label, help);
        None
    }

    /// A list of words; one named twice counts once.
    pub fn words(&mut self, raw: &DeValue<'_>, words: &[&'static str]) -> Option<Content> {
        let list = self.entries(raw, 0, "words")?;
        let mut found = Vec::new();
        let mut faulty = false;
        for (i, item) in list.iter().enumerate() {
            match self
                .entry(i + 1, item.span())
                .choice(item.get_ref(), words, None)
            {
                Some(Content::Word(word)) if !found.contains(&word) => found.push(word),
                Some(_) => {}
                None => faulty = true,
            }
        }
        (!faulty).then_some(Content::Words(found))
    }

    pub fn band(&mut self, raw: &DeValue<'_>, least: f64, most: f64) -> Option<Content> {
        let Some(list) = raw.as_array() else {
            return self
                .number(raw, least, most)
                .map(|v| Content::Band(Band::exact(v)));
        };
        if list.len() != 3 {
            return self.list_length(list.len(), "there must be three: low, nominal, high".into());
        }
        let mut values = Vec::with_capacity(3);
        for item in list.iter() {
            let mut judge = self.entry(values.len() + 1, item.span());
            values.push(judge.number(item.get_ref(), least, most)?);
        }
        let [low, nominal, high] = values.as_slice() else {
            return None;
        };
        let Some(misfit) = Rules::band(*low, *nominal, *high) else {
            return Some(Content::Band(Band::new(*low, *nominal, *high)));
        };
        let system = self.faults.system;
        let rule = Rule::Misfit { misfit, system };
        let help = self.usage();
        self.report(
            FaultKind::Rule(rule),
            "low, nominal, high must not fall",
            help,
        );
        None
    }

    fn list_length<T>(&mut self, count: usize, allowed: String) -> Option<T> {
        let help = self.usage();
        let label = allowed.clone();
        self.report(FaultKind::ListLength { count, allowed }, &label, help);
        None
    }

    /// The list, if it has an allowed number of entries.
    fn entries<'r, 'i>(
        &mut self,
        raw: &'r DeValue<'i>,
        fewest: usize,
        of: &str,
    ) -> Option<&'r DeArray<'i>> {
        let Some(list) = raw.as_array() else {
            return self.wrong_kind(raw, &format!("a list of {of} in [ ]"));
        };
        if list.len() < fewest {
            return self.list_length(list.len(), format!("at least {fewest} are needed"));
        }
        if list.len() > MOST_ENTRIES {
            return self.list_length(list.len(), format!("at most {MOST_ENTRIES} are allowed"));
        }
        Some(list)
    }

    /// The same trial for an entry of the list, counting from 1.
    fn entry(&mut self, number: usize, span: Range<usize>) -> Judge<'_, 'f> {
        Judge {
            key: self.key,
            place: (self.place.0.entry(number), span),
            faults: self.faults,
        }
    }

    pub fn list(&mut self, raw: &DeValue<'_>, bounds: &Bounds, fewest: usize) -> Option<Content> {
        let list = self.entries(raw, fewest, "quantities")?;
        let values: Vec<Option<f64>> = list
            .iter()
            .enumerate()
            .map(|(i, item)| {
                self.entry(i + 1, item.span())
                    .quantity(item.get_ref(), bounds)
            })
            .collect();
        values
            .into_iter()
            .collect::<Option<Vec<f64>>>()
            .map(Content::List)
    }

    pub fn texts(&mut self, raw: &DeValue<'_>, longest: usize) -> Option<Content> {
        let list = self.entries(raw, 0, "texts")?;
        let mut texts = Vec::with_capacity(list.len());
        for (i, item) in list.iter().enumerate() {
            let judged = self.entry(i + 1, item.span()).text(item.get_ref(), longest);
            texts.push(match judged {
                Some(Content::Text(text)) => Some(text),
                _ => None,
            });
        }
        let texts = texts.into_iter().collect::<Option<Vec<String>>>();
        texts.map(Content::Texts)
    }

    pub fn pairs(
        &mut self,
        raw: &DeValue<'_>,
        bounds: (&Bounds, &Bounds),
        fewest: usize,
    ) -> Option<Content> {
        let list = self.entries(raw, fewest, "pairs")?;
        let mut pairs = Vec::with_capacity(list.len());
        for (i, item) in list.iter().enumerate() {
            let mut judge = self.entry(i + 1, item.span());
            let pair = match item.get_ref().as_array() {
                Some(pair) if pair.len() == 2 => pair,
                Some(pair) => {
                    judge.list_length::<()>(pair.len(), "a pair has two".into());
                    pairs.push(None);
                    continue;
                }
                None => {
                    judge.wrong_kind::<()>(item.get_ref(), "a pair in [ ]");
                    pairs.push(None);
                    continue;
                }
            };
            let text = |n: usize| pair.get(n).and_then(|side| side.get_ref().as_str());
            if let (Some(a), Some(b)) = (text(0), text(1))
                && parse(a, bounds.1.quantity).is_ok()
                && parse(b, bounds.0.quantity).is_ok()
            {
                let wanted = format!(
                    "{}, then {},",
                    bounds.0.quantity.name(),
                    bounds.1.quantity.name()
                );
                let value = shortened(judge.faults.source.slice(&judge.place.1));
                let help = judge.usage();
                let kind = FaultKind::WrongKind {
                    value,
                    found: "the other way round",
                    wanted,
                };
                judge.report(kind, "swap these two", help);
                pairs.push(None);
                continue;
            }
            let mut side = |n: usize, bounds: &Bounds| {
                let value = pair.get(n)?;
                judge
                    .entry(n + 1, value.span())
                    .quantity(value.get_ref(), bounds)
            };
            // Both sides are judged even if the first is faulty.
            let values = (side(0, bounds.0), side(1, bounds.1));
            pairs.push(match values {
                (Some(a), Some(b)) => Some(Pair {
                    values: (a, b),
                    span: item.span(),
                }),
                _ => None,
            });
        }
        pairs
            .into_iter()
            .collect::<Option<Vec<Pair>>>()
            .map(Content::Pairs)
    }

    pub fn tables(&mut self, raw: &DeValue<'_>, format: &'static Table) -> Option<Content> {
        let name = self.key.name;
        match raw {
            DeValue::Array(list) => {
                if list.is_empty() {
                    return self.list_length(0, format!("at least one [[{name}]] is needed"));
                }
                let _ = self.entries(raw, 1, "tables")?;
                let several = list.len() > 1;
                let mut nodes = Vec::with_capacity(list.len());
                for (i, item) in list.iter().enumerate() {
                    // The only entry of a list needs no number.
                    let path = if several {
                        self.place.0.entry(i + 1)
                    } else {
                        self.place.0.clone()
                    };
                    let place = (path, item.span());
                    if let DeValue::Table(raw) = item.get_ref() {
                        nodes.push(table(format, raw, place, self.faults));
                    } else {
                        let mut judge = Judge {
                            key: self.key,
                            place,
                            faults: self.faults,
                        };
                        judge.wrong_kind::<()>(item.get_ref(), "a table");
                    }
                }
                // A wrong entry has been reported; the others are still worth building.
                Some(Content::Tables(nodes))
            }
            DeValue::Table(raw) => {
                self.report(
                    FaultKind::WrongKind {
                        value: format!("[{name}]"),
                        found: "a single table",
                        wanted: "a list of tables".into(),
                    },
                    "double brackets here",
                    format!("write [[{name}]] with double brackets, once for each {name}"),
                );
                let place = self.place.clone();
                table(format, raw, place, self.faults);
                None
            }
            _ => self.wrong_kind(raw, &format!("a list of tables, [[{name}]],")),
        }
    }
}

/// The share that `64 %` says.
pub(in crate::scenario) fn percent(text: &str) -> Option<f64> {
    let number = text.trim().strip_suffix('%')?.trim_end();
    let plain = number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let value: f64 = number.parse().ok()?;
    plain.then_some(value / 100.0)
}

/// The value of a TOML number; `None` for NaN, infinity and overflow.
fn finite(raw: &DeValue<'_>) -> Option<f64> {
    let value = match raw {
        DeValue::Integer(integer) => match i64::from_str_radix(integer.as_str(), integer.radix()) {
            #[allow(clippy::cast_precision_loss, reason = "ranges are far below 2^53")]
            Ok(whole) => whole as f64,
            // Beyond 64 bits: only the size matters, and no range reaches it.
            Err(_) => integer.as_str().parse().ok()?,
        },
        DeValue::Float(float) => float.as_str().parse().ok()?,
        _ => return None,
    };
    value.is_finite().then_some(value)
}

/// The kind of a value, with its article.
fn kind_name(raw: &DeValue<'_>) -> &'static str {
    match raw {
        DeValue::String(_) => "text in quotes",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a decimal number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or a time of day",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// At most forty characters on one line, for a message.
pub(super) fn shortened(text: &str) -> String {
    let mut out: String = plain(text).chars().take(40).collect();
    if text.chars().nth(40).is_some() {
        out.push('…');
    }
    out
}
