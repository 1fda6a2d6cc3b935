//! Numbers with units: hand values, refusals, and what must hold for any number.

use ebbwright::units::UnitSystem;
use ebbwright::units::parse::{QuantityError, parse};
use ebbwright::units::pattern::pattern;
use ebbwright::units::table::{Quantity, simple_unit_spellings, unit};
use proptest::prelude::*;
use regex::Regex;

use Quantity::{
    Area, EnergyPrice, Flow, Length, Power, Pressure, Slope, Speed, Temperature, Time, Volume,
};

/// Conversions of NIST Special Publication 811 (2008), appendix B.8, to its
/// seven figures; from memory. Those marked exact there are given in full.
const PUBLISHED: &[(&str, Quantity, f64)] = &[
    ("1 in", Length, 0.0254),
    ("1 ft", Length, 0.3048),
    ("1 yd", Length, 0.9144),
    ("1 in2", Area, 6.4516e-4),
    ("1 ft2", Area, 9.290_304e-2),
    ("1 gal", Volume, 3.785_412e-3),
    ("1 impgal", Volume, 4.54609e-3),
    ("1 qt", Volume, 9.463_529e-4),
    ("1 in3", Volume, 1.638_706e-5),
    ("1 ft3", Volume, 2.831_685e-2),
    ("1 L", Volume, 1e-3),
    ("1 gal/min", Flow, 6.309_020e-5),
    ("1 gal/day", Flow, 4.381_264e-8),
    ("1 ft3/s", Flow, 2.831_685e-2),
    ("1 h", Time, 3600.0),
    ("1 day", Time, 86_400.0),
    ("68 degF", Temperature, 20.0),
    ("-40 degF", Temperature, -40.0),
    ("273.15 K", Temperature, 0.0),
    ("1 hp", Power, 745.6999),
    ("1 psi", Pressure, 6894.757),
    ("1 bar", Pressure, 1e5),
    ("1 mbar", Pressure, 100.0),
];

/// Worked by hand.
const BY_HAND: &[(&str, Quantity, f64)] = &[
    ("18 in", Length, 0.4572),
    ("1 1/2 in", Length, 0.0381),
    ("1-1/2 in", Length, 0.0381),
    ("1.5in", Length, 0.0381),
    ("1½ in", Length, 0.0381),
    ("½\"", Length, 0.0127),
    ("3/4 in", Length, 0.01905),
    ("-3/4 in", Length, -0.01905),
    ("-½ in", Length, -0.0127),
    ("-1 1/2 in", Length, -0.0381),
    ("7 ft 2 in", Length, 2.1844),
    ("7 ft 2 1/2 in", Length, 2.1971),
    ("7 ft. 2 in.", Length, 2.1844),
    ("7ft2in", Length, 2.1844),
    ("5' 3\"", Length, 1.6002),
    ("5'3\"", Length, 1.6002),
    ("5′ 3″", Length, 1.6002),
    ("-1 ft 6 in", Length, -0.4572),
    ("1 m 20 cm", Length, 1.2),
    (" 0.3  m ", Length, 0.3),
    (".3 m", Length, 0.3),
    ("3. m", Length, 3.0),
    ("+3 m", Length, 3.0),
    ("25e-3 m", Length, 0.025),
    ("25 mm", Length, 0.025),
    ("26.6 mm", Length, 0.0266),
    ("2 feet", Length, 0.6096),
    ("60 cm2", Area, 0.006),
    ("60 cm²", Area, 0.006),
    ("60 sq cm", Area, 0.006),
    ("20 litres", Volume, 0.02),
    ("5 imp gal", Volume, 0.022_730_45),
    ("300 gal/h", Flow, 3.154_509_82e-4),
    ("300 gph", Flow, 3.154_509_82e-4),
    ("300 gallons per hour", Flow, 3.154_509_82e-4),
    ("5 L/min", Flow, 8.333_333_333_333_333e-5),
    ("5 lpm", Flow, 8.333_333_333_333_333e-5),
    ("5 l / min", Flow, 8.333_333_333_333_333e-5),
    ("1 m3/h", Flow, 1.0 / 3600.0),
    ("1 m³/h", Flow, 1.0 / 3600.0),
    ("4 L/day", Flow, 4.629_629_629_629_63e-8),
    ("15 min", Time, 900.0),
    ("2 min 35 s", Time, 155.0),
    ("1 h 30 min", Time, 5400.0),
    ("1 1/2 h", Time, 5400.0),
    ("20 degC", Temperature, 20.0),
    ("20 °C", Temperature, 20.0),
    ("20 C", Temperature, 20.0),
    ("35 W", Power, 35.0),
    ("2 %", Slope, 0.02),
    ("1/4 in/ft", Slope, 0.25 / 12.0),
    ("1/4 in / ft", Slope, 0.25 / 12.0),
    ("1/4 in per ft", Slope, 0.25 / 12.0),
    ("20 mm/m", Slope, 0.02),
    ("1:50", Slope, 0.02),
    ("1 in 50", Slope, 0.02),
    ("0.3 m/s", Speed, 0.3),
    ("0.30 EUR/kWh", EnergyPrice, 0.30),
    ("0.30 per kWh", EnergyPrice, 0.30),
    ("30 ct/kWh", EnergyPrice, 0.30),
];

