//! One outcome beside what was read.

use crate::study::why::question::Outcome;
use crate::study::why::remedy::Remedy;
use crate::study::why::sight::Sight;

/// One reading beside what an outcome expects of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence {
    /// Place of the reading in the question.
    pub reading: usize,
    /// What the outcome expects, SI.
    pub expected: f64,
    /// Lower and upper end of what it allows, two standard deviations off, SI.
    pub allowed: (f64, f64),
    /// How far off the reading is, in standard deviations of both.
    pub off: f64,
}

/// What the system does with an outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct Shows {
    /// What would be found.
    pub sight: Sight,
    /// Whether that is what is complained of.
    pub complaint: Complaint,
    /// How bad it is drawn: as bad as explains best, or where a siphon in the middle of the bands
    /// shows the complaint only when it is otherwise, the nearest to that; `None`: it never does.
    pub drawn: Option<f64>,
}

/// What is complained of, beside what a cause shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Complaint {
    /// It is what the cause shows in the middle of the bands.
    Expected,
    /// It takes an unlucky draw of all that is uncertain; in the middle something else shows.
    WithBadLuck,
    /// No draw shows it.
    NotShown,
}

/// One outcome with its share.
#[derive(Debug, Clone)]
pub struct Suspect {
    /// What may be the case.
    pub outcome: Outcome,
    /// Probability, 0 to 1.
    pub share: f64,
    /// Best severity and the range that holds nine tenths; `None` for the system as built.
    pub severity: Option<(f64, (f64, f64))>,
    /// Every reading beside what is expected.
    pub evidence: Vec<Evidence>,
    /// What the system does with it; `None`: the simulation gave up.
    pub shows: Option<Shows>,
    /// What to do, simulated.
    pub remedy: Option<Remedy>,
    /// The inflow to aim at `[m3/s]` where the design itself does it, nothing was found to do about that,
    /// and no valve sets it.
    pub aim: Option<f64>,
}
