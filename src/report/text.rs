//! Words with figures in them.

use crate::assessment::Status;
use crate::report::Figure;
use crate::units::display::{self, capital};

/// One piece of a text.
#[derive(Debug, Clone, PartialEq)]
pub enum Piece {
    /// Words, those of a scenario among them: every renderer makes them harmless.
    Words(String),
    /// A figure.
    Figure(Figure),
    /// A figure that the results hold and the words leave out, as the extremes of a range
    /// that print alike.
    Unsaid(Figure),
    /// A file, a key or a command, to be typed as it is.
    Code(String),
    /// Stressed words.
    Stress(String),
    /// The word of a status.
    Status(Status, &'static str),
}

/// Words with figures in them.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Text(pub Vec<Piece>);

impl Text {
    /// The template with each `{}` replaced by a part, what stands in backticks as code.
    /// Use [`said!`](crate::report::said), which counts the parts.
    pub fn filled(template: &str, parts: impl IntoIterator<Item = Text>) -> Self {
        let mut parts = parts.into_iter();
        let mut out = Self::default();
        for (i, stretch) in template.split('`').enumerate() {
            let mut text = Self::default();
            for (k, words) in stretch.split("{}").enumerate() {
                if k > 0 {
                    text = text.and(parts.next().unwrap_or_default());
                }
                text = text.and(words);
            }
            out = match i % 2 {
                0 => out.and(text),
                _ => out.and(Piece::Code(text.to_string())),
            };
        }
        out
    }

    /// This and then that.
    #[must_use]
    pub fn and(mut self, more: impl Into<Text>) -> Self {
        self.0.extend(more.into().0);
        self
    }

    /// Several texts with words between.
    pub fn joined(texts: impl IntoIterator<Item = Text>, between: &str) -> Self {
        let mut out = Self::default();
        for (i, text) in texts.into_iter().enumerate() {
            if i > 0 {
                out = out.and(between);
            }
            out = out.and(text);
        }
        out
    }

    /// With a capital in front, where words stand there.
    #[must_use]
    pub fn capital(mut self) -> Self {
        if let Some(Piece::Words(first)) = self.0.first_mut() {
            *first = capital(first);
        }
        self
    }

    /// With these words in place of those, wherever they stand among the words.
    #[must_use]
    pub fn with(mut self, those: &str, these: &str) -> Self {
        for piece in &mut self.0 {
            if let Piece::Words(words) = piece {
                *words = words.replace(those, these);
            }
        }
        self
    }

    /// The figures, said and unsaid.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        self.0.iter().filter_map(|piece| match piece {
            Piece::Figure(figure) | Piece::Unsaid(figure) => Some(figure),
            _ => None,
        })
    }

    /// Nothing to read in it.
    pub fn is_empty(&self) -> bool {
        self.to_string().is_empty()
    }
}

/// The words and figures as they are; nothing is made harmless.
impl std::fmt::Display for Text {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|piece| match piece {
            Piece::Words(words) | Piece::Stress(words) => f.write_str(words),
            Piece::Code(words) => write!(f, "`{words}`"),
            Piece::Figure(figure) => f.write_str(&figure.shown),
            Piece::Status(_, word) => f.write_str(word),
            Piece::Unsaid(_) => Ok(()),
        })
    }
}

