//! What a finished run tells its owner: on a terminal, as a page, as JSON, as a
//! table of levels over time.
//!
//! Nothing is judged or calculated here beyond differences of given levels.

mod caution_words;
mod change_words;
mod check_words;
mod fix_words;
mod garden;
mod note_words;
#[cfg(test)]
mod sample;
mod whole_loop;
mod words;

use crate::assessment::{Adviser, Assessment, Check, Status};
use crate::model::System;
use crate::simulation::Run;
use crate::study::second_opinion::SecondOpinion;
use crate::units::UnitSystem;

pub use caution_words::caution_words;
pub use change_words::change_words;
pub use check_words::because;
pub use fix_words::{first_fix, fix_words};
pub(crate) use garden::{minutes, until_low};
pub use note_words::note_words;
#[cfg(test)]
pub(crate) use sample::Sample;
pub(crate) use whole_loop::phrase;
pub(crate) use words::{
    REGIMES, VERDICTS, bed_title, check_figure, check_name, coefficient_meaning, ending, headline,
    regime_key, regime_phrase, unit_symbol, verdict_key,
};

/// Everything there is to say about one run.
#[derive(Debug, Clone, Copy)]
pub struct Report<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What it did.
    pub run: &'a Run,
    /// What that means.
    pub assessment: &'a Assessment,
    /// What the other integrator says, if it was asked.
    pub second_opinion: Option<&'a SecondOpinion>,
    /// Units of text and page; JSON and the table of levels are SI.
    pub units: UnitSystem,
}

impl<'a> Report<'a> {
    /// The report of one run, without a second opinion.
    pub const fn new(
        system: &'a System,
        run: &'a Run,
        assessment: &'a Assessment,
        units: UnitSystem,
    ) -> Self {
        Self {
            system,
            run,
            assessment,
            second_opinion: None,
            units,
        }
    }

    /// Why a check came out as it did.
    pub(crate) fn because(&self, check: &Check) -> String {
        because(self.system, check, self.units)
    }

    /// What a check is about.
    pub(crate) fn about(&self, check: &Check) -> &'a str {
        check.subject.name(self.system)
    }

    /// What to change first for each check, in the same order; empty where it passes.
    pub(crate) fn first_fixes(&self) -> Vec<String> {
        let checks = &self.assessment.checks;
        if checks.iter().all(|check| check.status == Status::Pass) {
            return vec![String::new(); checks.len()];
        }
        let adviser = Adviser::new(self.system, self.run, self.units);
        checks
            .iter()
            .map(|check| first_fix(&adviser, check, self.system, self.units))
            .collect()
    }

    /// The remarks in words.
    pub(crate) fn notes(&self) -> Vec<String> {
        note_words(self.system, self.run, &self.assessment.notes, self.units)
    }

    /// The cautions in words.
    pub(crate) fn cautions(&self) -> Vec<String> {
        caution_words(self.system, &self.assessment.cautions, self.units)
    }
}