#[test]
fn published_conversion_factors_hold() {
    for &(text, quantity, si) in PUBLISHED {
        let read = parse(text, quantity).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!(
            (read - si).abs() <= 5e-7 * si.abs() + 1e-12 * f64::from(quantity == Temperature),
            "{text} gave {read}, not {si}"
        );
    }
}

#[test]
fn values_worked_by_hand_are_read() {
    for &(text, quantity, si) in BY_HAND {
        let read = parse(text, quantity).unwrap_or_else(|e| panic!("{text}: {e}"));
        assert!(
            (read - si).abs() <= 1e-9 * si.abs(),
            "{text} gave {read}, not {si}"
        );
    }
}

/// A decimal in metric units is the nearest double, as if it had been written in metres.
#[test]
fn metric_values_carry_no_rounding_of_their_own() {
    for tenths in 1..20_000 {
        let text = format!("{}.{} mm", tenths / 10, tenths % 10);
        let metres: f64 = format!("{tenths}e-4").parse().unwrap();
        assert_eq!(parse(&text, Length).unwrap(), metres, "{text}");
    }
}

#[test]
fn the_same_length_in_feet_or_inches_is_the_same_number() {
    for inches in 1..1000 {
        let parts = format!("{} ft {} in", inches / 12, inches % 12);
        let whole = parse(&format!("{inches} in"), Length).unwrap();
        let read = parse(&parts, Length).unwrap();
        assert!(
            (read - whole).abs() <= 4.0 * f64::EPSILON * whole,
            "{parts}"
        );
    }
}

#[test]
fn what_could_be_read_in_two_ways_is_refused() {
    type Refused = fn(&QuantityError) -> bool;
    let separator: Refused = |e| matches!(e, QuantityError::Separator { .. });
    let not_finite: Refused = |e| matches!(e, QuantityError::NotFinite { .. });
    let not_a_number: Refused = |e| matches!(e, QuantityError::NotANumber { .. });
    let fraction: Refused = |e| matches!(e, QuantityError::Fraction { .. });
    let character: Refused = |e| matches!(e, QuantityError::Character { .. });
    let no_unit: Refused = |e| matches!(e, QuantityError::NoUnit { .. });
    let unknown: Refused = |e| matches!(e, QuantityError::UnknownUnit { .. });
    let parts: Refused = |e| matches!(e, QuantityError::Parts { .. });
    let cases: &[(&str, Quantity, Refused)] = &[
        ("1,000 L/h", Flow, separator),
        ("0,5 m", Length, separator),
        ("1 000 L/h", Flow, separator),
        ("1_000 L/h", Flow, separator),
        ("nan m", Length, not_finite),
        ("-inf m", Length, not_finite),
        ("Infinity m", Length, not_finite),
        ("1e999 m", Length, not_finite),
        ("1e308 day", Time, not_finite),
        ("deep", Length, not_a_number),
        ("--5 m", Length, not_a_number),
        (". m", Length, not_a_number),
        ("m", Length, not_a_number),
        ("1/0 in", Length, fraction),
        ("1 1/0 in", Length, fraction),
        ("1 5/4 in", Length, fraction),
        ("1:0", Slope, fraction),
        ("−5 m", Length, character),
        ("5“", Length, character),
        ("５ m", Length, character),
        ("5\u{200b} m", Length, character),
        ("5", Length, no_unit),
        ("1/2", Length, no_unit),
        ("5 ft 2", Length, no_unit),
        ("5 cubit", Length, unknown),
        ("5 m 3 L", Length, unknown),
        ("5 L 3 mL", Volume, unknown),
        ("5 m m", Length, |_| false),
        ("2 in 7 ft", Length, parts),
        ("5 ft 12 in", Length, parts),
        ("5 ft 3 ft", Length, parts),
        ("1 h 90 min", Time, parts),
        ("", Length, |e| matches!(e, QuantityError::Empty)),
        ("   ", Length, |e| matches!(e, QuantityError::Empty)),
    ];
    for (text, quantity, expected) in cases {
        match parse(text, *quantity) {
            Err(error) => assert!(expected(&error), "{text}: {error:?}"),
            // `5 m m` reads as 5 mm: blanks inside a unit do not count.
            Ok(value) => assert_eq!((*text, value), ("5 m m", 0.005)),
        }
    }
}

