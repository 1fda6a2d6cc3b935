//! The readings of the protocol that are taken on purpose, between two marks or at one
//! moment, as closed forms of what the simulation uses. The gravel's own loss is left out.

use crate::hydraulics::circular::full_area;
use crate::model::{Bed, BedStorage};
use crate::siphon::SiphonLaw;

/// Wanted distance of the marks `[m]`: a rule read to a millimetre tells it to 1.5 %.
const APART: f64 = 0.140;
/// The upper mark lies this far under the lip `[m]`, where nothing runs over yet.
const UNDER_LIP: f64 = 0.025;
/// The lower mark lies at least this far over the crown of the slots `[m]`, before any air.
const OVER_CROWN: f64 = 0.030;
/// Marks are put on whole steps of this `[m]`.
const STEP: f64 = 0.005;
/// How much taller the bell is made for the second priming `[m]`.
pub const TALLER: f64 = 0.050;
/// Flows are raised in steps of this share, so the last dribble was half of it too small.
pub const RAISED_BY: f64 = 0.08;
/// Steps of Simpson's rule over a fall.
const STRIPS: usize = 40;

/// Heights over the bed's floor between which rise and fall are timed, lower one first `[m]`.
pub fn marks(bed: &Bed) -> (f64, f64) {
    let round = |height: f64| (height / STEP).round() * STEP;
    let lip = bed.siphon.standpipe.lip_height;
    let crown = bed.siphon.bell.slots.height;
    // In a shallow bed 25 mm would be most of what there is.
    let high = round(lip - UNDER_LIP).max(0.6 * lip);
    let low = round((high - APART).max(crown + OVER_CROWN));
    if low < high - STEP {
        (low, high)
    } else {
        // A bed hardly deeper than its slots: the middle half of what there is.
        let room = (lip - crown).max(0.0);
        (crown + 0.25 * room, crown + 0.75 * room)
    }
}

/// Water between the marks `[m3]`.
pub fn between_marks(bed: &Bed) -> f64 {
    let storage = BedStorage::new(bed);
    let (low, high) = marks(bed);
    storage.volume(bed.floor + high) - storage.volume(bed.floor + low)
}

/// Time from the upper to the lower mark with the pump off and the siphon full `[s]`, its
/// outlet looking at `tail` `[m]`: `t = int A dh / Q(h - tail)`, Simpson's rule. Range: any
/// bed whose marks lie over `tail`.
pub fn fall_time(bed: &Bed, law: &SiphonLaw, tail: f64) -> f64 {
    let storage = BedStorage::new(bed);
    let (low, high) = marks(bed);
    let width = (high - low) / STRIPS as f64;
    let slowness = |k: usize| {
        let level = bed.floor + low + k as f64 * width;
        storage.area(level) / law.full_flow(level - tail).max(1e-9)
    };
    let sum: f64 = (0..=STRIPS)
        .map(|k| {
            let weight = match k {
                0 | STRIPS => 1.0,
                k if k % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * slowness(k)
        })
        .sum();
    sum * width / 3.0
}

/// How much longer it primes with the bell [`TALLER`] `[s]`: the air there is more of over
/// what the falling water carries away. The lag of hand and eye, in both times, is gone.
/// `None` where it never primes.
pub fn priming_gain(bed: &Bed, law: &SiphonLaw) -> Option<f64> {
    let more = full_area(bed.siphon.bell.bore) * TALLER;
    let time = law.priming_time()?;
    // Air leaves at one pace, so its volume and the time go together.
    (law.crown_volume() > 0.0).then(|| time * more / law.crown_volume())
}

/// Height of the water over the lip at the last dribble before it starts `[m]`.
pub fn dribble_head(law: &SiphonLaw) -> f64 {
    law.standing_head(law.start_flow() / (1.0 + 0.5 * RAISED_BY))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::scenario::{parse, starter};

    // By hand: a lip of 225 mm and slots of 25 mm put the marks at 200 and 60 mm.
    #[test]
    fn marks_stand_140_mm_apart_under_the_lip_and_over_the_slots() {
        let mut bed = parse(starter(), "starter.toml").unwrap().system.beds[0].clone();
        bed.siphon.standpipe.lip_height = 0.225;
        bed.siphon.bell.slots.height = 0.025;
        let (low, high) = marks(&bed);
        assert!((low - 0.060).abs() < 1e-9 && (high - 0.200).abs() < 1e-9);
        bed.siphon.standpipe.lip_height = 0.060;
        let (low, high) = marks(&bed);
        assert!(low > 0.025 && low < high && high < 0.060, "{low} {high}");
    }
}
