//! What each misfit says.

use std::fmt;

use super::Misfit;
use crate::units::UnitSystem;
use crate::units::table::{Quantity, significant};

impl fmt::Display for Misfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(UnitSystem::Metric))
    }
}

impl std::error::Error for Misfit {}

impl Misfit {
    /// What is wrong, in one clause with its values in the units of `system`.
    pub fn words(&self, system: UnitSystem) -> String {
        let len = |value: &f64| Quantity::Length.text(*value, system);
        let (area, flow) = (
            |value: &f64| Quantity::Area.text(*value, system),
            |value: &f64| Quantity::Flow.text(*value, system),
        );
        self.words_of_bed(&len, &area)
            .or_else(|| self.words_of_siphon(&len))
            .or_else(|| self.words_of_vessels(&len))
            .unwrap_or_else(|| self.words_of_the_rest(&len, &flow, system))
    }

    /// Both limits of [`LimitOrder`](Self::LimitOrder) as text.
    pub(crate) fn limits(&self, system: UnitSystem) -> (String, String) {
        let Self::LimitOrder {
            low,
            high,
            quantity,
            ..
        } = self
        else {
            return Default::default();
        };
        let text = |value: f64| match quantity {
            Some(quantity) => quantity.text(value, system),
            None => significant(value, 6),
        };
        (text(*low), text(*high))
    }

    fn words_of_bed(
        &self,
        len: &dyn Fn(&f64) -> String,
        area: &dyn Fn(&f64) -> String,
    ) -> Option<String> {
        Some(match self {
            Self::NoBed => "there is no bed".to_owned(),
            Self::DuplicateName { name } => format!("two beds are named \"{name}\""),
            Self::RimBelowFloor { rim, floor } => format!(
                "the rim at {} is not above the bed floor at {}",
                len(rim),
                len(floor)
            ),
            Self::RimAboveShape { rim, top } => format!(
                "the rim at {} is above the top of the shape at {}",
                len(rim),
                len(top)
            ),
            Self::RimAboveCeiling { rim, ceiling } => format!(
                "the rim at {} is not below the ceiling at {}",
                len(rim),
                len(ceiling)
            ),
            Self::MediaAboveRim { depth, wall } => format!(
                "{} of media do not fit under the rim, {} above the bed floor",
                len(depth),
                len(wall)
            ),
            Self::BedStartLevel { level, floor, rim } => format!(
                "the start level {} is not between the bed floor at {} and the rim at {}",
                len(level),
                len(floor),
                len(rim)
            ),
            Self::GuardInsideBell { guard, bell } => format!(
                "the guard, {} wide inside, does not go over the bell, {} wide outside",
                len(guard),
                len(bell)
            ),
            Self::WiderThanBed {
                what,
                diameter,
                width,
            } => format!(
                "{what}, {} wide, does not fit in the bed, {} wide",
                len(diameter),
                len(width)
            ),
            Self::GuardOpenings { openings, wall } => format!(
                "the openings of {} are more than the whole wall of the guard in the media, {}",
                area(openings),
                area(wall)
            ),
            _ => return None,
        })
    }

    fn words_of_siphon(&self, len: &dyn Fn(&f64) -> String) -> Option<String> {
        Some(match self {
            Self::OutsideWithinBore { outside, bore } => format!(
                "the outside diameter {} is not larger than the bore {}",
                len(outside),
                len(bore)
            ),
            Self::FlareBelowBore { flare, bore } => format!(
                "the flared lip of {} is narrower than the bore of {}",
                len(flare),
                len(bore)
            ),
            Self::LipWiderThanBell { lip, bell } => format!(
                "the lip, {} wide, does not fit in the bell's bore of {}",
                len(lip),
                len(bell)
            ),
            Self::BellInsideStandpipe { bell, standpipe } => format!(
                "the bell's bore of {} does not go over the standpipe, {} wide outside",
                len(bell),
                len(standpipe)
            ),
            Self::LipAboveRim { lip, rim } => format!(
                "the lip at {} is not below the rim at {}: the bed spills before the siphon starts",
                len(lip),
                len(rim)
            ),
            Self::SlotsAboveLip { crown, lip } => format!(
                "the crown of the slots, {} above the bed floor, is not below the lip, {} above it",
                len(crown),
                len(lip)
            ),
            Self::AirTubeAboveLip { mouth, lip } => format!(
                "the mouth of the air tube, {} above the bed floor, is not below the lip, {} above it",
                len(mouth),
                len(lip)
            ),
            Self::SlotsRoundBell { slots, girth } => format!(
                "slots of {} together do not fit round a bell of {}",
                len(slots),
                len(girth)
            ),
            Self::AirTubeInBell { tube, bell } => format!(
                "the air tube's bore of {} does not fit in the bell's bore of {}",
                len(tube),
                len(bell)
            ),
            Self::OutletAboveBreak {
                outlet,
                break_level,
            } => format!(
                "the outlet at {} is not below the break level at {}: nothing draws the bed down",
                len(outlet),
                len(break_level)
            ),
            Self::OutletAboveFloor { outlet, floor } => format!(
                "the outlet at {} is not below the bed floor at {}",
                len(outlet),
                len(floor)
            ),
            Self::OutletBelowSump { outlet, sump_floor } => format!(
                "the outlet at {} is below the sump's bottom at {}",
                len(outlet),
                len(sump_floor)
            ),
            Self::OutletBelowLine { outlet, invert } => format!(
                "the outlet at {} is below the drain line's invert at its junction, {}",
                len(outlet),
                len(invert)
            ),
            Self::JunctionBeyondLine { at, length } => format!(
                "the junction is {} up a line that is {} long",
                len(at),
                len(length)
            ),
            Self::NoLine => "there is no drain line".to_owned(),
            Self::LineBelowSump { outlet, sump_floor } => format!(
                "the line's outlet at {} is below the sump's bottom at {}",
                len(outlet),
                len(sump_floor)
            ),
            _ => return None,
        })
    }

