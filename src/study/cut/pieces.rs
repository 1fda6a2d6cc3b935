//! What to cut for one bed, and the steps of a tape measure.

use crate::model::{Bed, DrainLosses};
use crate::units::UnitSystem;

/// How far the guard goes up over the media surface `[m]`, so that no gravel falls
/// in; common practice, no source.
pub const GUARD_OVER_MEDIA: f64 = 0.050;
/// Side pipe shorter than this is the play of the joints, not a piece `[m]`.
const LEAST_LATERAL: f64 = 0.010;

/// A whole number of these is what a tape measure shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// One millimetre.
    Millimetre,
    /// A sixteenth of an inch.
    Sixteenth,
}

impl Step {
    /// What a tape measure of these units shows.
    pub const fn of(units: UnitSystem) -> Self {
        match units {
            UnitSystem::Metric => Self::Millimetre,
            UnitSystem::Us => Self::Sixteenth,
        }
    }

    /// Its size `[m]`, exact.
    pub const fn metres(self) -> f64 {
        match self {
            Self::Millimetre => 0.001,
            Self::Sixteenth => 0.0254 / 16.0,
        }
    }

    /// `metres` rounded down to whole steps `[m]`; a whole number of steps stays
    /// what it is but for rounding.
    pub fn down(self, metres: f64) -> f64 {
        (metres / self.metres() + 1e-6).floor() * self.metres()
    }

    /// `metres` rounded up to whole steps `[m]`, likewise.
    pub fn up(self, metres: f64) -> f64 {
        (metres / self.metres() - 1e-6).ceil() * self.metres()
    }

    fn nearest(self, metres: f64) -> f64 {
        (metres / self.metres()).round() * self.metres()
    }
}

/// Lengths to cut for one bed, each a whole number of steps `[m]`.
#[derive(Debug, Clone, PartialEq)]
pub struct CutList {
    /// Standpipe, bed floor to lip, a flared top included; what its joint in the
    /// floor takes comes on top.
    pub standpipe: f64,
    /// Bell tube, from the bed's floor, on which it stands, to the underside of
    /// its cap: lip plus clearance.
    pub bell: f64,
    /// Guard, from the bed's floor to [`GUARD_OVER_MEDIA`] above the media;
    /// `None`: the scenario has none.
    pub guard: Option<f64>,
    /// Air tube, from the underside of the cap straight down to its mouth.
    pub air_tube: Option<f64>,
    /// Bed floor straight down to the level of the outlet's centre.
    pub down_leg: f64,
    /// Pipe to the side of it: developed length less the drop from lip to
    /// outlet, fittings measured along their middle; zero where the drop uses up
    /// the developed length, `None` where the scenario gives a measured total
    /// loss and no length.
    pub lateral: Option<f64>,
}

impl CutList {
    /// The pieces of `bed`, whose standpipe and clearance are already rounded.
    pub fn of(bed: &Bed, step: Step) -> Self {
        let siphon = &bed.siphon;
        let (bell, drain) = (&siphon.bell, &siphon.drain);
        let cap = siphon.cap_height();
        Self {
            standpipe: step.nearest(siphon.standpipe.lip_height),
            bell: step.nearest(cap),
            guard: bed
                .guard
                .as_ref()
                .map(|_| step.up(bed.media.depth + GUARD_OVER_MEDIA)),
            air_tube: bell
                .air_tube
                .as_ref()
                .map(|tube| step.nearest(cap - tube.mouth_height)),
            down_leg: step.nearest(bed.floor - drain.outlet),
            lateral: match drain.losses {
                DrainLosses::Computed { length, .. } => {
                    let side = length - (bed.lip_level() - drain.outlet);
                    Some(if side < LEAST_LATERAL {
                        0.0
                    } else {
                        step.nearest(side)
                    })
                }
                DrainLosses::Total { .. } => None,
            },
        }
    }
}

/// `bed` with a standpipe of `length` and its bell both of whole steps `[m]`. The
/// clearance takes up what the rounding of the bell leaves, half a step at most.
pub(super) fn rounded(bed: &Bed, length: f64, step: Step) -> Bed {
    let mut cut = bed.clone();
    cut.siphon.set_standpipe(length);
    let bell = step.nearest(length + bed.siphon.bell.clearance);
    // A cap that would touch the lip gets the least clearance a tape shows.
    cut.siphon.bell.clearance = if bell > length + 0.5 * step.metres() {
        bell - length
    } else {
        step.metres()
    };
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_go_down_to_what_a_tape_shows() {
        for (step, size) in [(Step::Millimetre, 0.001), (Step::Sixteenth, 0.0015875)] {
            for k in 1..400_u32 {
                let whole = f64::from(k) * size;
                assert!((step.down(whole) - whole).abs() < 1e-12, "{whole}");
                assert!(
                    (step.down(whole + 0.99 * size) - whole).abs() < 1e-12,
                    "{whole}"
                );
                assert!(
                    (step.up(whole - 0.99 * size) - whole).abs() < 1e-12,
                    "{whole}"
                );
            }
        }
    }
}
