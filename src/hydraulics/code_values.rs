//! Values from building and water codes that the cautions print.
//!
//! For cautions only: the local code and licensed practice decide. Nothing
//! here makes an installation comply with anything.

use super::constants::GRAVITY;

/// Whether walls near a filling outlet disturb the fall of its jet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutletPlace {
    /// Away from walls.
    Clear,
    /// One wall nearer than 3 bores, or two nearer than 4 (ASME A112.1.2 notes).
    NearWall,
}

/// Least height of a drinking-water outlet above the highest level the water
/// below it can reach `[m]`, for an outlet of a given bore `[m]`.
///
/// Clear of walls twice the bore and at least 25 mm (US model plumbing codes,
/// printed there as 1 in, and a food code as 25 mm; EN 1717 asks 20 mm at least);
/// near a wall three times the bore and at least 1.5 in. Values and where each was
/// read: `tests/data/12_codes.csv`.
///
/// Valid for one outlet that points down; a float valve under water has no air
/// gap at all.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::code_values::{OutletPlace, air_gap};
/// assert_eq!(air_gap(0.006, OutletPlace::Clear), 0.025);
/// assert_eq!(air_gap(0.020, OutletPlace::Clear), 0.040);
/// ```
pub fn air_gap(bore: f64, place: OutletPlace) -> f64 {
    match place {
        OutletPlace::Clear => (2.0 * bore).max(0.025),
        OutletPlace::NearWall => (3.0 * bore).max(1.5 * 0.0254),
    }
}

/// Density of quartz and most stone `[kg/m3]` (soil mechanics, from memory).
///
/// Lava rock is near 2900 but porous, expanded clay far lighter.
pub const STONE_DENSITY: f64 = 2650.0;

/// Loads that floors of dwellings are commonly designed for, low and high
/// `[N/m2]`: 1.4 to 1.9 kN/m2, that is 30 to 40 lb/ft2 (from memory).
///
/// Spread over a whole room; a concentrated load is another question.
pub const DWELLING_FLOOR_LOADS: (f64, f64) = (1400.0, 1900.0);

/// Load of a flooded gravel bed on its floor `[N/m2]`, container not counted:
/// `g depth (stone (1 - n) + water n)`.
///
/// # Arguments
/// * `depth` - depth of gravel, flooded to its top `[m]`
/// * `porosity` - total porosity `[-]`: grains fill the rest
/// * `stone` - density of the grains `[kg/m3]`, see [`STONE_DENSITY`]
/// * `water` - density of water `[kg/m3]`
///
/// Valid for solid grains with all pores full.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::code_values::{STONE_DENSITY, wet_bed_load};
/// let load = wet_bed_load(0.30, 0.40, STONE_DENSITY, 998.2);
/// assert!((load - 5850.0).abs() < 10.0); // N/m2; some 600 kg on 1 m2
/// ```
pub fn wet_bed_load(depth: f64, porosity: f64, stone: f64, water: f64) -> f64 {
    GRAVITY * depth * (stone * (1.0 - porosity) + water * porosity)
}