    fn words_of_vessels(&self, len: &dyn Fn(&f64) -> String) -> Option<String> {
        Some(match self {
            Self::Shape(error) => error.to_string(),
            Self::OverflowBelowFloor { overflow, floor } => format!(
                "the overflow at {} is not above the bottom at {}",
                len(overflow),
                len(floor)
            ),
            Self::OverflowAboveTop { overflow, top } => format!(
                "the overflow at {} is above the top of the shape at {}",
                len(overflow),
                len(top)
            ),
            Self::OverflowAboveCeiling { overflow, ceiling } => format!(
                "the overflow at {} is not below the ceiling at {}",
                len(overflow),
                len(ceiling)
            ),
            Self::StartLevel {
                level,
                floor,
                overflow,
            } => format!(
                "the start level {} is not between the bottom at {} and the overflow at {}",
                len(level),
                len(floor),
                len(overflow)
            ),
            Self::IntakeOutsideSump {
                intake,
                floor,
                overflow,
            } => format!(
                "the intake at {} is not between the sump's bottom at {} and its overflow at {}",
                len(intake),
                len(floor),
                len(overflow)
            ),
            Self::CoverAboveOverflow { needed, overflow } => format!(
                "the pump needs water up to {}, but the sump overflows at {}",
                len(needed),
                len(overflow)
            ),
            Self::TopOffLevel {
                level,
                floor,
                overflow,
            } => format!(
                "the float valve's level {} is not between the sump's bottom at {} and its overflow at {}",
                len(level),
                len(floor),
                len(overflow)
            ),
            Self::NoSurface { level } => format!(
                "the settler has no water surface at its overflow, {}",
                len(level)
            ),
            _ => return None,
        })
    }

    fn words_of_the_rest(
        &self,
        len: &dyn Fn(&f64) -> String,
        flow: &dyn Fn(&f64) -> String,
        system: UnitSystem,
    ) -> String {
        match self {
            Self::Impossible { what, value } => format!("{what} cannot be {value}"),
            Self::EfficiencyWithoutCurve => {
                "an efficiency needs a pump curve, to know the head".to_owned()
            }
            Self::TimerStarts { starts, most } => format!(
                "the timer starts the pump {starts:.0} times in the time to simulate; {most:.0} can be followed"
            ),
            Self::ShareWithoutSteadyFlow => {
                "a share needs a pump with steady-flow, not a curve".to_owned()
            }
            Self::MixedInlets {
                first,
                one,
                second,
                other,
            } => format!(
                "bed \"{first}\" is fed by {one}, bed \"{second}\" by {other}; all must be fed in the same way"
            ),
            Self::SharesAboveOne { sum } => {
                format!("the shares add up to {}, more than 1", significant(*sum, 6))
            }
            Self::FlowsAbovePump { sum, pump } => format!(
                "the beds take {} together, more than the pump's steady flow of {}",
                flow(sum),
                flow(pump)
            ),
            Self::InletBelowFloor { level, floor } => format!(
                "the inlet at {} is below the bed floor at {}",
                len(level),
                len(floor)
            ),
            Self::InletAboveCeiling { level, ceiling } => format!(
                "the outlet at {} is not below the ceiling at {}",
                len(level),
                len(ceiling)
            ),
            Self::BedsCutOff => "the pump's whole flow goes into the tank, and the tank does not \
                 overflow to the beds: nothing feeds them"
                .to_owned(),
            Self::PumpedInflow => {
                "the inflow of a pumped bed among others follows from pump and valves".to_owned()
            }
            Self::NoPart { what } => format!("there is no {what}"),
            Self::NoSuchBed { index } => {
                format!("an event names bed {}, which there is not", index + 1)
            }
            Self::BandOrder { low, nominal, high } => format!(
                "low, nominal and high are not in rising order: {}, {}, {}",
                significant(*low, 6),
                significant(*nominal, 6),
                significant(*high, 6)
            ),
            Self::LimitOrder { less, more, .. } => {
                let (low, high) = self.limits(system);
                format!("{less} is {low}, more than {more} of {high}")
            }
            // The others are said above.
            other => format!("{other:?}"),
        }
    }
}
