//! What a finished run tells its owner: on a terminal, as a page, as JSON, as a
//! table of levels over time.
//!
//! Nothing is judged or calculated here beyond differences of given levels.

mod bed_names;
mod caution_words;
mod change_words;
mod check_words;
mod figure;
mod fix_words;
mod garden;
mod kind;
mod note_words;
#[cfg(test)]
mod sample;
mod say;
mod step_words;
mod text;
mod topic;
mod whole_loop;
mod words;

use crate::assessment::{Assessment, Check};
use crate::model::System;
use crate::scenario::Advised;
use crate::simulation::Run;
use crate::study::mend::{Judged, Plan};
use crate::study::second_opinion::SecondOpinion;
use crate::units::UnitSystem;

pub(crate) use bed_names::{bed_name, bed_names, merged};
pub use caution_words::caution_words;
pub use change_words::change_words;
pub(crate) use change_words::shape_words;
pub use check_words::because;
pub(crate) use check_words::siphon::STARTS_LATE;
pub(crate) use check_words::sump::{comes_back, hole, or_over};
pub use figure::{Figure, Value};
pub use fix_words::{by_hand, fix_words};
pub(crate) use garden::minutes;
pub use kind::Kind;
pub use note_words::note_words;
#[cfg(test)]
pub(crate) use sample::Sample;
pub(crate) use say::Say;
pub(crate) use step_words::{step_clause, step_words};
pub use text::{Piece, Text, between, gaps, said};
pub(crate) use topic::Topic;
pub(crate) use whole_loop::phrase;
pub(crate) use words::{
    Counts, RAGGED_TAIL, REGIMES, VERDICTS, bed_title, check_figure, coefficient_meaning,
    drowned_hole, ending, headline, regime_key, regime_phrase, regime_sentence, unit_symbol,
    verdict_key,
};

/// A plan as it is told.
#[derive(Debug, Clone, Copy)]
pub struct Advice<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// For each step, its changes as `--with` takes them.
    pub edits: &'a [Vec<String>],
    /// The same for the steps that only settle a doubt.
    pub surer: &'a [Vec<String>],
    /// What was to stay.
    pub kept: &'a [String],
}

impl Advised {
    /// As answers take it.
    pub fn advice(&self) -> Advice<'_> {
        Advice {
            plan: &self.plan,
            edits: &self.edits,
            surer: &self.surer,
            kept: &self.kept,
        }
    }
}

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
    /// The same run beside the one with the events of the scenario, where it has any.
    pub judged: Option<&'a Judged>,
    /// What to do where something fails.
    pub advice: Option<Advice<'a>>,
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
            judged: None,
            advice: None,
            units,
        }
    }

    /// Why a check came out as it did.
    pub(crate) fn because(&self, check: &Check) -> Text {
        because(self.system, check, self.units)
    }

    /// Names and figures for sentences about it.
    pub(crate) const fn say(&self) -> Say<'a> {
        Say {
            system: self.system,
            units: self.units,
        }
    }

    /// What a check is about.
    pub(crate) fn about(&self, check: &Check) -> &'a str {
        check.subject.name(self.system)
    }

    /// The remarks in words.
    pub(crate) fn notes(&self) -> Vec<Text> {
        note_words(self.system, self.run, &self.assessment.notes, self.units)
    }

    /// The cautions in words.
    pub(crate) fn cautions(&self) -> Vec<Text> {
        caution_words(self.system, &self.assessment.cautions, self.units)
    }
}
