//! Regular expressions of the quantities that [`parse`](super::parse::parse) reads.

use super::table::{Quantity, quotient_of, simple_unit_spellings};

const NUMBER: &str = r"[+-]?(?:[0-9]+(?:-| +)[0-9]+/[0-9]+|[0-9]+/[0-9]+|(?:[0-9]+ *)?[½¼¾⅛⅜⅝⅞]|(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)";

/// A regular expression, in the dialect of JSON Schema, of the texts that give
/// this quantity.
///
/// What it matches, the parser reads, except for numbers that are no number
/// (a fraction over zero) and parts in the wrong order. The parser reads a
/// little more: other cases of letters, blanks inside unit names.
pub fn pattern(quantity: Quantity) -> String {
    let units = units(quantity);
    let value = format!("{NUMBER} *(?:{units})");
    match quantity {
        Quantity::Length | Quantity::Time => format!("^ *{value}(?: *{value})* *$"),
        Quantity::Slope => format!("^ *(?:{value}|{NUMBER} *: *{NUMBER}|{NUMBER} in {NUMBER}) *$"),
        _ => format!("^ *{value} *$"),
    }
}

fn units(quantity: Quantity) -> String {
    let mut ways = Vec::new();
    if quantity == Quantity::EnergyPrice {
        ways.push(r"(?:(?:[A-Z]{3}|[$€£]|ct|c|p)(?: */ *| +per +)| */ *| *per +)kWh".to_owned());
    }
    if let Some((over, under)) = quotient_of(quantity) {
        ways.push(format!(
            "(?:{})(?: */ *| +per +)(?:{})",
            simple(over),
            simple(under)
        ));
    }
    let simple = simple(quantity);
    if !simple.is_empty() {
        ways.push(simple);
    }
    ways.join("|")
}

/// Alternatives of the spellings; raised figures count as plain ones.
fn simple(quantity: Quantity) -> String {
    let spellings: Vec<String> = simple_unit_spellings(quantity)
        .map(
            |name| match (name.strip_suffix('2'), name.strip_suffix('3')) {
                (Some(base), _) => format!("{base}[2²]"),
                (_, Some(base)) => format!("{base}[3³]"),
                _ => name.to_owned(),
            },
        )
        .collect();
    spellings.join("|")
}
