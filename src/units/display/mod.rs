//! Quantities as people read them, in the two systems they measure in.
//!
//! Every method takes an SI number and gives it back with its unit. A number
//! that is not finite is never printed as one: it reads "not known".
//! Conversion factors are exact by definition: 1 in = 0.0254 m, 1 US gal =
//! 231 in3, 1 lb = 0.45359237 kg, standard gravity 9.80665 m/s2
//! (NIST Special Publication 811, appendix B, from memory).

mod axes;
mod figures;
mod garden;
mod plain;
mod words;

pub(crate) use words::round_inches;

pub use plain::{capital, escaped_json, is_plain, join, markup, plain, plain_lines};

use figures::{
    NOT_KNOWN, at_least, feet, fixed, round, significant, sixteenths, trimmed, two_parts, with_unit,
};

/// Metres in an inch (exact).
const INCH: f64 = 0.0254;
/// Metres in a foot (exact).
const FOOT: f64 = 12.0 * INCH;
/// Cubic metres in a US gallon, 231 cubic inches (exact).
pub(super) const US_GALLON: f64 = 231.0 * INCH * INCH * INCH;
/// Kilograms in a pound (exact).
const POUND: f64 = 0.453_592_37;
/// Newtons in a pound-force (exact).
const POUND_FORCE: f64 = POUND * 9.806_65;

/// The units a report is written in. Calculations are SI throughout.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum UnitSystem {
    /// Millimetres, litres, kilopascals.
    #[default]
    Metric,
    /// Inches in sixteenths, US gallons, pounds.
    Us,
}

impl UnitSystem {
    /// A distance `[m]`: `225 mm`, from one metre up `1.25 m`; in US units to the
    /// nearest sixteenth, `8 7/8 in`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.length(0.225), "225 mm");
    /// assert_eq!(UnitSystem::Us.length(0.225425), "8 7/8 in");
    /// ```
    pub fn length(self, metres: f64) -> String {
        match self {
            Self::Us => sixteenths(metres),
            Self::Metric => {
                let millimetres = metres * 1000.0;
                // Judged after rounding: 999.6 mm would be printed as 1000 mm.
                if round(millimetres, 0).abs() >= 1000.0 {
                    with_unit(at_least(&trimmed(metres, 3), 2), "m")
                } else if round(millimetres, 1).abs() >= 10.0 {
                    with_unit(fixed(millimetres, 0), "mm")
                } else {
                    with_unit(trimmed(millimetres, 1), "mm")
                }
            }
        }
    }

    /// A height above the room's floor `[m]`: `1.175 m`, `46 1/4 in`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.elevation(1.175), "1.175 m");
    /// assert_eq!(UnitSystem::Us.elevation(1.175), "46 1/4 in");
    /// ```
    pub fn elevation(self, metres: f64) -> String {
        match self {
            Self::Us => sixteenths(metres),
            Self::Metric => with_unit(fixed(metres, 3), "m"),
        }
    }

    /// A bore of a pipe `[m]`: to a tenth of a millimetre or a hundredth of an inch.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.bore(0.02664), "26.6 mm");
    /// assert_eq!(UnitSystem::Us.bore(0.02664), "1.05 in");
    /// ```
    pub fn bore(self, metres: f64) -> String {
        match self {
            Self::Metric => with_unit(trimmed(metres * 1000.0, 1), "mm"),
            Self::Us => with_unit(trimmed(metres / INCH, 2), "in"),
        }
    }

    /// A flow of water `[m3/s]`: `9.8 L/min`, `2.6 gal/min`; two figures below one.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.flow(9.8e-3 / 60.0), "9.8 L/min");
    /// assert_eq!(UnitSystem::Us.flow(9.8e-3 / 60.0), "2.6 gal/min");
    /// assert_eq!(UnitSystem::Metric.flow(0.0), "0 L/min");
    /// ```
    pub fn flow(self, cubic_metres_per_second: f64) -> String {
        let (factor, unit) = self.flow_axis();
        let value = cubic_metres_per_second * factor;
        let figures = match round(value, 2).abs() {
            // What rounds to a hundred has no decimals.
            size if size >= 99.95 => fixed(value, 0),
            size if size >= 1.0 => fixed(value, 1),
            _ => significant(value, 2),
        };
        with_unit(figures, unit)
    }

