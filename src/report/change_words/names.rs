//! What each number of a system is called, and how it is printed.

use super::{Kind, Words};
use crate::model::{
    BedPart, BranchPart, Level, Measure, Pipe, PipePart, PumpPart, Quantity, TopOffPart, Vessel,
};

use crate::units::display::plain;

impl Words<'_> {
    /// What a number is called, and how it is printed.
    pub(super) fn name(self, what: Quantity) -> (String, Kind) {
        let (name, kind) = match what {
            Quantity::Hours => ("the hours simulated", Kind::Number),
            Quantity::Temperature => ("the temperature of the water", Kind::Temperature),
            Quantity::Ceiling => ("the elevation of the ceiling as", Kind::Elevation),
            Quantity::Evaporation => ("the loss to the air", Kind::Flow),
            Quantity::LineSlope => ("the slope of the drain line", Kind::Slope),
            Quantity::LineOutlet => ("the lower end of the drain line", Kind::Elevation),
            Quantity::TankOverflowBore => ("the overflow pipe of the fish tank", Kind::Pipe),
            Quantity::Source(n) => {
                let source = self.system.sources.get(n);
                let name = source.map_or_else(String::new, |one| plain(&one.name));
                return (format!("the flow of \"{name}\""), Kind::Flow);
            }
            Quantity::Coefficient(which) => {
                return (format!("the coefficient {} as", which.key()), Kind::Number);
            }
            Quantity::Level(vessel, level) => {
                let of = self.vessel(vessel);
                let name = match (level, vessel) {
                    (Level::Floor, _) => of,
                    (Level::Start, _) => format!("the water in {of} at the start"),
                    (Level::Overflow, Vessel::Bed(_)) => format!("the rim of {of}"),
                    (Level::Overflow, _) => format!("the overflow of {of}"),
                };
                return (name, Kind::Elevation);
            }
            Quantity::Measure(vessel, measure) => {
                let name = format!("the {} of {}", measure_words(measure), self.vessel(vessel));
                return (name, Kind::Length);
            }
            Quantity::Pipe(pipe, part) => {
                let of = match pipe {
                    Pipe::Trunk => "the supply pipe".to_owned(),
                    Pipe::DrainLine => "the drain line".to_owned(),
                    Pipe::Branch(outlet) => format!("the pipe of {}", self.branch(outlet)),
                };
                return match part {
                    PipePart::Bore => (of, Kind::Pipe),
                    PipePart::Length => (of, Kind::Length),
                    PipePart::Roughness => (format!("the roughness of {of}"), Kind::Fine),
                    PipePart::K => (format!("the K of the fittings of {of}"), Kind::Number),
                };
            }
            Quantity::Branch(outlet, part) => {
                let of = self.branch(outlet);
                return match part {
                    BranchPart::Level => (format!("the end of {of}"), Kind::Elevation),
                    BranchPart::Opening => (format!("the valve of {of}"), Kind::Percent),
                    BranchPart::Hole if self.value(what).is_none() => {
                        (format!("an anti-siphon hole into {of}"), Kind::Elevation)
                    }
                    BranchPart::Hole => (format!("the anti-siphon hole of {of}"), Kind::Elevation),
                };
            }
            Quantity::Pump(part) => match part {
                PumpPart::Intake => ("the pump's intake", Kind::Elevation),
                PumpPart::Cover => ("the water needed over the pump's intake", Kind::Length),
                PumpPart::SteadyFlow => ("the pump's flow", Kind::Flow),
                PumpPart::Power => ("the pump's power", Kind::Power),
                PumpPart::Efficiency => ("the pump's efficiency", Kind::Percent),
                PumpPart::Tariff => ("the price of a kilowatt-hour", Kind::Number),
                PumpPart::TimerOn => ("the pump's running time", Kind::Time),
                PumpPart::TimerOff => ("the pump's resting time", Kind::Time),
            },
            Quantity::TopOff(part) => match part {
                TopOffPart::Level => ("the level at which the float valve opens", Kind::Elevation),
                TopOffPart::Flow => ("the float valve's flow", Kind::Flow),
                TopOffPart::Bore => ("the float valve's supply", Kind::Pipe),
                TopOffPart::Reservoir => ("the float valve's reservoir", Kind::Volume),
            },
            Quantity::Bed(i, BedPart::PipeBore) => {
                let name = format!("the standpipe of {} and its pipe below", self.bed(i));
                return (name, Kind::Pipe);
            }
            Quantity::Bed(i, part) => {
                let (name, kind) = bed_part(part);
                return (format!("{name} of {}", self.bed(i)), kind);
            }
        };
        (name.to_owned(), kind)
    }
}

const fn bed_part(part: BedPart) -> (&'static str, Kind) {
    match part {
        BedPart::MediaDepth => ("the gravel", Kind::Length),
        BedPart::Void => ("a drainable void", Kind::Percent),
        BedPart::Grain => ("a grain size", Kind::Bore),
        BedPart::Fouling => ("the fouling of the gravel", Kind::Number),
        BedPart::GuardDiameter => ("the guard round the bell", Kind::Bore),
        BedPart::GuardOpenings => ("the openings of the guard", Kind::Area),
        BedPart::Share => ("the share of the pump's flow", Kind::Percent),
        BedPart::Flow => ("the inflow", Kind::Flow),
        BedPart::PipeBore => ("the pipe", Kind::Pipe),
        BedPart::PipeOutside => ("the outside of the standpipe", Kind::Bore),
        BedPart::StandpipeLength => ("the standpipe", Kind::Length),
        BedPart::Flare => ("the lip of the standpipe", Kind::Bore),
        BedPart::BellBore => ("the bell", Kind::Pipe),
        BedPart::BellOutside => ("the outside of the bell", Kind::Bore),
        BedPart::Clearance => ("the clearance over the lip", Kind::Length),
        BedPart::SlotCount => ("the number of slots", Kind::Number),
        BedPart::SlotWidth => ("the slots", Kind::Bore),
        BedPart::SlotHeight => ("the crown of the slots over the bed's floor", Kind::Length),
        BedPart::TubeBore => ("the air tube", Kind::Bore),
        BedPart::TubeMouth => (
            "the mouth of the air tube over the bed's floor",
            Kind::Length,
        ),
        BedPart::AirLeak => ("the leak of air into the bell", Kind::Flow),
        BedPart::Outlet => ("the siphon's outlet", Kind::Elevation),
        BedPart::DrainLength => ("the siphon's pipe by itself", Kind::Length),
        BedPart::DrainK => ("the K of the siphon's pipe", Kind::Number),
        BedPart::DrainRoughness => ("the roughness of the siphon's pipe", Kind::Fine),
        BedPart::Junction => (
            "the way from the line's outlet to the junction",
            Kind::Length,
        ),
    }
}

const fn measure_words(measure: Measure) -> &'static str {
    match measure {
        Measure::Length => "length",
        Measure::Width => "width",
        Measure::Depth => "depth",
        Measure::Diameter => "diameter",
        Measure::TopLength => "length at the top",
        Measure::TopWidth => "width at the top",
        Measure::BottomLength => "length at the bottom",
        Measure::BottomWidth => "width at the bottom",
    }
}
