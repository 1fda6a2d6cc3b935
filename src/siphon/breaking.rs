//! Break level, air tube, run-on, and the cross-checks printed beside it.

use crate::hydraulics::constants::GRAVITY;
use crate::numerics::maths::Maths;
use crate::siphon::{AIR_DENSITY, SiphonLaw};

/// Orifice coefficient of an air tube's mouth `[-]`; sharp-edged orifice practice.
const TUBE_ORIFICE: f64 = 0.60;

/// Two published limits printed beside the run-on flow; neither decides anything.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrossChecks {
    /// Flow at which a full pipe clears its air, pipe Froude number 0.6, 1.0, 1.5
    /// `[m3/s]` (Kent 1952; Wisner et al. 1975; Escarameia 2007, extrapolated to vertical).
    pub air_clearing: [f64; 3],
    /// Drainage-stack capacity at 7/24 and 1/3 full `[m3/s]`
    /// (Wyly & Eaton, NBS Monograph 31, 1961).
    pub stack: [f64; 2],
}

/// What decides whether air goes down the leg with the water, at the break level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DownLeg {
    /// Bore area A `[m2]`.
    pub area: f64,
    /// From the break level down to what the outlet looks at, H `[m]`.
    pub head: f64,
    /// From the lip down to the outlet, Ld `[m]`.
    pub length: f64,
    /// Full-bore flow under that head `[m3/s]`.
    pub full_flow: f64,
}

impl DownLeg {
    /// Greatest inflow `[m3/s]` at which it still breaks by itself:
    /// `max(j0 A, Q_full sqrt(1 - a_max Ld/H))` for a leg sealed up to the void `sealed`
    /// `a_max` `[-]` that carries air above the velocity `carry` `j0` `[m/s]`. Range: any; where
    /// `H <= a_max Ld` the velocity alone is left. Derived here from Taitel et al. 1980,
    /// Usui 1989, Barnea et al. 1982, Goda et al. 2003.
    pub fn run_on_limit(&self, sealed: f64, carry: f64) -> f64 {
        let least = carry * self.area;
        if self.head <= sealed * self.length {
            return least;
        }
        let limit = self.full_flow * (1.0 - sealed * self.length / self.head).sqrt();
        limit.max(least)
    }
}

impl SiphonLaw {
    pub(super) fn solve_break_level(&self, tail: f64) -> f64 {
        let slots = self.slot_break_level(tail);
        match self.tube {
            Some(tube) if tube.mouth > slots && self.tube_breaks(tail) => tube.mouth,
            _ => slots,
        }
    }

    /// Level at which the slots take in air `[m]`: their crown plus the dip
    /// `m Q^2 / (2 g A_slots^2)` of the surface, with Q at that very level.
    fn slot_break_level(&self, tail: f64) -> f64 {
        let dip = |level: f64| {
            let v = self.full_flow(level - tail) / self.slot_area;
            self.slot_dip * v * v / (2.0 * GRAVITY)
        };
        // The dip's slope stays under m Cd^2 < 1 when slot losses are computed,
        // so the plain iteration contracts; a measured total K may break that,
        // hence the bound at the lip, where the bell's mouth would be in air anyway.
        let mut level = self.slot_crown;
        for _ in 0..200 {
            let next = (self.slot_crown + dip(level)).min(self.lip);
            if (next - level).abs() <= 1e-12 {
                return next;
            }
            level = next;
        }
        level
    }

    /// Air that the uncovered tube passes at its mouth's level `[m3/s]`, or `None` without a tube:
    /// `Cd A sqrt(2 rho_w g s / rho_a)` under suction `s`.
    pub fn tube_air_flow(&self, tail: f64) -> Option<f64> {
        self.tube.map(|tube| {
            let flow = self.full_flow(tube.mouth - tail);
            let suction = self.suction(tube.mouth, flow / self.area).max(0.0);
            TUBE_ORIFICE
                * tube.area
                * (2.0 * self.water_density * GRAVITY * suction / AIR_DENSITY).sqrt()
        })
    }

    /// Air that the down leg can carry away at the tube's mouth `[m3/s]`:
    /// `beta_max (Q - j0 A)`.
    pub fn tube_air_needed(&self, tail: f64) -> Option<f64> {
        self.tube.map(|tube| {
            let flow = self.full_flow(tube.mouth - tail);
            self.air_carry_ratio * (flow - self.air_carry_velocity * self.area).max(0.0)
        })
    }

    /// Whether the air tube lets in more air than the down leg carries away.
    pub fn tube_breaks(&self, tail: f64) -> bool {
        match (self.tube_air_flow(tail), self.tube_air_needed(tail)) {
            (Some(passed), Some(needed)) => passed >= needed && passed > 0.0,
            _ => false,
        }
    }

    /// `run_on_limit` with this siphon's own void and velocity, at break level `level` `[m]`.
    pub(super) fn solve_run_on_flow(&self, tail: f64, level: f64) -> f64 {
        self.leg(tail, level)
            .run_on_limit(self.sealed_void, self.air_carry_velocity)
    }

    /// The down leg with its outlet looking at `tail` `[m]`, the bed at its break level.
    pub fn leg_at_break(&self, tail: f64) -> DownLeg {
        self.leg(tail, self.break_level(tail))
    }

    fn leg(&self, tail: f64, level: f64) -> DownLeg {
        let head = level - tail;
        DownLeg {
            area: self.area,
            head,
            length: self.lip - self.outlet,
            full_flow: self.full_flow(head),
        }
    }

    /// Discharge when the level comes down to the break level `[m3/s]`: an inflow
    /// at or above it keeps the siphon running full for ever.
    pub fn stall_flow(&self, tail: f64) -> f64 {
        self.full_flow(self.break_level(tail) - tail)
    }

    /// Published limits to hold the run-on flow against.
    pub fn cross_checks(&self) -> CrossChecks {
        let froude = self.area * (GRAVITY * self.bore).sqrt();
        // Q[gal/min] = 27.8 r^(5/3) D[in]^(8/3).
        let inches = self.bore / 0.0254;
        let gallon_per_minute = 231.0 * 0.0254_f64.powi(3) / 60.0;
        let stack =
            |r: f64| 27.8 * r.to_the(5.0 / 3.0) * inches.to_the(8.0 / 3.0) * gallon_per_minute;
        CrossChecks {
            air_clearing: [0.6, 1.0, 1.5].map(|f| f * froude),
            stack: [stack(7.0 / 24.0), stack(1.0 / 3.0)],
        }
    }

    /// Level change just after the break `[m]`: the siphon still draws for
    /// `seconds` while its crown refills with air, over `area` `[m2]` of water
    /// surface in the bed. Printed, not applied to the state.
    pub fn undershoot(&self, inflow: f64, tail: f64, seconds: f64, area: f64) -> f64 {
        (self.stall_flow(tail) - inflow).max(0.0) * seconds / area
    }
}