    /// A volume of water `[m3]`: `54 L`, `14.3 gal`, three figures.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.volume(0.054), "54 L");
    /// assert_eq!(UnitSystem::Us.volume(0.054), "14.3 gal");
    /// ```
    pub fn volume(self, cubic_metres: f64) -> String {
        let (factor, unit) = self.volume_axis();
        with_unit(significant(cubic_metres * factor, 3), unit)
    }

    /// A span of time `[s]`: `3.2 s`, `42 s`, `17 min 20 s`, `4 h 10 min`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.time(1040.0), "17 min 20 s");
    /// assert_eq!(UnitSystem::Metric.time(15_000.0), "4 h 10 min");
    /// ```
    pub fn time(self, seconds: f64) -> String {
        if !seconds.is_finite() {
            return NOT_KNOWN.to_owned();
        }
        let size = seconds.abs();
        let sign = if seconds < 0.0 { "-" } else { "" };
        if round(size, 1) < 10.0 {
            return with_unit(trimmed(seconds, 1), "s");
        }
        let whole = size.round();
        if whole < 60.0 {
            return format!("{sign}{whole:.0} s");
        }
        if whole < 3600.0 {
            return format!("{sign}{}", two_parts(whole, 60.0, "min", "s"));
        }
        format!(
            "{sign}{}",
            two_parts((size / 60.0).round(), 60.0, "h", "min")
        )
    }

    /// A span of days `[s]`, whole from ten on: `12 days`, `2.5 days`; less than one as
    /// [`time`](Self::time) says it.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.days(216_000.0), "2.5 days");
    /// assert_eq!(UnitSystem::Metric.days(1_036_800.0), "12 days");
    /// assert_eq!(UnitSystem::Metric.days(15_000.0), "4 h 10 min");
    /// ```
    pub fn days(self, seconds: f64) -> String {
        let days = seconds / 86_400.0;
        if days < 1.0 || !days.is_finite() {
            return self.time(seconds);
        }
        match trimmed(days, usize::from(days < 9.95)) {
            Some(figure) if figure == "1" => "1 day".to_owned(),
            figure => with_unit(figure, "days"),
        }
    }

    /// A head of water `[m]`: `1.43 m`, `4.7 ft`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.head(1.43), "1.43 m");
    /// assert_eq!(UnitSystem::Us.head(1.43), "4.7 ft");
    /// ```
    pub fn head(self, metres: f64) -> String {
        match self {
            Self::Metric => with_unit(fixed(metres, 2), "m"),
            Self::Us => with_unit(feet(metres / FOOT), "ft"),
        }
    }

    /// A pressure `[Pa]`: `95 kPa`, `13.8 psi`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.pressure(95_000.0), "95 kPa");
    /// assert_eq!(UnitSystem::Us.pressure(95_000.0), "13.8 psi");
    /// ```
    pub fn pressure(self, pascals: f64) -> String {
        match self {
            Self::Metric => with_unit(significant(pascals / 1000.0, 3), "kPa"),
            Self::Us => with_unit(significant(pascals * INCH * INCH / POUND_FORCE, 3), "psi"),
        }
    }

    /// An area `[m2]`: `1.2 m2`, below a tenth of that `60 cm2`; `12.9 ft2`, below
    /// one `9.3 in2`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.area(0.006), "60 cm2");
    /// assert_eq!(UnitSystem::Us.area(1.2), "12.9 ft2");
    /// ```
    pub fn area(self, square_metres: f64) -> String {
        let (large, large_unit, small, small_unit) = match self {
            Self::Metric => (1.0, "m2", 1e-4, "cm2"),
            Self::Us => (FOOT * FOOT, "ft2", INCH * INCH, "in2"),
        };
        let from = match self {
            Self::Metric => 0.1,
            Self::Us => FOOT * FOOT,
        };
        if square_metres.abs() < from {
            with_unit(significant(square_metres / small, 3), small_unit)
        } else {
            with_unit(significant(square_metres / large, 3), large_unit)
        }
    }

    /// A velocity `[m/s]`: `0.82 m/s`, `2.7 ft/s`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.velocity(0.82), "0.82 m/s");
    /// assert_eq!(UnitSystem::Us.velocity(0.82), "2.7 ft/s");
    /// ```
    pub fn velocity(self, metres_per_second: f64) -> String {
        match self {
            Self::Metric => with_unit(fixed(metres_per_second, 2), "m/s"),
            Self::Us => with_unit(feet(metres_per_second / FOOT), "ft/s"),
        }
    }

