//! What dissolves in the water and stays when water evaporates.
//!
//! A balance of mass over well-mixed water of constant volume, derived here. What plants
//! and fish take up or give off, and what falls out as scale, is left out.

use crate::numerics::maths::Maths;

/// Dissolved matter after `time` `[s]` in `volume` `[m3]` that began with `initial`
/// `[kg/m3]`, while `load` `[kg/s]` comes in dissolved and `leaving` `[m3/s]` of the water
/// goes away as water; what evaporates leaves its share behind. In `[kg/m3]`.
///
/// `dC/dt = (load - leaving C) / volume`, solved: a straight line where nothing leaves,
/// else towards `load / leaving`. Valid for volumes above 0 and the rest not below 0.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::dissolved::after;
/// // 10 L a day of 250 mg/L into 1000 L: 2.5 mg/L a day, 17.5 mg/L a week.
/// let load = 10e-3 * 0.25 / 86_400.0;
/// let found = after(0.25, load, 0.0, 1.0, 7.0 * 86_400.0);
/// assert!((found - 0.2675).abs() < 1e-12);
/// ```
pub fn after(initial: f64, load: f64, leaving: f64, volume: f64, time: f64) -> f64 {
    let x = leaving * time / volume;
    // (1 - exp(-x)) / x, smooth down to nothing leaving.
    let mean = if x > 1e-12 {
        -(-x).exponential_m1() / x
    } else {
        1.0
    };
    initial * (-x).exponential() + load * time / volume * mean
}

/// Share of pure water in what replaces the evaporation that holds the rise within
/// `room` `[kg/m3]` of concentration, where the hard water alone would raise it by `hard`
/// and the pure water alone by `pure` `[kg/m3]`; `None` where even pure water is too much.
/// Derived: the rise is linear in the share. Valid for `hard` above `pure`.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::dissolved::pure_share;
/// assert_eq!(pure_share(0.200, 0.400, 0.0), Some(0.5)); // half of it
/// assert_eq!(pure_share(0.500, 0.400, 0.0), Some(0.0)); // none is needed
/// ```
pub fn pure_share(room: f64, hard: f64, pure: f64) -> Option<f64> {
    let share = (hard - room) / (hard - pure);
    (share <= 1.0).then_some(share.max(0.0))
}

/// Highest concentration `[kg/m3]` that comes to stay when a `share` of all water is
/// exchanged at regular times for water of `fresh` `[kg/m3]`, and between two of them the
/// concentration rises by `rise` `[kg/m3]`: just before each exchange `fresh + rise/share`.
/// Derived: `C (1 - share) + share fresh + rise = C`. Valid for shares above 0, up to 1.
pub fn before_exchange(fresh: f64, rise: f64, share: f64) -> f64 {
    fresh + rise / share
}

/// The share `[-]` to exchange each time that holds it at `limit` `[kg/m3]`; `None` where
/// none does. The inverse of [`before_exchange`]. Valid for a rise not below 0.
pub fn exchange_for(limit: f64, fresh: f64, rise: f64) -> Option<f64> {
    let share = rise / (limit - fresh);
    (limit > fresh && share <= 1.0).then_some(share.max(0.0))
}