#[test]
fn a_unit_of_something_else_is_named_as_such() {
    for quantity in Quantity::ALL {
        for other in Quantity::ALL {
            for name in other.usual_units() {
                let read = parse(&format!("5 {name}"), quantity);
                if quantity == other {
                    assert!(read.is_ok(), "{name} as {quantity:?}");
                } else {
                    let expected = QuantityError::WrongQuantity {
                        unit: (*name).to_owned(),
                        found: other,
                        wanted: quantity,
                    };
                    assert_eq!(read, Err(expected));
                }
            }
        }
    }
}

#[test]
fn examples_and_printed_values_are_read_back() {
    for quantity in Quantity::ALL {
        for example in quantity.examples().split('"').skip(1).step_by(2) {
            assert!(parse(example, quantity).is_ok(), "{example}");
        }
        for system in [UnitSystem::Metric, UnitSystem::Us] {
            for si in [0.0, 1e-3, 0.0254, 0.3, 1.0, 2.5, 17.0, 100.0, 5e3] {
                let text = quantity.text(si, system);
                let read = parse(&text, quantity).unwrap_or_else(|e| panic!("{text}: {e}"));
                // Four figures in US units, plus the offset of degF.
                assert!(
                    (read - si).abs()
                        <= 6e-4 * si.abs() + 0.03 * f64::from(quantity == Temperature),
                    "{text}"
                );
            }
        }
    }
}

#[test]
fn near_misses_get_a_suggestion() {
    for (text, quantity, meant) in [
        ("5 inchs", Length, "inch"),
        ("5 meterz", Length, "meter"),
        ("5 gallns", Volume, "gallons"),
        ("5 L/mim", Flow, "min"),
        ("5 minuts", Time, "minute"),
    ] {
        let error = parse(text, quantity).unwrap_err();
        assert!(
            error.help(quantity).contains(&format!("'{meant}'")),
            "{text}: {}",
            error.help(quantity)
        );
    }
}

