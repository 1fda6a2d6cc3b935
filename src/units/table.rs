//! The units that may be typed, with exact factors to SI.
//!
//! Factors are kept as a numerator and a denominator that are both exact in
//! binary, so that `25 mm` is the double nearest to 0.025 and not its
//! neighbour. Sources: SI Brochure, 9th edition; international foot and pound
//! agreement of 1959 (1 in = 25.4 mm, 1 lb = 0.45359237 kg); US gallon of
//! 231 in3; imperial gallon of 4.54609 L (Weights and Measures Act 1985).

use super::display::UnitSystem;
use crate::numerics::maths::Maths;

/// What a number with a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Length `[m]`.
    Length,
    /// Area `[m2]`.
    Area,
    /// Volume `[m3]`.
    Volume,
    /// Volume flow `[m3/s]`.
    Flow,
    /// Time `[s]`.
    Time,
    /// Temperature `[degC]`, the one quantity that is not kept in SI.
    Temperature,
    /// Power `[W]`.
    Power,
    /// Fall per length `[-]`.
    Slope,
    /// Speed `[m/s]`.
    Speed,
    /// Pressure `[Pa]`.
    Pressure,
    /// Price of electrical energy, currency of the owner `[1/kWh]`.
    EnergyPrice,
    /// Mass `[kg]`.
    Mass,
    /// Mass in a time, as of feed `[kg/s]`.
    MassFlow,
    /// Dissolved matter in a volume of water `[kg/m3]`.
    Concentration,
}

impl Quantity {
    /// All of them.
    pub const ALL: [Self; 14] = [
        Self::Length,
        Self::Area,
        Self::Volume,
        Self::Flow,
        Self::Time,
        Self::Temperature,
        Self::Power,
        Self::Slope,
        Self::Speed,
        Self::Pressure,
        Self::EnergyPrice,
        Self::Mass,
        Self::MassFlow,
        Self::Concentration,
    ];

    /// The name with its article, as in "that is a length".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Volume => "a volume",
            Self::Flow => "a flow",
            Self::Time => "a time",
            Self::Temperature => "a temperature",
            Self::Power => "a power",
            Self::Slope => "a slope",
            Self::Speed => "a speed",
            Self::Pressure => "a pressure",
            Self::EnergyPrice => "a price of energy",
            Self::Mass => "a mass",
            Self::MassFlow => "a mass in a time",
            Self::Concentration => "a concentration",
        }
    }

    /// Units to offer first, the most usual ones.
    pub const fn usual_units(self) -> &'static [&'static str] {
        match self {
            Self::Length => &["mm", "cm", "m", "in", "ft"],
            Self::Area => &["cm2", "m2", "in2", "ft2"],
            Self::Volume => &["L", "m3", "gal", "impgal"],
            Self::Flow => &["L/min", "L/h", "gal/min", "gal/h", "impgal/h"],
            Self::Time => &["s", "min", "h"],
            Self::Temperature => &["degC", "degF"],
            Self::Power => &["W"],
            Self::Slope => &["%", "in/ft", "mm/m"],
            Self::Speed => &["m/s", "ft/s"],
            Self::Pressure => &["bar", "kPa", "psi"],
            Self::EnergyPrice => &["EUR/kWh", "USD/kWh"],
            Self::Mass => &["g", "kg", "oz", "lb"],
            Self::MassFlow => &["g/day", "kg/day", "oz/day"],
            Self::Concentration => &["mg/L", "ppm", "gpg"],
        }
    }

    /// Two or three ways to write such a value.
    pub const fn examples(self) -> &'static str {
        match self {
            Self::Length => r#""0.3 m", "18 in", "1 1/2 in" or "7 ft 2 in""#,
            Self::Area => r#""60 cm2", "0.5 m2" or "9 in2""#,
            Self::Volume => r#""20 L", "0.2 m3" or "5 gal""#,
            Self::Flow => r#""5 L/min", "300 L/h" or "80 gal/h""#,
            Self::Time => r#""90 s", "15 min", "2 min 35 s" or "2 h""#,
            Self::Temperature => r#""20 degC" or "68 degF""#,
            Self::Power => r#""35 W""#,
            Self::Slope => r#""2 %", "1/4 in/ft" or "1:50""#,
            Self::Speed => r#""0.3 m/s" or "1 ft/s""#,
            Self::Pressure => r#""0.3 bar", "30 kPa" or "4.4 psi""#,
            Self::EnergyPrice => r#""0.30 EUR/kWh""#,
            Self::Mass => r#""500 g", "0.5 kg" or "1.1 lb""#,
            Self::MassFlow => r#""50 g/day" or "2 oz/day""#,
            Self::Concentration => r#""250 mg/L", "250 ppm" or "15 gpg""#,
        }
    }

    /// A value in its SI unit (temperature: degC) as text for a message: `25 mm`, `0.9843 in`.
    ///
    /// Six significant figures in metric units, four in US ones. Valid for any value.
    pub fn text(self, value: f64, system: UnitSystem) -> String {
        let us = system == UnitSystem::Us;
        let size = value.abs();
        let (per_si, unit) = match self {
            Self::Length if us && size > 3.1 => (1.0 / 0.3048, "ft"),
            Self::Length if us => (1.0 / 0.0254, "in"),
            // A plain zero takes the unit that people expect, not the smallest.
            Self::Length if size < 0.3 && value != 0.0 => (1e3, "mm"),
            Self::Length => (1.0, "m"),
            Self::Area if us && size > 0.2 => (1.0 / 0.092_903_04, "ft2"),
            Self::Area if us => (1.0 / 0.000_645_16, "in2"),
            Self::Area if size < 0.1 => (1e4, "cm2"),
            Self::Area => (1.0, "m2"),
            Self::Volume if us => (1.0 / 0.003_785_411_784, "gal"),
            Self::Volume if size < 1.0 => (1e3, "L"),
            Self::Volume => (1.0, "m3"),
            Self::Flow if us => (3600.0 / 0.003_785_411_784, "gal/h"),
            Self::Flow => (60_000.0, "L/min"),
            Self::Time if size < 120.0 => (1.0, "s"),
            Self::Time if size < 7200.0 => (1.0 / 60.0, "min"),
            Self::Time if size < 86_400.0 * 3.0 => (1.0 / 3600.0, "h"),
            Self::Time => (1.0 / 86_400.0, "days"),
            Self::Temperature if us => {
                return format!("{} degF", significant(value * 1.8 + 32.0, 4));
            }
            Self::Temperature => (1.0, "degC"),
            Self::Power => (1.0, "W"),
            Self::Slope => (100.0, "%"),
            Self::Speed => (1.0, "m/s"),
            Self::Pressure => (1e-5, "bar"),
            Self::EnergyPrice => (1.0, "per kWh"),
            Self::Mass if us => (1.0 / 0.453_592_37, "lb"),
            Self::Mass if size < 1.0 => (1e3, "g"),
            Self::Mass => (1.0, "kg"),
            Self::MassFlow if us => (86_400.0 / 0.028_349_523_125, "oz/day"),
            Self::MassFlow => (86_400e3, "g/day"),
            Self::Concentration => (1e3, "mg/L"),
        };
        format!(
            "{} {unit}",
            significant(value * per_si, if us { 4 } else { 6 })
        )
    }
}

