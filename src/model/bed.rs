//! A gravel bed and the siphon that empties it.

use crate::hydraulics::circular::full_area;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Branch, Side};

/// One flood-and-drain bed.
///
/// What stands inside it is kept as a height above its floor, so that a bed which is moved
/// takes it along; elevations above the room's floor come from the methods.
#[derive(Debug, Clone)]
pub struct Bed {
    /// Unique name.
    pub name: String,
    /// Elevation of the underside of the media `[m]`.
    pub floor: f64,
    /// Inside shape, measured from `floor`.
    pub shape: VesselShape,
    /// Height of the rim, where water spills over the wall, above the floor `[m]`; at most
    /// the shape's depth.
    pub rim_height: f64,
    /// Gravel.
    pub media: Media,
    /// Column that keeps the media away from the bell.
    pub guard: Option<Guard>,
    /// Where its water comes from.
    pub inlet: Inlet,
    /// Depth of water over the floor at t = 0 `[m]`; `None`: up to its break level.
    pub start_depth: Option<f64>,
    /// Sides that a person can stand at; `None`: not told.
    pub access: Option<Vec<Side>>,
    /// Automatic siphon.
    pub siphon: Siphon,
}

impl Bed {
    /// Gravel over water at elevation `level` `[m]`, as a tape shows it; negative where the
    /// water stands over the gravel.
    pub fn gravel_over(&self, level: f64) -> f64 {
        self.media_surface() - level
    }

    /// Dry gravel to count on over a predicted `level` `[m]`: what the tape shows less
    /// `allowance` `[m]` for errors of levelling and what the model leaves out.
    pub fn dry_layer(&self, level: f64, allowance: f64) -> f64 {
        self.gravel_over(level) - allowance
    }
}

/// Moving it.
impl Bed {
    /// Puts its floor at `elevation` `[m]`. What stands inside goes with it; the outlet stays
    /// and the siphon's pipe becomes that much longer or shorter; the inlet stays.
    pub fn set_floor(&mut self, elevation: f64) {
        self.siphon.drain.lengthen(elevation - self.floor);
        self.floor = elevation;
    }

    /// Moves it with its outlet and its inlet `by` `[m]` up, or down where that is negative;
    /// no pipe changes its length.
    pub fn raise(&mut self, by: f64) {
        self.floor += by;
        self.siphon.drain.outlet += by;
        if let Inlet::Piped(branch) = &mut self.inlet {
            branch.raise(by);
        }
    }
}

/// Elevations of what stands inside `[m]`.
impl Bed {
    /// The media's surface.
    pub fn media_surface(&self) -> f64 {
        self.floor + self.media.depth
    }

    /// The rim, where water spills over the wall.
    pub fn rim_level(&self) -> f64 {
        self.floor + self.rim_height
    }

    /// The lip of the standpipe.
    pub fn lip_level(&self) -> f64 {
        self.floor + self.siphon.standpipe.lip_height
    }

    /// The underside of the bell's cap.
    pub fn cap_level(&self) -> f64 {
        self.lip_level() + self.siphon.bell.clearance
    }

    /// The crown of the bell's slots: uncovered there, they let air in.
    pub fn crown_level(&self) -> f64 {
        self.floor + self.siphon.bell.slots.height
    }

    /// The mouth of the air tube, where there is one.
    pub fn mouth_level(&self) -> Option<f64> {
        let tube = self.siphon.bell.air_tube.as_ref()?;
        Some(self.floor + tube.mouth_height)
    }

    /// The higher of the slots' crown and the air tube's mouth: from there down air can come in.
    pub fn opening_level(&self) -> f64 {
        self.floor + self.siphon.bell.opening_height()
    }

    /// Water that stands this high leaves `wanted` of dry gravel; see [`Bed::dry_layer`].
    pub fn dry_level(&self, wanted: f64, allowance: f64) -> f64 {
        self.media_surface() - allowance - wanted
    }

    /// Its water at t = 0, where that is given.
    pub fn start_level(&self) -> Option<f64> {
        self.start_depth.map(|depth| self.floor + depth)
    }
}