    /// Flow over the surface it settles on [m3/s per m2]: `11 m3/h per m2`,
    /// `4.5 gal/min per ft2`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.surface_loading(11.0 / 3600.0), "11 m3/h per m2");
    /// assert_eq!(UnitSystem::Us.surface_loading(11.0 / 3600.0), "4.5 gal/min per ft2");
    /// ```
    pub fn surface_loading(self, metres_per_second: f64) -> String {
        match self {
            Self::Metric => with_unit(significant(metres_per_second * 3600.0, 3), "m3/h per m2"),
            Self::Us => with_unit(
                significant(metres_per_second * 60.0 / US_GALLON * FOOT * FOOT, 3),
                "gal/min per ft2",
            ),
        }
    }

    /// A load on a floor `[N/m2]`: `5.7 kN/m2`, `119 lb/ft2`.
    ///
    /// ```
    /// use ebbwright::units::UnitSystem;
    /// assert_eq!(UnitSystem::Metric.floor_load(5700.0), "5.7 kN/m2");
    /// assert_eq!(UnitSystem::Us.floor_load(5700.0), "119 lb/ft2");
    /// ```
    pub fn floor_load(self, newtons_per_square_metre: f64) -> String {
        match self {
            Self::Metric => with_unit(fixed(newtons_per_square_metre / 1000.0, 1), "kN/m2"),
            Self::Us => with_unit(
                fixed(newtons_per_square_metre * FOOT * FOOT / POUND_FORCE, 0),
                "lb/ft2",
            ),
        }
    }

    /// Electrical power `[W]`; watts in both systems.
    ///
    /// ```
    /// assert_eq!(ebbwright::units::UnitSystem::Us.power(38.0), "38 W");
    /// ```
    pub fn power(self, watts: f64) -> String {
        with_unit(significant(watts, 3), "W")
    }

    /// Electrical energy `[kWh]`; kilowatt-hours in both systems.
    ///
    /// ```
    /// assert_eq!(ebbwright::units::UnitSystem::Us.energy(0.912), "0.91 kWh");
    /// ```
    pub fn energy(self, kilowatt_hours: f64) -> String {
        with_unit(trimmed(kilowatt_hours, 2), "kWh")
    }

    /// A share `[-]` as a percentage: `43 %`; one decimal below ten.
    ///
    /// ```
    /// assert_eq!(ebbwright::units::UnitSystem::Metric.percent(0.43), "43 %");
    /// ```
    pub fn percent(self, share: f64) -> String {
        let value = share * 100.0;
        let decimals = if round(value, 1).abs() < 10.0 { 1 } else { 0 };
        with_unit(trimmed(value, decimals), "%")
    }

    /// How often `[1/h]`: `2.4 per hour`.
    ///
    /// ```
    /// assert_eq!(ebbwright::units::UnitSystem::Metric.per_hour(2.4), "2.4 per hour");
    /// ```
    pub fn per_hour(self, times: f64) -> String {
        with_unit(significant(times, 2), "per hour")
    }
}

/// `5.5 to 9.0 L/min`: two printed figures that share their unit name it once.
///
/// ```
/// use ebbwright::units::display::between;
/// assert_eq!(between("5.5 L/min", "to", "9.0 L/min"), "5.5 to 9.0 L/min");
/// assert_eq!(between("999 mm", "to", "1.00 m"), "999 mm to 1.00 m");
/// ```
pub fn between(low: &str, word: &str, high: &str) -> String {
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((figure, unit)), Some((_, other)))
            if unit == other && figure.parse::<f64>().is_ok() && !unit.contains(' ') =>
        {
            format!("{figure} {word} {high}")
        }
        _ => format!("{low} {word} {high}"),
    }
}

/// `40 to 50 g/m2 a day`: the same for two figures by the day.
///
/// ```
/// use ebbwright::units::display::between_a_day;
/// assert_eq!(between_a_day("48 g a day", "60 g a day"), "48 to 60 g a day");
/// ```
pub fn between_a_day(low: &str, high: &str) -> String {
    match (low.strip_suffix(" a day"), high.strip_suffix(" a day")) {
        (Some(low), Some(high)) => format!("{} a day", between(low, "to", high)),
        _ => between(low, "to", high),
    }
}

