//! Water that plants take up: reference evapotranspiration and crop figures.
//!
//! Most of a loop's losses in summer. Crop figures span a factor of two and
//! more; a week of topping up with a bucket tells more than any of them.

/// One day's weather as the reference equation wants it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DailyWeather {
    /// Highest air temperature `[degC]`.
    pub highest: f64,
    /// Lowest air temperature `[degC]`.
    pub lowest: f64,
    /// Pressure of the air's water vapour, mean of the day `[Pa]`.
    pub vapour_pressure: f64,
    /// Wind at 2 m height, mean of the day `[m/s]`.
    pub wind: f64,
    /// Net radiation at the crop, mean of the day `[W/m2]`.
    pub net_radiation: f64,
    /// Heat into the soil, mean of the day `[W/m2]`; 0 for single days.
    pub soil_heat: f64,
    /// Height above the sea `[m]`.
    pub altitude: f64,
}

/// Evapotranspiration of well-watered short grass `[m/s]` (metres of water).
///
/// Equation 6 of FAO Irrigation and Drainage Paper 56, Allen et al. 1998
/// (Penman and Monteith; from memory), with its equations 7, 8, 11 to 13 for
/// pressure, psychrometer constant, saturation and slope; daily means. A crop
/// takes its coefficient times this: tomato 0.6 young, 1.15 grown (FAO-56
/// table 12, from memory).
///
/// Valid outdoors, temperatures of 0 to 45 `[degC]`; under glass the wind term
/// does not hold. Never negative: dew is not counted.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::transpiration::{DailyWeather, reference_grass};
/// let day = DailyWeather {
///     highest: 21.5, lowest: 12.3, vapour_pressure: 1409.0, wind: 2.078,
///     net_radiation: 13.28e6 / 86_400.0, soil_heat: 0.0, altitude: 100.0,
/// };
/// let mm_a_day = reference_grass(&day) * 1000.0 * 86_400.0;
/// assert!((mm_a_day - 3.88).abs() < 0.005); // FAO-56, example 18
/// ```
pub fn reference_grass(day: &DailyWeather) -> f64 {
    // FAO-56 works in kPa, MJ/m2/day and mm/day.
    let saturation = |t: f64| 0.6108 * (17.27 * t / (t + 237.3)).exp();
    let mean = 0.5 * (day.highest + day.lowest);
    let slope = 4098.0 * saturation(mean) / (mean + 237.3).powi(2);
    let pressure = 101.3 * ((293.0 - 0.0065 * day.altitude) / 293.0).powf(5.26);
    let psychrometer = 0.665e-3 * pressure;
    let full = 0.5 * (saturation(day.highest) + saturation(day.lowest));
    let deficit = full - 1e-3 * day.vapour_pressure;
    let radiation = (day.net_radiation - day.soil_heat) * 0.0864;
    let by_sun = 0.408 * slope * radiation;
    let by_air = psychrometer * 900.0 / (mean + 273.0) * day.wind * deficit;
    let daily = (by_sun + by_air) / (slope + psychrometer * (1.0 + 0.34 * day.wind));
    (daily / 1000.0 / 86_400.0).max(0.0)
}

/// A grown crop under glass on a clear summer day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GreenhouseCrop {
    /// Tomato, cucumber and the like with a full canopy: 3 to 6 L/m2/day
    /// (Stanghellini 1987; Baille et al. 1994; FAO Plant Production and
    /// Protection Paper 217, 2013; from memory). In winter 0.5 to 1.5.
    Fruiting,
    /// Lettuce and leafy greens: 1 to 3 L/m2/day (the same FAO paper, from memory).
    Leafy,
}

impl GreenhouseCrop {
    /// Lowest and highest use `[m/s]` (m3/s per m2 of crop). Valid as the
    /// variant says: an order of size, not a design figure.
    pub fn use_in_summer(self) -> (f64, f64) {
        let (low, high) = match self {
            GreenhouseCrop::Fruiting => (3.0, 6.0),
            GreenhouseCrop::Leafy => (1.0, 3.0),
        };
        (low / 1000.0 / 86_400.0, high / 1000.0 / 86_400.0)
    }
}

/// Lowest and highest use of a grown greenhouse crop `[m/s]` from the global
/// radiation outside, mean of the day `[W/m2]`: 1.5 to 2.5 L/m2 for each
/// 10 MJ/m2.
///
/// Growers' irrigation rule less its drain share (Stanghellini; de Graaf;
/// from memory). Valid for a full canopy; in winter heating adds to it.
pub fn use_by_light(radiation: f64) -> (f64, f64) {
    // 1 L/m2 is 1e-3 m.
    (1.5e-3 / 10e6 * radiation, 2.5e-3 / 10e6 * radiation)
}

#[cfg(test)]
mod tests {
    use super::*;

    const DAY: DailyWeather = DailyWeather {
        highest: 26.0,
        lowest: 14.0,
        vapour_pressure: 1400.0,
        wind: 2.0,
        net_radiation: 150.0,
        soil_heat: 0.0,
        altitude: 100.0,
    };

    #[test]
    fn sun_wind_and_dry_air_take_more() {
        let base = reference_grass(&DAY);
        for more in [
            DailyWeather {
                net_radiation: 160.0,
                ..DAY
            },
            DailyWeather {
                soil_heat: -10.0,
                ..DAY
            },
            DailyWeather { wind: 2.5, ..DAY },
            DailyWeather {
                vapour_pressure: 1300.0,
                ..DAY
            },
        ] {
            assert!(reference_grass(&more) > base, "{more:?}");
        }
    }

    #[test]
    fn dew_is_not_counted() {
        let night = DailyWeather {
            net_radiation: -100.0,
            vapour_pressure: 2400.0,
            ..DAY
        };
        assert_eq!(reference_grass(&night), 0.0);
    }

    #[test]
    fn light_rule_and_crop_figures_agree_on_a_clear_day() {
        // A clear summer day brings 20 to 28 MJ/m2 in temperate latitudes
        // (common knowledge, no source): 3 to 7 L/m2.
        let (low, _) = use_by_light(20e6 / 86_400.0);
        let (_, high) = use_by_light(28e6 / 86_400.0);
        let (least, most) = GreenhouseCrop::Fruiting.use_in_summer();
        assert!((low / least - 1.0).abs() < 1e-12, "{low} {least}");
        assert!((1.0..1.2).contains(&(high / most)), "{high} {most}");
    }
}