/// Gravel from the bed's floor upward.
#[derive(Debug, Clone, PartialEq)]
pub struct Media {
    /// Depth above the bed's floor `[m]`.
    pub depth: f64,
    /// Drainable void: the share of the volume that fills and empties `[-]`.
    pub void: f64,
    /// Grain size `[m]`; `None`: the loss from media to guard is taken as zero.
    pub grain: Option<f64>,
    /// Resistance of the gravel with its dirt and roots over that of clean
    /// gravel, 1 or more `[-]`; without effect where no grain size is given.
    pub fouling: f64,
}

/// Open column around the bell.
#[derive(Debug, Clone, PartialEq)]
pub struct Guard {
    /// Inside diameter `[m]`.
    pub diameter: f64,
    /// Total area of its openings `[m2]`; `None`: no loss through them.
    pub slot_area: Option<f64>,
}

/// How a bed is fed.
#[derive(Debug, Clone)]
pub enum Inlet {
    /// A branch of the supply tree.
    Piped(Branch),
    /// A fixed share of a steady flow, 0 to 1.
    Share(f64),
    /// A flow measured with a bucket while the pump runs `[m3/s]`.
    Measured(f64),
}

impl Inlet {
    /// The flow that a bucket told `[m3/s]`; `None` where something else tells it.
    pub fn measured(&self) -> Option<f64> {
        match self {
            Self::Measured(flow) => Some(*flow),
            _ => None,
        }
    }
}

/// Standpipe, bell and down leg.
#[derive(Debug, Clone, PartialEq)]
pub struct Siphon {
    /// Pipe that the water falls down.
    pub standpipe: Standpipe,
    /// Cap over it.
    pub bell: Bell,
    /// What follows below the bed.
    pub drain: Drain,
}

impl Siphon {
    /// Free cross-section between standpipe and bell `[m2]`.
    pub fn annulus_area(&self) -> f64 {
        full_area(self.bell.bore) - full_area(self.standpipe.outside)
    }

    /// Height of the underside of the cap above the bed's floor `[m]`.
    pub fn cap_height(&self) -> f64 {
        self.standpipe.lip_height + self.bell.clearance
    }

    /// Moves the lip `by` `[m]` up, or down where that is negative. The bell goes with it,
    /// and the pipe, which begins there, becomes that much longer; 0 at least.
    pub fn raise_lip(&mut self, by: f64) {
        self.standpipe.lip_height += by;
        self.drain.lengthen(by);
    }

    /// Gives the standpipe this `length`, bed floor to lip `[m]`, to the digit; bell and pipe
    /// follow as with [`Siphon::raise_lip`].
    pub fn set_standpipe(&mut self, length: f64) {
        self.raise_lip(length - self.standpipe.lip_height);
        self.standpipe.lip_height = length;
    }

    /// Puts the outlet at `elevation` `[m]`, to the digit; the pipe follows as with
    /// [`Siphon::lower_outlet`].
    pub fn set_outlet(&mut self, elevation: f64) {
        self.lower_outlet(self.drain.outlet - elevation);
        self.drain.outlet = elevation;
    }

    /// Moves the outlet `by` `[m]` down, or up where that is negative, the pipe becoming
    /// that much longer; 0 at least.
    pub fn lower_outlet(&mut self, by: f64) {
        self.drain.outlet -= by;
        self.drain.lengthen(by);
    }
}

/// The pipe that stands in the bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Standpipe {
    /// Inside diameter `[m]`.
    pub bore: f64,
    /// Outside diameter `[m]`.
    pub outside: f64,
    /// Height of its lip above the bed's floor `[m]`.
    pub lip_height: f64,
    /// Diameter of the lip `[m]`: the bore, or that of a flared top.
    pub lip_diameter: f64,
}

impl Standpipe {
    /// Cross-section of its bore `[m2]`.
    pub fn area(&self) -> f64 {
        full_area(self.bore)
    }
}

