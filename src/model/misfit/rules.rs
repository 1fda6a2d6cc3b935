//! Each rule by itself, from the values it looks at, so that a reader who has only some
//! of them can still ask.

use std::f64::consts::PI;

use super::Misfit;
use crate::model::{Bed, Inlet, PumpSource, Thresholds};
use crate::units::table::Quantity;

/// Two measures closer than this are the same one, summed up in two ways `[m]`.
const SAME: f64 = 1e-6;
/// A sum of shares may miss 1 by the rounding of thirds written as 0.3333.
const ROUNDING: f64 = 1e-3;
/// Most starts of the pump by its timer in one run: every five minutes for most of a year.
pub(crate) const MOST_STARTS: f64 = 100_000.0;

/// Below by more than rounding.
fn below(low: f64, high: f64) -> bool {
    low < high - SAME
}

/// Between two bounds, or on one of them but for rounding; then exactly on it.
pub(crate) fn within(least: f64, value: f64, most: f64) -> Option<f64> {
    let inside = value >= least - SAME && value <= most + SAME;
    (inside && least <= most).then(|| value.clamp(least, most))
}

/// The rules; each gives the misfit where its values break it.
pub(crate) struct Rules;

/// Bed.
impl Rules {
    pub fn rim_over_floor(rim: f64, floor: f64) -> Option<Misfit> {
        (!below(floor, rim)).then_some(Misfit::RimBelowFloor { rim, floor })
    }

    pub fn rim_in_shape(rim: f64, top: f64) -> Option<Misfit> {
        below(top, rim).then_some(Misfit::RimAboveShape { rim, top })
    }

    pub fn rim_under_ceiling(rim: f64, ceiling: Option<f64>) -> Option<Misfit> {
        let ceiling = ceiling.filter(|&ceiling| !below(rim, ceiling))?;
        Some(Misfit::RimAboveCeiling { rim, ceiling })
    }

    /// `wall`: rim above the bed's floor.
    pub fn media_under_rim(depth: f64, wall: f64) -> Option<Misfit> {
        below(wall, depth).then_some(Misfit::MediaAboveRim { depth, wall })
    }

    pub fn bed_start_level(level: f64, floor: f64, rim: f64) -> Option<Misfit> {
        let fits = within(floor, level, rim).is_some();
        (!fits).then_some(Misfit::BedStartLevel { level, floor, rim })
    }

    /// Inside of the guard, outside of the bell.
    pub fn guard_over_bell(guard: f64, bell: f64) -> Option<Misfit> {
        (!below(bell, guard)).then_some(Misfit::GuardInsideBell { guard, bell })
    }

    pub fn guard_openings(openings: f64, diameter: f64, media: f64) -> Option<Misfit> {
        let wall = PI * diameter * media;
        (openings > wall).then(|| Misfit::GuardOpenings {
            openings,
            // Down to the square centimetre: nobody measures it closer.
            wall: (wall * 1e4).floor() / 1e4,
        })
    }

    /// The wider of guard and bell.
    pub fn column_in_bed(what: &'static str, diameter: f64, width: f64) -> Option<Misfit> {
        (!below(diameter, width)).then_some(Misfit::WiderThanBed {
            what,
            diameter,
            width,
        })
    }
}

/// Standpipe and bell.
impl Rules {
    pub fn wall(outside: f64, bore: f64) -> Option<Misfit> {
        (!below(bore, outside)).then_some(Misfit::OutsideWithinBore { outside, bore })
    }

    pub fn flare(flare: f64, bore: f64) -> Option<Misfit> {
        below(flare, bore).then_some(Misfit::FlareBelowBore { flare, bore })
    }

    /// Outside of the standpipe, bore of the bell.
    pub fn pipe_in_bell(standpipe: f64, bell: f64) -> Option<Misfit> {
        (!below(standpipe, bell)).then_some(Misfit::BellInsideStandpipe { bell, standpipe })
    }

    pub fn lip_in_bell(lip: f64, bell: f64) -> Option<Misfit> {
        (!below(lip, bell)).then_some(Misfit::LipWiderThanBell { lip, bell })
    }

    pub fn lip_under_rim(lip: f64, rim: f64) -> Option<Misfit> {
        (!below(lip, rim)).then_some(Misfit::LipAboveRim { lip, rim })
    }

