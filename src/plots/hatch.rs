//! Patterns that tell areas apart without colour.

use super::palette::{BLACK, MID_GREY, Stroke};
use super::sheet::{Point, Sheet};
use crate::simulation::SiphonMode;

/// Fills the rectangle between two corners with the pattern of a siphon mode.
pub(super) fn mode_swatch(
    sheet: &mut Sheet,
    (left, top): Point,
    (right, bottom): Point,
    mode: SiphonMode,
) {
    let thin = Stroke::solid(BLACK, 1.0);
    match mode {
        SiphonMode::Filling => {}
        SiphonMode::Spilling => {
            // Diagonals, cut at the sides.
            let rise = bottom - top;
            let mut x = left - rise + 3.0;
            while x < right {
                let from = (x.max(left), bottom - (x.max(left) - x));
                let to = ((x + rise).min(right), bottom - ((x + rise).min(right) - x));
                sheet.line(&[from, to], thin);
                x += 5.0;
            }
        }
        SiphonMode::Priming => sheet.rect((left, top), (right, bottom), MID_GREY),
        SiphonMode::FullBore => sheet.rect((left, top), (right, bottom), BLACK),
        SiphonMode::RunningOn => {
            let mut x = left + 2.0;
            while x < right {
                sheet.line(&[(x, top), (x, bottom)], Stroke::solid(BLACK, 2.0));
                x += 5.0;
            }
        }
    }
}

/// A siphon mode in words.
pub(super) fn mode_name(mode: SiphonMode) -> &'static str {
    match mode {
        SiphonMode::Filling => "filling",
        SiphonMode::Spilling => "spilling over the lip",
        SiphonMode::Priming => "priming",
        SiphonMode::FullBore => "running full",
        SiphonMode::RunningOn => "running on with air",
    }
}

/// All modes, in the order in which a cycle passes them.
pub(super) const MODES: [SiphonMode; 5] = [
    SiphonMode::Filling,
    SiphonMode::Spilling,
    SiphonMode::Priming,
    SiphonMode::FullBore,
    SiphonMode::RunningOn,
];
