//! The value of each quantity.

use super::quantity::{
    BedPart, BranchPart, Level, Measure, Pipe, PipePart, PumpPart, Quantity, TopOffPart, Vessel,
};
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Bed, DrainLosses, DrainTarget, Duration, Inlet, Power, System};
use crate::units::HOUR;

impl Quantity {
    /// Its value in `system`, in SI units; `None` where the system has no such part.
    pub fn value(self, system: &System) -> Option<f64> {
        match self {
            Self::Hours => match system.duration {
                Duration::Fixed(time) => Some(time / HOUR),
                Duration::UntilSettled { .. } => None,
            },
            Self::Temperature => Some(system.water.temperature_c),
            Self::Ceiling => system.ceiling,
            Self::Evaporation => Some(system.evaporation),
            Self::Source(n) => system.sources.get(n).map(|source| source.flow),
            Self::Coefficient(which) => Some(system.coefficients[which].nominal),
            Self::Level(vessel, level) => level_of(system, vessel, level),
            Self::Measure(vessel, measure) => measure.of(system.shape_of(vessel)?),
            Self::Pipe(pipe, part) => {
                let run = system.pipe(pipe)?;
                Some(match part {
                    PipePart::Bore => run.bore,
                    PipePart::Length => run.length,
                    PipePart::Roughness => run.roughness,
                    PipePart::K => run.k,
                })
            }
            Self::Branch(outlet, part) => {
                let branch = system.branch_to(outlet)?;
                match part {
                    BranchPart::Level => Some(branch.level),
                    BranchPart::Opening => branch.valve.as_ref().map(|valve| valve.opening),
                    BranchPart::Hole => branch.anti_siphon_hole,
                }
            }
            Self::Pump(part) => pump(system, part),
            Self::LineSlope => system.drain_line.as_ref().map(|line| line.slope),
            Self::LineOutlet => system.drain_line.as_ref().map(|line| line.outlet),
            Self::TankOverflowBore => system.tank.as_ref().map(|tank| tank.overflow_bore),
            Self::TopOff(part) => {
                let valve = system.top_off.as_ref()?;
                match part {
                    TopOffPart::Level => Some(valve.level),
                    TopOffPart::Flow => Some(valve.flow),
                    TopOffPart::Bore => Some(valve.bore),
                    TopOffPart::Reservoir => valve.reservoir,
                }
            }
            Self::Bed(i, part) => part.of(system.beds.get(i)?),
        }
    }
}

impl System {
    /// The inside shape of a vessel, where there is one.
    pub fn shape_of(&self, vessel: Vessel) -> Option<&VesselShape> {
        match vessel {
            Vessel::Sump => Some(&self.sump.shape),
            Vessel::Tank => self.tank.as_ref().map(|tank| &tank.shape),
            Vessel::Settler => self.settler.as_ref().map(|settler| &settler.shape),
            Vessel::Bed(i) => self.beds.get(i).map(|bed| &bed.shape),
        }
    }

    fn pipe(&self, pipe: Pipe) -> Option<&PipeRun> {
        match pipe {
            Pipe::Trunk => Some(&self.supply.trunk),
            Pipe::Branch(outlet) => self.branch_to(outlet).map(|branch| &branch.run),
            Pipe::DrainLine => self.drain_line.as_ref().map(|line| &line.run),
        }
    }
}

fn level_of(system: &System, vessel: Vessel, level: Level) -> Option<f64> {
    let (floor, start, overflow) = match vessel {
        Vessel::Sump => {
            let sump = &system.sump;
            (sump.floor, Some(sump.start_level), sump.overflow_level)
        }
        Vessel::Tank => {
            let tank = system.tank.as_ref()?;
            (tank.floor, Some(tank.start_level), tank.overflow_level)
        }
        Vessel::Settler => {
            let settler = system.settler.as_ref()?;
            (settler.floor, None, settler.overflow_level)
        }
        Vessel::Bed(i) => {
            let bed = system.beds.get(i)?;
            (bed.floor, bed.start_level(), bed.rim_level())
        }
    };
    match level {
        Level::Floor => Some(floor),
        Level::Start => start,
        Level::Overflow => Some(overflow),
    }
}