    /// Heights above the bed's floor.
    pub fn slots_under_lip(crown: f64, lip: f64) -> Option<Misfit> {
        (!below(crown, lip)).then_some(Misfit::SlotsAboveLip { crown, lip })
    }

    /// Heights above the bed's floor.
    pub fn tube_under_lip(mouth: f64, lip: f64) -> Option<Misfit> {
        (!below(mouth, lip)).then_some(Misfit::AirTubeAboveLip { mouth, lip })
    }

    /// Widths of all slots together, outside of the bell.
    pub fn slots_round_bell(slots: f64, outside: f64) -> Option<Misfit> {
        let girth = PI * outside;
        below(girth, slots).then(|| Misfit::SlotsRoundBell {
            slots,
            // Down to the millimetre: nobody measures it closer.
            girth: (girth * 1e3).floor() / 1e3,
        })
    }

    pub fn tube_in_bell(tube: f64, bell: f64) -> Option<Misfit> {
        (!below(tube, bell)).then_some(Misfit::AirTubeInBell { tube, bell })
    }
}

/// Drain.
impl Rules {
    /// `breaks`: elevation where the siphon breaks, where it is known.
    pub fn outlet_under_bed(outlet: f64, floor: f64, breaks: Option<f64>) -> Option<Misfit> {
        if below(outlet, floor) {
            return None;
        }
        Some(match breaks.filter(|&level| !below(outlet, level)) {
            Some(break_level) => Misfit::OutletAboveBreak {
                outlet,
                break_level,
            },
            None => Misfit::OutletAboveFloor { outlet, floor },
        })
    }

    pub fn outlet_over_sump(outlet: f64, sump_floor: f64) -> Option<Misfit> {
        below(outlet, sump_floor).then_some(Misfit::OutletBelowSump { outlet, sump_floor })
    }

    pub fn outlet_over_line(outlet: f64, invert: f64) -> Option<Misfit> {
        below(outlet, invert).then_some(Misfit::OutletBelowLine { outlet, invert })
    }

    pub fn junction_on_line(at: f64, length: f64) -> Option<Misfit> {
        let fits = within(0.0, at, length).is_some();
        (!fits).then_some(Misfit::JunctionBeyondLine { at, length })
    }

    pub fn line_over_sump(outlet: f64, sump_floor: f64) -> Option<Misfit> {
        below(outlet, sump_floor).then_some(Misfit::LineBelowSump { outlet, sump_floor })
    }
}

/// Vessels.
impl Rules {
    pub fn overflow_over_floor(overflow: f64, floor: f64) -> Option<Misfit> {
        (!below(floor, overflow)).then_some(Misfit::OverflowBelowFloor { overflow, floor })
    }

    pub fn overflow_in_shape(overflow: f64, top: f64) -> Option<Misfit> {
        below(top, overflow).then_some(Misfit::OverflowAboveTop { overflow, top })
    }

    pub fn overflow_under_ceiling(overflow: f64, ceiling: Option<f64>) -> Option<Misfit> {
        let ceiling = ceiling.filter(|&ceiling| !below(overflow, ceiling))?;
        Some(Misfit::OverflowAboveCeiling { overflow, ceiling })
    }

    pub fn start_level(level: f64, floor: f64, overflow: f64) -> Option<Misfit> {
        let fits = within(floor, level, overflow).is_some();
        (!fits).then_some(Misfit::StartLevel {
            level,
            floor,
            overflow,
        })
    }

    pub fn intake_in_sump(intake: f64, floor: f64, overflow: f64) -> Option<Misfit> {
        (!(floor..overflow).contains(&intake)).then_some(Misfit::IntakeOutsideSump {
            intake,
            floor,
            overflow,
        })
    }

    /// `period`: from start to start `[s]`; `time`: what is simulated `[s]`.
    pub fn timer_starts(period: f64, time: f64) -> Option<Misfit> {
        let starts = (time / period).ceil();
        (starts > MOST_STARTS).then_some(Misfit::TimerStarts {
            starts,
            most: MOST_STARTS,
        })
    }

    /// `needed`: intake and its cover together.
    pub fn cover_under_overflow(needed: f64, overflow: f64) -> Option<Misfit> {
        (needed >= overflow).then_some(Misfit::CoverAboveOverflow { needed, overflow })
    }

