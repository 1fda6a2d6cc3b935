//! Resistance of gravel to water that fills its pores.
//!
//! All laws here have Forchheimer's form, head lost per length
//! `J = a u + b u^2`, with `u` the flow over the whole cross-section (grains
//! included). They were fitted to beds of spheres, sand and crushed stone and
//! disagree by up to ten times at 1 mm/s; a law that agrees with its paper
//! proves the coding, not the gravel. Dirt, roots and biofilm come on top.

use crate::numerics::maths::Maths;
use thiserror::Error;

use super::constants::GRAVITY;
use super::water::Water;

/// Why figures make no packed bed.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum PackedBedError {
    /// A grain size that is not above zero, or not finite.
    #[error("grain size {grain} m is not a positive number")]
    Grain {
        /// The refused size `[m]`.
        grain: f64,
    },
    /// A porosity outside 0 to 1, ends excluded.
    #[error("porosity {porosity} is not between 0 and 1")]
    Porosity {
        /// The refused porosity `[-]`.
        porosity: f64,
    },
}

/// Published resistance laws for gravel.
///
/// Arguments of all: grain size `d` (mean by surface of the grains; for a
/// sieved single-size gravel the middle of its sieves), porosity `n`, water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GravelLaw {
    /// `a = 150 nu (1-n)^2 / (g n^3 d^2)`, `b = 1.75 (1-n) / (g n^3 d)`.
    ///
    /// S. Ergun, Chem. Eng. Prog. 48 (1952) 89 (from memory). Nominal law here.
    /// Range: `Re = u d / (nu (1-n))` from about 1 to 2500, spheres and broken solids.
    Ergun,
    /// `a = 360 nu / (g d^2)`, `b = 10.44 / (g d)`: no porosity in it; the lowest of these.
    ///
    /// J. C. Ward, J. Hydraul. Div. ASCE 90(HY5) (1964) 1, as listed by
    /// Sidiropoulou et al. 2007 (from memory).
    Ward,
    /// `a = 144 nu (1-n)^2 / (g n^3 d^2)`, `b = 2.4 (1-n) / (g n^3 d)`.
    ///
    /// G. Kovacs, Seepage Hydraulics (1981), as listed by Sidiropoulou et al.
    /// 2007 (from memory).
    Kovacs,
    /// `a = 255 nu (1-n) / (g n^3.7 d^2)`, `b = 2 (1-n) / (g n^3 d)`.
    ///
    /// R. H. Kadlec and R. L. Knight, Treatment Wetlands (1996) (from memory);
    /// meant for beds in use, the highest of these for fine gravel.
    KadlecKnight,
    /// `a = 0.003333 d^-1.500403 n^0.060350`, `b = 0.194325 d^-1.265175 n^-1.141417`
    /// (d in m), a regression over published tests with water of usual temperature.
    ///
    /// M. G. Sidiropoulou, K. N. Moutsopoulos, V. A. Tsihrintzis, Hydrol.
    /// Process. 21 (2007) 534 (coefficients from memory).
    Sidiropoulou,
}

impl GravelLaw {
    /// Every law.
    pub const ALL: [GravelLaw; 5] = [
        GravelLaw::Ergun,
        GravelLaw::Ward,
        GravelLaw::Kovacs,
        GravelLaw::KadlecKnight,
        GravelLaw::Sidiropoulou,
    ];

    /// Resistance of clean gravel of a grain size `[m]` and porosity `[-]`.
    ///
    /// `porosity` is the share of the bed's volume between the grains, whether
    /// its water drains or is held as a film. It is at least the drainable
    /// void, and for grains with pores of their own (lava, expanded clay) less
    /// than the total porosity of tables. The drainable void in its place
    /// overstates the loss: 0.36 for 0.40 by about a half.
    ///
    /// Valid for single-size gravel of 1 to 50 mm, porosity 0.30 to 0.50;
    /// mixed sizes count with their finer part.
    ///
    /// # Errors
    /// [`PackedBedError`] for a size not above 0 or a porosity outside 0 to 1.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::{packed_bed::GravelLaw, water::Water};
    /// let water = Water::at(20.0)?;
    /// let gravel = GravelLaw::Ergun.resistance(0.012, 0.40, &water)?;
    /// assert!((gravel.linear - 0.600).abs() < 0.001); // s/m
    /// assert!((gravel.square - 139.4).abs() < 0.1); // s2/m2
    /// assert!((gravel.gradient(0.01) - 0.0199).abs() < 0.0001);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn resistance(
        self,
        grain: f64,
        porosity: f64,
        water: &Water,
    ) -> Result<Resistance, PackedBedError> {
        if !(grain > 0.0 && grain.is_finite()) {
            return Err(PackedBedError::Grain { grain });
        }
        if !(porosity > 0.0 && porosity < 1.0) {
            return Err(PackedBedError::Porosity { porosity });
        }
        let (d, n) = (grain, porosity);
        let solid = 1.0 - n;
        let drag = water.kinematic_viscosity() / (GRAVITY * d * d);
        let inertia = 1.0 / (GRAVITY * d);
        let (linear, square) = match self {
            GravelLaw::Ergun => (
                150.0 * drag * solid * solid / n.powi(3),
                1.75 * inertia * solid / n.powi(3),
            ),
            GravelLaw::Ward => (360.0 * drag, 10.44 * inertia),
            GravelLaw::Kovacs => (
                144.0 * drag * solid * solid / n.powi(3),
                2.4 * inertia * solid / n.powi(3),
            ),
            GravelLaw::KadlecKnight => (
                255.0 * drag * solid / n.to_the(3.7),
                2.0 * inertia * solid / n.powi(3),
            ),
            GravelLaw::Sidiropoulou => (
                0.003_333 * d.to_the(-1.500_403) * n.to_the(0.060_350),
                0.194_325 * d.to_the(-1.265_175) * n.to_the(-1.141_417),
            ),
        };
        Ok(Resistance { linear, square })
    }
}

