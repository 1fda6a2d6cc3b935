//! Surface tension and sealed legs: how narrow pipes start a siphon.

use super::constants::GRAVITY;
use super::water::Water;
use crate::numerics::maths::Maths;

/// Bore under which surface tension makes itself felt at the start `[m]`.
pub const SURFACE_TENSION_BORE: f64 = 0.016;

/// Bore under which the law of the start ends `[m]`: openings over 10 to 15 mm drain by
/// themselves (Extrand 2017), hoses over 5.0 mm run as a film (Cai et al. 2014; both from
/// abstracts), and what happens between is not told by either.
pub const SMALLEST_BORE: f64 = 0.010;

/// Velocity that carries air down a sealed leg for sure `[m/s]`: the high end of vertical
/// downflow drift flux, Goda et al. 2003.
pub const SURE_AIR_CARRY: f64 = 0.29;

/// Eötvös number `rho g D^2 / sigma` `[-]` of a pipe of `bore` `[m]` in `water`: weight over
/// surface tension. Valid for any bore.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::{small_bore::eotvos_number, water::Water};
/// let water = Water::at(20.0)?;
/// assert!((eotvos_number(0.012, &water) - 19.38).abs() < 0.01);
/// # Ok::<(), ebbwright::hydraulics::water::OutOfRange>(())
/// ```
pub fn eotvos_number(bore: f64, water: &Water) -> f64 {
    water.density * GRAVITY * bore * bore / water.surface_tension()
}

/// Share `1 - exp((3.37 - Eo) / 10)` `[-]` by which surface tension slows a long bubble that
/// rises in a pipe, and with it the flow that arrests one.
///
/// Valid for thin liquids like water; zero at and below an Eötvös number of 3.37, where a
/// bubble stands still (5.0 mm of bore in water). White & Beardmore 1962, Wallis 1969, from
/// memory.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::small_bore::bubble_arrest_factor;
/// assert_eq!(bubble_arrest_factor(3.0), 0.0);
/// assert!((bubble_arrest_factor(13.37) - 0.632).abs() < 0.001);
/// ```
pub fn bubble_arrest_factor(eotvos: f64) -> f64 {
    (1.0 - ((3.37 - eotvos) / 10.0).exponential()).max(0.0)
}

/// Pipe Froude number `0.29 m/s / sqrt(g D)` `[-]` at which a pipe of `bore` `[m]`, full,
/// carries its air away for sure.
///
/// Valid for any bore. Derived here: a sealed leg must carry air at the velocity of Goda et al. 2003 to prime.
/// It passes the usual 0.60 in bores under 24 mm.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::small_bore::sealed_leg_froude;
/// assert!((sealed_leg_froude(0.012) - 0.845).abs() < 0.001);
/// ```
pub fn sealed_leg_froude(bore: f64) -> f64 {
    SURE_AIR_CARRY / (GRAVITY * bore).sqrt()
}
