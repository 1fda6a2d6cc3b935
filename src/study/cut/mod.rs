//! How long to cut each standpipe so that the wanted dry layer stays at peak water.
//!
//! The peak is that of the full simulation, so everything that moves it counts:
//! head over the lip, the rise while the siphon primes, a flared top, valves and
//! pump at the sump level of that moment, a drowned outlet, the first filling,
//! and every other bed. What the check `dry-layer` takes off for errors of level
//! and surface tension is taken off here too. Incidents of the scenario are left
//! out: a standpipe is cut for ordinary running.
//!
//! Method: one simulation of all beds gives every bed's excess or lack of dry
//! media. The peak follows the lip nearly one to one, so each standpipe moves by
//! its own figure, all together, until every bed is within 0.02 mm on the dry
//! side of the wish. Then each bed is held alone, the others fixed: 0.1 mm longer
//! and 1 mm longer must both fail, each simulated. Beds without an answer keep
//! their present length, and the others are solved again beside them.
//!
//! Limit: where several beds share water, the timing of one moves the peaks of
//! the others, and a peak may jump by millimetres as a length changes. No length
//! then leaves just the wanted layer. There the standpipes are shortened until
//! every bed has it and lengthened one by one while all keep it: the answer
//! leaves more than was asked, and 0.1 mm more on any one pipe takes it from some bed.

mod answer;
mod band;
mod pieces;
mod reasons;
mod refusal;
mod solver;

pub use answer::{BedCut, Cut, CutError, Cuts, MOST_DRY_LAYER, Rounded, Stand, Wish, cut, wishing};
pub use band::{Bound, LengthBand};
pub use pieces::{CutList, GUARD_OVER_MEDIA, Step};
pub use refusal::{Opening, Refusal};
