//! The keys of the pump.

use super::{DAY, measure};
use crate::scenario::format::{
    Bounds, Key, Table, Value, elevation, flow, flow_bounds, length, time,
};
use crate::units::table::Quantity;

pub(super) fn pump() -> Table {
    let curve = Value::Pairs(
        flow_bounds(0.0, 2000.0),
        Bounds::new(Quantity::Length, 0.0, 50.0),
        2,
    );
    let figures = Table::new(
        "The two figures on the pump's box; an estimate.",
        vec![
            measure(
                "shut-off-head",
                length(0.05, 50.0),
                r#""2.4 m""#,
                "greatest head, at which no water flows",
            ),
            measure(
                "open-flow",
                flow(0.05, 2000.0),
                r#""2500 L/h""#,
                "greatest flow, without any head",
            ),
        ],
    );
    let timer = Table::new(
        "Pump timer; it starts with on.",
        vec![
            measure("on", time(1.0, 7.0 * DAY), r#""15 min""#, "running time"),
            measure("off", time(1.0, 7.0 * DAY), r#""45 min""#, "resting time"),
        ],
    );
    let tariff = Value::Quantity(Bounds::new(Quantity::EnergyPrice, 0.0, 1e6));
    Table::new(
        "The pump in the sump.",
        vec![
            measure(
                "intake-level",
                elevation(),
                r#""0.05 m""#,
                "elevation of the pump's intake",
            ),
            Key::new(
                "minimum-cover",
                length(0.0, 1.0),
                r#""60 mm""#,
                "water needed above the intake",
            )
            .default("50 mm"),
            Key::new(
                "curve",
                curve,
                r#"[ ["0 L/h", "2.4 m"], ["1000 L/h", "1.9 m"], ["2500 L/h", "0 m"] ]"#,
                "points of flow and head, head falling",
            ),
            Key::new(
                "box",
                Value::Table(figures),
                r#"{ shut-off-head = "2.4 m", open-flow = "2500 L/h" }"#,
                "the two figures on the box instead of a curve",
            ),
            Key::new(
                "steady-flow",
                flow(0.02, 2000.0),
                r#""10 L/min""#,
                "a measured flow instead of a curve",
            ),
            Key::new(
                "speed",
                Value::Number(0.1, 2.0),
                "0.8",
                "speed over the speed of the curve",
            )
            .default("1"),
            Key::new(
                "power",
                Value::Quantity(Bounds::new(Quantity::Power, 0.1, 10_000.0)),
                r#""38 W""#,
                "electrical power while running",
            ),
            Key::new(
                "efficiency",
                Value::Number(0.01, 0.95),
                "0.25",
                "wire-to-water efficiency instead of power",
            ),
            Key::new("tariff", tariff, r#""0.30 EUR/kWh""#, "price of energy"),
            Key::new(
                "schedule",
                Value::Table(timer),
                r#"{ on = "15 min", off = "45 min" }"#,
                "timer",
            )
            .default("runs all the time"),
            Key::new(
                "check-valve",
                Value::Flag,
                "true",
                "whether a check valve keeps the riser full when the pump stops",
            )
            .default("false"),
        ],
    )
    .at_most_one(&["curve", "box", "steady-flow"])
    .at_most_one(&["power", "efficiency"])
    .at_most_one(&["speed", "steady-flow"])
}