impl From<Piece> for Text {
    fn from(piece: Piece) -> Self {
        match piece {
            Piece::Words(words) if words.is_empty() => Self::default(),
            piece => Self(vec![piece]),
        }
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Self {
        Piece::Words(words.to_owned()).into()
    }
}

impl From<String> for Text {
    fn from(words: String) -> Self {
        Piece::Words(words).into()
    }
}

impl From<Figure> for Text {
    fn from(figure: Figure) -> Self {
        Piece::Figure(figure).into()
    }
}

impl<T: Into<Text>> From<Option<T>> for Text {
    fn from(text: Option<T>) -> Self {
        text.map_or_else(Self::default, Into::into)
    }
}

/// `5.5 to 9.0 L/min`: two figures that share their unit name it once.
pub fn between(low: Figure, word: &str, high: Figure) -> Text {
    let whole = display::between(&low.shown, word, &high.shown);
    shared(&whole, low, word, high)
}

/// `40 to 50 g/m2 a day`.
pub(super) fn between_a_day(low: Figure, high: Figure) -> Text {
    let whole = display::between_a_day(&low.shown, &high.shown);
    shared(&whole, low, "to", high)
}

/// Two figures as `whole` prints them.
fn shared(whole: &str, low: Figure, word: &str, high: Figure) -> Text {
    let rest = format!(" {word} {}", high.shown);
    let first = whole.strip_suffix(&rest).unwrap_or(&low.shown).to_owned();
    Text::from(low.said(first))
        .and(format!(" {word} "))
        .and(high)
}

/// How many `{}` stand in a template.
pub const fn gaps(template: &str) -> usize {
    let bytes = template.as_bytes();
    let (mut i, mut found) = (1, 0);
    while i < bytes.len() {
        if bytes[i - 1] == b'{' && bytes[i] == b'}' {
            found += 1;
        }
        i += 1;
    }
    found
}

/// A text from a template and its parts: words, figures, texts, or options of them.
///
/// ```
/// use ebbwright::answer::{At, Key, Kind};
/// use ebbwright::report::said;
/// use ebbwright::units::UnitSystem::Metric;
/// const LIP: Key = Key::new("lip_m", Kind::Length, "Height of the lip.");
/// let lip = At::top(Metric).figure(&LIP, 0.225);
/// let text = said!("{} above the floor of {}; see `run`", lip, "north");
/// assert_eq!(text.to_string(), "225 mm above the floor of north; see `run`");
/// ```
#[macro_export]
#[doc(hidden)]
macro_rules! __said {
    ($template:literal $(, $part:expr)* $(,)?) => {{
        const {
            assert!(
                $crate::report::gaps($template) == 0 $(+ { let _ = stringify!($part); 1 })*,
                "a template has as many gaps as parts"
            );
        }
        $crate::report::Text::filled($template, [$($crate::report::Text::from($part)),*])
    }};
}
pub use crate::__said as said;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::{Kind, Value};
    use crate::units::UnitSystem::{self, Metric, Us};

    fn flow(value: f64) -> Figure {
        figure(Kind::Flow, value / 60_000.0, Metric)
    }

    fn figure(kind: Kind, value: f64, units: UnitSystem) -> Figure {
        Figure {
            key: "figure".to_owned(),
            value: Value::Number(value),
            kind,
            shown: kind.shown(value, units),
        }
    }

    #[test]
    fn a_template_keeps_words_figures_and_code_apart() {
        let text = said!(
            "{} in `{}`, {}",
            flow(8.0),
            "a`b.toml",
            Option::<Figure>::None
        );
        let kinds: Vec<bool> = text
            .0
            .iter()
            .map(|p| matches!(p, Piece::Figure(_)))
            .collect();
        assert_eq!(kinds, [true, false, false, false]);
        assert_eq!(text.0[2], Piece::Code("a`b.toml".to_owned()));
        assert_eq!(text.to_string(), "8.0 L/min in `a`b.toml`, ");
        assert_eq!(text.figures().count(), 1);
        assert_eq!(gaps("{} {{}"), 2);
    }

    #[test]
    fn a_shared_unit_is_named_once_and_both_values_stay() {
        let text = between(flow(5.5), "to", flow(9.0));
        assert_eq!(text.to_string(), "5.5 to 9.0 L/min");
        assert_eq!(text.figures().count(), 2);
        let lengths = [0.0381, 0.0635].map(|m| figure(Kind::Length, m, Us));
        let [low, high] = lengths;
        assert_eq!(between(low, "to", high).to_string(), "1 1/2 in to 2 1/2 in");
    }
}
