//! Where in the results figures stand, and in whose units they are printed.

use crate::answer::{Figure, Form, Key, Kind, Piece, Text, Value, between};
use crate::model::Band;
use crate::simulation::Spread;
use crate::units::UnitSystem;

/// A place in the results, and the reader's units: makes figures from keys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct At {
    units: UnitSystem,
    path: String,
}

impl At {
    /// The top of the results.
    pub const fn top(units: UnitSystem) -> Self {
        Self {
            units,
            path: String::new(),
        }
    }

    /// A part of this one, such as `sump`.
    #[must_use]
    pub fn part(&self, name: &str) -> Self {
        Self {
            units: self.units,
            path: join(&self.path, name),
        }
    }

    /// One of several parts, such as `beds[2]`.
    #[must_use]
    pub fn item(&self, name: &str, index: usize) -> Self {
        self.part(&format!("{name}[{index}]"))
    }

    /// The reader's units.
    pub const fn units(&self) -> UnitSystem {
        self.units
    }

    /// A number `[SI]`, printed as its kind is.
    pub fn figure(&self, key: &Key, value: f64) -> Figure {
        self.named(key, "", value)
    }

    /// A number in the key's unit, printed as `shown`.
    pub fn shown(&self, key: &Key, value: f64, shown: impl Into<String>) -> Figure {
        self.make(key, Value::Number(value), shown.into())
    }

    /// A number of a key whose unit another key names, in that unit.
    pub fn in_unit(
        &self,
        key: &Key,
        value: f64,
        unit: &'static str,
        shown: impl Into<String>,
    ) -> Figure {
        Figure {
            kind: Kind::Number(unit),
            ..self.shown(key, value, shown)
        }
    }

    /// A figure made elsewhere, at this key.
    pub fn put(&self, key: &Key, figure: Figure) -> Figure {
        Figure {
            key: join(&self.path, key.name),
            ..figure
        }
    }

    /// How many.
    pub fn count(&self, key: &Key, count: impl TryInto<u64>) -> Figure {
        let count = count.try_into().unwrap_or(u64::MAX);
        self.make(key, Value::Count(count), count.to_string())
    }

    /// Yes or no.
    pub fn flag(&self, key: &Key, holds: bool) -> Figure {
        let word = if holds { "yes" } else { "no" };
        self.make(key, Value::Flag(holds), word.to_owned())
    }

    /// A word of the key's list, a name or a sentence.
    pub fn word(&self, key: &Key, word: impl Into<String>) -> Figure {
        let word = word.into();
        self.make(key, Value::Word(word.clone()), word)
    }

    /// `9.8 L/min`, or with its extremes where they differ as printed.
    pub fn spread(&self, key: &Key, of: Spread) -> Text {
        let [mean, min, max] = [("mean", of.mean), ("min", of.min), ("max", of.max)]
            .map(|(n, v)| self.named(key, n, v));
        if min.shown == max.shown {
            return Text(vec![
                Piece::Figure(mean),
                Piece::Unsaid(min),
                Piece::Unsaid(max),
            ]);
        }
        Text::from(mean)
            .and(" (")
            .and(between(min, "to", max))
            .and(")")
    }

    /// `8.2 L/min (band 5.5 to 11.0 L/min)`.
    pub fn band(&self, key: &Key, of: Band) -> Text {
        let [low, nominal, high] = [("low", of.low), ("nominal", of.nominal), ("high", of.high)]
            .map(|(n, v)| self.named(key, n, v));
        if low.shown == high.shown {
            return Text(vec![
                Piece::Unsaid(low),
                Piece::Figure(nominal),
                Piece::Unsaid(high),
            ]);
        }
        Text::from(nominal)
            .and(" (band ")
            .and(between(low, "to", high))
            .and(")")
    }

    /// `5.5 to 9.0 L/min`.
    pub fn ends(&self, key: &Key, word: &str, (low, high): (f64, f64)) -> Text {
        between(
            self.named(key, "low", low),
            word,
            self.named(key, "high", high),
        )
    }

    /// One value of a key with several, or of a list: `mean`, or the place in the list.
    pub fn named(&self, key: &Key, name: &str, value: f64) -> Figure {
        let mut figure = self.make(key, Value::Number(value), key.kind.shown(value, self.units));
        figure.key = match key.form {
            Form::List => format!("{}[{name}]", figure.key),
            _ => join(&figure.key, name),
        };
        figure
    }

