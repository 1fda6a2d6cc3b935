//! A change of a system as one value: what a fix, a lever, a sweep, a cut or a cause does.
//!
//! ```
//! use ebbwright::hydraulics::vessel::VesselShape;
//! use ebbwright::model::{Bed, BedPart, Change, Quantity, System};
//!
//! let tub = VesselShape::Box { length: 1.2, width: 1.0, depth: 0.35 };
//! let system = System::builder()
//!     .sump(tub.clone(), 0.0)
//!     .steady_flow(1.3e-4)
//!     .bed(Bed::builder("north", tub, 1.0))
//!     .build()?;
//! let standpipe = Quantity::Bed(0, BedPart::StandpipeLength);
//! let length = standpipe.value(&system).unwrap_or_default();
//! let shorter = Change::set(standpipe, length - 0.02);
//! let changed = shorter.apply(&system)?;
//! // The pipe begins at the lip: it is cut with the standpipe.
//! let pipe = Quantity::Bed(0, BedPart::DrainLength);
//! let cut = pipe.value(&system).zip(pipe.value(&changed)).map(|(a, b)| a - b);
//! assert!(cut.is_some_and(|cut| (cut - 0.02).abs() < 1e-9));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod composite;
mod quantity;
mod read;
#[cfg(test)]
pub(crate) mod sample;
mod trouble;
mod write;

#[cfg(test)]
mod tests;

pub use quantity::{
    BedPart, BranchPart, Level, Measure, Outlet, Pipe, PipePart, PumpPart, Quantity, TopOffPart,
    Vessel,
};
pub use trouble::Trouble;

use crate::hydraulics::valves::ValveKind;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{AirTube, Branch, Misfit, PumpSource, System};

/// One thing done to a [`System`]. Beds are meant by their index, all figures are SI.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Change {
    /// Another value for one number.
    Set {
        /// Which.
        what: Quantity,
        /// Its new value.
        to: f64,
    },
    /// Everything over the sump this much higher, or lower where negative `[m]`: beds,
    /// inlets, outlets, bypass and drain line; the riser becomes longer or shorter.
    RaiseAll {
        /// How far.
        by: f64,
    },
    /// The sump with its water, overflow, pump and float valve this much higher `[m]`, or lower
    /// where negative; the riser becomes shorter or longer.
    MoveSump {
        /// How far.
        by: f64,
    },
    /// A bed with its inlet this much higher `[m]`; its outlet stays, its pipe becomes longer.
    RaiseBed {
        /// Which.
        bed: usize,
        /// How far.
        by: f64,
    },
    /// Another vessel in the same place. Its floor stays, its overflow keeps its distance from
    /// the top, and the water in it at the start stays as far as there is room.
    Replace {
        /// Which.
        vessel: Vessel,
        /// By what.
        shape: VesselShape,
    },
    /// A drum laid on its side, or one that lies set upright; else like [`Replace`](Self::Replace).
    Tip(Vessel),
    /// So many vessels for the sump in all, like those that are there, joined at the bottom;
    /// else like [`Replace`](Self::Replace).
    Join {
        /// How many then stand there, 1 to [`MOST_JOINED`](crate::model::MOST_JOINED).
        count: u32,
    },
    /// A vessel stretched sideways to another mean area over its depth `[m2]`, its
    /// proportions kept.
    Stretch {
        /// Which.
        vessel: Vessel,
        /// To this area.
        area: f64,
    },
    /// Several valves turned together: where, and how far open then, 0 to 1.
    Valves(Vec<(Outlet, f64)>),
    /// Standpipe and drain pipe of another size `[m]`; the lip keeps its flare over the bore.
    PipeSize {
        /// Of this bed.
        bed: usize,
        /// Inside diameter.
        bore: f64,
        /// Outside diameter.
        outside: f64,
    },
    /// Another bell `[m]`; its slots stay as many and as large.
    BellSize {
        /// Of this bed.
        bed: usize,
        /// Inside diameter.
        bore: f64,
        /// Outside diameter.
        outside: f64,
    },
    /// An air tube put in, or taken out.
    AirTube {
        /// Of this bed.
        bed: usize,
        /// What is there then.
        tube: Option<AirTube>,
    },
    /// A valve fitted in a branch that has none, or another in place of the one there.
    FitValve {
        /// Where.
        outlet: Outlet,
        /// Of this kind.
        kind: ValveKind,
        /// So far open, 0 to 1.
        opening: f64,
    },
    /// A branch back to the sump.
    FitBypass(Branch),
    /// A check valve over the pump, or none.
    CheckValve(bool),
    /// Pipes sealed where they go through the sump's wall, or not.
    SealEntries(bool),
    /// The drain line open to the air, or not.
    Vent(bool),
    /// The event with this index does not happen.
    ClearIncident(usize),
    /// Another pump.
    Pump(PumpSource),
    /// The pump at this ratio to its present speed; a measured flow with what the beds get of
    /// it at this ratio to the present one.
    PumpSpeed(f64),
    /// This bed gets so much `[m3/s]`, steadily, and the others what they get now. Beds fed by
    /// a pump's curve have no flow of their own, but for a single one.
    Inflow {
        /// Which.
        bed: usize,
        /// So much.
        to: f64,
    },
}

