//! Another value for a quantity, and what goes with it.

use super::quantity::{
    BedPart, BranchPart, Level, Measure, Pipe, PipePart, PumpPart, Quantity, TopOffPart, Vessel,
};
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::model::{
    Band, Bed, DrainLosses, DrainTarget, Duration, Inlet, Misfit, Power, PumpSource, System,
};
use crate::units::HOUR;

/// Flows closer than this are the same `[-]`.
const SAME_FLOW: f64 = 1e-9;

impl Quantity {
    /// Gives it the value `to` in `system`; whether the parts then fit is not looked at.
    pub(super) fn set(self, system: &mut System, to: f64) -> Result<(), Misfit> {
        finite(to)?;
        match self {
            Self::Hours => system.duration = Duration::Fixed(to * HOUR),
            Self::Temperature => {
                system.water =
                    Water::at(to).map_err(|_| impossible("the temperature of the water", to))?;
            }
            Self::Ceiling => system.ceiling = Some(to),
            Self::Evaporation => system.evaporation = not_negative("the loss to the air", to)?,
            Self::Source(n) => {
                let source = system.sources.get_mut(n).ok_or(no("such source"))?;
                source.flow = not_negative("the flow of a source", to)?;
            }
            Self::Coefficient(which) => {
                let (least, most) = which.allowed();
                if !(least..=most).contains(&to) {
                    return Err(impossible(which.key(), to));
                }
                system.coefficients.give(which, Band::exact(to));
            }
            Self::Level(vessel, level) => set_level(system, vessel, level, to)?,
            Self::Measure(vessel, measure) => {
                let shape = shape_mut(system, vessel)?;
                *measure_mut(shape, measure).ok_or(no("such measure of that vessel"))? = to;
            }
            Self::Pipe(pipe, part) => set_pipe(system, pipe, part, to)?,
            Self::Branch(outlet, part) => {
                let branch = system.branch_to_mut(outlet).ok_or(no("such branch"))?;
                match part {
                    BranchPart::Level => branch.level = to,
                    BranchPart::Opening => {
                        let valve = branch.valve.as_mut().ok_or(no("valve in that branch"))?;
                        valve.opening = to;
                    }
                    BranchPart::Hole => branch.anti_siphon_hole = Some(to),
                }
            }
            Self::Pump(part) => set_pump(system, part, to)?,
            Self::LineSlope => line(system)?.slope = to,
            Self::LineOutlet => line(system)?.outlet = to,
            Self::TankOverflowBore => {
                let tank = system.tank.as_mut().ok_or(no("fish tank"))?;
                tank.overflow_bore = to;
            }
            Self::TopOff(part) => {
                let valve = system.top_off.as_mut().ok_or(no("float valve"))?;
                match part {
                    TopOffPart::Level => valve.level = to,
                    TopOffPart::Flow => valve.flow = not_negative("the float valve's flow", to)?,
                    TopOffPart::Bore => valve.bore = to,
                    TopOffPart::Reservoir => {
                        valve.reservoir = Some(not_negative("the reservoir", to)?);
                    }
                }
            }
            Self::Bed(i, BedPart::Flow) => set_flow(system, i, to)?,
            Self::Bed(i, part) => {
                let bed = system.beds.get_mut(i).ok_or(no("such bed"))?;
                part.set(bed, to)?;
            }
        }
        Ok(())
    }
}

fn finite(value: f64) -> Result<(), Misfit> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(impossible("the new value", value))
    }
}

/// That the system lacks a part.
pub(super) const fn no(what: &'static str) -> Misfit {
    Misfit::NoPart { what }
}

pub(super) const fn impossible(what: &'static str, value: f64) -> Misfit {
    Misfit::Impossible { what, value }
}

fn not_negative(what: &'static str, value: f64) -> Result<f64, Misfit> {
    if value >= 0.0 {
        Ok(value)
    } else {
        Err(impossible(what, value))
    }
}

fn line(system: &mut System) -> Result<&mut crate::model::DrainLine, Misfit> {
    system.drain_line.as_mut().ok_or(Misfit::NoLine)
}

pub(super) fn shape_mut(system: &mut System, vessel: Vessel) -> Result<&mut VesselShape, Misfit> {
    match vessel {
        Vessel::Sump => Some(&mut system.sump.shape),
        Vessel::Tank => system.tank.as_mut().map(|tank| &mut tank.shape),
        Vessel::Settler => system.settler.as_mut().map(|settler| &mut settler.shape),
        Vessel::Bed(i) => system.beds.get_mut(i).map(|bed| &mut bed.shape),
    }
    .ok_or(no("such vessel"))
}

