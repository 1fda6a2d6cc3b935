//! Fish, feed, gravel and what is dissolved, as people read them.

use super::figures::{significant, with_unit};
use super::{FOOT, POUND, US_GALLON, UnitSystem};

impl UnitSystem {
    /// A mass `[kg]`: `500 g`, `10 kg`; `1.1 lb`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.mass(0.5), "500 g");
    /// assert_eq!(UnitSystem::Us.mass(0.5), "1.1 lb");
    /// ```
    pub fn mass(self, kilograms: f64) -> String {
        match self {
            Self::Us => with_unit(significant(kilograms / POUND, 3), "lb"),
            Self::Metric if kilograms.abs() < 1.0 => {
                with_unit(significant(kilograms * 1000.0, 3), "g")
            }
            Self::Metric => with_unit(significant(kilograms, 3), "kg"),
        }
    }

    /// Feed `[kg/s]`: `100 g a day`, `3.5 oz a day`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.feed(0.1 / 86_400.0), "100 g a day");
    /// assert_eq!(UnitSystem::Us.feed(0.1 / 86_400.0), "3.5 oz a day");
    /// ```
    pub fn feed(self, kilograms_per_second: f64) -> String {
        let day = 86_400.0 * kilograms_per_second;
        match self {
            Self::Metric => with_unit(significant(day * 1000.0, 2), "g a day"),
            Self::Us => with_unit(significant(day / POUND * 16.0, 2), "oz a day"),
        }
    }

    /// Feed on an area of bed [kg/(m2 s)]: `40 g/m2 a day`, `0.13 oz/ft2 a day`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.area_feed(0.04 / 86_400.0), "40 g/m2 a day");
    /// assert_eq!(UnitSystem::Us.area_feed(0.04 / 86_400.0), "0.13 oz/ft2 a day");
    /// ```
    pub fn area_feed(self, kilograms_per_area_second: f64) -> String {
        let day = 86_400.0 * kilograms_per_area_second;
        match self {
            Self::Metric => with_unit(significant(day * 1000.0, 2), "g/m2 a day"),
            Self::Us => with_unit(
                significant(day / POUND * 16.0 * FOOT * FOOT, 2),
                "oz/ft2 a day",
            ),
        }
    }

    /// Mass of fish in water `[kg/m3]`: `20 kg/m3`, `0.17 lb/gal`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.stocking(20.0), "20 kg/m3");
    /// assert_eq!(UnitSystem::Us.stocking(20.0), "0.17 lb/gal");
    /// ```
    pub fn stocking(self, kilograms_per_cubic_metre: f64) -> String {
        match self {
            Self::Metric => with_unit(significant(kilograms_per_cubic_metre, 2), "kg/m3"),
            Self::Us => with_unit(
                significant(kilograms_per_cubic_metre * US_GALLON / POUND, 2),
                "lb/gal",
            ),
        }
    }

    /// Dissolved matter `[kg/m3]`; milligrams in a litre in both systems.
    ///
    /// ```
    /// assert_eq!(ebbwright::units::UnitSystem::Us.dissolved(0.25), "250 mg/L");
    /// ```
    pub fn dissolved(self, kilograms_per_cubic_metre: f64) -> String {
        with_unit(significant(kilograms_per_cubic_metre * 1000.0, 2), "mg/L")
    }

    /// Loose goods by volume `[m3]`: `0.72 m3`, `0.94 yd3`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.bulk(0.72), "0.72 m3");
    /// assert_eq!(UnitSystem::Us.bulk(0.72), "0.94 yd3");
    /// ```
    pub fn bulk(self, cubic_metres: f64) -> String {
        match self {
            Self::Metric => with_unit(significant(cubic_metres, 2), "m3"),
            Self::Us => with_unit(
                significant(cubic_metres / (27.0 * FOOT * FOOT * FOOT), 2),
                "yd3",
            ),
        }
    }
}
