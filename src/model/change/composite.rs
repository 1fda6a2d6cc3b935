//! Changes that are more than one number.

use super::quantity::{Quantity, Vessel};
use super::write::{impossible, no, shape_mut};
use super::{BedPart, BranchPart, Change, Level};
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Inlet, MOST_JOINED, Misfit, PumpSource, System, Valve};

impl Change {
    /// All but [`Change::Set`].
    pub(super) fn compose(&self, system: &mut System) -> Result<(), Misfit> {
        match self {
            Self::Set { what, to } => what.set(system, *to)?,
            Self::RaiseAll { by } => system.raise(*by),
            Self::MoveSump { by } => system.raise_sump(*by),
            Self::RaiseBed { bed, by } => raise_bed(system, *bed, *by)?,
            Self::Replace { vessel, shape } => replace(system, *vessel, shape.clone(), 1)?,
            Self::Tip(vessel) => {
                let shape = tipped(shape_mut(system, *vessel)?)?;
                let count = count_of(system, *vessel);
                replace(system, *vessel, shape, count)?;
            }
            Self::Join { count } => {
                if !(1..=MOST_JOINED).contains(count) {
                    return Err(impossible("the number of vessels", f64::from(*count)));
                }
                let shape = system.sump.shape.clone();
                replace(system, Vessel::Sump, shape, *count)?;
            }
            Self::Stretch { vessel, area } => {
                let each = *area / f64::from(count_of(system, *vessel));
                stretch(shape_mut(system, *vessel)?, each);
            }
            Self::Valves(openings) => {
                for (outlet, opening) in openings {
                    let valve = Quantity::Branch(*outlet, BranchPart::Opening);
                    valve.set(system, *opening)?;
                }
            }
            Self::PipeSize { bed, bore, outside } => {
                Quantity::Bed(*bed, BedPart::PipeBore).set(system, *bore)?;
                Quantity::Bed(*bed, BedPart::PipeOutside).set(system, *outside)?;
            }
            Self::BellSize { bed, bore, outside } => {
                Quantity::Bed(*bed, BedPart::BellBore).set(system, *bore)?;
                Quantity::Bed(*bed, BedPart::BellOutside).set(system, *outside)?;
            }
            Self::AirTube { bed, tube } => {
                let bed = system.beds.get_mut(*bed).ok_or(no("such bed"))?;
                bed.siphon.bell.air_tube = tube.clone();
            }
            Self::FitValve {
                outlet,
                kind,
                opening,
            } => {
                let branch = system.branch_to_mut(*outlet).ok_or(no("such branch"))?;
                branch.valve = Some(Valve {
                    kind: *kind,
                    opening: *opening,
                });
            }
            Self::FitBypass(branch) => system.supply.bypass = Some(branch.clone()),
            Self::CheckValve(fitted) => system.pump.check_valve = *fitted,
            Self::SealEntries(sealed) => system.sump.sealed_entries = *sealed,
            Self::Vent(open) => {
                system.drain_line.as_mut().ok_or(Misfit::NoLine)?.vented = *open;
            }
            Self::ClearIncident(n) => {
                if *n >= system.incidents.len() {
                    return Err(no("such event"));
                }
                system.incidents.remove(*n);
            }
            Self::Pump(source) => system.pump.source = source.clone(),
            Self::PumpSpeed(ratio) => pump_speed(system, *ratio)?,
            Self::Inflow { bed, to } => inflow(system, *bed, *to)?,
        }
        Ok(())
    }
}

fn raise_bed(system: &mut System, i: usize, by: f64) -> Result<(), Misfit> {
    let bed = system.beds.get_mut(i).ok_or(no("such bed"))?;
    bed.set_floor(bed.floor + by);
    if let Inlet::Piped(branch) = &mut bed.inlet {
        branch.raise(by);
    }
    Ok(())
}

/// How many of it are joined.
fn count_of(system: &System, vessel: Vessel) -> u32 {
    match vessel {
        Vessel::Sump => system.sump.count,
        Vessel::Tank | Vessel::Settler | Vessel::Bed(_) => 1,
    }
}

