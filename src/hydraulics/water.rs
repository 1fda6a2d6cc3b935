//! Properties of fresh water from its temperature.

use crate::numerics::maths::Maths;
use thiserror::Error;

/// Lowest temperature the formulas are used for `[degC]`.
pub const LOWEST_CELSIUS: f64 = 0.0;
/// Highest temperature the formulas are used for `[degC]`.
pub const HIGHEST_CELSIUS: f64 = 40.0;

/// A water temperature outside 0 to 40 degC, or not a number.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error("water temperature {celsius} degC is outside 0 to 40 degC")]
pub struct OutOfRange {
    /// The refused temperature `[degC]`.
    pub celsius: f64,
}

/// Fresh, air-free water at atmospheric pressure.
///
/// Dissolved salts of a nutrient solution (2 g/L) raise the density by about
/// 0.15 % and the viscosity by about 0.3 % (from memory); neither is modelled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    /// Temperature `[degC]`, 0 to 40.
    pub temperature_c: f64,
    /// Density `[kg/m3]` (Kell 1975).
    pub density: f64,
    /// Dynamic viscosity `[Pa.s]` (Kestin, Sokolov and Wakeham 1978).
    pub dynamic_viscosity: f64,
    /// Saturation pressure of the vapour, absolute `[Pa]` (Wagner and Pruss 1993).
    pub vapour_pressure: f64,
}

impl Water {
    /// Water at a temperature `[degC]`.
    ///
    /// Sources, all coefficients from memory and held against the IAPWS
    /// formulations within 0.1 % in `tests/values`:
    /// - density: G. S. Kell, J. Chem. Eng. Data 20 (1975) 97;
    /// - viscosity: J. Kestin, M. Sokolov, W. A. Wakeham, J. Phys. Chem. Ref.
    ///   Data 7 (1978) 941, on the value 1.0020 mPa.s at 20 degC;
    /// - vapour pressure: W. Wagner, A. Pruss, J. Phys. Chem. Ref. Data 22
    ///   (1993) 783, equation 1.
    ///
    /// Valid from 0 to 40 `[degC]`, liquid, at about one atmosphere.
    ///
    /// # Errors
    /// [`OutOfRange`] outside that range or for a temperature that is not a number.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::water::Water;
    /// let water = Water::at(20.0)?;
    /// assert!((water.density - 998.2).abs() < 0.1); // kg/m3
    /// assert!((water.dynamic_viscosity - 1.002e-3).abs() < 1e-6); // Pa.s
    /// assert!(Water::at(41.0).is_err());
    /// # Ok::<(), ebbwright::hydraulics::water::OutOfRange>(())
    /// ```
    pub fn at(celsius: f64) -> Result<Water, OutOfRange> {
        if !(LOWEST_CELSIUS..=HIGHEST_CELSIUS).contains(&celsius) {
            return Err(OutOfRange { celsius });
        }
        Ok(Water {
            temperature_c: celsius,
            density: density(celsius),
            dynamic_viscosity: dynamic_viscosity(celsius),
            vapour_pressure: vapour_pressure(celsius),
        })
    }

    /// Kinematic viscosity, dynamic viscosity over density `[m2/s]`.
    ///
    /// Valid wherever the water is: 0 to 40 degC.
    pub fn kinematic_viscosity(&self) -> f64 {
        self.dynamic_viscosity / self.density
    }

    /// Surface tension against air `[N/m]`: 0.0727 at 20 degC.
    ///
    /// IAPWS R1-76(2014), from memory: `0.2358 t^1.256 (1 - 0.625 t)`, t the share of the
    /// critical temperature that is missing. Valid wherever the water is: 0 to 40 degC; dirt and
    /// soap lower it.
    pub fn surface_tension(&self) -> f64 {
        let t = 1.0 - (self.temperature_c + 273.15) / CRITICAL_KELVIN;
        0.2358 * t.to_the(1.256) * (1.0 - 0.625 * t)
    }
}

/// Critical temperature of water `[K]`.
const CRITICAL_KELVIN: f64 = 647.096;

/// Kell 1975, quotient form `[kg/m3]`.
fn density(t: f64) -> f64 {
    let numerator = 999.83952
        + t * (16.945176
            + t * (-7.987_040_1e-3
                + t * (-46.170_461e-6 + t * (105.563_02e-9 - t * 280.542_53e-12))));
    numerator / (1.0 + 16.879_850e-3 * t)
}

/// Kestin et al. 1978: log10 of the ratio to the value at 20 degC `[Pa.s]`.
fn dynamic_viscosity(t: f64) -> f64 {
    let d = 20.0 - t;
    let exponent = d / (t + 96.0) * (1.2364 - 1.37e-3 * d + 5.7e-6 * d * d);
    1.002e-3 * 10.0_f64.to_the(exponent)
}

/// Wagner and Pruss 1993, saturation line from the critical point down `[Pa]`.
fn vapour_pressure(t: f64) -> f64 {
    const CRITICAL_PASCAL: f64 = 22.064e6;
    let kelvin = t + 273.15;
    let tau = 1.0 - kelvin / CRITICAL_KELVIN;
    let root = tau.sqrt();
    let sum = -7.859_517_83 * tau + 1.844_082_59 * tau * root - 11.786_649_7 * tau.powi(3)
        + 22.680_741_1 * tau.powi(3) * root
        - 15.961_871_9 * tau.powi(4)
        + 1.801_225_02 * tau.powi(7) * root;
    CRITICAL_PASCAL * (CRITICAL_KELVIN / kelvin * sum).exponential()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn refuses_what_is_not_liquid_or_not_a_number() {
        for bad in [-0.001, 40.001, f64::NAN, f64::INFINITY] {
            assert!(Water::at(bad).is_err(), "{bad}");
        }
        assert!(Water::at(0.0).is_ok() && Water::at(40.0).is_ok());
        assert_eq!(Water::at(55.0), Err(OutOfRange { celsius: 55.0 }));
    }

    #[test]
    fn density_peaks_at_four_degrees_and_viscosity_only_falls() {
        // Maximum density at 3.98 degC (Tanaka et al. 2001).
        let at = |i: u32| Water::at(f64::from(i) * 0.01).unwrap();
        let densest = (0..=4000)
            .max_by(|&a, &b| at(a).density.total_cmp(&at(b).density))
            .unwrap();
        assert!((390..=405).contains(&densest), "{densest}");
        for i in 0..4000 {
            assert!(at(i + 1).dynamic_viscosity < at(i).dynamic_viscosity);
            assert!(at(i + 1).vapour_pressure > at(i).vapour_pressure);
        }
    }
}