    pub fn top_off_level(level: f64, floor: f64, overflow: f64) -> Option<Misfit> {
        (!(floor..overflow).contains(&level)).then_some(Misfit::TopOffLevel {
            level,
            floor,
            overflow,
        })
    }

    /// `area`: water surface of the settler at its overflow.
    pub fn settler_surface(area: f64, level: f64) -> Option<Misfit> {
        (area <= 0.0).then_some(Misfit::NoSurface { level })
    }
}

/// Pump, supply, inlets.
impl Rules {
    pub fn inlet_over_floor(level: f64, floor: f64) -> Option<Misfit> {
        below(level, floor).then_some(Misfit::InletBelowFloor { level, floor })
    }

    pub fn inlet_under_ceiling(level: f64, ceiling: Option<f64>) -> Option<Misfit> {
        let ceiling = ceiling.filter(|&ceiling| !below(level, ceiling))?;
        Some(Misfit::InletAboveCeiling { level, ceiling })
    }

    /// All beds are fed in the same way: mixed ways do not say what the others leave.
    /// Also the index of the first bed that differs.
    pub fn inlets_alike(
        inlets: &[Inlet],
        name: impl Fn(usize) -> String,
    ) -> Option<(usize, Misfit)> {
        let first = inlets.first()?;
        let other = inlets
            .iter()
            .position(|inlet| std::mem::discriminant(inlet) != std::mem::discriminant(first))?;
        let misfit = Misfit::MixedInlets {
            first: name(0),
            one: manner(first),
            second: name(other),
            other: manner(&inlets[other]),
        };
        Some((other, misfit))
    }

    /// What beds fed alike take, against what the pump gives.
    pub fn pump_feeds(inlets: &[Inlet], source: &PumpSource) -> Option<Misfit> {
        let sum = |of: &dyn Fn(&Inlet) -> f64| inlets.iter().map(of).sum::<f64>();
        match (inlets.first()?, source) {
            (Inlet::Share(_), PumpSource::Curve(_)) => Some(Misfit::ShareWithoutSteadyFlow),
            (Inlet::Share(_), PumpSource::Steady(_)) => {
                let sum = sum(&|inlet| {
                    if let Inlet::Share(share) = inlet {
                        *share
                    } else {
                        0.0
                    }
                });
                (sum > 1.0 + ROUNDING).then_some(Misfit::SharesAboveOne { sum })
            }
            (Inlet::Measured(_), &PumpSource::Steady(pump)) => {
                let sum = sum(&|inlet| inlet.measured().unwrap_or(0.0));
                (sum > pump * (1.0 + ROUNDING)).then_some(Misfit::FlowsAbovePump { sum, pump })
            }
            _ => None,
        }
    }
}

/// How a bed is fed, in words.
pub(crate) const fn manner(inlet: &Inlet) -> &'static str {
    match inlet {
        Inlet::Piped(_) => "a pipe",
        Inlet::Share(_) => "a share",
        Inlet::Measured(_) => "a measured flow",
    }
}

/// Limits and bands.
impl Rules {
    pub fn band(low: f64, nominal: f64, high: f64) -> Option<Misfit> {
        let rises = low <= nominal && nominal <= high;
        (!rises).then_some(Misfit::BandOrder { low, nominal, high })
    }

    /// Limits of which one must not exceed the other.
    pub fn limits(limits: &Thresholds) -> Vec<Misfit> {
        let (length, time) = (Some(Quantity::Length), Some(Quantity::Time));
        [
            (
                ("dry-layer-least", limits.dry_layer_least),
                ("dry-layer", limits.dry_layer),
                length,
            ),
            (
                ("inflow-ratio", limits.inflow_ratio),
                ("inflow-ratio-most", limits.inflow_ratio_most),
                None,
            ),
            (
                ("period-least", limits.period_least),
                ("period-most", limits.period_most),
                time,
            ),
        ]
        .into_iter()
        .filter(|((_, low), (_, high), _)| low > high)
        .map(|((less, low), (more, high), quantity)| Misfit::LimitOrder {
            less,
            low,
            more,
            high,
            quantity,
        })
        .collect()
    }
}

/// Width of all slots together `[m]`.
pub(super) fn slot_widths(bed: &Bed) -> f64 {
    let slots = &bed.siphon.bell.slots;
    f64::from(slots.count) * slots.width
}
