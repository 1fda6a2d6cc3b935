//! Why a siphon will not do what its file promises: causes ranked by how well each, put
//! into the model, explains what was seen and measured.

mod cause;
mod change;
mod described;
mod diagnose;
mod doubt;
mod draws;
mod likelihood;
mod next;
mod question;
mod remedy;
mod several;
mod sight;
mod suspect;
mod symptom;
mod trials;

pub use cause::{CATALOGUE, Cause, Entry};
pub use diagnose::{ALL_CLEAR, Diagnosis, WhyError, diagnose, is_to_be_expected, rank};
pub use doubt::{Doubt, Doubtful, Misfed};
pub use draws::{Dice, Draw};
pub use next::NextMeasurement;
pub use question::{Answer, Outcome, Question, Reading};
pub use remedy::{Remedy, SetBy, Step};
pub use several::{Several, diagnose_several};
pub use sight::{BedSight, Figure, Scale, Sight};
pub use suspect::{Complaint, Evidence, Shows, Suspect};
pub use symptom::Symptom;