impl Measure {
    /// Its value in `shape` `[m]`; `None` where shapes of its kind have no such measure.
    pub fn of(self, shape: &VesselShape) -> Option<f64> {
        // The same match as for writing, on a copy: shapes are small.
        super::write::measure_mut(&mut shape.clone(), self).map(|value| *value)
    }
}

fn pump(system: &System, part: PumpPart) -> Option<f64> {
    let pump = &system.pump;
    match part {
        PumpPart::Intake => Some(pump.intake_level),
        PumpPart::Cover => Some(pump.minimum_cover),
        PumpPart::SteadyFlow => system.steady_flow(),
        PumpPart::Power => match pump.power {
            Some(Power::Watts(watts)) => Some(watts),
            _ => None,
        },
        PumpPart::Efficiency => match pump.power {
            Some(Power::Efficiency(efficiency)) => Some(efficiency),
            _ => None,
        },
        PumpPart::Tariff => pump.tariff,
        PumpPart::TimerOn => pump.schedule.map(|timer| timer.on),
        PumpPart::TimerOff => pump.schedule.map(|timer| timer.off),
    }
}

impl BedPart {
    /// Its value in `bed`, in SI units; `None` where the bed has no such part.
    pub fn of(self, bed: &Bed) -> Option<f64> {
        let (pipe, bell, drain) = (&bed.siphon.standpipe, &bed.siphon.bell, &bed.siphon.drain);
        match self {
            BedPart::MediaDepth => Some(bed.media.depth),
            BedPart::Void => Some(bed.media.void),
            BedPart::Grain => bed.media.grain,
            BedPart::Fouling => Some(bed.media.fouling),
            BedPart::GuardDiameter => bed.guard.as_ref().map(|guard| guard.diameter),
            BedPart::GuardOpenings => bed.guard.as_ref()?.slot_area,
            BedPart::Share => match bed.inlet {
                Inlet::Share(share) => Some(share),
                _ => None,
            },
            BedPart::Flow => match bed.inlet {
                Inlet::Measured(flow) => Some(flow),
                _ => None,
            },
            BedPart::PipeBore => Some(pipe.bore),
            BedPart::PipeOutside => Some(pipe.outside),
            BedPart::StandpipeLength => Some(pipe.lip_height),
            BedPart::Flare => Some(pipe.lip_diameter),
            BedPart::BellBore => Some(bell.bore),
            BedPart::BellOutside => Some(bell.outside),
            BedPart::Clearance => Some(bell.clearance),
            BedPart::SlotCount => Some(f64::from(bell.slots.count)),
            BedPart::SlotWidth => Some(bell.slots.width),
            BedPart::SlotHeight => Some(bell.slots.height),
            BedPart::TubeBore => bell.air_tube.as_ref().map(|tube| tube.bore),
            BedPart::TubeMouth => bell.air_tube.as_ref().map(|tube| tube.mouth_height),
            BedPart::AirLeak => Some(bell.air_leak),
            BedPart::Outlet => Some(drain.outlet),
            BedPart::DrainLength => match drain.losses {
                DrainLosses::Computed { length, .. } => Some(length),
                DrainLosses::Total { .. } => None,
            },
            BedPart::DrainK => match drain.losses {
                DrainLosses::Computed { k, .. } | DrainLosses::Total { k } => Some(k),
            },
            BedPart::DrainRoughness => match drain.losses {
                DrainLosses::Computed { roughness, .. } => Some(roughness),
                DrainLosses::Total { .. } => None,
            },
            BedPart::Junction => match drain.into {
                DrainTarget::Line { at } => Some(at),
                DrainTarget::Sump => None,
            },
        }
    }
}