#[cfg(test)]
mod tests {
    use super::UnitSystem::{Metric, Us};
    use super::*;

    const L_PER_MIN: f64 = 1e-3 / 60.0;

    #[test]
    fn factors_are_the_exact_ones() {
        // 1 US gal = 3.785411784 L, 1 psi = 6894.757293168 Pa,
        // 1 lbf/ft2 = 47.88025898 Pa: NIST SP 811 appendix B (from memory).
        assert!((US_GALLON - 3.785_411_784e-3).abs() < 1e-15);
        assert!((POUND_FORCE / INCH / INCH - 6_894.757_293_168).abs() < 1e-6);
        assert!((POUND_FORCE / FOOT / FOOT - 47.880_258_98).abs() < 1e-7);
        assert_eq!(Metric.flow_axis().0, 60_000.0);
        assert!((Us.flow_axis().0 * US_GALLON - 60.0).abs() < 1e-12);
        assert!((Us.length_axis().0 * 0.0254 - 1.0).abs() < 1e-15);
        assert!((Us.head_axis().0 * 0.3048 - 1.0).abs() < 1e-15);
        assert_eq!(Us.length_axis().0, Us.elevation_axis().0);
    }

    #[test]
    fn lengths_carry_into_the_next_unit() {
        assert_eq!(Us.length(15.97 * INCH), "16 in");
        assert_eq!(Us.length(15.96 * INCH), "15 15/16 in");
        assert_eq!(Us.length(-15.97 * INCH), "-16 in");
        assert_eq!(Us.length(0.5 * INCH), "1/2 in");
        assert_eq!(Us.length(-0.25 * INCH), "-1/4 in");
        assert_eq!(Us.length(1.0 / 40.0 * INCH), "0 in");
        assert_eq!(Us.length(-1.0 / 40.0 * INCH), "0 in");
        assert_eq!(Us.length(1.0 / 30.0 * INCH), "1/16 in");
        assert_eq!(Us.length(0.095 * INCH), "1/8 in");
        assert_eq!(Metric.length(0.9994), "999 mm");
        assert_eq!(Metric.length(0.9996), "1.00 m");
        assert_eq!(Metric.length(1.25), "1.25 m");
        assert_eq!(Metric.length(1.2537), "1.254 m");
        assert_eq!(Metric.length(-0.05), "-50 mm");
        assert_eq!(Metric.length(0.0035), "3.5 mm");
        assert_eq!(Metric.length(0.009_97), "10 mm");
        assert_eq!(Metric.length(0.000_04), "0 mm");
        assert_eq!(Metric.length(-0.000_04), "0 mm");
        assert_eq!(Metric.length(0.0), "0 mm");
    }

    #[test]
    fn elevations_keep_the_millimetre() {
        assert_eq!(Metric.elevation(0.95), "0.950 m");
        assert_eq!(Metric.elevation(0.0), "0 m");
        assert_eq!(Metric.elevation(-0.0002), "0 m");
        assert_eq!(Metric.elevation(-0.12), "-0.120 m");
        assert_eq!(Us.elevation(90.5 * INCH), "90 1/2 in");
    }

    #[test]
    fn flows_show_what_a_bucket_can_tell() {
        assert_eq!(Metric.flow(9.96 * L_PER_MIN), "10.0 L/min");
        assert_eq!(Metric.flow(99.97 * L_PER_MIN), "100 L/min");
        assert_eq!(Metric.flow(99.94 * L_PER_MIN), "99.9 L/min");
        assert_eq!(Metric.flow(0.456 * L_PER_MIN), "0.46 L/min");
        assert_eq!(Metric.flow(0.998 * L_PER_MIN), "1.0 L/min");
        assert_eq!(Metric.flow(0.0028 * L_PER_MIN), "0.0028 L/min");
        assert_eq!(Metric.flow(1e-20), "0 L/min");
        assert_eq!(Metric.flow(-1e-20), "0 L/min");
        assert_eq!(Metric.flow(-3.21 * L_PER_MIN), "-3.2 L/min");
        assert_eq!(Us.flow(US_GALLON / 60.0), "1.0 gal/min");
    }

    #[test]
    fn volumes_keep_three_figures_and_whole_litres() {
        assert_eq!(Metric.volume(1.2345), "1235 L");
        assert_eq!(Metric.volume(9.996e-3), "10 L");
        assert_eq!(Metric.volume(0.0999), "99.9 L");
        assert_eq!(Metric.volume(1e-9), "0 L");
        assert_eq!(Us.volume(US_GALLON), "1 gal");
        assert_eq!(Metric.volume(-0.0025), "-2.5 L");
    }

