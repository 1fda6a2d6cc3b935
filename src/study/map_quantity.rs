//! The quantities that a map can have on its axes: how to read one of a bed,
//! and how to build that bed with another value of it.

use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::model::{Bed, DrainLosses, DrainTarget, Inlet, Misfit, PumpSource, System};

/// What one axis of a map changes. Everything else stays as it is, except where
/// a variant says otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MapQuantity {
    /// Inflow of the bed `[m3/s]`, steady.
    Inflow,
    /// Bore of standpipe and drain pipe `[m]`; wall and relative flare are kept.
    Bore,
    /// Drop from the bed's floor to the outlet `[m]`; the pipe is that much longer or shorter.
    Drop,
    /// Bed's floor to lip `[m]`; the bell stays its clearance above the lip, and
    /// the pipe is that much longer or shorter.
    Standpipe,
    /// Diameter of the lip `[m]`.
    Flare,
    /// Area of all slots together `[m2]`; their number and height are kept.
    SlotArea,
    /// Lip to underside of the cap `[m]`.
    Clearance,
    /// Bore of the bell `[m]`; its wall is kept.
    BellBore,
    /// Drainable void of the media `[-]`.
    Void,
    /// Mean area of the bed over its depth `[m2]`; its proportions are kept.
    BedArea,
    /// K of the fittings below the lip, or the measured total `[-]`.
    DrainK,
    /// Temperature of the water `[degC]`.
    Temperature,
    /// Level of the sump at the start, the bed at its own start level `[m]`.
    SumpLevel,
}

/// What a quantity is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MapUnit {
    /// A flow `[m3/s]`.
    Flow,
    /// A length or elevation `[m]`.
    Length,
    /// An area `[m2]`.
    Area,
    /// A temperature `[degC]`.
    Temperature,
    /// A bare number.
    Number,
}

/// Why a bed cannot be built with a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Unbuildable {
    /// A pumped bed beside others has no inflow that could be set by itself.
    #[error("the inflow of a pumped bed among others follows from pump and valves")]
    PumpedInflow,
    /// A size of zero, less, or not a number.
    #[error("the value is not possible")]
    Value,
    /// The standpipe or its flare does not go into the bell.
    #[error("the standpipe does not go into the bell")]
    PipeInBell,
    /// The lip would be narrower than the bore.
    #[error("the lip is narrower than the bore")]
    LipWithinBore,
    /// The slots would be wider than the bell's girth.
    #[error("the slots are wider than the way round the bell")]
    SlotsRoundBell,
    /// The lip would stand at the rim or above.
    #[error("the lip is not below the rim")]
    LipAtRim,
    /// Slots or air tube would be above the lip.
    #[error("the slots or the air tube are not below the lip")]
    OpeningsAtLip,
    /// The air tube does not go into the bell.
    #[error("the air tube does not go into the bell")]
    TubeInBell,
    /// The bell would not stand inside its guard.
    #[error("the bell does not go into the media guard")]
    BellInGuard,
    /// The guard, or the bell, would be wider than the bed.
    #[error("the bell or its guard is wider than the bed")]
    GuardInBed,
    /// The outlet would be at the bed's floor or above.
    #[error("the outlet is not below the bed's floor")]
    OutletAtFloor,
    /// The outlet would be below what it runs into.
    #[error("the outlet is below the bottom of what it runs into")]
    OutletTooLow,
    /// No pipe would be left between lip and outlet.
    #[error("no pipe is left between lip and outlet")]
    NoPipe,
    /// The sump would stand outside its walls or above its overflow.
    #[error("the sump's level is outside the sump")]
    SumpLevel,
}

impl MapQuantity {
    /// All of them.
    pub const ALL: [Self; 13] = [
        Self::Inflow,
        Self::Bore,
        Self::Drop,
        Self::Standpipe,
        Self::Flare,
        Self::SlotArea,
        Self::Clearance,
        Self::BellBore,
        Self::Void,
        Self::BedArea,
        Self::DrainK,
        Self::Temperature,
        Self::SumpLevel,
    ];

