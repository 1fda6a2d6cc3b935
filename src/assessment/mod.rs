//! Verdicts on a finished run: windows, bounds, checks, cautions.

mod verdict;

pub use verdict::{
    Assessment, BedVerdict, Check, CheckId, CheckUnit, Status, SumpBounds, Verdict,
};
