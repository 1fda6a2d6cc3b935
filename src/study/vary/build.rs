//! A system with other values of the uncertain inputs.

use crate::model::{Bed, CoefficientValues, Coefficients, Inlet, PumpSource, System, TankFeed};
use crate::study::map_quantity::{MapQuantity, Unbuildable};
use crate::study::vary::draw::{Input, Kind, Pipe, Vessel};
use crate::study::vary::plan::lengthen;

/// Media keep a void of at least this, at most one less this `[-]`.
const LEAST_VOID: f64 = 0.05;

/// `base` with a `value` for each of `inputs`, its coefficients exactly known.
///
/// # Errors
/// [`Unbuildable`] when its parts no longer fit each other.
pub(super) fn drawn(
    base: &System,
    inputs: &[Input],
    values: &[f64],
) -> Result<(System, CoefficientValues), Unbuildable> {
    let mut system = base.clone();
    let mut soft = base.coefficients.nominal();
    for (input, &value) in inputs.iter().zip(values) {
        match (input.kind, input.bed) {
            (Kind::Soft(which), _) => soft = soft.with(which, value),
            (Kind::Pump, _) => turn_pump(&mut system, 1.0 + value),
            (Kind::SumpLevel, _) => {
                let sump = &mut system.sump;
                sump.start_level = (sump.start_level + value).min(sump.overflow_level);
                if sump.start_level <= sump.floor {
                    return Err(Unbuildable::SumpLevel);
                }
            }
            (Kind::Side(vessel, side), bed) => {
                change_side(&mut system, vessel, bed, side, value)?;
            }
            (Kind::Bore(pipe), bed) => change_bore(&mut system, pipe, bed, 1.0 + value)?,
            (kind, Some(i)) => change_bed(&mut system, i, kind, value)?,
            (_, None) => {}
        }
    }
    system.coefficients = Coefficients::known(&soft);
    match system.misfits().first() {
        Some(misfit) => Err(misfit.into()),
        None => Ok((system, soft)),
    }
}

fn change_bed(system: &mut System, i: usize, kind: Kind, by: f64) -> Result<(), Unbuildable> {
    let quantity = match kind {
        Kind::Standpipe => MapQuantity::Standpipe,
        Kind::Clearance => MapQuantity::Clearance,
        Kind::Drop => MapQuantity::Drop,
        _ => {
            if let Some(bed) = system.beds.get_mut(i) {
                let wall = bed.rim_height;
                let bell = &mut bed.siphon.bell;
                match kind {
                    Kind::Gravel => bed.media.depth = (bed.media.depth + by).min(wall),
                    Kind::Void => {
                        bed.media.void = (bed.media.void + by).clamp(LEAST_VOID, 1.0 - LEAST_VOID);
                    }
                    _ => {
                        bell.slots.height += by;
                        if let Some(tube) = &mut bell.air_tube {
                            tube.mouth_height += by;
                        }
                        if bell.slots.height <= 0.0 {
                            return Err(Unbuildable::Value);
                        }
                    }
                }
            }
            return Ok(());
        }
    };
    let now = quantity.value(system, i).ok_or(Unbuildable::Value)?;
    quantity.build(system, i, now + by)
}