    #[test]
    fn times_carry_and_drop_idle_parts() {
        let t = |s| Metric.time(s);
        assert_eq!(t(0.0), "0 s");
        assert_eq!(t(3.24), "3.2 s");
        assert_eq!(t(9.97), "10 s");
        assert_eq!(t(59.4), "59 s");
        assert_eq!(t(59.6), "1 min");
        assert_eq!(t(61.0), "1 min 1 s");
        assert_eq!(t(3599.6), "1 h");
        assert_eq!(t(3599.4), "59 min 59 s");
        assert_eq!(t(7199.0), "2 h");
        assert_eq!(t(172_800.0), "48 h");
        assert_eq!(t(-75.0), "-1 min 15 s");
        assert_eq!(t(-0.01), "0 s");
    }

    #[test]
    fn other_quantities_read_naturally() {
        assert_eq!(Metric.head(-0.004), "0 m");
        assert_eq!(Us.head(0.05), "0.16 ft");
        assert_eq!(Us.head(0.999 * FOOT), "1.0 ft");
        assert_eq!(Metric.pressure(101_325.0), "101 kPa");
        assert_eq!(Us.pressure(101_325.0), "14.7 psi");
        assert_eq!(Metric.area(0.0999), "999 cm2");
        assert_eq!(Metric.area(1.0), "1 m2");
        assert_eq!(Us.area(0.006), "9.3 in2");
        assert_eq!(Metric.percent(1.0), "100 %");
        assert_eq!(Metric.percent(0.0996), "10 %");
        assert_eq!(Metric.percent(0.005), "0.5 %");
        assert_eq!(Metric.percent(-0.25), "-25 %");
        assert_eq!(Metric.power(38.456), "38.5 W");
        assert_eq!(Metric.energy(0.0), "0 kWh");
        assert_eq!(Metric.per_hour(0.5), "0.5 per hour");
        assert_eq!(Metric.floor_load(0.0), "0 kN/m2");
    }

    #[test]
    fn what_is_not_a_number_is_not_printed_as_one() {
        for units in [Metric, Us] {
            for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                for text in [
                    units.length(value),
                    units.bore(value),
                    units.elevation(value),
                    units.flow(value),
                    units.volume(value),
                    units.time(value),
                    units.head(value),
                    units.pressure(value),
                    units.area(value),
                    units.velocity(value),
                    units.surface_loading(value),
                    units.floor_load(value),
                    units.power(value),
                    units.energy(value),
                    units.percent(value),
                    units.per_hour(value),
                    units.mass(value),
                    units.feed(value),
                    units.area_feed(value),
                    units.stocking(value),
                    units.dissolved(value),
                    units.bulk(value),
                ] {
                    assert_eq!(text, "not known");
                }
            }
        }
    }

    #[test]
    fn inches_stay_within_half_a_step_of_the_truth() {
        for millimetres in 0..3000_i32 {
            let metres = f64::from(millimetres) / 1000.0;
            let text = Us.length(metres);
            let inches: f64 = text
                .trim_end_matches(" in")
                .split(' ')
                .map(|word| match word.split_once('/') {
                    Some((part, of)) => {
                        part.parse::<f64>().unwrap_or(f64::NAN)
                            / of.parse::<f64>().unwrap_or(f64::NAN)
                    }
                    None => word.parse().unwrap_or(f64::NAN),
                })
                .sum();
            assert!(
                (inches * INCH - metres).abs() <= INCH / 32.0 + 1e-12,
                "{text}"
            );
        }
    }

    #[test]
    fn a_shared_unit_is_named_once() {
        assert_eq!(between("5.5 L/min", "to", "9.0 L/min"), "5.5 to 9.0 L/min");
        assert_eq!(between("999 mm", "to", "1.00 m"), "999 mm to 1.00 m");
        assert_eq!(
            between("1 1/2 in", "to", "2 1/2 in"),
            "1 1/2 in to 2 1/2 in"
        );
        assert_eq!(between("2 min", "to", "2 min 5 s"), "2 min to 2 min 5 s");
        assert_eq!(
            between("not known", "to", "not known"),
            "not known to not known"
        );
    }
}