/// A number rounded to so many significant figures, without trailing zeros.
///
/// Valid for any finite value and 1 to 15 figures; whole figures are never
/// rounded away. Other values print as Rust prints them.
pub fn significant(value: f64, figures: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{}", value + 0.0);
    }
    let magnitude = value.abs().log_decimal().floor();
    if !(-7.0..15.0).contains(&magnitude) {
        return format!("{value:e}");
    }
    let decimals = (f64::from(figures) - 1.0 - magnitude).max(0.0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A unit: `si = (value + offset) * numerator / denominator`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// What it measures.
    pub quantity: Quantity,
    numerator: f64,
    denominator: f64,
    offset: f64,
}

impl Unit {
    const fn new(quantity: Quantity, numerator: f64, denominator: f64) -> Self {
        Self {
            quantity,
            numerator,
            denominator,
            offset: 0.0,
        }
    }

    /// A value in this unit, in SI (temperature: degC). Valid for any value.
    pub fn to_si(self, value: f64) -> f64 {
        self.ratio_to_si(value, 1.0)
    }

    /// A fraction of this unit, in SI (temperature: degC). Valid for any fraction.
    ///
    /// Rounds once where both products are exact: 266/10 mm is the double nearest to 0.0266.
    pub fn ratio_to_si(self, over: f64, under: f64) -> f64 {
        // Adding zero turns a minus zero into a plain one.
        (over + self.offset * under) * self.numerator / (under * self.denominator) + 0.0
    }

    /// Whether one of this unit is larger than one of the other.
    pub(super) fn is_larger_than(self, other: Self) -> bool {
        self.to_si(1.0) > other.to_si(1.0)
    }
}

/// A row of the table: name as printed, other spellings, unit.
struct Row {
    name: &'static str,
    others: &'static [&'static str],
    unit: Unit,
}

const fn row(
    quantity: Quantity,
    name: &'static str,
    numerator: f64,
    denominator: f64,
    others: &'static [&'static str],
) -> Row {
    Row {
        name,
        others,
        unit: Unit::new(quantity, numerator, denominator),
    }
}

use Quantity::{
    Area, Concentration, EnergyPrice, Flow, Length, Mass, MassFlow, Power, Pressure, Slope, Speed,
    Temperature, Time, Volume,
};

