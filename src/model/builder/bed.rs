//! A bed built in code.

use super::{BuildError, OVERFLOW_ROOM, USUAL_WALL};
use crate::hydraulics::fittings::Fitting;
use crate::hydraulics::friction::PLASTIC_ROUGHNESS;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    AirTube, Bed, Bell, Drain, DrainLine, DrainLosses, DrainTarget, Guard, Inlet, Media, Siphon,
    Slots, Standpipe, Sump,
};

/// Bore of 1 in Schedule 40 pipe `[m]`; ASTM D1785.
const STANDPIPE_BORE: f64 = 0.0266;
/// Gravel surface over the lip: the usual 2 in of dry gravel and the water over the lip `[m]`.
const GRAVEL_OVER_LIP: f64 = 0.075;
/// Gravel ends this far below the rim `[m]`.
const RIM_OVER_GRAVEL: f64 = 0.020;
/// Bore of the bell over that of the standpipe.
const BELL_OVER_PIPE: f64 = 3.0;
/// A bed on its way; see [`Bed::builder`].
#[derive(Debug, Clone)]
pub struct BedBuilder {
    name: String,
    shape: VesselShape,
    floor: f64,
    rim: Option<f64>,
    gravel_depth: Option<f64>,
    void: f64,
    grain: Option<f64>,
    guard: Option<Guard>,
    inlet: Option<Inlet>,
    start_level: Option<f64>,
    standpipe_bore: f64,
    standpipe_length: Option<f64>,
    flare: Option<f64>,
    bell: Option<(f64, f64)>,
    slots: (u32, f64, f64),
    air_tube: Option<(f64, f64)>,
    outlet: Option<f64>,
    losses: Option<DrainLosses>,
    line_at: Option<f64>,
}

impl Bed {
    /// A bed of this inside `shape`, its `floor` an elevation above the room's floor `[m]`.
    ///
    /// Where nothing else is said: the rim is the shape's top; gravel up to 20 mm below it
    /// with a drainable void of 0.40; a standpipe of 1 in Schedule 40 (bore 26.6 mm, ASTM
    /// D1785) that ends 75 mm under the gravel's surface; a bell of three times that bore
    /// with one bore of clearance and six slots of 12 mm by 25 mm; an outlet into the sump
    /// 50 mm over its overflow, reached by the straight way with two elbows; an equal share
    /// of the pump's steady flow; no guard. Common practice, no source, but the pipe.
    pub fn builder(name: &str, shape: VesselShape, floor: f64) -> BedBuilder {
        BedBuilder {
            name: name.to_owned(),
            shape,
            floor,
            rim: None,
            gravel_depth: None,
            void: 0.40,
            grain: None,
            guard: None,
            inlet: None,
            start_level: None,
            standpipe_bore: STANDPIPE_BORE,
            standpipe_length: None,
            flare: None,
            bell: None,
            slots: (6, 0.012, 0.025),
            air_tube: None,
            outlet: None,
            losses: None,
            line_at: None,
        }
    }
}

impl BedBuilder {
    /// Elevation where it spills `[m]`.
    #[must_use]
    pub fn rim(mut self, elevation: f64) -> Self {
        self.rim = Some(elevation);
        self
    }

    /// Depth of the gravel over the floor `[m]` and its drainable void, 0 to 1.
    #[must_use]
    pub fn gravel(mut self, depth: f64, void: f64) -> Self {
        (self.gravel_depth, self.void) = (Some(depth), void);
        self
    }

    /// Grain size of the gravel `[m]`: its loss to the guard is then counted.
    #[must_use]
    pub fn grain(mut self, size: f64) -> Self {
        self.grain = Some(size);
        self
    }

    /// Column round the bell: inside diameter `[m]`, area of its openings `[m2]`.
    #[must_use]
    pub fn guard(mut self, diameter: f64, slot_area: Option<f64>) -> Self {
        self.guard = Some(Guard {
            diameter,
            slot_area,
        });
        self
    }

    /// Where its water comes from.
    #[must_use]
    pub fn inlet(mut self, inlet: Inlet) -> Self {
        self.inlet = Some(inlet);
        self
    }

    /// Elevation of its water at the start `[m]`.
    #[must_use]
    pub fn start_level(mut self, elevation: f64) -> Self {
        self.start_level = Some(elevation);
        self
    }

