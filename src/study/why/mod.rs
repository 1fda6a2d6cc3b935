//! Why a siphon will not do what its file promises: causes ranked by how well each, put
//! into the model, explains what was seen and measured.

mod cause;
mod change;
mod diagnose;
mod draws;
mod likelihood;
mod next;
mod remedy;
mod sight;
mod symptom;

pub use cause::{CATALOGUE, Cause, Entry};
pub use diagnose::{
    ALL_CLEAR, Answer, Diagnosis, Evidence, Outcome, Question, Reading, Suspect, WhyError,
    diagnose, rank,
};
pub use draws::{Dice, Draw};
pub use next::NextMeasurement;
pub use remedy::{Remedy, Step};
pub use sight::{BedSight, Figure, Scale, Sight};
pub use symptom::Symptom;
