//! A measured quantity with its uncertainty: `14 min +- 10 s`, `6 L/min ± 5 %`.

use super::parse::{QuantityError, parse};
use super::table::Quantity;

/// A measured quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Its value in SI.
    pub value: f64,
    /// How far repeats scatter, one standard deviation in SI; `None`: not told.
    pub spread: Option<f64>,
}

/// Signs that may stand between value and spread.
const SIGNS: [&str; 3] = ["+/-", "+-", "±"];

/// Reads a quantity and, after `+-`, its spread in the same kind of unit or in percent.
///
/// Any sign and size of the value is read; ranges are the caller's business.
///
/// # Errors
/// [`QuantityError`] for whatever is not clearly the quantity wanted, and for a spread
/// that is not above zero.
///
/// # Example
/// ```
/// use ebbwright::units::{reading::read, table::Quantity};
/// let fill = read("14 min 20 s +- 10 s", Quantity::Time)?;
/// assert_eq!((fill.value, fill.spread), (860.0, Some(10.0)));
/// let inflow = read("6 L/min ± 5 %", Quantity::Flow)?;
/// assert!((inflow.spread.unwrap_or_default() - 5e-6).abs() < 1e-18);
/// # Ok::<(), ebbwright::units::parse::QuantityError>(())
/// ```
pub fn read(text: &str, wanted: Quantity) -> Result<Reading, QuantityError> {
    let found = SIGNS.iter().find_map(|sign| text.split_once(sign));
    let Some((value, spread)) = found else {
        return parse(text, wanted).map(|value| Reading {
            value,
            spread: None,
        });
    };
    let value = parse(value, wanted)?;
    let spread = spread.trim();
    let sigma = if spread.ends_with('%') {
        // A slope is the one quantity that `%` is a unit of.
        value.abs() * parse(spread, Quantity::Slope)?
    } else {
        parse(spread, wanted)?
    };
    if sigma > 0.0 {
        Ok(Reading {
            value,
            spread: Some(sigma),
        })
    } else {
        Err(QuantityError::Spread {
            text: spread.to_owned(),
        })
    }
}

/// Largest spread that says anything about `value`: of a flow or a time the value itself,
/// of a length 0.2 m.
pub fn widest_spread(quantity: Quantity, value: f64) -> f64 {
    match quantity {
        Quantity::Length => 0.2,
        _ => value.abs(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn value_and_spread_are_told_apart_however_the_sign_is_typed() {
        for text in ["225 mm +- 3 mm", "225 mm+/-3mm", "225 mm ± 0.3 cm"] {
            let reading = read(text, Quantity::Length).unwrap();
            assert_eq!(reading.value, 0.225, "{text}");
            assert!((reading.spread.unwrap() - 0.003).abs() < 1e-15, "{text}");
        }
        assert_eq!(read("8 7/8 in", Quantity::Length).unwrap().spread, None);
    }

    #[test]
    fn what_cannot_be_read_is_refused_with_its_part() {
        let refused = |text| read(text, Quantity::Time).unwrap_err();
        assert!(matches!(
            refused("3 min +- 5"),
            QuantityError::NoUnit { .. }
        ));
        assert!(matches!(
            refused("3 min +- 5 mm"),
            QuantityError::WrongQuantity { .. }
        ));
        assert!(matches!(
            refused("3 min +- 0 s"),
            QuantityError::Spread { .. }
        ));
        assert!(matches!(
            refused("3 min +- -5 s"),
            QuantityError::Spread { .. }
        ));
        assert!(matches!(refused("+- 5 s"), QuantityError::Empty));
    }
}