/// Other vessels, `count` of them. Of a bed the rim and the water go by their heights.
fn replace(
    system: &mut System,
    vessel: Vessel,
    shape: VesselShape,
    count: u32,
) -> Result<(), Misfit> {
    let level = |level| Quantity::Level(vessel, level);
    let read = |system: &System, which| level(which).value(system).ok_or(no("such vessel"));
    let (floor, overflow) = (read(system, Level::Floor)?, read(system, Level::Overflow)?);
    let start = level(Level::Start).value(system);
    let held = f64::from(count_of(system, vessel));
    if vessel == Vessel::Sump {
        system.sump.count = count;
    }
    let old = shape_mut(system, vessel)?;
    let water = start.map(|start| held * old.volume(start - floor) / f64::from(count));
    let deeper = shape.depth() - old.depth();
    *old = shape;
    let brim = overflow + deeper;
    let filled = water.map(|water| (floor + old.depth_at(water)).min(brim).max(floor));
    level(Level::Overflow).set(system, brim)?;
    match (vessel, start, filled) {
        // Gravel stands in it: the water's height is what was measured.
        (Vessel::Bed(_), Some(start), _) => level(Level::Start).set(system, start.min(brim)),
        // A tank stands full to its overflow.
        (Vessel::Tank, Some(start), _) if start >= overflow => {
            level(Level::Start).set(system, brim)
        }
        (_, _, Some(filled)) => level(Level::Start).set(system, filled),
        _ => Ok(()),
    }
}

fn tipped(shape: &VesselShape) -> Result<VesselShape, Misfit> {
    match *shape {
        VesselShape::UprightCylinder { diameter, depth } => Ok(VesselShape::LyingCylinder {
            diameter,
            length: depth,
        }),
        VesselShape::LyingCylinder { diameter, length } => Ok(VesselShape::UprightCylinder {
            diameter,
            depth: length,
        }),
        _ => Err(no("drum to lay on its side")),
    }
}

/// Stretches a shape sideways until its mean area is `wanted` `[m2]`.
fn stretch(shape: &mut VesselShape, wanted: f64) {
    let by = wanted / shape.mean_area();
    let side = by.sqrt();
    match shape {
        VesselShape::Box { length, width, .. } => {
            *length *= side;
            *width *= side;
        }
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            ..
        } => {
            for one in [top_length, top_width, bottom_length, bottom_width] {
                *one *= side;
            }
        }
        VesselShape::UprightCylinder { diameter, .. } => *diameter *= side,
        // Its diameter is its depth, too, and that stays.
        VesselShape::LyingCylinder { length, .. } | VesselShape::HalfDrum { length, .. } => {
            *length *= by;
        }
        VesselShape::Table { area, .. } => area.iter_mut().for_each(|one| *one *= by),
    }
}

/// The pump at another speed; a measured flow, and what was measured of it at the beds, in
/// proportion.
fn pump_speed(system: &mut System, ratio: f64) -> Result<(), Misfit> {
    match &mut system.pump.source {
        PumpSource::Steady(flow) => *flow *= ratio,
        PumpSource::Curve(curve) => {
            *curve = curve
                .at_speed(ratio)
                .map_err(|_| impossible("the speed of the pump", ratio))?;
        }
    }
    for bed in &mut system.beds {
        if let Inlet::Measured(flow) = &mut bed.inlet {
            *flow *= ratio;
        }
    }
    Ok(())
}

/// Gives bed `i` the inflow `to` `[m3/s]` and leaves the other beds theirs.
fn inflow(system: &mut System, i: usize, to: f64) -> Result<(), Misfit> {
    let alone = system.beds.len() == 1;
    let bed = system.beds.get_mut(i).ok_or(no("such bed"))?;
    // With one bed the pump's flow is the bed's.
    if alone {
        bed.inlet = Inlet::Measured(to);
        system.pump.source = PumpSource::Steady(to);
        return Ok(());
    }
    let total = system.steady_flow().ok_or(Misfit::PumpedInflow)?;
    let before = match system.beds[i].inlet {
        Inlet::Measured(flow) => flow,
        Inlet::Share(share) => share * total,
        Inlet::Piped(_) => return Err(Misfit::PumpedInflow),
    };
    for (k, bed) in system.beds.iter_mut().enumerate() {
        match bed.inlet {
            _ if k == i => bed.inlet = Inlet::Measured(to),
            Inlet::Share(share) => bed.inlet = Inlet::Measured(share * total),
            _ => {}
        }
    }
    system.pump.source = PumpSource::Steady(total + to - before);
    Ok(())
}
