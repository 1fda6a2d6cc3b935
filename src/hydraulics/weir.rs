//! Flow over the lip of an open standpipe.
//!
//! Shallow water falls over the whole rim as over a weir; deep water drowns
//! the mouth, which then passes what an orifice passes. The smaller of both
//! flows counts. Coefficients and their bands come from the caller; the
//! project's nominal values are `cw = 1.80 (1.66 .. 1.94) m^0.5/s` and
//! `cd = 0.60 (0.55 .. 0.65)` (USBR Design of Small Dams and stormwater riser
//! practice, from memory).

use crate::numerics::maths::Maths;
use std::f64::consts::PI;

use super::constants::GRAVITY;

/// Nominal weir coefficient of a circular lip `[m0.5/s]`; literature 1.66 to 1.94.
pub const LIP_WEIR_COEFFICIENT: f64 = 1.80;

/// Nominal discharge coefficient of a drowned lip `[-]`; literature 0.55 to 0.65.
pub const DROWNED_LIP_COEFFICIENT: f64 = 0.60;

/// Flow `[m3/s]` over a circular lip acting as a weir: `Q = Cw pi d h^1.5`.
///
/// # Arguments
/// * `lip_diameter` - diameter of the lip `[m]`; of a flared top, the flare's
/// * `head` - water level above the lip `[m]`; zero or less gives zero flow
/// * `cw` - weir coefficient `[m0.5/s]`
///
/// Valid for heads up to about 0.35 of the diameter, where the mouth drowns;
/// below 5 mm surface tension makes real flows smaller (from memory). Form: circular-crest
/// spillway of USBR Design of Small Dams (from memory).
///
/// # Example
/// ```
/// use ebbwright::hydraulics::weir::circular_weir_flow;
/// let q = circular_weir_flow(0.040, 0.010, 1.80);
/// assert!((q * 60_000.0 - 13.57).abs() < 0.01); // L/min
/// ```
pub fn circular_weir_flow(lip_diameter: f64, head: f64, cw: f64) -> f64 {
    if head <= 0.0 {
        return 0.0;
    }
    cw * PI * lip_diameter * head * head.sqrt()
}

/// Flow `[m3/s]` into a drowned mouth: `Q = Cd (pi/4) D^2 sqrt(2 g h)`.
///
/// # Arguments
/// * `bore` - bore of the standpipe `[m]`, also where the top is flared
/// * `head` - water level above the lip `[m]`; zero or less gives zero flow
/// * `cd` - discharge coefficient `[-]`
///
/// Valid for heads above about 0.4 of the bore, with air below the mouth.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::weir::drowned_lip_flow;
/// let q = drowned_lip_flow(0.040, 0.030, 0.60);
/// assert!((q * 60_000.0 - 34.7).abs() < 0.1); // L/min
/// ```
pub fn drowned_lip_flow(bore: f64, head: f64, cd: f64) -> f64 {
    if head <= 0.0 {
        return 0.0;
    }
    cd * 0.25 * PI * bore * bore * (2.0 * GRAVITY * head).sqrt()
}

/// Flow `[m3/s]` over a lip at any head: the smaller of weir and drowned mouth.
///
/// Arguments as for [`circular_weir_flow`] and [`drowned_lip_flow`], all in
/// `[m]`, `[m0.5/s]` and `[-]`. The two curves cross at
/// `h = Cd D^2 sqrt(2 g) / (4 Cw d)`; near it real flow is somewhat below both.
/// Valid from no head to any head.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::weir::{circular_weir_flow, drowned_lip_flow, lip_flow};
/// let low = lip_flow(0.04, 0.04, 0.005, 1.80, 0.60);
/// assert_eq!(low, circular_weir_flow(0.04, 0.005, 1.80));
/// let high = lip_flow(0.04, 0.04, 0.050, 1.80, 0.60);
/// assert_eq!(high, drowned_lip_flow(0.04, 0.050, 0.60));
/// ```
pub fn lip_flow(lip_diameter: f64, bore: f64, head: f64, cw: f64, cd: f64) -> f64 {
    circular_weir_flow(lip_diameter, head, cw).min(drowned_lip_flow(bore, head, cd))
}