    /// Name on the command line and in files.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Inflow => "inflow",
            Self::Bore => "bore",
            Self::Drop => "drop",
            Self::Standpipe => "standpipe",
            Self::Flare => "flare",
            Self::SlotArea => "slot-area",
            Self::Clearance => "clearance",
            Self::BellBore => "bell-bore",
            Self::Void => "void",
            Self::BedArea => "bed-area",
            Self::DrainK => "drain-k",
            Self::Temperature => "temperature",
            Self::SumpLevel => "sump-level",
        }
    }

    /// The quantity with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|quantity| quantity.key() == key)
    }

    /// What it is, for the name of an axis.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Inflow => "inflow of the bed",
            Self::Bore => "bore of standpipe and drain",
            Self::Drop => "drop from bed floor to outlet",
            Self::Standpipe => "standpipe, bed floor to lip",
            Self::Flare => "diameter of the lip",
            Self::SlotArea => "area of the bell's slots",
            Self::Clearance => "clearance, lip to cap",
            Self::BellBore => "bore of the bell",
            Self::Void => "drainable void of the gravel",
            Self::BedArea => "area of the bed",
            Self::DrainK => "K of the drain's fittings",
            Self::Temperature => "temperature of the water",
            Self::SumpLevel => "sump level at the start",
        }
    }

    /// What it is measured in.
    pub const fn unit(self) -> MapUnit {
        match self {
            Self::Inflow => MapUnit::Flow,
            Self::SlotArea | Self::BedArea => MapUnit::Area,
            Self::Void | Self::DrainK => MapUnit::Number,
            Self::Temperature => MapUnit::Temperature,
            _ => MapUnit::Length,
        }
    }

    /// Least and greatest value that makes sense at all, in the unit of [`unit`](Self::unit).
    pub const fn allowed(self) -> (f64, f64) {
        match self {
            Self::Inflow => (1e-7, 0.02),
            Self::Bore => (0.005, 0.15),
            Self::Drop => (0.005, 5.0),
            Self::Standpipe => (0.01, 2.0),
            Self::Flare => (0.005, 0.4),
            Self::SlotArea => (1e-6, 0.5),
            Self::Clearance => (0.001, 0.5),
            Self::BellBore => (0.01, 0.5),
            Self::Void => (0.05, 0.95),
            Self::BedArea => (0.01, 100.0),
            Self::DrainK => (0.0, 200.0),
            Self::Temperature => (0.5, 40.0),
            Self::SumpLevel => (-5.0, 10.0),
        }
    }

    /// Its value in bed `i` of `system`; `None` where the scenario fixes none:
    /// the inflow of a pumped bed.
    pub fn value(self, system: &System, i: usize) -> Option<f64> {
        let bed = system.beds.get(i)?;
        let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
        Some(match self {
            Self::Inflow => match (&bed.inlet, &system.pump.source) {
                (Inlet::Measured(flow), _) => *flow,
                (Inlet::Share(share), PumpSource::Steady(total)) => share * total,
                _ => return None,
            },
            Self::Bore => pipe.bore,
            Self::Drop => bed.floor - bed.siphon.drain.outlet,
            Self::Standpipe => pipe.lip_height,
            Self::Flare => pipe.lip_diameter,
            Self::SlotArea => bell.slots.area(),
            Self::Clearance => bell.clearance,
            Self::BellBore => bell.bore,
            Self::Void => bed.media.void,
            Self::BedArea => mean_area(&bed.shape),
            Self::DrainK => match bed.siphon.drain.losses {
                DrainLosses::Computed { k, .. } | DrainLosses::Total { k } => k,
            },
            Self::Temperature => system.water.temperature_c,
            Self::SumpLevel => system.sump.start_level,
        })
    }

    /// Builds bed `i` of `system` with `value`; whether the parts then still fit
    /// each other is not looked at.
    ///
    /// The inflow of a bed becomes a measured one. Where other beds hang on the
    /// same pump, its steady flow changes by as much, so that theirs stays.
    ///
    /// # Errors
    /// [`Unbuildable`] when that cannot be done at all; `system` is then of no further use.
    pub(super) fn build(
        self,
        system: &mut System,
        i: usize,
        value: f64,
    ) -> Result<(), Unbuildable> {
        let (least, most) = self.allowed();
        if !(least <= value && value <= most) {
            return Err(Unbuildable::Value);
        }
        let alone = system.beds.len() == 1;
        let Some(bed) = system.beds.get_mut(i) else {
            return Err(Unbuildable::Value);
        };
        match self {
            Self::Inflow if alone => {
                bed.inlet = Inlet::Measured(value);
                system.pump.source = PumpSource::Steady(value);
            }
            Self::Inflow => set_inflow(system, i, value)?,
            Self::Temperature => {
                system.water = Water::at(value).map_err(|_| Unbuildable::Value)?;
            }
            Self::SumpLevel => {
                let sump = &mut system.sump;
                if value <= sump.floor || value > sump.overflow_level {
                    return Err(Unbuildable::SumpLevel);
                }
                sump.start_level = value;
            }
            _ => self.build_bed(bed, value)?,
        }
        Ok(())
    }

    fn build_bed(self, bed: &mut Bed, value: f64) -> Result<(), Unbuildable> {
        let (pipe, bell) = (&mut bed.siphon.standpipe, &mut bed.siphon.bell);
        match self {
            Self::Bore => {
                let (wall, flare) = (pipe.outside - pipe.bore, pipe.lip_diameter / pipe.bore);
                pipe.bore = value;
                pipe.outside = value + wall;
                pipe.lip_diameter = value * flare;
            }
            Self::Drop => {
                bed.siphon.set_outlet(bed.floor - value);
                piped(bed)?;
            }
            Self::Standpipe => {
                bed.siphon.set_standpipe(value);
                piped(bed)?;
            }
            Self::Flare => pipe.lip_diameter = value,
            Self::SlotArea => {
                bell.slots.width = value / (f64::from(bell.slots.count) * bell.slots.height);
            }
            Self::Clearance => bell.clearance = value,
            Self::BellBore => {
                let wall = bell.outside - bell.bore;
                bell.bore = value;
                bell.outside = value + wall;
            }
            Self::Void => bed.media.void = value,
            Self::BedArea => scale_area(&mut bed.shape, value),
            Self::DrainK => match &mut bed.siphon.drain.losses {
                DrainLosses::Computed { k, .. } | DrainLosses::Total { k } => *k = value,
            },
            Self::Inflow | Self::Temperature | Self::SumpLevel => {}
        }
        Ok(())
    }
}

