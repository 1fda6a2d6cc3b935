//! The table of what holds for all beds.

use crate::scenario::format::{Dependence, Key, Table, Value};

/// The table's name.
pub(in crate::scenario) const NAME: &str = "every-bed";

/// The format of `table` with nothing required.
pub(super) fn optional(mut table: Table) -> Table {
    for key in &mut table.keys {
        key.required = false;
        if let Value::Table(inner) = &mut key.value {
            let taken = std::mem::replace(inner, Table::new("", Vec::new()));
            *inner = optional(taken);
        }
    }
    for rule in &mut table.rules {
        if let Dependence::OneOf(keys) = *rule {
            *rule = Dependence::AtMostOne(keys);
        }
    }
    table
        .rules
        .retain(|rule| matches!(rule, Dependence::AtMostOne(_)));
    table
}

/// The key of the whole file.
pub(super) fn key(bed: Table) -> Key {
    let mut table = optional(bed);
    table.help = "What holds for every bed unless the bed says otherwise.";
    Key::new(
        NAME,
        Value::Table(table),
        "a table",
        "what holds for every bed unless the bed says otherwise",
    )
}