/// Head over the lip `[m]` at which water stands while `q` `[m3/s]` runs over it.
///
/// The larger of weir head and orifice head; inverse of [`lip_flow`]. Lengths
/// in `[m]`, `cw` in `[m0.5/s]`, `cd` in `[-]`; zero or negative flow stands at
/// the lip (0). Valid for any flow.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::weir::{lip_flow, standing_head};
/// let head = standing_head(0.04, 0.04, 15.0 / 60_000.0, 1.80, 0.60);
/// assert!((lip_flow(0.04, 0.04, head, 1.80, 0.60) * 60_000.0 - 15.0).abs() < 1e-9);
/// ```
pub fn standing_head(lip_diameter: f64, bore: f64, q: f64, cw: f64, cd: f64) -> f64 {
    if q <= 0.0 {
        return 0.0;
    }
    let weir = (q / (cw * PI * lip_diameter)).cube_root();
    let velocity = q / (cd * 0.25 * PI * bore * bore);
    (weir * weir).max(velocity * velocity / (2.0 * GRAVITY))
}

/// Head `[m]` lost where `q` `[m3/s]` passes openings of `area` `[m2]` under water:
/// `(Q / (Cd A))^2 / 2g`.
///
/// Valid for any flow, the sign of which does not matter, while water covers the
/// openings on both sides; `cd` from 0.55 to 0.70 for sharp edges (orifice practice,
/// from memory).
///
/// # Example
/// ```
/// use ebbwright::hydraulics::weir::submerged_opening_loss;
/// let head = submerged_opening_loss(9.3 / 60_000.0, 3.0e-4, 0.60);
/// assert!((head - 0.038).abs() < 0.0005); // 38 mm
/// ```
pub fn submerged_opening_loss(q: f64, area: f64, cd: f64) -> f64 {
    let velocity = q / (cd * area);
    velocity * velocity / (2.0 * GRAVITY)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn standing_head_is_the_inverse_on_both_branches() {
        for (lip, bore) in [(0.04, 0.04), (0.07, 0.04), (0.02, 0.02)] {
            for i in 1..=2000 {
                let head = f64::from(i) * 1e-4;
                let q = lip_flow(lip, bore, head, 1.8, 0.6);
                let back = standing_head(lip, bore, q, 1.8, 0.6);
                assert!(
                    (back / head - 1.0).abs() < 1e-13,
                    "{lip}, {bore}: {head}, {back}"
                );
            }
        }
    }

    #[test]
    fn flow_rises_with_head_and_is_zero_below_the_lip() {
        let mut last = 0.0;
        for i in 1..=2000 {
            let q = lip_flow(0.04, 0.04, f64::from(i) * 1e-4, 1.8, 0.6);
            assert!(q > last);
            last = q;
        }
        for head in [0.0, -0.01] {
            assert_eq!(lip_flow(0.04, 0.04, head, 1.8, 0.6), 0.0);
        }
        assert_eq!(standing_head(0.04, 0.04, 0.0, 1.8, 0.6), 0.0);
        assert_eq!(standing_head(0.04, 0.04, -1.0, 1.8, 0.6), 0.0);
    }

    // Worked by hand: 9.3 L/min is 1.55e-4 m3/s, over 0.60 x 3 cm2 that is 0.861 m/s,
    // squared over 19.613 m/s2 37.8 mm.
    #[test]
    fn openings_under_water_cost_what_the_orifice_law_says() {
        for (square_centimetres, millimetres) in
            [(17.6, 1.1), (6.0, 9.5), (3.0, 37.8), (1.7, 117.7)]
        {
            let lost = submerged_opening_loss(9.3 / 60_000.0, square_centimetres * 1e-4, 0.60);
            assert!((lost * 1000.0 - millimetres).abs() < 0.06, "{lost}");
        }
    }

    #[test]
    fn a_flared_lip_lowers_the_standing_head_until_the_bore_drowns() {
        let head = |lip: f64, q: f64| standing_head(lip, 0.04, q, 1.8, 0.6);
        assert!(head(0.07, 1e-4) < head(0.04, 1e-4));
        assert_eq!(head(0.07, 2e-3), head(0.04, 2e-3));
    }
}
