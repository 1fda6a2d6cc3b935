//! Water lost to the air from open surfaces.
//!
//! Two published laws: pools indoors (with the share that an undisturbed
//! surface loses), and the aerodynamic half of Penman's equation, for open
//! water outdoors. On the same day they differ by some 20 %, and what
//! small tanks with high walls lose was not measured by either. A cover on the
//! water stops nearly all of it. Gravel whose surface stays dry loses little; no
//! published figure was found for it, and none is given here.

use thiserror::Error;

use super::water::{OutOfRange, Water};

/// Share of the full pool law that an undisturbed surface loses `[-]`.
///
/// C. C. Smith, G. Löf, R. Jones, ASHRAE Transactions 104(1) (1998): measured,
/// 74 % (read in the paper's abstract).
pub const UNDISTURBED: f64 = 0.74;
/// Share for a small pool in use at home `[-]` (ASHRAE Handbook, HVAC
/// Applications, from memory): the low end for still water in shelter.
pub const RESIDENTIAL: f64 = 0.50;
/// The full law, a public pool in use `[-]`: the high end, for splashing returns.
pub const FULL: f64 = 1.0;

/// Why figures make no air.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum AirError {
    /// A temperature outside 0 to 40 degC.
    #[error("air temperature {celsius} degC is outside 0 to 40 degC")]
    Temperature {
        /// The refused temperature `[degC]`.
        celsius: f64,
    },
    /// A relative humidity outside 0 to 1.
    #[error("relative humidity {humidity} is not between 0 and 1")]
    Humidity {
        /// The refused humidity `[-]`.
        humidity: f64,
    },
    /// A speed below zero, infinite or not a number.
    #[error("air speed {speed} m/s is not a number of 0 or more")]
    Speed {
        /// The refused speed `[m/s]`.
        speed: f64,
    },
}

impl From<OutOfRange> for AirError {
    fn from(refused: OutOfRange) -> AirError {
        AirError::Temperature {
            celsius: refused.celsius,
        }
    }
}

/// Air over a water surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Pressure of its water vapour `[Pa]`.
    pub vapour_pressure: f64,
    /// Speed over the water `[m/s]`.
    pub speed: f64,
}

impl Air {
    /// Air of a temperature `[degC]`, relative humidity (0 to 1) `[-]` and speed
    /// `[m/s]`: at the surface indoors, at 2 m height outdoors.
    ///
    /// Valid from 0 to 40 degC. A closed room has 0.05 to 0.1 m/s (common
    /// practice, no source).
    ///
    /// # Errors
    /// [`AirError`] naming the figure outside its range.
    pub fn at(celsius: f64, humidity: f64, speed: f64) -> Result<Air, AirError> {
        let saturated = Water::at(celsius)?.vapour_pressure;
        if !(0.0..=1.0).contains(&humidity) {
            return Err(AirError::Humidity { humidity });
        }
        if !(speed >= 0.0 && speed.is_finite()) {
            return Err(AirError::Speed { speed });
        }
        Ok(Air {
            vapour_pressure: humidity * saturated,
            speed,
        })
    }
}

/// Heat that evaporates water `[J/kg]` at `celsius` `[degC]`:
/// `2.501e6 - 2361 T`.
///
/// Harrison 1963 as in FAO Irrigation and Drainage Paper 56 (from memory);
/// within 0.03 % of IAPWS from 0 to 40 degC. Valid there.
pub fn latent_heat(celsius: f64) -> f64 {
    2.501e6 - 2361.0 * celsius
}

