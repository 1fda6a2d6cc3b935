//! How much trouble a change is.

use super::{BedPart, BranchPart, Change, Level, PumpPart, Quantity, TopOffPart, Vessel};
use crate::model::System;

/// How much trouble a change is to whoever does it, least first. The order is our own: a
/// judgement, not a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Trouble {
    /// Turned or set by hand: a valve, a timer, a float.
    Turn,
    /// Water let in or out.
    Refill,
    /// A bucket or two of gravel put in, or taken out.
    Shovel,
    /// A saw or a drill, with what is there.
    CutOrDrill,
    /// Pipes or fittings taken apart and joined anew, with a little of them bought.
    Replumb,
    /// A part bought: pump, drum, bell.
    Buy,
    /// A bed emptied, moved or made anew.
    Rebuild,
}

impl Trouble {
    /// All of them, least first.
    pub const ALL: [Self; 7] = [
        Self::Turn,
        Self::Refill,
        Self::Shovel,
        Self::CutOrDrill,
        Self::Replumb,
        Self::Buy,
        Self::Rebuild,
    ];

    /// The word for it.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Turn => "turn",
            Self::Refill => "refill",
            Self::Shovel => "shovel",
            Self::CutOrDrill => "cut-or-drill",
            Self::Replumb => "replumb",
            Self::Buy => "buy",
            Self::Rebuild => "rebuild",
        }
    }
}

/// Gravel up to this depth more is carried by the bucket; more of it is bought and weighs `[m]`.
/// Our own judgement, not a source.
const BY_THE_BUCKET: f64 = 0.02;

impl Change {
    /// How much trouble it is in `system`: less of a thing is often a cut where more of it
    /// is a new part.
    pub fn trouble(&self, system: &System) -> Trouble {
        match self {
            Self::Set {
                what: what @ Quantity::Bed(_, BedPart::MediaDepth),
                to,
            } => {
                let added = what.value(system).map_or(0.0, |now| to - now);
                match added <= BY_THE_BUCKET + 1e-9 {
                    true => Trouble::Shovel,
                    false => Trouble::Buy,
                }
            }
            Self::Set { what, to } => {
                let more = what.value(system).is_none_or(|now| *to > now);
                of_number(*what, more)
            }
            Self::Valves(_) | Self::PumpSpeed(_) | Self::Inflow { .. } | Self::ClearIncident(_) => {
                Trouble::Turn
            }
            Self::AirTube { .. } | Self::Vent(_) | Self::SealEntries(_) => Trouble::CutOrDrill,
            Self::MoveSump { .. }
            | Self::PipeSize { .. }
            | Self::FitValve { .. }
            | Self::FitBypass(_)
            | Self::CheckValve(_)
            | Self::Tip(Vessel::Sump | Vessel::Tank | Vessel::Settler) => Trouble::Replumb,
            Self::Pump(_) | Self::BellSize { .. } | Self::Join { .. } => Trouble::Buy,
            Self::Replace { vessel, .. } | Self::Tip(vessel) | Self::Stretch { vessel, .. } => {
                of_vessel(*vessel)
            }
            Self::RaiseAll { .. } | Self::RaiseBed { .. } => Trouble::Rebuild,
        }
    }
}

const fn of_vessel(vessel: Vessel) -> Trouble {
    match vessel {
        Vessel::Sump | Vessel::Tank | Vessel::Settler => Trouble::Buy,
        Vessel::Bed(_) => Trouble::Rebuild,
    }
}

/// `less` or `more`, as it goes.
const fn either(more: bool, if_less: Trouble, if_more: Trouble) -> Trouble {
    if more { if_more } else { if_less }
}

fn of_number(what: Quantity, more: bool) -> Trouble {
    use Trouble::{Buy, CutOrDrill, Rebuild, Refill, Replumb, Turn};
    match what {
        Quantity::Hours
        | Quantity::Temperature
        | Quantity::Source(_)
        | Quantity::Coefficient(_) => Turn,
        Quantity::Ceiling | Quantity::Level(_, Level::Floor) => Rebuild,
        Quantity::Evaporation => Buy,
        Quantity::Level(_, Level::Start) => Refill,
        // Drilled lower, or a taller vessel.
        Quantity::Level(vessel, Level::Overflow) => either(more, CutOrDrill, of_vessel(vessel)),
        Quantity::Measure(vessel, _) => of_vessel(vessel),
        Quantity::Pipe(..)
        | Quantity::LineSlope
        | Quantity::LineOutlet
        | Quantity::TankOverflowBore
        | Quantity::Branch(_, BranchPart::Level) => Replumb,
        Quantity::Branch(_, BranchPart::Opening) => Turn,
        Quantity::Branch(_, BranchPart::Hole) => CutOrDrill,
        Quantity::Pump(PumpPart::TimerOn | PumpPart::TimerOff | PumpPart::Tariff) => Turn,
        Quantity::Pump(PumpPart::Intake) => Replumb,
        // Less is throttled, more takes another pump.
        Quantity::Pump(PumpPart::SteadyFlow) => either(more, Turn, Buy),
        Quantity::Pump(PumpPart::Cover | PumpPart::Power | PumpPart::Efficiency) => Buy,
        Quantity::TopOff(TopOffPart::Level) => Turn,
        // Less is throttled, more takes another valve.
        Quantity::TopOff(TopOffPart::Flow) => either(more, Turn, Replumb),
        Quantity::TopOff(TopOffPart::Bore) => Replumb,
        Quantity::TopOff(TopOffPart::Reservoir) => Buy,
        Quantity::Bed(_, part) => of_bed(part, more),
    }
}

fn of_bed(part: BedPart, more: bool) -> Trouble {
    use Trouble::{Buy, CutOrDrill, Rebuild, Replumb, Turn};
    match part {
        BedPart::Share | BedPart::Flow => Turn,
        BedPart::MediaDepth => Buy,
        BedPart::Void | BedPart::Grain | BedPart::Fouling => Rebuild,
        // Sawn off, or a longer one put in.
        BedPart::StandpipeLength | BedPart::DrainLength | BedPart::TubeMouth => {
            let cut = more == matches!(part, BedPart::TubeMouth);
            either(cut, Replumb, CutOrDrill)
        }
        BedPart::Outlet => either(more, Replumb, CutOrDrill),
        // Filed wider, or another part.
        BedPart::SlotCount | BedPart::SlotWidth | BedPart::SlotHeight | BedPart::GuardOpenings => {
            either(more, Buy, CutOrDrill)
        }
        BedPart::Clearance => CutOrDrill,
        BedPart::Flare
        | BedPart::PipeBore
        | BedPart::PipeOutside
        | BedPart::AirLeak
        | BedPart::TubeBore
        | BedPart::DrainK
        | BedPart::DrainRoughness
        | BedPart::Junction => Replumb,
        BedPart::BellBore | BedPart::BellOutside | BedPart::GuardDiameter => Buy,
    }
}