impl Change {
    /// Another value for one number.
    pub const fn set(what: Quantity, to: f64) -> Self {
        Self::Set { what, to }
    }

    /// Another value for one number of a bed.
    pub const fn of_bed(bed: usize, part: BedPart, to: f64) -> Self {
        Self::set(Quantity::Bed(bed, part), to)
    }

    /// Gravel dug out and washed.
    pub const fn clean_gravel(bed: usize) -> Self {
        Self::of_bed(bed, BedPart::Fouling, 1.0)
    }

    /// A valve turned.
    pub const fn turn(outlet: Outlet, opening: f64) -> Self {
        Self::set(Quantity::Branch(outlet, BranchPart::Opening), opening)
    }

    /// A hole drilled into a branch that breaks its siphon when the pump stops; an elevation `[m]`.
    pub const fn drill_hole(outlet: Outlet, at: f64) -> Self {
        Self::set(Quantity::Branch(outlet, BranchPart::Hole), at)
    }

    /// Where it fills the sump to at the start `[m]`; nothing where it is another change.
    pub fn fills_sump(&self) -> Option<f64> {
        match self {
            Self::Set {
                what: Quantity::Level(Vessel::Sump, Level::Start),
                to,
            } => Some(*to),
            _ => None,
        }
    }

    /// Whether it sets by hand what flows where: a valve's handle, or a flow itself.
    pub const fn sets_a_flow(&self) -> bool {
        matches!(
            self,
            Self::Valves(_)
                | Self::FitValve { .. }
                | Self::Inflow { .. }
                | Self::Set {
                    what: Quantity::Branch(_, BranchPart::Opening)
                        | Quantity::Bed(_, BedPart::Share | BedPart::Flow),
                    ..
                }
        )
    }

    /// `system` after this change.
    ///
    /// # Errors
    /// [`Misfit`] with the first rule of what can be built that the changed system breaks, or
    /// with what it lacks.
    pub fn apply(&self, system: &System) -> Result<System, Misfit> {
        Self::apply_all(std::slice::from_ref(self), system)
    }

    /// `system` after all of `changes`, in their order. Only the last of them must leave
    /// something that can be built.
    ///
    /// # Errors
    /// As [`apply`](Self::apply).
    pub fn apply_all(changes: &[Self], system: &System) -> Result<System, Misfit> {
        let mut changed = system.clone();
        for change in changes {
            change.apply_to(&mut changed)?;
        }
        match changed.misfits().into_iter().next() {
            Some(misfit) => Err(misfit),
            None => Ok(changed),
        }
    }

    /// Does it to `system`, without asking whether its parts then fit: for many changes in a
    /// row, after which [`System::misfits`] or [`Bed::misfits`](crate::model::Bed::misfits) tells.
    ///
    /// # Errors
    /// [`Misfit`] where the value is impossible or the system has no such part; `system` is
    /// then of no further use.
    pub fn apply_to(&self, system: &mut System) -> Result<(), Misfit> {
        match self {
            Self::Set { what, to } => what.set(system, *to),
            _ => self.compose(system),
        }
    }
}