/// One measure of a shape; `None` where shapes of its kind have no such measure.
pub(super) fn measure_mut(shape: &mut VesselShape, measure: Measure) -> Option<&mut f64> {
    use Measure as M;
    match (shape, measure) {
        (
            VesselShape::Box { length, .. }
            | VesselShape::LyingCylinder { length, .. }
            | VesselShape::HalfDrum { length, .. },
            M::Length,
        ) => Some(length),
        (VesselShape::Box { width, .. } | VesselShape::HalfDrum { width, .. }, M::Width) => {
            Some(width)
        }
        (
            VesselShape::Box { depth, .. }
            | VesselShape::Tapered { depth, .. }
            | VesselShape::UprightCylinder { depth, .. }
            | VesselShape::HalfDrum { depth, .. },
            M::Depth,
        ) => Some(depth),
        (
            VesselShape::UprightCylinder { diameter, .. }
            | VesselShape::LyingCylinder { diameter, .. },
            M::Diameter,
        ) => Some(diameter),
        (VesselShape::Tapered { top_length, .. }, M::TopLength) => Some(top_length),
        (VesselShape::Tapered { top_width, .. }, M::TopWidth) => Some(top_width),
        (VesselShape::Tapered { bottom_length, .. }, M::BottomLength) => Some(bottom_length),
        (VesselShape::Tapered { bottom_width, .. }, M::BottomWidth) => Some(bottom_width),
        _ => None,
    }
}

fn set_level(system: &mut System, vessel: Vessel, level: Level, to: f64) -> Result<(), Misfit> {
    let (floor, start, overflow) = match vessel {
        Vessel::Sump => {
            let sump = &mut system.sump;
            (
                &mut sump.floor,
                &mut sump.start_level,
                &mut sump.overflow_level,
            )
        }
        Vessel::Tank => {
            let tank = system.tank.as_mut().ok_or(no("fish tank"))?;
            (
                &mut tank.floor,
                &mut tank.start_level,
                &mut tank.overflow_level,
            )
        }
        Vessel::Settler => {
            let settler = system.settler.as_mut().ok_or(no("settler"))?;
            match level {
                Level::Floor => settler.floor = to,
                Level::Overflow => settler.overflow_level = to,
                Level::Start => return Err(no("start level of the settler")),
            }
            return Ok(());
        }
        Vessel::Bed(i) => {
            let bed = system.beds.get_mut(i).ok_or(no("such bed"))?;
            match level {
                Level::Floor => bed.set_floor(to),
                Level::Overflow => bed.rim_height = to - bed.floor,
                Level::Start => bed.start_depth = Some(to - bed.floor),
            }
            return Ok(());
        }
    };
    *match level {
        Level::Floor => floor,
        Level::Start => start,
        Level::Overflow => overflow,
    } = to;
    Ok(())
}

fn set_pipe(system: &mut System, pipe: Pipe, part: PipePart, to: f64) -> Result<(), Misfit> {
    let run = match pipe {
        Pipe::Trunk => &mut system.supply.trunk,
        Pipe::Branch(outlet) => {
            let branch = system.branch_to_mut(outlet).ok_or(no("such branch"))?;
            &mut branch.run
        }
        Pipe::DrainLine => &mut line(system)?.run,
    };
    match part {
        PipePart::Bore => run.bore = to,
        PipePart::Length => run.length = to,
        PipePart::Roughness => run.roughness = not_negative("the roughness of a pipe", to)?,
        PipePart::K => run.k = not_negative("the K of fittings", to)?,
    }
    Ok(())
}

fn set_pump(system: &mut System, part: PumpPart, to: f64) -> Result<(), Misfit> {
    let pump = &mut system.pump;
    match part {
        PumpPart::Intake => pump.intake_level = to,
        PumpPart::Cover => pump.minimum_cover = not_negative("the cover of the intake", to)?,
        PumpPart::SteadyFlow => match &mut pump.source {
            PumpSource::Steady(flow) => *flow = to,
            PumpSource::Curve(_) => return Err(no("steady flow of the pump")),
        },
        PumpPart::Power => pump.power = Some(Power::Watts(not_negative("the power", to)?)),
        PumpPart::Efficiency => {
            if !(to > 0.0 && to <= 1.0) {
                return Err(impossible("the efficiency", to));
            }
            pump.power = Some(Power::Efficiency(to));
        }
        PumpPart::Tariff => pump.tariff = Some(not_negative("the price of energy", to)?),
        PumpPart::TimerOn => pump.schedule.as_mut().ok_or(no("timer"))?.on = to,
        PumpPart::TimerOff => pump.schedule.as_mut().ok_or(no("timer"))?.off = to,
    }
    Ok(())
}

