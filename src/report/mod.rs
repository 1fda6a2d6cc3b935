//! What a finished run tells its owner: on a terminal, as a page, as JSON, as a
//! table of levels over time.
//!
//! Nothing is judged or calculated here beyond differences of given levels.

mod absorb;
mod absorb_json;
mod absorb_tables;
mod absorb_text;
mod cut;
mod fit;
mod garden;
mod json;
mod markdown;
mod rows;
#[cfg(test)]
mod sample;
mod text;
mod vary;
mod whole_loop;
mod why;
mod window_page;
mod words;

use crate::assessment::Assessment;
use crate::model::System;
use crate::simulation::Run;
use crate::study::second_opinion::SecondOpinion;
use crate::units::UnitSystem;

pub use absorb::AbsorbReport;
pub use cut::CutReport;
pub use fit::{FitReport, Paste, PasteLine, paste};
pub(crate) use garden::minutes;
pub use markdown::Picture;
#[cfg(test)]
pub(crate) use sample::Sample;
pub use text::Look;
pub use vary::{RandomReport, SweepReport};
pub(crate) use whole_loop::phrase;
pub use whole_loop::{spacing_remark, worst_remark};
pub use why::WhyReport;
pub(crate) use words::{
    REGIMES, VERDICTS, bed_title, check_figure, coefficient_meaning, ending, headline, regime_key,
    regime_phrase, unit_symbol, verdict_key,
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
}
