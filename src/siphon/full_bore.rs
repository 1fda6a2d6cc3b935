//! The siphon running full.

use crate::hydraulics::circular::full_area;
use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::friction::{darcy_friction_factor, friction_number};
use crate::hydraulics::water::Water;
use crate::model::{Bed, Coefficient, CoefficientValues, DrainLosses};
use crate::numerics::hermite::{HermiteGrid, agreement};
use crate::siphon::lip::Annulus;
use std::cell::Cell;

/// Idelchik's increment for a wall facing the pipe mouth at distance `h`:
/// `(h/D, K)` on the bore velocity. From memory of the Handbook of Hydraulic
/// Resistance, entrance section.
const FACING_WALL: [(f64, f64); 7] = [
    (0.2, 1.60),
    (0.3, 0.65),
    (0.4, 0.37),
    (0.5, 0.25),
    (0.6, 0.15),
    (0.7, 0.07),
    (1.0, 0.0),
];

/// Loss increment of a cap `ratio` bores above the lip, on the bore velocity `[-]`.
///
/// Linear between the table's points; below its first point it grows with the
/// inverse square of the gap, as the flow area does. Valid for `ratio` > 0.
pub(super) fn facing_wall_increment(ratio: f64) -> f64 {
    let (first, most) = FACING_WALL[0];
    if ratio < first {
        return most * (first / ratio).powi(2);
    }
    FACING_WALL
        .windows(2)
        .find(|pair| ratio <= pair[1].0)
        .map_or(0.0, |pair| {
            let ((x0, k0), (x1, k1)) = (pair[0], pair[1]);
            k0 + (k1 - k0) * (ratio - x0) / (x1 - x0)
        })
}

/// Resistance of a full siphon and its tabulated discharge.
#[derive(Debug, Clone)]
pub(super) struct FullBore {
    area: f64,
    bore: f64,
    viscosity: f64,
    /// Losses ahead of the crown on the bore velocity, friction in the annulus excluded.
    k_upstream: f64,
    /// Losses below the crown, wall friction excluded, velocity head included.
    k_downstream: f64,
    friction: Vec<Friction>,
    /// Discharge against the square root of the head, where flow is turbulent.
    table: Option<HermiteGrid>,
}

/// One stretch of wall friction, on the bore velocity.
#[derive(Debug, Clone)]
struct Friction {
    /// `(L / D_h) (A / A_stretch)^2`.
    factor: f64,
    /// Reynolds number of the stretch over the bore's velocity `[s/m]`.
    reynolds_per_velocity: f64,
    relative_roughness: f64,
    upstream: bool,
}

/// Below this Reynolds number the friction law bends too sharply to tabulate.
const TABLE_REYNOLDS: f64 = 4200.0;
/// Agreement of the table with what it tabulates, relative to the largest flow.
const TABLE_TOLERANCE: f64 = 1e-9;
/// Heads below this share of the one at the break are rare.
const USUAL_SHARE: f64 = 0.5;
/// Heads that differ by less than this share are near each other.
const NEAR: f64 = 0.25;

impl FullBore {
    pub(super) fn new(bed: &Bed, water: &Water, values: &CoefficientValues) -> Self {
        let siphon = &bed.siphon;
        let (pipe, bell) = (&siphon.standpipe, &siphon.bell);
        let bore = pipe.bore;
        let area = full_area(bore);
        let viscosity = water.kinematic_viscosity();
        let cap_turn = values.get(Coefficient::CapTurn);
        let mut full = Self {
            area,
            bore,
            viscosity,
            k_upstream: cap_turn,
            k_downstream: 1.0,
            friction: Vec::new(),
            table: None,
        };
        match siphon.drain.losses {
            // One measured number covers everything; the share ahead of the
            // crown, needed only for its pressure, is taken as the cap's turn.
            DrainLosses::Total { k } => {
                full.k_upstream = cap_turn.min(k);
                full.k_downstream = 1.0 + k - full.k_upstream;
            }
            DrainLosses::Computed {
                length,
                k,
                roughness,
            } => {
                let slot_ratio = area / (values.get(Coefficient::SlotOrifice) * bell.slots.area());
                let Annulus {
                    ratio: annulus_ratio,
                    hydraulic_diameter,
                    length: annulus_length,
                } = Annulus::new(bed);
                full.k_upstream = cap_turn
                    + slot_ratio.powi(2)
                    // The annulus's velocity head is lost where it opens into the cap.
                    + annulus_ratio.powi(2)
                    + facing_wall_increment(bell.clearance / bore);
                full.k_downstream = 1.0 + k;
                full.friction = vec![
                    Friction {
                        factor: annulus_length / hydraulic_diameter * annulus_ratio.powi(2),
                        reynolds_per_velocity: annulus_ratio * hydraulic_diameter / viscosity,
                        relative_roughness: roughness / hydraulic_diameter,
                        upstream: true,
                    },
                    Friction {
                        factor: length / bore,
                        reynolds_per_velocity: bore / viscosity,
                        relative_roughness: roughness / bore,
                        upstream: false,
                    },
                ];
            }
        }
        full.friction.retain(|stretch| stretch.factor > 0.0);
        full
    }

