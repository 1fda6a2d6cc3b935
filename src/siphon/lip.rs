//! From the bed's water over the lip, while the pipe is not full.

use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::friction::{PLASTIC_ROUGHNESS, darcy_friction_factor};
use crate::hydraulics::water::Water;
use crate::hydraulics::weir::{circular_weir_flow, standing_head, submerged_opening_loss};
use crate::model::{Bed, Coefficient, CoefficientValues};
use crate::numerics::maths::Maths;

/// Pipe Froude number at whose flow the annulus's friction factor is taken `[-]`: about
/// where a siphon starts. Fixed, so that no soft coefficient moves it.
const USUAL_START: f64 = 0.45;

/// The way between standpipe and bell.
#[derive(Debug, Clone, Copy)]
pub(super) struct Annulus {
    /// Area of the bore over its area `[-]`.
    pub(super) ratio: f64,
    pub(super) hydraulic_diameter: f64,
    /// Slots' crown to lip `[m]`.
    pub(super) length: f64,
}

impl Annulus {
    pub(super) fn new(bed: &Bed) -> Self {
        let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
        Self {
            ratio: pipe.area() / bed.siphon.annulus_area(),
            hydraulic_diameter: bell.bore - pipe.outside,
            length: (bed.lip_level() - bed.crown_level()).max(0.0),
        }
    }
}

/// The lip with the slots and the annulus before it.
///
/// Whatever falls over the lip has come through both, so the bed stands higher than the
/// water in the bell by `(Q / (Cd A_slots))^2 / 2g` and by velocity head and wall friction
/// of the annulus. The friction factor is that of plastic at the usual start flow: so the
/// loss goes with the square of the flow and all of this stays algebra, less than 0.1 mm
/// off at other flows in common bells.
///
/// A measured total loss of the running siphon changes nothing here. It does not tell
/// which of its parts sits before the lip, while slots and bell are as the rule shows them.
#[derive(Debug, Clone)]
pub(super) struct Lip {
    diameter: f64,
    bore: f64,
    weir: f64,
    orifice: f64,
    /// Head lost in the slots over the square of the flow `[s2/m5]`.
    in_slots: f64,
    /// The same before the lip altogether.
    loss: f64,
    /// That head, with the lip as a weir, over the cube of the head in the bell `[1/m2]`.
    weir_bend: f64,
    /// Flow with the lip drowned over the root of the head from the bed `[m2.5/s]`.
    drowned: f64,
    /// Head from the bed at which the lip drowns `[m]`.
    pub(super) drowns_at: f64,
}

impl Lip {
    pub(super) fn new(bed: &Bed, water: &Water, values: &CoefficientValues) -> Self {
        let siphon = &bed.siphon;
        let pipe = &siphon.standpipe;
        let area = pipe.area();
        let annulus = Annulus::new(bed);
        let usual = USUAL_START * (GRAVITY * pipe.bore).sqrt() * annulus.ratio;
        let friction = darcy_friction_factor(
            usual * annulus.hydraulic_diameter / water.kinematic_viscosity(),
            PLASTIC_ROUGHNESS / annulus.hydraulic_diameter,
        ) * annulus.length
            / annulus.hydraulic_diameter;
        let in_slots = submerged_opening_loss(
            1.0,
            siphon.bell.slots.area(),
            values.get(Coefficient::SlotOrifice),
        );
        let in_annulus =
            (1.0 + friction) * annulus.ratio * annulus.ratio / (2.0 * GRAVITY * area * area);
        let loss = in_slots + in_annulus;
        let (weir, orifice) = (
            values.get(Coefficient::LipWeir),
            values.get(Coefficient::LipOrifice),
        );
        // Both laws at a head of 1 m: what their powers are multiplied with.
        let over_weir = circular_weir_flow(pipe.lip_diameter, 1.0, weir);
        let mouth = orifice * area * (2.0 * GRAVITY).sqrt();
        let in_bell = mouth / over_weir;
        Self {
            diameter: pipe.lip_diameter,
            bore: pipe.bore,
            weir,
            orifice,
            in_slots,
            loss,
            weir_bend: loss * over_weir * over_weir,
            drowned: 1.0 / (loss + 1.0 / (mouth * mouth)).sqrt(),
            drowns_at: in_bell + loss * mouth * mouth * in_bell,
        }
    }

    /// Head lost in slots and annulus at `flow` `[m]`.
    pub(super) fn lost(&self, flow: f64) -> f64 {
        self.loss * flow * flow
    }

    /// What of it is lost in the slots `[m]`.
    pub(super) fn lost_in_slots(&self, flow: f64) -> f64 {
        self.in_slots * flow * flow
    }

    /// Flow with the bed `head` `[m]` above the lip, as over a weir or into a drowned mouth.
    #[inline]
    pub(super) fn flow_on(&self, drowned: bool, head: f64) -> f64 {
        if head <= 0.0 {
            return 0.0;
        }
        if drowned {
            self.drowned * head.sqrt()
        } else {
            circular_weir_flow(self.diameter, self.head_in_bell(head), self.weir)
        }
    }

    /// Head in the bell over a weir with the bed `head` `[m]` above it: `h + B h^3 = head`,
    /// to rounding.
    #[inline]
    fn head_in_bell(&self, head: f64) -> f64 {
        let bend = self.weir_bend * head * head;
        // Below the root or just above it; Newton comes down to it from above, for the
        // left side is convex.
        let mut h = if bend < 1.0 {
            head / (1.0 + bend)
        } else {
            (head / self.weir_bend).cube_root()
        };
        for _ in 0..40 {
            let square = self.weir_bend * h * h;
            let step = (h + square * h - head) / (1.0 + 3.0 * square);
            h -= step;
            // Steps shrink quadratically: the next one would be below rounding.
            if step.abs() <= 1e-8 * h {
                break;
            }
        }
        h
    }

    /// Head of the bed over the lip that passes `flow` `[m]`.
    pub(super) fn standing_head(&self, flow: f64) -> f64 {
        let in_bell = standing_head(self.diameter, self.bore, flow, self.weir, self.orifice);
        in_bell + self.lost(flow.max(0.0))
    }
}