/// Evaporation of a pool `[kg/m2/s]`: `activity (0.089 + 0.0782 V) (pw - pa) / Y`,
/// with V the air's `[m/s]`, pressures in `[Pa]`, Y the [`latent_heat`].
///
/// ASHRAE Handbook, HVAC Applications, in SI (from memory); Carrier's equation.
/// `activity` `[-]` is [`FULL`], [`UNDISTURBED`] or [`RESIDENTIAL`]: for a sump or
/// tank under a roof the undisturbed value with the other two as band.
///
/// Range: measured on pools indoors, water 25 to 30 degC, air speeds to about
/// 0.3 m/s; elsewhere an extrapolation. Air damper than the water is warm
/// condenses; that gain is not counted (0).
///
/// # Example
/// ```
/// use ebbwright::hydraulics::evaporation::*;
/// use ebbwright::hydraulics::water::Water;
/// let water = Water::at(20.0)?;
/// let air = Air::at(20.0, 0.5, 0.1)?;
/// let rate = pool_evaporation(&water, &air, UNDISTURBED);
/// let daily = litres_per_day(volume_lost(rate, 1.0, &water));
/// assert!((daily - 2.95).abs() < 0.01); // L/day from 1 m2
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn pool_evaporation(water: &Water, air: &Air, activity: f64) -> f64 {
    let deficit = (water.vapour_pressure - air.vapour_pressure).max(0.0);
    activity * (0.089 + 0.0782 * air.speed) * deficit / latent_heat(water.temperature_c)
}

/// Evaporation of open water outdoors `[kg/m2/s]`, the aerodynamic part of
/// Penman's equation on the water's own temperature:
/// `6.43 (1 + 0.536 u) (pw - pa) / lambda` in mm/day, u `[m/s]` at 2 m, pressures
/// in kPa, lambda in MJ/kg.
///
/// W. J. Shuttleworth, Handbook of Hydrology (1993), ch. 4 (from memory).
/// Range: ponds and tanks outdoors over a day or more; condensation is not
/// counted (0).
pub fn aerodynamic_evaporation(water: &Water, air: &Air) -> f64 {
    let deficit = (water.vapour_pressure - air.vapour_pressure).max(0.0);
    // kPa and MJ/kg give the factor 1000; 1 mm/day is 1 kg/m2 in 86400 s.
    6430.0 * (1.0 + 0.536 * air.speed) * deficit / latent_heat(water.temperature_c) / 86_400.0
}

/// Volume lost `[m3/s]` at a `rate` `[kg/m2/s]` over an open `area` `[m2]`.
///
/// Valid for any rate; the area is that of the water in the air, not of gravel above it.
pub fn volume_lost(rate: f64, area: f64, water: &Water) -> f64 {
    rate * area / water.density
}

/// A flow `[m3/s]` in litres per day. Valid for any flow.
pub fn litres_per_day(flow: f64) -> f64 {
    flow * 86_400.0 * 1000.0
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn refuses_what_is_no_air() {
        assert!(matches!(
            Air::at(-1.0, 0.5, 0.0),
            Err(AirError::Temperature { .. })
        ));
        for humidity in [-0.01, 1.01, 50.0, f64::NAN] {
            let refused = Air::at(20.0, humidity, 0.0);
            assert!(matches!(refused, Err(AirError::Humidity { .. })));
        }
        for speed in [-0.1, f64::NAN, f64::INFINITY] {
            let refused = Air::at(20.0, 0.5, speed);
            assert!(matches!(refused, Err(AirError::Speed { .. })));
        }
    }

    #[test]
    fn more_wind_drier_air_or_warmer_water_take_more() {
        let pool = |t: f64, humidity: f64, speed: f64| {
            let air = Air::at(22.0, humidity, speed).unwrap();
            let water = Water::at(t).unwrap();
            [
                pool_evaporation(&water, &air, FULL),
                aerodynamic_evaporation(&water, &air),
            ]
        };
        for law in 0..2 {
            let base = pool(20.0, 0.5, 0.1)[law];
            assert!(base > 0.0);
            assert!(pool(20.0, 0.5, 0.2)[law] > base);
            assert!(pool(20.0, 0.4, 0.1)[law] > base);
            assert!(pool(22.0, 0.5, 0.1)[law] > base);
        }
    }

    #[test]
    fn condensation_is_not_counted() {
        let (cold, damp) = (Water::at(10.0).unwrap(), Air::at(25.0, 0.9, 0.1).unwrap());
        assert_eq!(pool_evaporation(&cold, &damp, FULL), 0.0);
        assert_eq!(aerodynamic_evaporation(&cold, &damp), 0.0);
    }
}