const ROWS: &[Row] = &[
    row(
        Length,
        "mm",
        1.0,
        1e3,
        &["millimetre", "millimetres", "millimeter", "millimeters"],
    ),
    row(
        Length,
        "cm",
        1.0,
        1e2,
        &["centimetre", "centimetres", "centimeter", "centimeters"],
    ),
    row(
        Length,
        "m",
        1.0,
        1.0,
        &["metre", "metres", "meter", "meters"],
    ),
    row(
        Length,
        "in",
        127.0,
        5000.0,
        &["inch", "inches", "\"", "''", "″"],
    ),
    row(Length, "ft", 1524.0, 5000.0, &["foot", "feet", "'", "′"]),
    row(Length, "yd", 4572.0, 5000.0, &["yard", "yards"]),
    row(Area, "mm2", 1.0, 1e6, &["sqmm"]),
    row(Area, "cm2", 1.0, 1e4, &["sqcm"]),
    row(Area, "m2", 1.0, 1.0, &["sqm"]),
    row(Area, "in2", 64_516.0, 1e8, &["sqin"]),
    row(Area, "ft2", 9_290_304.0, 1e8, &["sqft"]),
    row(
        Volume,
        "mL",
        1.0,
        1e6,
        &[
            "cm3",
            "cc",
            "millilitre",
            "millilitres",
            "milliliter",
            "milliliters",
        ],
    ),
    row(
        Volume,
        "L",
        1.0,
        1e3,
        &["dm3", "litre", "litres", "liter", "liters"],
    ),
    row(Volume, "m3", 1.0, 1.0, &["cum"]),
    row(
        Volume,
        "gal",
        3_785_411_784.0,
        1e12,
        &["gallon", "gallons", "usgal"],
    ),
    row(
        Volume,
        "impgal",
        454_609.0,
        1e8,
        &["ukgal", "imperialgallon", "imperialgallons"],
    ),
    row(Volume, "qt", 946_352_946.0, 1e12, &["quart", "quarts"]),
    row(Volume, "in3", 16_387_064.0, 1e12, &["cuin"]),
    row(Volume, "ft3", 28_316_846_592.0, 1e12, &["cuft"]),
    row(Time, "s", 1.0, 1.0, &["sec", "secs", "second", "seconds"]),
    row(Time, "min", 60.0, 1.0, &["mins", "minute", "minutes"]),
    row(Time, "h", 3600.0, 1.0, &["hr", "hrs", "hour", "hours"]),
    row(Time, "day", 86_400.0, 1.0, &["days", "d"]),
    row(Temperature, "degC", 1.0, 1.0, &["°C", "C", "celsius"]),
    Row {
        name: "degF",
        others: &["°F", "F", "fahrenheit"],
        unit: Unit {
            quantity: Temperature,
            numerator: 5.0,
            denominator: 9.0,
            offset: -32.0,
        },
    },
    Row {
        name: "K",
        others: &["kelvin"],
        unit: Unit {
            quantity: Temperature,
            numerator: 1.0,
            denominator: 1.0,
            offset: -273.15,
        },
    },
    row(Power, "W", 1.0, 1.0, &["watt", "watts"]),
    row(Power, "kW", 1e3, 1.0, &[]),
    // 550 ft lbf/s = 550 * 0.3048 * 0.45359237 * 9.80665 W, exact by definition.
    row(Power, "hp", 745.699_871_582_270_2, 1.0, &[]),
    row(Slope, "%", 1.0, 100.0, &["percent"]),
    row(Pressure, "Pa", 1.0, 1.0, &[]),
    row(Pressure, "hPa", 100.0, 1.0, &["mbar"]),
    row(Pressure, "kPa", 1e3, 1.0, &[]),
    row(Pressure, "bar", 1e5, 1.0, &[]),
    // 0.45359237 * 9.80665 N over 0.0254^2 m2.
    row(Pressure, "psi", 4.448_221_615_260_5, 0.000_645_16, &[]),
    row(Flow, "L/min", 1.0, 6e4, &["lpm"]),
    row(Flow, "L/h", 1.0, 3.6e6, &["lph"]),
    row(Flow, "gal/min", 3_785_411_784.0, 6e13, &["gpm"]),
    row(Flow, "gal/h", 3_785_411_784.0, 3.6e15, &["gph"]),
    row(Flow, "gal/day", 3_785_411_784.0, 8.64e16, &["gpd"]),
    row(Mass, "mg", 1.0, 1e6, &["milligram", "milligrams"]),
    row(Mass, "g", 1.0, 1e3, &["gram", "grams"]),
    row(Mass, "kg", 1.0, 1.0, &["kilogram", "kilograms"]),
    row(Mass, "oz", 45_359_237.0, 16e8, &["ounce", "ounces"]),
    row(Mass, "lb", 45_359_237.0, 1e8, &["lbs", "pound", "pounds"]),
    // In water a part in a million is taken as a milligram in a litre.
    row(Concentration, "ppm", 1.0, 1e3, &[]),
    // A grain is 1/7000 lb: in a US gallon, as hardness is given.
    row(Concentration, "gpg", 17.118_061_045_270_94, 1e3, &[]),
];

