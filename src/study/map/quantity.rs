//! The quantities that a map can have on its axes: how to read one of a bed,
//! and the change that gives the bed another value of it.

use crate::model::{
    Bed, BedPart, Change, DrainTarget, Inlet, Level, Misfit, PumpSource, Quantity, Rules, System,
    Vessel,
};

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
        Some(match self {
            Self::Inflow => match (&bed.inlet, &system.pump.source) {
                (Inlet::Measured(flow), _) => *flow,
                (Inlet::Share(share), PumpSource::Steady(total)) => share * total,
                _ => return None,
            },
            Self::Drop => bed.floor - bed.siphon.drain.outlet,
            Self::SlotArea => bed.siphon.bell.slots.area(),
            Self::BedArea => bed.shape.mean_area(),
            _ => return self.quantity(i)?.value(system),
        })
    }

    /// The one number that it is; `None` where it is more than that.
    const fn quantity(self, i: usize) -> Option<Quantity> {
        let part = match self {
            Self::Temperature => return Some(Quantity::Temperature),
            Self::SumpLevel => return Some(Quantity::Level(Vessel::Sump, Level::Start)),
            Self::Bore => BedPart::PipeBore,
            Self::Standpipe => BedPart::StandpipeLength,
            Self::Flare => BedPart::Flare,
            Self::Clearance => BedPart::Clearance,
            Self::BellBore => BedPart::BellBore,
            Self::Void => BedPart::Void,
            Self::DrainK => BedPart::DrainK,
            Self::Inflow | Self::Drop | Self::SlotArea | Self::BedArea => return None,
        };
        Some(Quantity::Bed(i, part))
    }

    /// What gives bed `i` of `system` this `value`.
    ///
    /// The inflow of a bed becomes a measured one. Where other beds hang on the
    /// same pump, its steady flow changes by as much, so that theirs stays.
    ///
    /// # Errors
    /// [`Misfit`] for an unknown bed or a value that makes no sense at all.
    pub fn change(self, system: &System, i: usize, value: f64) -> Result<Change, Misfit> {
        let (least, most) = self.allowed();
        let what = self.words();
        if !(least <= value && value <= most) {
            return Err(Misfit::Impossible { what, value });
        }
        let bed = system
            .beds
            .get(i)
            .ok_or(Misfit::NoPart { what: "such bed" })?;
        Ok(match (self, self.quantity(i)) {
            (_, Some(quantity)) => Change::set(quantity, value),
            (Self::Drop, _) => Change::of_bed(i, BedPart::Outlet, bed.floor - value),
            (Self::SlotArea, _) => {
                let slots = &bed.siphon.bell.slots;
                let width = value / (f64::from(slots.count) * slots.height);
                Change::of_bed(i, BedPart::SlotWidth, width)
            }
            (Self::BedArea, _) => Change::Stretch {
                vessel: Vessel::Bed(i),
                area: value,
            },
            _ => Change::Inflow { bed: i, to: value },
        })
    }
}

/// `base` with bed `i` at these values.
///
/// # Errors
/// [`Misfit`] where its parts do not fit each other.
pub(in crate::study) fn built(
    base: &System,
    i: usize,
    values: impl IntoIterator<Item = (MapQuantity, f64)>,
) -> Result<System, Misfit> {
    let mut system = base.clone();
    for (quantity, value) in values {
        quantity.change(&system, i, value)?.apply_to(&mut system)?;
        // The bed's own check at the end does not look at the sump.
        if quantity == MapQuantity::SumpLevel {
            let sump = &system.sump;
            let level = Rules::start_level(value, sump.floor, sump.overflow_level);
            level.map_or(Ok(()), Err)?;
        }
    }
    fits(&system.beds[i], &system)?;
    Ok(system)
}

/// Bottom of what `bed` runs into, the lowest that its outlet can be `[m]`.
pub(in crate::study) fn lowest_outlet(bed: &Bed, system: &System) -> f64 {
    match (&system.drain_line, &bed.siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => line.invert(*at),
        _ => system.sump.floor,
    }
}

/// Whether the parts of `bed` fit each other; the rules of the model.
pub(in crate::study) fn fits(bed: &Bed, system: &System) -> Result<(), Misfit> {
    let first = bed.misfits(system).into_iter().next();
    first.map_or(Ok(()), Err)
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