    /// Bore of the standpipe and its length from the bed's floor to the lip `[m]`.
    #[must_use]
    pub fn standpipe(mut self, bore: f64, length: f64) -> Self {
        (self.standpipe_bore, self.standpipe_length) = (bore, Some(length));
        self
    }

    /// Diameter of a widened lip `[m]`.
    #[must_use]
    pub fn flare(mut self, diameter: f64) -> Self {
        self.flare = Some(diameter);
        self
    }

    /// Bore of the bell, and its clearance from lip to cap `[m]`.
    #[must_use]
    pub fn bell(mut self, bore: f64, clearance: f64) -> Self {
        self.bell = Some((bore, clearance));
        self
    }

    /// Slots at the bell's foot: how many, width of each, height over the bed's floor `[m]`.
    #[must_use]
    pub fn slots(mut self, count: u32, width: f64, height: f64) -> Self {
        self.slots = (count, width, height);
        self
    }

    /// Air tube: its bore, and the height of its mouth over the bed's floor `[m]`.
    #[must_use]
    pub fn air_tube(mut self, bore: f64, mouth: f64) -> Self {
        self.air_tube = Some((bore, mouth));
        self
    }

    /// Elevation of the centre of the siphon's outlet `[m]`.
    #[must_use]
    pub fn outlet(mut self, elevation: f64) -> Self {
        self.outlet = Some(elevation);
        self
    }

    /// What resists the full siphon.
    #[must_use]
    pub fn losses(mut self, losses: DrainLosses) -> Self {
        self.losses = Some(losses);
        self
    }

    /// It drains into the shared line, `at` from the line's outlet `[m]`.
    #[must_use]
    pub fn into_line(mut self, at: f64) -> Self {
        self.line_at = Some(at);
        self
    }

    /// The bed, with `share` of the flow where it has no inlet.
    pub(super) fn build(
        self,
        sump: &Sump,
        line: Option<&DrainLine>,
        share: Option<f64>,
    ) -> Result<Bed, BuildError> {
        let Some(inlet) = self.inlet.or(share.map(Inlet::Share)) else {
            return Err(BuildError::NoInlet { bed: self.name });
        };
        let floor = self.floor;
        let rim_height = self.rim.map_or(self.shape.depth(), |rim| rim - floor);
        let gravel = self.gravel_depth.unwrap_or(rim_height - RIM_OVER_GRAVEL);
        let bore = self.standpipe_bore;
        let lip_height = self.standpipe_length.unwrap_or(gravel - GRAVEL_OVER_LIP);
        let (bell, clearance) = self.bell.unwrap_or((BELL_OVER_PIPE * bore, bore));
        let (count, width, height) = self.slots;
        let outlet = self.outlet.unwrap_or(match (self.line_at, line) {
            (Some(at), Some(line)) => line.invert(at) + 0.5 * line.run.bore,
            _ => sump.overflow_level + OVERFLOW_ROOM,
        });
        let losses = self.losses.unwrap_or(DrainLosses::Computed {
            length: floor + lip_height - outlet,
            k: 2.0 * Fitting::Elbow90.published().k,
            roughness: PLASTIC_ROUGHNESS,
        });
        Ok(Bed {
            name: self.name,
            floor,
            shape: self.shape,
            rim_height,
            media: Media {
                depth: gravel,
                void: self.void,
                grain: self.grain,
                fouling: 1.0,
            },
            guard: self.guard,
            inlet,
            start_depth: self.start_level.map(|level| level - floor),
            access: None,
            siphon: Siphon {
                standpipe: Standpipe {
                    bore,
                    outside: bore + 2.0 * USUAL_WALL,
                    lip_height,
                    lip_diameter: self.flare.unwrap_or(bore),
                },
                bell: Bell {
                    bore: bell,
                    outside: bell + 2.0 * USUAL_WALL,
                    clearance,
                    slots: Slots {
                        count,
                        width,
                        height,
                    },
                    air_tube: self
                        .air_tube
                        .map(|(bore, mouth_height)| AirTube { bore, mouth_height }),
                    air_leak: 0.0,
                },
                drain: Drain {
                    outlet,
                    losses,
                    into: self
                        .line_at
                        .map_or(DrainTarget::Sump, |at| DrainTarget::Line { at }),
                },
            },
        })
    }
}