/// Gives bed `i` the inflow `value` `[m3/s]` and leaves the other beds theirs.
fn set_inflow(system: &mut System, i: usize, value: f64) -> Result<(), Unbuildable> {
    let PumpSource::Steady(total) = system.pump.source else {
        return Err(Unbuildable::PumpedInflow);
    };
    let before = MapQuantity::Inflow
        .value(system, i)
        .ok_or(Unbuildable::PumpedInflow)?;
    for (k, bed) in system.beds.iter_mut().enumerate() {
        match &mut bed.inlet {
            inlet if k == i => *inlet = Inlet::Measured(value),
            inlet => {
                if let Inlet::Share(share) = *inlet {
                    *inlet = Inlet::Measured(share * total);
                }
            }
        }
    }
    system.pump.source = PumpSource::Steady(total + value - before);
    Ok(())
}

/// Refuses a siphon without a pipe.
fn piped(bed: &Bed) -> Result<(), Unbuildable> {
    if bed.siphon.drain.has_pipe() {
        Ok(())
    } else {
        Err(Unbuildable::NoPipe)
    }
}

/// Volume over depth `[m2]`.
fn mean_area(shape: &VesselShape) -> f64 {
    shape.full_volume() / shape.depth()
}

/// Stretches a shape sideways until its mean area is `wanted` `[m2]`.
fn scale_area(shape: &mut VesselShape, wanted: f64) {
    let by = wanted / mean_area(shape);
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
        VesselShape::LyingCylinder { length, .. } => *length *= by,
        VesselShape::Table { area, .. } => area.iter_mut().for_each(|one| *one *= by),
    }
}

/// Bottom of what `bed` runs into, the lowest that its outlet can be `[m]`.
pub(super) fn lowest_outlet(bed: &Bed, system: &System) -> f64 {
    match (&system.drain_line, &bed.siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => line.invert(*at),
        _ => system.sump.floor,
    }
}

/// Whether the parts of `bed` fit each other; the rules of the model.
pub(super) fn fits(bed: &Bed, system: &System) -> Result<(), Unbuildable> {
    bed.misfits(system)
        .first()
        .map_or(Ok(()), |misfit| Err(misfit.into()))
}

impl From<&Misfit> for Unbuildable {
    fn from(misfit: &Misfit) -> Self {
        match misfit {
            Misfit::BellInsideStandpipe { .. } | Misfit::LipWiderThanBell { .. } => {
                Self::PipeInBell
            }
            Misfit::FlareBelowBore { .. } => Self::LipWithinBore,
            Misfit::SlotsRoundBell { .. } => Self::SlotsRoundBell,
            Misfit::LipAboveRim { .. } => Self::LipAtRim,
            Misfit::SlotsAboveLip { .. } | Misfit::AirTubeAboveLip { .. } => Self::OpeningsAtLip,
            Misfit::AirTubeInBell { .. } => Self::TubeInBell,
            Misfit::GuardInsideBell { .. } => Self::BellInGuard,
            Misfit::WiderThanBed { .. } => Self::GuardInBed,
            Misfit::OutletAboveFloor { .. } | Misfit::OutletAboveBreak { .. } => {
                Self::OutletAtFloor
            }
            Misfit::OutletBelowSump { .. } | Misfit::OutletBelowLine { .. } => Self::OutletTooLow,
            _ => Self::Value,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_told_apart_and_found_again() {
        for quantity in MapQuantity::ALL {
            assert_eq!(MapQuantity::from_key(quantity.key()), Some(quantity));
            let (least, most) = quantity.allowed();
            assert!(least < most);
        }
        assert_eq!(MapQuantity::from_key("safety"), None);
    }
}
