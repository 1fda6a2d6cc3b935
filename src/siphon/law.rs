//! One siphon with definite coefficient values.

use crate::hydraulics::circular::{flow_at_froude, full_area};
use crate::hydraulics::constants::{GRAVITY, STANDARD_ATMOSPHERE};
use crate::hydraulics::water::Water;
use crate::model::{Bed, Coefficient, CoefficientValues};
use crate::siphon::PRIMING_HOLD;
use crate::siphon::full_bore::FullBore;
use crate::siphon::lip::Lip;

/// One siphon's geometry and coefficients, ready to be asked.
///
/// Levels are elevations `[m]`, flows `[m3/s]`. `tail` is the level that the
/// outlet looks at: its own centre or the receiving water, whichever is higher.
#[derive(Debug, Clone)]
pub struct SiphonLaw {
    pub(super) bore: f64,
    pub(super) area: f64,
    pub(super) lip: f64,
    pub(super) outlet: f64,
    pub(super) slot_crown: f64,
    pub(super) slot_area: f64,
    pub(super) tube: Option<Tube>,
    pub(super) over_lip: Lip,
    pub(super) slot_dip: f64,
    pub(super) sealed_void: f64,
    pub(super) air_carry_velocity: f64,
    pub(super) air_carry_ratio: f64,
    pub(super) start_flow: f64,
    pub(super) start_head: f64,
    pub(super) lost_head: f64,
    pub(super) crown_volume: f64,
    pub(super) priming_time: Option<f64>,
    pub(super) full_bore: FullBore,
    pub(super) water_density: f64,
    free_break_level: f64,
    free_run_on_flow: f64,
}

/// An air tube.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tube {
    pub(super) mouth: f64,
    pub(super) area: f64,
}

impl SiphonLaw {
    /// The siphon of `bed` in `water` with these coefficient values.
    pub fn new(bed: &Bed, water: &Water, values: &CoefficientValues) -> Self {
        let siphon = &bed.siphon;
        let (pipe, bell) = (&siphon.standpipe, &siphon.bell);
        let area = pipe.area();
        let start_flow = flow_at_froude(pipe.bore, values.start_froude(pipe.bore, water));
        let crown_volume = bell.crown_volume();
        let carried = values.get(Coefficient::PrimingCarry) * start_flow - bell.air_leak;
        let over_lip = Lip::new(bed, water, values);
        let mut law = Self {
            bore: pipe.bore,
            area,
            lip: bed.lip_level(),
            outlet: siphon.drain.outlet,
            slot_crown: bed.crown_level(),
            slot_area: bell.slots.area(),
            tube: bell.air_tube.as_ref().map(|tube| Tube {
                mouth: bed.floor + tube.mouth_height,
                area: full_area(tube.bore),
            }),
            slot_dip: values.get(Coefficient::SlotDip),
            sealed_void: values.get(Coefficient::SealedVoid),
            air_carry_velocity: values.get(Coefficient::AirCarryVelocity),
            air_carry_ratio: values.get(Coefficient::AirCarryRatio),
            start_flow,
            start_head: over_lip.standing_head(start_flow),
            lost_head: over_lip.standing_head(PRIMING_HOLD * start_flow),
            over_lip,
            crown_volume,
            priming_time: (carried > 0.0).then(|| crown_volume / carried),
            full_bore: FullBore::new(bed, water, values),
            water_density: water.density,
            free_break_level: f64::NAN,
            free_run_on_flow: f64::NAN,
        };
        law.free_break_level = law.solve_break_level(law.outlet);
        law.free_run_on_flow = law.solve_run_on_flow(law.outlet, law.free_break_level);
        law
    }

    /// Elevation of the lip `[m]`.
    pub fn lip(&self) -> f64 {
        self.lip
    }

    /// Elevation of the outlet's centre `[m]`.
    pub fn outlet(&self) -> f64 {
        self.outlet
    }

    /// Elevation of the crown of the bell's slots `[m]`.
    pub fn slot_crown(&self) -> f64 {
        self.slot_crown
    }

    /// Bed level at which the siphon takes in air and may break `[m]`, with the
    /// outlet looking at `tail`: the higher of the slots' crown plus the dip of
    /// the surface there, and the mouth of an air tube wide enough to break it.
    pub fn break_level(&self, tail: f64) -> f64 {
        if tail <= self.outlet {
            self.free_break_level
        } else {
            self.solve_break_level(tail)
        }
    }

    /// Most that it gives with its bed at `level` `[m]` and a free outlet, over its lip or
    /// running full `[m3/s]`. Valid for any level.
    pub fn most_flow(&self, level: f64) -> f64 {
        let full = self.full_flow(level - self.outlet);
        full.max(self.lip_flow(level, 0.0))
    }

    /// Inflow above which it runs on instead of breaking `[m3/s]`.
    pub fn run_on_flow(&self, tail: f64) -> f64 {
        if tail <= self.outlet {
            self.free_run_on_flow
        } else {
            self.solve_run_on_flow(tail, self.solve_break_level(tail))
        }
    }
}

impl SiphonLaw {
    /// The law with its discharge tabulated for the heads that `bed`, whose law it is, can have:
    /// for what is asked thousands of times, by steps that may each make the error `relative`
    /// `[-]`; `held_back`: a line may hold it back almost to a stand. Valid for any head as before:
    /// outside the table it is solved.
    pub fn tabulated(mut self, bed: &Bed, relative: f64, held_back: bool) -> Self {
        self.full_bore.tabulate(bed, relative, held_back);
        self
    }

    /// Discharge running full under `head` `[m]` of water, bed level to tail
    /// `[m3/s]`; zero when `head` is not positive.
    ///
    /// `head = (1 + K + f L/D) V^2 / 2g` (Darcy-Weisbach); K collects slots,
    /// annulus, cap, elbows and pipe. In a simulation tabulated to 1e-9 relative.
    #[inline]
    pub fn full_flow(&self, head: f64) -> f64 {
        self.full_bore.flow(head)
    }

    /// Flow up the pipe and out over the lip into the bed `[m3/s]` where the water of the
    /// drain stands `head` `[m]` over lip and bed; zero when `head` is not positive.
    ///
    /// The losses of the full pipe reversed, and at most what the lip passes as a weir or a
    /// mouth under that head. Derived here, not measured.
    pub fn back_flow(&self, head: f64) -> f64 {
        if head <= 0.0 {
            return 0.0;
        }
        self.lip_flow(self.lip + head, 0.0)
            .min(self.full_flow(head))
    }

    /// Loss coefficient of everything at `flow` `[m3/s]` on the bore velocity,
    /// the velocity head at the outlet excluded `[-]`.
    pub fn total_loss(&self, flow: f64) -> f64 {
        self.full_bore.total_factor((flow / self.area).max(1e-9)) - 1.0
    }

    /// Absolute pressure under the cap `[Pa]` at bed level `level` `[m]` and `flow` `[m3/s]`.
    pub fn crown_pressure(&self, level: f64, flow: f64) -> f64 {
        let v = flow / self.area;
        STANDARD_ATMOSPHERE - self.water_density * GRAVITY * self.suction(level, v)
    }

    /// Suction under the cap as a column of water `[m]` at bore velocity `v` `[m/s]`.
    pub(super) fn suction(&self, level: f64, v: f64) -> f64 {
        let full = &self.full_bore;
        let upstream = if v > 0.0 { full.loss_upstream(v) } else { 0.0 };
        self.lip - level + (1.0 + upstream) * v * v / (2.0 * GRAVITY)
    }
}
