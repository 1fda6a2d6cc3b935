//! What the page asks the engine.

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::units::UnitSystem;

/// A scenario with the changes tried on it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub(super) struct Work {
    /// The scenario.
    pub text: String,
    /// Its file's name.
    pub name: String,
    /// What is changed, one after the other.
    pub with: Vec<Step>,
    /// Keys that no change may touch.
    pub keep: Vec<String>,
    /// Units of what people read.
    pub units: Units,
}

/// One change.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(untagged)]
pub(super) enum Step {
    /// `KEY = VALUE`, or `KEY left out`.
    Edit(String),
    /// Several at once.
    Edits(Vec<String>),
    /// A change of the whole.
    Whole(Whole),
}

/// Changes that are no single key; lengths as they are typed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "do")]
pub(super) enum Whole {
    /// Everything over the sump higher, or lower.
    RaiseAll { by: String },
    /// The sump with all in it higher, or lower.
    MoveSump { by: String },
    /// The sump laid on its side, or set upright.
    TipSump,
    /// So many sumps, joined.
    JoinSump { count: u32 },
    /// A bed with its inlet higher, or lower.
    RaiseBed { bed: usize, by: String },
    /// Inflows read with a bucket, by the bed's index: the beds get them, but for one that keeps
    /// what was told of its inlet, because what it gets is asked about.
    ReadInflow {
        flows: BTreeMap<String, String>,
        #[serde(default)]
        but: Option<usize>,
    },
    /// A bed with its pipes and siphon left out.
    TakeOut { bed: usize },
    /// One more bed like this one.
    OneMore { bed: usize },
    /// The power fails: at a time, or at the worst moment.
    StopPump { at: String },
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Units {
    #[default]
    Metric,
    Us,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Us => Self::Us,
        }
    }
}

/// What is wanted beside an answer.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize)]
#[serde(default)]
pub(super) struct View {
    /// Levels and flows over time.
    pub series: bool,
    /// Every key of the scenario as a field.
    pub fields: bool,
    /// The drawing, so wide `[px]`.
    pub width: Option<f64>,
    /// Only while a finger moves: simulated for so many hours at most, and without looking for
    /// the worst moment of an event.
    pub hours: Option<f64>,
}

/// A question to the engine.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "call")]
pub(super) enum Request {
    /// A scenario to begin with.
    Starter { units: Units },
    /// The scenario's form, faults and drawing.
    Read {
        #[serde(flatten)]
        work: Work,
        #[serde(flatten)]
        view: View,
    },
    /// What it does, and whether that is good.
    Answer {
        #[serde(flatten)]
        work: Work,
        #[serde(flatten)]
        view: View,
    },
    /// The results as `run --json` prints them.
    Results {
        #[serde(flatten)]
        work: Work,
    },
    /// The smallest list of changes with which it passes.
    Plan {
        #[serde(flatten)]
        work: Work,
        /// Systems to simulate at most.
        tries: Option<usize>,
        /// What is complained of.
        #[serde(default)]
        seen: Option<Seen>,
        /// The changes in place of `with` that were there when it was seen.
        #[serde(default)]
        stood: Option<Vec<Step>>,
    },
    /// What to cut.
    Cut {
        #[serde(flatten)]
        work: Work,
        /// Dry gravel wanted over the highest water.
        dry_layer: Option<String>,
    },
    /// What may be wrong.
    Why {
        #[serde(flatten)]
        work: Work,
        #[serde(flatten)]
        seen: Seen,
    },
    /// Whether what is seen is still to be expected.
    StillSeen {
        #[serde(flatten)]
        work: Work,
        seen: Seen,
    },
    /// What measurements say about what could only be assumed.
    Fit {
        #[serde(flatten)]
        work: Work,
        #[serde(flatten)]
        seen: Seen,
    },
    /// A scenario from a handful of facts.
    Draft {
        #[serde(flatten)]
        told: Told,
    },
    /// Whether the system bears its last change.
    Bears {
        #[serde(flatten)]
        work: Work,
    },
    /// What to measure on a bed, step by step.
    Measure {
        #[serde(flatten)]
        work: Work,
        bed: usize,
    },
    /// Which inflows, by the bed's index, cannot be read, and why.
    Inflows {
        flows: BTreeMap<String, String>,
        #[serde(default)]
        units: Units,
    },
    /// Where pipes join a shared line, as told or assumed.
    Junctions {
        /// The line's, as typed.
        length: String,
        /// Bed by bed, as typed; empty where nobody told it.
        told: Vec<String>,
    },
    /// What can be seen wrong, measured and checked.
    Catalogue {
        #[serde(default)]
        units: Units,
    },
}

/// Facts of a system that is not built yet, as typed; empty where they are left to be found.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub(super) struct Told {
    pub units: Units,
    pub title: String,
    pub beds: String,
    pub bed: String,
    pub room: String,
    pub drum: String,
    pub pump: String,
    pub tank: String,
}

/// What a person sees and reads.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case", default)]
pub(super) struct Seen {
    /// Index of the bed.
    pub bed: usize,
    /// Word of a symptom.
    pub symptom: Option<String>,
    /// Readings by key, as typed; under `seen` what the bed was seen to do.
    pub readings: BTreeMap<String, String>,
    /// The flow that a bucket read at other beds and what they were seen to do, by their index.
    pub others: BTreeMap<String, BTreeMap<String, String>>,
    /// Answers of quick checks by cause.
    pub checks: BTreeMap<String, bool>,
}
