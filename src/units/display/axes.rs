//! Units and factors of the axes of charts, and lengths finer than a tape in those.

use super::{FOOT, INCH, US_GALLON, UnitSystem};

impl UnitSystem {
    /// Factor from metres, and unit, for an axis of lengths.
    pub fn length_axis(self) -> (f64, &'static str) {
        match self {
            Self::Metric => (1000.0, "mm"),
            Self::Us => (1.0 / INCH, "in"),
        }
    }

    /// A length with one decimal more than a tape shows.
    pub(crate) fn fine_length(self, metres: f64) -> String {
        let (factor, unit) = self.length_axis();
        let (decimals, scale) = match self {
            Self::Metric => (1, 10.0),
            Self::Us => (2, 100.0),
        };
        // Adding zero turns a negative zero into a plain one.
        let value = (metres * factor * scale).round() / scale + 0.0;
        format!("{value:.decimals$} {unit}")
    }

    /// Factor from metres, and unit, for an axis of elevations.
    pub fn elevation_axis(self) -> (f64, &'static str) {
        match self {
            Self::Metric => (1.0, "m"),
            Self::Us => (1.0 / INCH, "in"),
        }
    }

    /// Factor from cubic metres per second, and unit, for an axis of flows.
    pub fn flow_axis(self) -> (f64, &'static str) {
        match self {
            Self::Metric => (60_000.0, "L/min"),
            Self::Us => (60.0 / US_GALLON, "gal/min"),
        }
    }

    /// Factor from metres, and unit, for an axis of heads.
    pub fn head_axis(self) -> (f64, &'static str) {
        match self {
            Self::Metric => (1.0, "m"),
            Self::Us => (1.0 / FOOT, "ft"),
        }
    }

    /// Factor from cubic metres, and unit, for an axis of volumes.
    pub fn volume_axis(self) -> (f64, &'static str) {
        match self {
            Self::Metric => (1000.0, "L"),
            Self::Us => (1.0 / US_GALLON, "gal"),
        }
    }
}
