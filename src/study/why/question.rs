//! What is asked of `why`, and what may be the case.

use crate::study::measure::{Measurement, Seen};
use crate::study::why::cause::Cause;
use crate::study::why::sight::Figure;
use crate::study::why::symptom::Symptom;

/// One figure that was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// What was read.
    pub figure: Figure,
    /// The bed; of figures of the whole system any.
    pub bed: usize,
    /// Its value, SI.
    pub value: f64,
    /// One standard deviation of the reading, SI.
    pub sigma: f64,
}

impl From<&Measurement> for Reading {
    fn from(measured: &Measurement) -> Self {
        Self {
            figure: measured.what.into(),
            bed: measured.bed,
            value: measured.value,
            sigma: measured.sigma,
        }
    }
}

/// The answer to a cause's quick check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answer {
    /// Whose check.
    pub cause: Cause,
    /// Whether it confirmed the cause.
    pub yes: bool,
}

/// What is known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Question {
    /// The bed in question.
    pub bed: usize,
    /// What is wrong, in a person's words.
    pub symptom: Option<Symptom>,
    /// What beds were seen to do, by index.
    pub seen: Vec<(usize, Seen)>,
    /// What was read.
    pub readings: Vec<Reading>,
    /// What quick checks have shown.
    pub answers: Vec<Answer>,
}

/// What may be the case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outcome {
    /// The system is as the file says; it does this because of its design, or the soft
    /// coefficients are at an unlucky end of their bands.
    AsBuilt,
    /// A cause of the catalogue.
    Cause(Cause),
}

impl Outcome {
    /// What may be the case, as a clause.
    pub fn words(self) -> &'static str {
        match self {
            Self::AsBuilt => "nothing is broken: the design itself can do this",
            Self::Cause(cause) => cause.entry().words,
        }
    }

    /// Its fixed word.
    pub fn key(self) -> &'static str {
        match self {
            Self::AsBuilt => "as-built",
            Self::Cause(cause) => cause.entry().key,
        }
    }
}