fn every_unit() -> Vec<(Quantity, String)> {
    let mut all: Vec<(Quantity, String)> = Quantity::ALL
        .into_iter()
        .flat_map(|q| simple_unit_spellings(q).map(move |name| (q, name.to_owned())))
        .collect();
    for over in simple_unit_spellings(Volume) {
        for under in simple_unit_spellings(Time) {
            all.push((Flow, format!("{over}/{under}")));
        }
    }
    for over in simple_unit_spellings(Length) {
        for under in simple_unit_spellings(Length) {
            all.push((Slope, format!("{over}/{under}")));
        }
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: Some(Box::new(proptest::test_runner::FileFailurePersistence::WithSource("seeds"))),
        ..ProptestConfig::default()
    })]

    /// Any number in any unit: what is written is what is read.
    #[test]
    fn numbers_in_every_unit_are_read_as_written(value in -1e9..1e9f64, pick in 0usize..1000) {
        let units = every_unit();
        let (quantity, name) = &units[pick % units.len()];
        let si = unit(name).unwrap().to_si(value);
        let read = parse(&format!("{value} {name}"), *quantity).unwrap();
        // Temperatures subtract an offset, which magnifies the last digit near zero.
        prop_assert!((read - si).abs() <= 4.0 * f64::EPSILON * (si.abs() + 300.0 * f64::from(*quantity == Temperature)));
    }

    #[test]
    fn fractions_are_read_as_written(whole in 0u32..1000, above in 1u32..64, below in 2u32..65) {
        prop_assume!(above < below);
        let inches = f64::from(whole) + f64::from(above) / f64::from(below);
        for text in [format!("{whole} {above}/{below} in"), format!("{whole}-{above}/{below} in")] {
            let read = parse(&text, Length).unwrap();
            prop_assert!((read - inches * 0.0254).abs() <= 4.0 * f64::EPSILON * read);
        }
    }

    /// No text makes the parser panic or read a value that is not finite.
    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,90}") {
        for quantity in Quantity::ALL {
            if let Ok(value) = parse(&text, quantity) {
                prop_assert!(value.is_finite());
            }
        }
    }

    /// The same for texts that look like quantities; and an editor that
    /// accepts one by the schema's pattern never promises too much.
    #[test]
    fn text_of_the_right_letters_is_read_or_refused(text in "[-+0-9 ./:'\"½a-zµ°%3²]{0,16}") {
        for quantity in Quantity::ALL {
            let read = parse(&text, quantity);
            if let Ok(value) = &read {
                prop_assert!(value.is_finite());
            }
        }
    }

    /// Texts drawn from the schema's pattern are read, but for sums of parts in
    /// the wrong order, fractions that are none, and numbers past all bounds.
    #[test]
    fn the_pattern_promises_only_what_is_read((quantity, text) in drawn_from_a_pattern()) {
        match parse(&text, quantity) {
            Ok(_) => {}
            Err(
                QuantityError::Parts { .. }
                | QuantityError::Fraction { .. }
                | QuantityError::NotFinite { .. }
                | QuantityError::TooLong { .. }
                // A blank before three digits of a second part, as in `1 ft 200 in`, does not separate; `1 000/7 in` might.
                | QuantityError::Separator { .. },
            ) => {}
            Err(error) => prop_assert!(false, "{text:?}: {error}"),
        }
    }
}

fn drawn_from_a_pattern() -> impl Strategy<Value = (Quantity, String)> {
    (0..Quantity::ALL.len()).prop_flat_map(|i| {
        let quantity = Quantity::ALL[i];
        let plain = pattern(quantity)
            .trim_start_matches('^')
            .trim_end_matches('$')
            .to_owned();
        (
            Just(quantity),
            proptest::string::string_regex(&plain).unwrap(),
        )
    })
}

#[test]
fn the_pattern_accepts_what_people_write() {
    for &(text, quantity, _) in BY_HAND.iter().chain(PUBLISHED) {
        // Left to the reader: other cases of letters, blanks and points in unit names.
        let odd = ["60 sq cm", "5 imp gal", "7 ft. 2 in.", "5 l / min"].contains(&text);
        let regex = Regex::new(&pattern(quantity)).unwrap();
        assert!(regex.is_match(text) != odd, "{text} against {regex}");
        for other in ["", "5", "deep", "1,000 L/h", "5 cubit"] {
            assert!(!regex.is_match(other), "{other:?} against {regex}");
        }
    }
}

/// Shares are printed in per cent, so they are read so too.
#[test]
fn shares_may_be_written_in_per_cent() {
    let text = ebbwright::scenario::starter().replace("void = 0.40", "void = \"40 %\"");
    assert_ne!(text, ebbwright::scenario::starter());
    let read = ebbwright::scenario::parse(&text, "a.toml").unwrap();
    assert_eq!(read.system.beds[0].media.void, 0.40);
    // A change keeps the way it is written.
    let more = ebbwright::model::Change::of_bed(0, ebbwright::model::BedPart::Void, 0.45);
    let after = ebbwright::scenario::written(&read, &[more], &[]).unwrap();
    assert!(after.text.contains("void = \"45 %\""), "{}", after.text);
}