/// Another measured inflow. Where the pump gives just what the beds take, it follows.
fn set_flow(system: &mut System, i: usize, to: f64) -> Result<(), Misfit> {
    let sum: f64 = system
        .beds
        .iter()
        .map(|bed| match bed.inlet {
            Inlet::Measured(flow) => flow,
            _ => 0.0,
        })
        .sum();
    let bed = system.beds.get_mut(i).ok_or(no("such bed"))?;
    let Inlet::Measured(flow) = &mut bed.inlet else {
        return Err(no("measured inflow of that bed"));
    };
    let more = to - *flow;
    *flow = to;
    if let PumpSource::Steady(pump) = &mut system.pump.source
        && (*pump - sum).abs() <= SAME_FLOW * sum
    {
        *pump += more;
    }
    Ok(())
}

impl BedPart {
    /// Gives it the value `to` in `bed` by itself; whether its parts then fit is not looked at.
    ///
    /// # Errors
    /// [`Misfit`] where the value is impossible or the bed has no such part. A measured
    /// inflow needs the pump beside the bed and is refused.
    pub fn set(self, bed: &mut Bed, to: f64) -> Result<(), Misfit> {
        finite(to)?;
        let siphon = &mut bed.siphon;
        let (pipe, bell) = (&mut siphon.standpipe, &mut siphon.bell);
        match self {
            BedPart::MediaDepth => bed.media.depth = to,
            BedPart::Void => bed.media.void = to,
            BedPart::Grain => bed.media.grain = Some(above_nought("the grain size", to)?),
            BedPart::Fouling if to >= 1.0 => bed.media.fouling = to,
            BedPart::Fouling => return Err(impossible("the fouling of the gravel", to)),
            BedPart::GuardDiameter => bed.guard.as_mut().ok_or(no("guard"))?.diameter = to,
            BedPart::GuardOpenings => {
                let guard = bed.guard.as_mut().ok_or(no("guard"))?;
                guard.slot_area = Some(above_nought("the openings of the guard", to)?);
            }
            BedPart::Share => match &mut bed.inlet {
                Inlet::Share(share) => *share = to,
                _ => return Err(no("share of that bed")),
            },
            // Needs the pump beside the bed.
            BedPart::Flow => return Err(no("measured inflow of that bed")),
            BedPart::PipeBore => {
                let (wall, flare) = (pipe.outside - pipe.bore, pipe.lip_diameter / pipe.bore);
                pipe.bore = to;
                pipe.outside = to + wall;
                pipe.lip_diameter = to * flare;
            }
            BedPart::PipeOutside => pipe.outside = to,
            BedPart::StandpipeLength => {
                siphon.set_standpipe(to);
            }
            BedPart::Flare => pipe.lip_diameter = to,
            BedPart::BellBore => {
                let wall = bell.outside - bell.bore;
                bell.bore = to;
                bell.outside = to + wall;
            }
            BedPart::BellOutside => bell.outside = to,
            BedPart::Clearance => bell.clearance = to,
            BedPart::SlotCount => bell.slots.count = whole("the number of slots", to)?,
            BedPart::SlotWidth => bell.slots.width = to,
            BedPart::SlotHeight => bell.slots.height = to,
            BedPart::TubeBore => bell.air_tube.as_mut().ok_or(no("air tube"))?.bore = to,
            BedPart::TubeMouth => {
                bell.air_tube.as_mut().ok_or(no("air tube"))?.mouth_height = to;
            }
            BedPart::AirLeak => bell.air_leak = not_negative("the leak of air", to)?,
            BedPart::Outlet => {
                siphon.set_outlet(to);
            }
            BedPart::DrainLength | BedPart::DrainK | BedPart::DrainRoughness => {
                set_drain(&mut siphon.drain.losses, self, to)?;
            }
            BedPart::Junction => match &mut siphon.drain.into {
                DrainTarget::Line { at } => *at = to,
                DrainTarget::Sump => return Err(no("junction of that siphon")),
            },
        }
        Ok(())
    }
}

fn set_drain(losses: &mut DrainLosses, part: BedPart, to: f64) -> Result<(), Misfit> {
    match (losses, part) {
        (DrainLosses::Computed { k, .. } | DrainLosses::Total { k }, BedPart::DrainK) => {
            *k = not_negative("the K of a drain", to)?;
        }
        (DrainLosses::Computed { length, .. }, BedPart::DrainLength) => *length = to,
        (DrainLosses::Computed { roughness, .. }, BedPart::DrainRoughness) => {
            *roughness = not_negative("the roughness of a pipe", to)?;
        }
        _ => return Err(no("computed losses of that siphon")),
    }
    Ok(())
}

fn above_nought(what: &'static str, value: f64) -> Result<f64, Misfit> {
    if value > 0.0 {
        Ok(value)
    } else {
        Err(impossible(what, value))
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole, and within bounds that fit"
)]
pub(super) fn whole(what: &'static str, value: f64) -> Result<u32, Misfit> {
    if value.fract() == 0.0 && (1.0..=1e6).contains(&value) {
        Ok(value as u32)
    } else {
        Err(impossible(what, value))
    }
}
