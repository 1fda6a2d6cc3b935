//! Figures of a number: how many, and with which unit.

use super::INCH;
use crate::numerics::maths::Maths;

/// Steps in which a US tape measure divides the inch.
const SIXTEENTHS: f64 = 16.0;
/// Printed in place of a number that is not one.
pub(super) const NOT_KNOWN: &str = "not known";

/// Figures and unit; `None` is a number that is not known.
pub(super) fn with_unit(figures: Option<String>, unit: &str) -> String {
    figures.map_or_else(
        || NOT_KNOWN.to_owned(),
        |figures| format!("{figures} {unit}"),
    )
}

/// `value` rounded half away from zero to some decimals.
pub(super) fn round(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale
}

/// A fixed number of decimals; never "-0".
pub(super) fn fixed(value: f64, decimals: usize) -> Option<String> {
    if !value.is_finite() {
        return None;
    }
    let places = i32::try_from(decimals).unwrap_or(0);
    // Adding zero turns a negative zero into a plain one.
    let rounded = round(value, places) + 0.0;
    Some(if rounded == 0.0 {
        "0".to_owned()
    } else {
        format!("{rounded:.decimals$}")
    })
}

/// At most so many decimals, without trailing zeros.
pub(super) fn trimmed(value: f64, decimals: usize) -> Option<String> {
    fixed(value, decimals).map(|figures| {
        if figures.contains('.') {
            figures
                .trim_end_matches('0')
                .trim_end_matches('.')
                .to_owned()
        } else {
            figures
        }
    })
}

/// At least so many decimals.
pub(super) fn at_least(figures: &Option<String>, decimals: usize) -> Option<String> {
    figures.as_ref().map(|figures| {
        let (whole, part) = figures.split_once('.').unwrap_or((figures, ""));
        format!("{whole}.{part:0<decimals$}")
    })
}

/// So many significant figures, whole units never rounded away, trailing zeros
/// dropped; less than a thousandth reads as nought.
pub(super) fn significant(value: f64, figures: i32) -> Option<String> {
    if !value.is_finite() {
        return None;
    }
    if value.abs() < 5e-4 {
        return Some("0".to_owned());
    }
    let mut decimals = (figures - 1 - order(value)).max(0);
    // 9.996 rounds to 10.00: one place fewer is then enough.
    if order(round(value, decimals)) > order(value) {
        decimals = (decimals - 1).max(0);
    }
    trimmed(value, usize::try_from(decimals).unwrap_or(0))
}

/// Power of ten of the first figure.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn order(value: f64) -> i32 {
    value.abs().log_decimal().floor() as i32
}

/// One decimal, two below one.
pub(super) fn feet(value: f64) -> Option<String> {
    if round(value, 2).abs() < 1.0 {
        fixed(value, 2)
    } else {
        fixed(value, 1)
    }
}

/// A length on a US tape: whole inches and a reduced fraction in sixteenths.
pub(super) fn sixteenths(metres: f64) -> String {
    if !metres.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let steps = (metres / INCH * SIXTEENTHS).round();
    let sign = if steps < 0.0 { "-" } else { "" };
    let whole = (steps.abs() / SIXTEENTHS).floor();
    let (mut part, mut of) = (steps.abs() - whole * SIXTEENTHS, SIXTEENTHS);
    while part > 0.0 && part % 2.0 == 0.0 {
        part /= 2.0;
        of /= 2.0;
    }
    match (whole > 0.0, part > 0.0) {
        (_, false) => format!("{sign}{whole:.0} in"),
        (false, true) => format!("{sign}{part:.0}/{of:.0} in"),
        (true, true) => format!("{sign}{whole:.0} {part:.0}/{of:.0} in"),
    }
}

/// `17 min 20 s` from a whole number of the smaller unit; `17 min` when even.
pub(super) fn two_parts(whole: f64, per_large: f64, large: &str, small: &str) -> String {
    let count = (whole / per_large).floor();
    let rest = whole - count * per_large;
    if rest > 0.0 {
        format!("{count:.0} {large} {rest:.0} {small}")
    } else {
        format!("{count:.0} {large}")
    }
}
