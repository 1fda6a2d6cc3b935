//! One value among words.

use crate::report::Kind;

/// What a figure holds, SI where it is a number.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A number; one that is not finite is `null` in JSON.
    Number(f64),
    /// How many.
    Count(u64),
    /// Yes or no.
    Flag(bool),
    /// A word of a fixed list, or text.
    Word(String),
}

/// One value of an answer: under which key it stands in the results, what it is, and how it
/// is printed.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Where it stands in the results, such as `beds[0].period_s.mean`; before a sentence has its
    /// place, the figure's name in it.
    pub key: String,
    /// The value, SI.
    pub value: Value,
    /// What it measures.
    pub kind: Kind,
    /// As printed, with its unit.
    pub shown: String,
}

impl Figure {
    /// The same value in other words.
    #[must_use]
    pub fn said(self, shown: impl Into<String>) -> Self {
        Self {
            shown: shown.into(),
            ..self
        }
    }
}
