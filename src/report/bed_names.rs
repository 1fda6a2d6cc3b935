//! Beds by their names.

use crate::model::System;
use crate::report::Text;
use crate::units::display::{join, plain};

/// `every bed` where it is all of several, else their names in quotes: a name may be a word
/// like "one".
pub(crate) fn bed_names(system: &System, beds: &[usize]) -> String {
    if beds.len() > 1 && beds.len() == system.beds.len() {
        return "every bed".to_owned();
    }
    let names: Vec<String> = beds.iter().map(|&i| bed_name(system, i)).collect();
    join(&names, "and")
}

/// The name of one bed in quotes.
pub(crate) fn bed_name(system: &System, i: usize) -> String {
    let bed = system.beds.get(i);
    format!(
        "\"{}\"",
        bed.map_or_else(|| "?".to_owned(), |bed| plain(&bed.name))
    )
}

/// Stands for the name of a bed while texts are compared; no text holds it.
const SOME_BED: &str = "\u{0}";

/// Texts that differ in nothing but a bed's name, as printed, become one text of all those beds,
/// with the figures of the first.
pub(crate) fn merged(said: Vec<Text>, system: &System) -> Vec<Text> {
    let mut groups: Vec<(Text, Vec<usize>)> = Vec::new();
    for text in said {
        let printed = text.to_string();
        let of = (0..system.beds.len()).find(|&i| printed.contains(&bed_name(system, i)));
        let template = match of {
            Some(i) => text.with(&bed_name(system, i), SOME_BED),
            None => text,
        };
        let alike = template.to_string();
        match groups
            .iter_mut()
            .find(|(known, _)| known.to_string() == alike)
        {
            Some((_, beds)) => beds.extend(of),
            None => groups.push((template, of.into_iter().collect())),
        }
    }
    groups
        .into_iter()
        .map(|(template, beds)| template.with(SOME_BED, &bed_names(system, &beds)))
        .collect()
}