/// Another plan size. Rims, overflows and levels stay where they were measured, but
/// not above a lying drum that is now less deep.
fn change_side(
    system: &mut System,
    vessel: Vessel,
    bed: Option<usize>,
    side: usize,
    by: f64,
) -> Result<(), Unbuildable> {
    let beds = &mut system.beds;
    match vessel {
        Vessel::Bed => {
            if let Some(bed) = bed.and_then(|i| beds.get_mut(i)) {
                lengthen(&mut bed.shape, side, by);
                bed.shape.check().map_err(|_| Unbuildable::Value)?;
                lower_rim(bed);
            }
        }
        Vessel::Sump => {
            let sump = &mut system.sump;
            lengthen(&mut sump.shape, side, by);
            sump.shape.check().map_err(|_| Unbuildable::Value)?;
            let top = sump.top();
            sump.overflow_level = sump.overflow_level.min(top);
            sump.start_level = sump.start_level.min(sump.overflow_level);
            let shuts_above = |level: f64| level >= sump.overflow_level;
            if sump.start_level <= sump.floor
                || system
                    .top_off
                    .as_ref()
                    .is_some_and(|valve| shuts_above(valve.level))
            {
                return Err(Unbuildable::SumpLevel);
            }
        }
        Vessel::Tank => {
            if let Some(tank) = &mut system.tank {
                lengthen(&mut tank.shape, side, by);
                tank.shape.check().map_err(|_| Unbuildable::Value)?;
                let top = tank.top();
                tank.overflow_level = tank.overflow_level.min(top);
                tank.start_level = tank.start_level.min(tank.overflow_level);
            }
        }
        Vessel::Settler => {
            if let Some(settler) = &mut system.settler {
                lengthen(&mut settler.shape, side, by);
                settler.shape.check().map_err(|_| Unbuildable::Value)?;
                let top = settler.top();
                settler.overflow_level = settler.overflow_level.min(top);
                if settler.area() <= 0.0 {
                    return Err(Unbuildable::Value);
                }
            }
        }
    }
    Ok(())
}

fn lower_rim(bed: &mut Bed) {
    bed.rim_height = bed.rim_height.min(bed.shape.depth());
    bed.media.depth = bed.media.depth.min(bed.rim_height);
    bed.start_depth = bed.start_depth.map(|depth| depth.min(bed.rim_height));
}

/// A bore at `ratio` of itself. Walls, and a lip's flare in proportion, stay.
fn change_bore(
    system: &mut System,
    pipe: Pipe,
    bed: Option<usize>,
    ratio: f64,
) -> Result<(), Unbuildable> {
    let quantity = match pipe {
        Pipe::Standpipe => MapQuantity::Bore,
        Pipe::Bell => MapQuantity::BellBore,
        _ => {
            let inlet = bed
                .and_then(|i| system.beds.get_mut(i))
                .map(|b| &mut b.inlet);
            let bore = match (pipe, inlet) {
                (Pipe::Inlet, Some(Inlet::Piped(branch))) => Some(&mut branch.run.bore),
                (Pipe::Trunk, _) => Some(&mut system.supply.trunk.bore),
                (Pipe::Bypass, _) => system.supply.bypass.as_mut().map(|one| &mut one.run.bore),
                (Pipe::DrainLine, _) => system.drain_line.as_mut().map(|one| &mut one.run.bore),
                (Pipe::TankOverflow, _) => system.tank.as_mut().map(|tank| &mut tank.overflow_bore),
                (Pipe::TankFeed, _) => match system.tank.as_mut().map(|tank| &mut tank.fed_by) {
                    Some(TankFeed::PumpBranch(branch)) => Some(&mut branch.run.bore),
                    _ => None,
                },
                _ => None,
            };
            if let Some(bore) = bore {
                *bore *= ratio;
            }
            return Ok(());
        }
    };
    let i = bed.ok_or(Unbuildable::Value)?;
    let now = quantity.value(system, i).ok_or(Unbuildable::Value)?;
    quantity.build(system, i, now * ratio)
}

/// The pump at `ratio` of its speed; a measured flow at `ratio` of itself.
fn turn_pump(system: &mut System, ratio: f64) {
    match &mut system.pump.source {
        PumpSource::Steady(flow) => *flow *= ratio,
        PumpSource::Curve(curve) => {
            if let Ok(turned) = curve.at_speed(ratio) {
                *curve = turned;
            }
        }
    }
    for bed in &mut system.beds {
        if let Inlet::Measured(flow) = &mut bed.inlet {
            *flow *= ratio;
        }
    }
}