    /// A list of numbers, for the results alone.
    pub fn list(&self, key: &Key, values: impl IntoIterator<Item = f64>) -> Vec<Figure> {
        let values = values.into_iter().enumerate();
        values
            .map(|(i, value)| self.named(key, &i.to_string(), value))
            .collect()
    }

    /// A list of words, for the results alone.
    pub fn words<W: Into<String>>(
        &self,
        key: &Key,
        words: impl IntoIterator<Item = W>,
    ) -> Vec<Figure> {
        let words = words.into_iter().enumerate();
        words
            .map(|(i, word)| Figure {
                key: format!("{}[{i}]", join(&self.path, key.name)),
                ..self.word(key, word)
            })
            .collect()
    }

    /// A list of counts, for the results alone.
    pub fn counts(&self, key: &Key, counts: impl IntoIterator<Item = usize>) -> Vec<Figure> {
        let counts = counts.into_iter().enumerate();
        counts
            .map(|(i, count)| Figure {
                key: format!("{}[{i}]", join(&self.path, key.name)),
                ..self.count(key, count)
            })
            .collect()
    }

    /// Mean and extremes, for the results alone.
    pub fn all_of(&self, key: &Key, of: Spread) -> Vec<Figure> {
        self.spread(key, of).figures().cloned().collect()
    }

    fn make(&self, key: &Key, value: Value, shown: String) -> Figure {
        Figure {
            key: join(&self.path, key.name),
            value,
            kind: key.kind,
            shown,
        }
    }
}

fn join(path: &str, name: &str) -> String {
    match (path, name) {
        (path, "") => path.to_owned(),
        ("", name) => name.to_owned(),
        (path, name) => format!("{path}.{name}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::{BAND, Kind, SPREAD};
    use crate::units::UnitSystem::Metric;

    const INFLOW: Key = Key::new("inflow_m3_s", Kind::Flow, "Inflow.").of(SPREAD);
    const START: Key = Key::new("start_flow_m3_s", Kind::Flow, "Starts above.").of(BAND);

    fn keys(text: &Text) -> Vec<&str> {
        text.figures().map(|f| f.key.as_str()).collect()
    }

    #[test]
    fn extremes_that_print_alike_stay_in_the_results() {
        let bed = At::top(Metric).item("beds", 1);
        let of = |mean, min, max| {
            let flow = |value: f64| value / 60_000.0;
            bed.spread(
                &INFLOW,
                Spread {
                    mean: flow(mean),
                    min: flow(min),
                    max: flow(max),
                },
            )
        };
        let even = of(8.0, 7.999, 8.001);
        assert_eq!(even.to_string(), "8.0 L/min");
        let expected = [
            "beds[1].inflow_m3_s.mean",
            "beds[1].inflow_m3_s.min",
            "beds[1].inflow_m3_s.max",
        ];
        assert_eq!(keys(&even), expected);
        let wide = of(8.0, 7.0, 9.5);
        assert_eq!(wide.to_string(), "8.0 L/min (7.0 to 9.5 L/min)");
        assert_eq!(keys(&wide), expected);
    }

    #[test]
    fn counts_in_a_list_stay_counts() {
        let inputs = Key::new("inputs", Kind::Count, "Which inputs.").of(Form::List);
        let counts = At::top(Metric).item("leading", 0).counts(&inputs, [3, 7]);
        assert_eq!(counts[1].key, "leading[0].inputs[1]");
        assert_eq!(counts[1].value, Value::Count(7));
    }

    #[test]
    fn a_band_prints_its_ends_where_they_differ() {
        let at = At::top(Metric);
        let band = |low: f64, nominal: f64, high: f64| Band {
            low: low / 60_000.0,
            nominal: nominal / 60_000.0,
            high: high / 60_000.0,
        };
        let text = at.band(&START, band(5.5, 8.2, 11.0));
        assert_eq!(text.to_string(), "8.2 L/min (band 5.5 to 11.0 L/min)");
        assert_eq!(
            at.band(&START, band(8.2, 8.2, 8.2)).to_string(),
            "8.2 L/min"
        );
    }
}