/// Every spelling of a quantity's simple units.
pub fn simple_unit_spellings(quantity: Quantity) -> impl Iterator<Item = &'static str> {
    ROWS.iter()
        .filter(move |row| row.unit.quantity == quantity)
        .flat_map(|row| std::iter::once(row.name).chain(row.others.iter().copied()))
}

/// The two simple quantities whose quotient this is, as in flow = volume / time.
pub const fn quotient_of(quantity: Quantity) -> Option<(Quantity, Quantity)> {
    match quantity {
        Flow => Some((Volume, Time)),
        Speed => Some((Length, Time)),
        Slope => Some((Length, Length)),
        MassFlow => Some((Mass, Time)),
        Concentration => Some((Mass, Volume)),
        _ => None,
    }
}

/// The unit with this spelling: from the table, or a quotient such as `in3/min`.
///
/// Blanks must be gone. Case matters only where two spellings differ by it.
pub fn unit(spelling: &str) -> Option<Unit> {
    if let Some(found) = simple(spelling) {
        return Some(found);
    }
    let (over, under) = spelling.split_once('/')?;
    if under.eq_ignore_ascii_case("kwh") {
        return price(over);
    }
    let (over, under) = (simple(over)?, simple(under)?);
    let quantity = Quantity::ALL
        .into_iter()
        .find(|q| quotient_of(*q) == Some((over.quantity, under.quantity)))?;
    Some(Unit::new(
        quantity,
        over.numerator * under.denominator,
        over.denominator * under.numerator,
    ))
}

fn simple(spelling: &str) -> Option<Unit> {
    let matches = |same: fn(&str, &str) -> bool| {
        ROWS.iter().find(|row| {
            same(row.name, spelling) || row.others.iter().any(|other| same(other, spelling))
        })
    };
    matches(|a, b| a == b)
        .or_else(|| matches(str::eq_ignore_ascii_case))
        .map(|row| row.unit)
}

/// A currency per kWh: nothing, a sign, three capitals, or cents and pence.
fn price(currency: &str) -> Option<Unit> {
    match currency {
        "" | "$" | "€" | "£" => Some(Unit::new(EnergyPrice, 1.0, 1.0)),
        "ct" | "c" | "p" => Some(Unit::new(EnergyPrice, 1.0, 100.0)),
        code if code.len() == 3 && code.bytes().all(|b| b.is_ascii_uppercase()) => {
            Some(Unit::new(EnergyPrice, 1.0, 1.0))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn no_spelling_means_two_units_even_without_case() {
        let mut seen: Vec<(String, &str)> = Vec::new();
        for row in ROWS {
            for spelling in std::iter::once(&row.name).chain(row.others) {
                let lower = spelling.to_ascii_lowercase();
                assert!(
                    seen.iter()
                        .all(|(other, name)| *other != lower || *name == row.name),
                    "{spelling}"
                );
                seen.push((lower, row.name));
            }
        }
    }

    #[test]
    fn usual_units_and_the_names_in_examples_exist() {
        for quantity in Quantity::ALL {
            for name in quantity.usual_units() {
                assert_eq!(unit(name).unwrap().quantity, quantity, "{name}");
            }
        }
    }

    #[test]
    fn listed_flows_equal_their_quotients() {
        let flows = ROWS.iter().filter(|row| row.unit.quantity == Flow);
        for name in flows.map(|row| row.name) {
            let (over, under) = name.split_once('/').unwrap();
            let (over, under) = (simple(over).unwrap(), simple(under).unwrap());
            let quotient = over.to_si(1.0) / under.to_si(1.0);
            assert!(
                (unit(name).unwrap().to_si(1.0) / quotient - 1.0).abs() < 4e-16,
                "{name}"
            );
        }
    }

    #[test]
    fn significant_figures_read_as_people_write_them() {
        for (value, text) in [
            (0.0, "0"),
            (-0.0, "0"),
            (0.025, "0.025"),
            (1.0 / 3.0, "0.333333"),
            (100.0, "100"),
            (1_234_567.0, "1234567"),
            (-0.1 - 0.2, "-0.3"),
            (1e-9, "1e-9"),
            (1e300, "1e300"),
            (f64::NAN, "NaN"),
        ] {
            assert_eq!(significant(value, 6), text);
        }
    }
}
