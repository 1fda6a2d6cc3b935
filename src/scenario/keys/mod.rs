//! The tables and keys of a scenario.

mod bed;
mod every_bed;
mod garden;
mod loop_parts;
mod pipes;
mod pump;
mod vessels;

pub(super) use every_bed::NAME as EVERY_BED;
use std::sync::LazyLock;

use super::format::{Bounds, Key, Table, Value, length};
use crate::units::DAY;
use crate::units::table::Quantity;

/// The whole file.
pub(in crate::scenario) static FORMAT: LazyLock<Table> = LazyLock::new(root);

fn root() -> Table {
    Table::new(
        "A flood-and-drain system: sump, pump, supply, beds with their siphons, drain line.",
        vec![
            Key::new(
                "title",
                Value::Text(120),
                r#""Allotment shed, one bed""#,
                "what you call the system",
            )
            .default("the file's name"),
            Key::new(
                "hours",
                Value::Number(0.1, 8760.0),
                "12",
                "simulated time in hours, a bare number",
            )
            .default("until the cycle settles, at most 48; 24 with several beds"),
            Key::new(
                "keep",
                Value::Texts(120),
                r#"["bed.north.standpipe", "sump"]"#,
                "keys that no change may touch: what is glued, buried or bought",
            )
            .default("nothing"),
            Key::new(
                "water",
                Value::Table(water()),
                r#"{ temperature = "20 degC" }"#,
                "the water",
            ),
            Key::new(
                "room",
                Value::Table(room()),
                r#"{ ceiling = "2.3 m" }"#,
                "the room",
            ),
            Key::new(
                "sump",
                Value::Table(vessels::sump()),
                "a table",
                "the lowest vessel, which everything drains to",
            )
            .required(),
            Key::new(
                "pump",
                Value::Table(pump::pump()),
                "a table",
                "the pump in the sump",
            )
            .required(),
            Key::new(
                "supply",
                Value::Table(pipes::supply()),
                "a table",
                "pipe from the pump to the manifold",
            ),
            Key::new(
                "bed",
                Value::Tables(bed::bed()),
                "a table",
                "a bed with its siphon, one table each",
            )
            .required(),
            every_bed::key(bed::bed()),
            Key::new(
                "drain-line",
                Value::Table(pipes::drain_line()),
                "a table",
                "sloping pipe shared by several siphons",
            ),
            Key::new(
                "tank",
                Value::Table(vessels::tank()),
                "a table",
                "fish tank beside the sump",
            ),
            Key::new(
                "settler",
                Value::Table(vessels::settler()),
                "a table",
                "settler between the fish tank's overflow and the sump",
            ),
            Key::new(
                "top-off",
                Value::Table(vessels::top_off()),
                "a table",
                "float valve in the sump",
            ),
            Key::new(
                "losses",
                Value::Table(loop_parts::losses()),
                r#"{ evaporation = "4 L/day" }"#,
                "water lost to the air",
            ),
            Key::new(
                "source",
                Value::Tables(garden::source()),
                "a table",
                "water that runs into the sump all the time, one table each",
            ),
            Key::new("fish", Value::Table(garden::fish()), "a table", "the fish"),
            Key::new(
                "event",
                Value::Tables(loop_parts::event()),
                "a table",
                "something that happens once during the run",
            ),
            Key::new(
                "coefficients",
                Value::Table(loop_parts::coefficients()),
                "{ start-froude = 0.45 }",
                "replace soft coefficients, for example with fitted ones",
            ),
            Key::new(
                "checks",
                Value::Table(loop_parts::checks()),
                r#"{ dry-layer = "50 mm" }"#,
                "replace limits of the checks",
            ),
        ],
    )
}

fn water() -> Table {
    let temperature = Value::Quantity(Bounds::new(Quantity::Temperature, 0.0, 40.0));
    Table::new(
        "The water.",
        vec![
            Key::new(
                "temperature",
                temperature,
                r#""20 degC""#,
                "temperature of the water",
            )
            .default("20 degC"),
            garden::dissolved(
                "what is dissolved in the water that the system is filled with, hardness or other",
            )
            .default("as in the top-off"),
        ],
    )
}

fn room() -> Table {
    Table::new(
        "The room.",
        vec![Key::new(
            "ceiling",
            length(0.5, 30.0),
            r#""2.3 m""#,
            "elevation of the ceiling above the room's floor",
        )],
    )
}

/// A key that must be there.
fn measure(name: &'static str, value: Value, example: &'static str, help: &'static str) -> Key {
    Key::new(name, value, example, help).required()
}