/// The bell over the standpipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Bell {
    /// Inside diameter `[m]`.
    pub bore: f64,
    /// Outside diameter `[m]`.
    pub outside: f64,
    /// Lip to underside of the cap `[m]`.
    pub clearance: f64,
    /// Openings at its foot.
    pub slots: Slots,
    /// Tube that lets air in at a chosen level.
    pub air_tube: Option<AirTube>,
    /// Air that leaks in while priming `[m3/s]`.
    pub air_leak: f64,
}

impl Bell {
    /// Room between lip and cap, which the siphon empties of air as it primes `[m3]`.
    pub fn crown_volume(&self) -> f64 {
        full_area(self.bore) * self.clearance
    }

    /// Height above the bed's floor at which air can first come in `[m]`: the higher of the
    /// slots' crown and the air tube's mouth.
    pub fn opening_height(&self) -> f64 {
        let crown = self.slots.height;
        self.air_tube
            .as_ref()
            .map_or(crown, |tube| tube.mouth_height.max(crown))
    }
}

/// Openings at the bell's foot.
#[derive(Debug, Clone, PartialEq)]
pub struct Slots {
    /// How many.
    pub count: u32,
    /// Width of each `[m]`.
    pub width: f64,
    /// Height of each from the bed's floor to its crown `[m]`.
    pub height: f64,
}

impl Slots {
    /// Total open area `[m2]`.
    pub fn area(&self) -> f64 {
        f64::from(self.count) * self.width * self.height
    }
}

/// A tube from inside the cap down to the level at which air shall enter.
#[derive(Debug, Clone, PartialEq)]
pub struct AirTube {
    /// Inside diameter `[m]`.
    pub bore: f64,
    /// Height of its open end above the bed's floor `[m]`.
    pub mouth_height: f64,
}

impl AirTube {
    /// How far over the crown of the slots the mouth of a new one is put `[m]`: enough that the
    /// tube lets air in before the slots do (our choice, no source).
    pub const OVER_CROWN: f64 = 0.015;
}

/// The siphon's own pipe from the lip to its outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct Drain {
    /// Elevation of the centre of its outlet `[m]`.
    pub outlet: f64,
    /// What resists the flow.
    pub losses: DrainLosses,
    /// Where it ends.
    pub into: DrainTarget,
}

impl Drain {
    /// Makes the pipe `by` `[m]` longer, 0 at least; a measured total has no length to change.
    fn lengthen(&mut self, by: f64) {
        if let DrainLosses::Computed { length, .. } = &mut self.losses {
            *length = (*length + by).max(0.0);
        }
    }
}

/// Lengths that differ by less are alike on a tape `[m]`.
const TAPE: f64 = 1e-3;

/// The way straight down from `lip` to `outlet` `[m]`, elevations, where a developed
/// `length` between them is shorter than that and so cannot be; `None` where it can.
pub fn drop_beyond(length: f64, lip: f64, outlet: f64) -> Option<f64> {
    let drop = lip - outlet;
    (length < drop - TAPE).then_some(drop)
}

/// Resistance of the full siphon.
#[derive(Debug, Clone, PartialEq)]
pub enum DrainLosses {
    /// Wall friction over the developed length, lip to outlet `[m]`, and the
    /// elbows' summed K; slots, annulus and cap come from the bell.
    Computed {
        /// Developed length, standpipe included `[m]`.
        length: f64,
        /// Summed K of fittings below the lip, on the bore velocity.
        k: f64,
        /// Roughness of the wall `[m]`.
        roughness: f64,
    },
    /// One measured number for everything: `Q = A sqrt(2 g H / (1 + k))`.
    Total {
        /// All losses on the bore velocity.
        k: f64,
    },
}

/// Where a siphon lets its water go.
#[derive(Debug, Clone, PartialEq)]
pub enum DrainTarget {
    /// Straight into the sump, above or below its water.
    Sump,
    /// Into the shared line, this far from the line's outlet `[m]`.
    Line {
        /// Distance from the line's outlet `[m]`.
        at: f64,
    },
}
