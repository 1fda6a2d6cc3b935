//! A system with other values of the uncertain inputs.

use crate::model::{
    self, BedPart, Change, CoefficientValues, Coefficients, Level, Misfit, Outlet, PipePart,
    Quantity, System,
};
use crate::study::map::quantity::MapQuantity;
use crate::study::vary::draw::{Input, Kind, Pipe, Vessel};
use crate::study::vary::plan::lengthen;

/// Media keep a void of at least this, at most one less this `[-]`.
const LEAST_VOID: f64 = 0.05;

/// `base` with a `value` for each of `inputs`, its coefficients exactly known.
///
/// # Errors
/// [`Misfit`] when its parts no longer fit each other.
pub(super) fn drawn(
    base: &System,
    inputs: &[Input],
    values: &[f64],
) -> Result<(System, CoefficientValues), Misfit> {
    let mut system = base.clone();
    let mut soft = base.coefficients.nominal();
    for (input, &value) in inputs.iter().zip(values) {
        match (input.kind, input.bed) {
            (Kind::Soft(which), _) => soft = soft.with(which, value),
            (Kind::Pump, _) => Change::PumpSpeed(1.0 + value).apply_to(&mut system)?,
            (Kind::SumpLevel, _) => {
                let sump = &system.sump;
                let level = (sump.start_level + value).min(sump.overflow_level);
                set(
                    &mut system,
                    Quantity::Level(model::Vessel::Sump, Level::Start),
                    level,
                )?;
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
    match system.misfits().into_iter().next() {
        Some(misfit) => Err(misfit),
        None => Ok((system, soft)),
    }
}

fn set(system: &mut System, what: Quantity, to: f64) -> Result<(), Misfit> {
    Change::set(what, to).apply_to(system)
}

/// Gives a quantity of bed `i` the value that `of` makes of its present one.
fn turn(
    system: &mut System,
    i: usize,
    quantity: MapQuantity,
    of: impl Fn(f64) -> f64,
) -> Result<(), Misfit> {
    let now = quantity.value(system, i).ok_or(Misfit::NoPart {
        what: quantity.words(),
    })?;
    quantity.change(system, i, of(now))?.apply_to(system)
}

fn change_bed(system: &mut System, i: usize, kind: Kind, by: f64) -> Result<(), Misfit> {
    let longer = |now: f64| now + by;
    match kind {
        Kind::Standpipe => turn(system, i, MapQuantity::Standpipe, longer),
        Kind::Clearance => turn(system, i, MapQuantity::Clearance, longer),
        Kind::Drop => turn(system, i, MapQuantity::Drop, longer),
        _ => {
            let Some(bed) = system.beds.get_mut(i) else {
                return Ok(());
            };
            match kind {
                Kind::Gravel => {
                    let depth = (bed.media.depth + by).min(bed.rim_height);
                    BedPart::MediaDepth.set(bed, depth)
                }
                Kind::Void => {
                    let void = (bed.media.void + by).clamp(LEAST_VOID, 1.0 - LEAST_VOID);
                    BedPart::Void.set(bed, void)
                }
                _ => [BedPart::SlotHeight, BedPart::TubeMouth]
                    .into_iter()
                    .try_for_each(|opening| match opening.of(bed) {
                        Some(height) => opening.set(bed, height + by),
                        None => Ok(()),
                    }),
            }
        }
    }
}

/// Another plan size. Rims, overflows and levels stay where they were measured, but
/// not above a lying drum that is now less deep.
fn change_side(
    system: &mut System,
    vessel: Vessel,
    bed: Option<usize>,
    side: usize,
    by: f64,
) -> Result<(), Misfit> {
    let shape = match vessel {
        Vessel::Bed => bed
            .and_then(|i| system.beds.get_mut(i))
            .map(|bed| &mut bed.shape),
        Vessel::Sump => Some(&mut system.sump.shape),
        Vessel::Tank => system.tank.as_mut().map(|tank| &mut tank.shape),
        Vessel::Settler => system.settler.as_mut().map(|settler| &mut settler.shape),
    };
    let Some(shape) = shape else { return Ok(()) };
    lengthen(shape, side, by);
    shape.check().map_err(Misfit::Shape)?;
    let vessel = match (vessel, bed) {
        (Vessel::Sump, _) => model::Vessel::Sump,
        (Vessel::Tank, _) => model::Vessel::Tank,
        (Vessel::Settler, _) => model::Vessel::Settler,
        (Vessel::Bed, i) => model::Vessel::Bed(i.unwrap_or_default()),
    };
    keep_below_top(system, vessel)
}

/// Overflow or rim at the top at most, water and gravel under it.
fn keep_below_top(system: &mut System, vessel: model::Vessel) -> Result<(), Misfit> {
    let level = |level| Quantity::Level(vessel, level);
    let depth = system.shape_of(vessel).map(|shape| shape.depth());
    let (Some(depth), Some(floor), Some(overflow)) = (
        depth,
        level(Level::Floor).value(system),
        level(Level::Overflow).value(system),
    ) else {
        return Ok(());
    };
    let brim = floor + depth;
    if overflow <= brim {
        return Ok(());
    }
    set(system, level(Level::Overflow), brim)?;
    if let Some(start) = level(Level::Start).value(system) {
        set(system, level(Level::Start), start.min(brim))?;
    }
    if let model::Vessel::Bed(i) = vessel
        && let Some(bed) = system.beds.get_mut(i)
    {
        let depth = bed.media.depth.min(depth);
        BedPart::MediaDepth.set(bed, depth)?;
    }
    Ok(())
}

/// A bore at `ratio` of itself. Walls, and a lip's flare in proportion, stay.
fn change_bore(
    system: &mut System,
    pipe: Pipe,
    bed: Option<usize>,
    ratio: f64,
) -> Result<(), Misfit> {
    let wider = |now: f64| now * ratio;
    let i = bed.unwrap_or_default();
    let of = |pipe| Quantity::Pipe(pipe, PipePart::Bore);
    let bore = match pipe {
        Pipe::Standpipe => return turn(system, i, MapQuantity::Bore, wider),
        Pipe::Bell => return turn(system, i, MapQuantity::BellBore, wider),
        Pipe::Inlet => of(model::Pipe::Branch(Outlet::Bed(i))),
        Pipe::Trunk => of(model::Pipe::Trunk),
        Pipe::Bypass => of(model::Pipe::Branch(Outlet::Bypass)),
        Pipe::SettlerFeed => of(model::Pipe::Branch(Outlet::Settler)),
        Pipe::TankFeed => of(model::Pipe::Branch(Outlet::Tank)),
        Pipe::DrainLine => of(model::Pipe::DrainLine),
        Pipe::TankOverflow => Quantity::TankOverflowBore,
    };
    match bore.value(system) {
        Some(now) => set(system, bore, wider(now)),
        None => Ok(()),
    }
}
