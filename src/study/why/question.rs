//! What is asked of `why`, and what may be the case.

use crate::study::measure::{Fact, Measurement, Seen};
use crate::study::why::cause::Cause;
use crate::study::why::sight::{Figure, Sight};
use crate::study::why::symptom::Symptom;
use crate::units::UnitSystem;

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
    /// What is wrong with other beds, which are asked about by themselves.
    pub others: Vec<(usize, Symptom)>,
    /// What beds were seen to do, by index.
    pub seen: Vec<(usize, Seen)>,
    /// What was read.
    pub readings: Vec<Reading>,
    /// At which flows beds started, dribbled, broke or ran on, as they are now.
    pub facts: Vec<Fact>,
    /// What quick checks have shown.
    pub answers: Vec<Answer>,
    /// Whose sizes are on sale.
    pub sizes: UnitSystem,
}

impl Question {
    /// Whether the siphon is said to run and not to break.
    pub fn is_stuck_open(&self) -> bool {
        let said = matches!(self.symptom, Some(Symptom::RunsOn | Symptom::Stalls));
        said || self.seen.contains(&(self.bed, Seen::NeverBroke))
    }

    /// Whether it is about what all beds do together to sump and line, which hangs on how they meet.
    pub(super) fn is_of_all(&self) -> bool {
        matches!(
            self.symptom,
            Some(Symptom::SumpOverflows | Symptom::PumpRunsDry | Symptom::LineGurgles)
        )
    }

    /// What the quick check of `cause` said, where it was done; the last time counts.
    pub fn check_of(&self, cause: Cause) -> Option<bool> {
        let mut done = self.answers.iter().rev();
        done.find(|one| one.cause == cause).map(|one| one.yes)
    }

    /// What is said of bed `bed`.
    pub(super) fn symptom_of(&self, bed: usize) -> Option<Symptom> {
        let mut others = self.others.iter();
        match bed == self.bed {
            true => self.symptom,
            false => others.find(|one| one.0 == bed).map(|one| one.1),
        }
    }

    /// Most inflow that may be advised `[m3/s]`: a siphon that does not break wants less than
    /// what was read, or what the file `promised`.
    pub(super) fn most_inflow(&self, promised: &Sight) -> Option<f64> {
        let mut readings = self.readings.iter();
        let read = readings.find(|r| r.figure == Figure::Inflow && r.bed == self.bed);
        let now = read.map_or(promised.beds[self.bed].inflow, |reading| reading.value);
        self.is_stuck_open().then_some(LESS * now)
    }
}

/// Less inflow than one at which a siphon did not break, as a share `[-]`; ours.
const LESS: f64 = 0.90;

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
    /// Whether what is done about it brings more water to the bed.
    pub const fn fix_brings_water(self) -> bool {
        matches!(
            self,
            Self::Cause(
                Cause::WornPump | Cause::InletThrottled | Cause::WaterLost | Cause::TimerShort
            )
        )
    }

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