    /// Loss factor on the bore's velocity head at bore velocity `v`, velocity head included.
    /// Loss coefficient up to the cap at bore velocity `v`, above zero `[m/s]`.
    pub(super) fn loss_upstream(&self, v: f64) -> f64 {
        self.k_upstream + self.friction_factor(v, |stretch| stretch.upstream)
    }

    pub(super) fn total_factor(&self, v: f64) -> f64 {
        self.k_upstream + self.k_downstream + self.friction_factor(v, |_| true)
    }

    fn friction_factor(&self, v: f64, which: impl Fn(&Friction) -> bool) -> f64 {
        self.friction
            .iter()
            .filter(|stretch| which(stretch))
            .map(|stretch| {
                stretch.factor
                    * darcy_friction_factor(
                        stretch.reynolds_per_velocity * v,
                        stretch.relative_roughness,
                    )
            })
            .sum()
    }

    /// Head used at bore velocity `v` `[m]` and its change with `v` `[s]`.
    fn head_and_slope(&self, v: f64) -> (f64, f64) {
        let k = self.k_upstream + self.k_downstream;
        let (mut head, mut slope) = (k * v * v, 2.0 * k * v);
        for stretch in &self.friction {
            // `f v^2` is `f Re^2` over the square of Re per velocity.
            let per_velocity = stretch.reynolds_per_velocity;
            let (number, change) = friction_number(per_velocity * v, stretch.relative_roughness);
            head += stretch.factor * number / (per_velocity * per_velocity);
            slope += stretch.factor * change / per_velocity;
        }
        (head / (2.0 * GRAVITY), slope / (2.0 * GRAVITY))
    }

    /// Velocity at `head` and its change with head `[1/s]`, root-found; `head` must be positive.
    fn velocity_and_slope(&self, head: f64) -> (f64, f64) {
        // Without friction the velocity is higher; with that velocity's friction it is close.
        let high = self.frictionless(head);
        self.newton(head, high * (head / self.head_and_slope(high).0).sqrt())
    }

    fn frictionless(&self, head: f64) -> f64 {
        (2.0 * GRAVITY * head / (self.k_upstream + self.k_downstream)).sqrt()
    }

    /// The same from velocity `v`, known to be near. Newton closes in fast because head rises
    /// about as v^1.75 to v^2.
    fn newton(&self, head: f64, mut v: f64) -> (f64, f64) {
        let (mut low, mut high) = (0.0, self.frictionless(head));
        let mut slope = 0.0;
        for _ in 0..80 {
            let (used, rise) = self.head_and_slope(v);
            slope = rise;
            if used > head {
                high = v
            } else {
                low = v
            }
            let mut next = v - (used - head) / slope;
            if !(next >= low && next <= high) {
                next = 0.5 * (low + high);
            }
            let change = (next - v).abs();
            v = next;
            // Steps shrink quadratically: the next one would be below rounding.
            if change <= 1e-8 * v {
                break;
            }
        }
        (v, 1.0 / slope)
    }

    /// Tabulates the discharge for the heads that `bed` can have, for steps that may each make the
    /// error `relative` `[-]`; `held_back`: a line may hold it back almost to a stand.
    ///
    /// Evenly spaced in the square root of the head, so that a look-up needs no
    /// search. Lower heads, rare because the siphon breaks first, are solved; without
    /// friction all are, by one root.
    pub(super) fn tabulate(&mut self, bed: &Bed, relative: f64, held_back: bool) {
        let outlet = bed.siphon.drain.outlet;
        let lowest_head = if held_back {
            0.0
        } else {
            USUAL_SHARE * (bed.crown_level() - outlet)
        };
        let highest_head = bed.rim_level() - outlet;
        let tolerance = agreement(TABLE_TOLERANCE, relative);
        if self.friction.is_empty() {
            return;
        }
        let turbulent = TABLE_REYNOLDS * self.viscosity / self.bore;
        let lowest_head = self.head_and_slope(turbulent).0.max(lowest_head);
        if highest_head > 1.1 * lowest_head {
            // Head, velocity and slope found last: from there the next are not far.
            let last = Cell::new((0.0, 0.0, 0.0));
            let at = |s: f64, out: &mut [(f64, f64)]| {
                let head = s * s;
                let (before, known, rise) = last.get();
                let ratio = head / before - 1.0;
                let (v, slope) = if before > 0.0 && ratio.abs() < NEAR {
                    let power = rise * before / known;
                    let bend = 0.5 * power * (power - 1.0) * ratio * ratio;
                    self.newton(head, known * (1.0 + power * ratio + bend))
                } else {
                    self.velocity_and_slope(head)
                };
                last.set((head, v, slope));
                out[0] = (self.area * v, self.area * slope * 2.0 * s);
            };
            self.table = HermiteGrid::adaptive(
                at,
                1,
                lowest_head.sqrt(),
                (1.02 * highest_head).sqrt(),
                tolerance,
            );
        }
    }

    #[inline]
    pub(super) fn flow(&self, head: f64) -> f64 {
        if head <= 0.0 {
            return 0.0;
        }
        let s = head.sqrt();
        match &self.table {
            Some(table) if table.covers(s) => table.value(0, s),
            _ if self.friction.is_empty() => self.area * self.frictionless(head),
            _ => self.area * self.velocity_and_slope(head).0,
        }
    }
}
