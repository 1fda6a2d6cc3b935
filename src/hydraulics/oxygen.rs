//! Oxygen of the water and what fish use of it; what fish eat and beds take up.

use crate::hydraulics::water::OutOfRange;
use crate::numerics::maths::Maths;
use crate::units::DAY;

/// Dissolved oxygen that fish in use are reckoned to start from at most `[kg/m3]`: 7 mg/L;
/// common practice, no source: a stocked tank with aeration is seldom saturated.
pub const USUAL_OXYGEN: f64 = 7e-3;
/// Dissolved oxygen below which the water counts as low `[kg/m3]`: 3 mg/L; common practice,
/// no source. Many kinds of fish suffer well above it.
pub const LOW_OXYGEN: f64 = 3e-3;
/// Oxygen that warm-water fish use, at rest and fed [kg/(kg s)]: 200 and 300 mg/(kg h);
/// Timmons and Ebeling, Recirculating Aquaculture, from memory. Small, warm or
/// frightened fish use more.
pub const FISH_USE: [f64; 2] = [200e-6 / 3600.0, 300e-6 / 3600.0];
/// Most fish in their water for beginners `[kg/m3]`: Somerville et al., FAO Fisheries and
/// Aquaculture Technical Paper 589 (2014), chapter 8.
pub const BEGINNERS_DENSITY: f64 = 20.0;
/// Feed of growing fish as a share of their mass, least, middle and most [1/s]: 1, 2 and
/// 3 % a day; FAO Technical Paper 589, from memory. Large fish eat the smaller share.
pub const FEED_SHARE: [f64; 3] = [0.01 / DAY, 0.02 / DAY, 0.03 / DAY];
/// Feed that beds of leafy greens take by their area, least and most [kg/(m2 s)]: 40 to
/// 50 g/(m2 d); FAO Technical Paper 589 (2014), section 8.
pub const LEAFY_FEED: [f64; 2] = [0.040 / DAY, 0.050 / DAY];
/// The same of fruiting plants: 50 to 80 g/(m2 d); FAO Technical Paper 589 (2014), section 8.
pub const FRUITING_FEED: [f64; 2] = [0.050 / DAY, 0.080 / DAY];

/// Dissolved oxygen of fresh water in balance with moist air at 101.325 kPa `[kg/m3]`.
///
/// `celsius` `[degC]`, 0 to 40. B. B. Benson and D. Krause, Limnology and Oceanography 29
/// (1984) 620, as tabulated in Standard Methods 4500-O; coefficients from memory. High
/// places have less, about a tenth for every 900 m.
///
/// # Errors
/// [`OutOfRange`] outside 0 to 40 degC.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::oxygen::saturation;
/// assert!((saturation(20.0)? * 1e3 - 9.09).abs() < 0.01); // mg/L
/// # Ok::<(), ebbwright::hydraulics::water::OutOfRange>(())
/// ```
pub fn saturation(celsius: f64) -> Result<f64, OutOfRange> {
    if !(0.0..=40.0).contains(&celsius) {
        return Err(OutOfRange { celsius });
    }
    let x = 1.0 / (celsius + 273.15);
    let powers = [
        -139.344_11,
        1.575_701e5,
        -6.642_308e7,
        1.243_800e10,
        -8.621_949e11,
    ];
    let sum = powers.iter().rev().fold(0.0, |sum, a| sum * x + a);
    Ok(1e-3 * sum.exponential())
}

/// Time in which `mass` `[kg]` of fish that use `rate` [kg/(kg s)] bring `volume` `[m3]` of
/// still water from one concentration of oxygen to another `[kg/m3]`, in `[s]`; derived:
/// nothing comes in from the surface, nothing but the fish uses any. Bacteria make it
/// shorter. Valid for mass and rate above 0; 0 where `from` is not above `to`.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::oxygen::time_to;
/// // 20 kg in 1 m3 at 300 mg/(kg h), from 7 to 3 mg/L: 4 g over 6 g an hour.
/// let time = time_to(7e-3, 3e-3, 1.0, 20.0, 300e-6 / 3600.0);
/// assert!((time / 60.0 - 40.0).abs() < 1e-9); // min
/// ```
pub fn time_to(from: f64, to: f64, volume: f64, mass: f64, rate: f64) -> f64 {
    (from - to).max(0.0) * volume / (mass * rate)
}