/// Resistance of a bed: head lost per length `J = linear u + square u^2`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// Coefficient of the velocity `[s/m]`, 0 or more; its inverse is Darcy's conductivity.
    pub linear: f64,
    /// Coefficient of the velocity squared `[s2/m2]`, 0 or more.
    pub square: f64,
}

impl Resistance {
    /// Resistance of the same bed with dirt and roots in it: both coefficients
    /// `[s/m]`, `[s2/m2]` times `factor` `[-]`.
    ///
    /// Valid for factors of 1 and more. No law gives the factor; design values
    /// for gravel in treatment wetlands conduct some 20 times less than clean
    /// gravel by Ergun (`tests/data/10_media_properties.csv`).
    #[must_use]
    pub fn fouled(self, factor: f64) -> Resistance {
        Resistance {
            linear: self.linear * factor,
            square: self.square * factor,
        }
    }

    /// Head lost per length `[-]` at a velocity over the whole cross-section `u` `[m/s]`.
    ///
    /// Odd in `u`. Valid where the law behind the coefficients is.
    pub fn gradient(&self, u: f64) -> f64 {
        (self.linear + self.square * u.abs()) * u
    }

    /// Velocity over the whole cross-section `[m/s]` that loses `gradient` `[-]`.
    ///
    /// Inverse of [`gradient`](Self::gradient); infinite for a bed without
    /// resistance. Valid where the law behind the coefficients is.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::packed_bed::Resistance;
    /// let bed = Resistance { linear: 0.6, square: 140.0 };
    /// let u = bed.velocity(0.02);
    /// assert!((bed.gradient(u) - 0.02).abs() < 1e-15);
    /// ```
    pub fn velocity(&self, gradient: f64) -> f64 {
        if gradient == 0.0 {
            return 0.0;
        }
        let j = gradient.abs();
        // In the form that does not cancel.
        let root = (self.linear * self.linear + 4.0 * self.square * j).sqrt();
        (2.0 * j / (self.linear + root)).copysign(gradient)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn refuses_what_is_no_gravel() {
        let water = Water::at(20.0).unwrap();
        for law in GravelLaw::ALL {
            for grain in [0.0, -0.01, f64::NAN, f64::INFINITY] {
                let refused = law.resistance(grain, 0.4, &water);
                assert!(matches!(refused, Err(PackedBedError::Grain { .. })));
            }
            for porosity in [0.0, 1.0, -0.4, 1.2, f64::NAN] {
                let refused = law.resistance(0.01, porosity, &water);
                assert!(matches!(refused, Err(PackedBedError::Porosity { .. })));
            }
        }
    }

    #[test]
    fn finer_or_denser_gravel_resists_more() {
        let water = Water::at(20.0).unwrap();
        for law in GravelLaw::ALL {
            let at = |d: f64, n: f64| law.resistance(d, n, &water).unwrap().gradient(0.01);
            assert!(at(0.006, 0.4) > at(0.012, 0.4), "{law:?}");
            if law == GravelLaw::Ward {
                assert_eq!(at(0.012, 0.36), at(0.012, 0.40));
            } else {
                assert!(at(0.012, 0.36) > at(0.012, 0.40), "{law:?}");
            }
        }
        // The share named in the comment of `resistance`.
        let ergun = |n: f64| GravelLaw::Ergun.resistance(0.012, n, &water).unwrap();
        let more = ergun(0.36).gradient(0.01) / ergun(0.40).gradient(0.01);
        assert!((1.4..1.6).contains(&more), "{more}");
    }

    #[test]
    fn velocity_is_the_inverse_of_gradient() {
        for (linear, square) in [(0.6, 140.0), (0.0, 140.0), (30.0, 0.0), (1e3, 1e-9)] {
            let bed = Resistance { linear, square };
            for i in -300..=300 {
                let u = f64::from(i) * 1e-4;
                let back = bed.velocity(bed.gradient(u));
                assert!(
                    (back - u).abs() <= 1e-14 * u.abs(),
                    "{linear} {square}: {u} {back}"
                );
            }
        }
        let nothing = Resistance {
            linear: 0.0,
            square: 0.0,
        };
        assert_eq!(nothing.velocity(0.0), 0.0);
        assert_eq!(nothing.velocity(0.1), f64::INFINITY);
    }

    #[test]
    fn fouling_multiplies_the_loss_at_every_velocity() {
        let clean = Resistance {
            linear: 0.6,
            square: 140.0,
        };
        for u in [1e-4, 0.01, 0.1] {
            let ratio = clean.fouled(3.0).gradient(u) / clean.gradient(u);
            assert!((ratio - 3.0).abs() < 1e-14);
        }
    }
}
