//! Beds by their names.

use crate::model::System;
use crate::units::display::plain;

/// `every bed` where it is all of several, else their names in quotes: a name may be a word
/// like "one".
pub(crate) fn bed_names(system: &System, beds: &[usize]) -> String {
    if beds.len() > 1 && beds.len() == system.beds.len() {
        return "every bed".to_owned();
    }
    let names: Vec<String> = beds.iter().map(|&i| bed_name(system, i)).collect();
    listed(&names)
}

/// The name of one bed in quotes.
pub(crate) fn bed_name(system: &System, i: usize) -> String {
    let bed = system.beds.get(i);
    format!(
        "\"{}\"",
        bed.map_or_else(|| "?".to_owned(), |bed| plain(&bed.name))
    )
}

/// `a, b and c`.
pub(crate) fn listed(names: &[String]) -> String {
    match names {
        [first @ .., last] if !first.is_empty() => format!("{} and {last}", first.join(", ")),
        _ => names.concat(),
    }
}
