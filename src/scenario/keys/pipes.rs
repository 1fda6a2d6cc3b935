//! The keys of pipes: bores, fittings, valves, branches, supply, drain line.

use super::measure;
use crate::hydraulics::fittings::Fitting;
use crate::hydraulics::valves::ValveKind;
use crate::scenario::format::{Bounds, Key, Table, Value, elevation, length};
use crate::units::table::Quantity;

/// The two ways to give a pipe's bore; rules come from [`bore_rules`].
pub(super) fn bore_keys(bore: Value, example: &'static str, help: &'static str) -> Vec<Key> {
    vec![
        Key::new("bore", bore, example, help),
        Key::new(
            "nominal",
            Value::Nominal,
            r#""1 in""#,
            "nominal pipe size instead of the bore",
        ),
        Key::new(
            "schedule",
            Value::Choice(vec!["40", "80", "PN10", "PN16"]),
            r#""40""#,
            "wall series of the nominal size",
        )
        .default("40 for inch sizes; metric sizes need PN10 or PN16"),
    ]
}

/// Bore or nominal size, and a schedule only with the latter.
pub(super) fn bore_rules(table: Table) -> Table {
    table
        .one_of(&["bore", "nominal"])
        .needs("schedule", "nominal")
}

pub(super) fn roughness_key() -> Key {
    Key::new(
        "roughness",
        length(0.0, 0.003),
        r#""0.0015 mm""#,
        "roughness of the pipe's wall",
    )
    .default("0.0015 mm, plastic")
}

/// The key `pipe`: bore or nominal size, length, roughness.
pub(super) fn pipe_key() -> Key {
    let mut keys = bore_keys(
        length(0.002, 0.3),
        r#""26.6 mm""#,
        "inside diameter of the pipe",
    );
    keys.push(measure(
        "length",
        length(0.0, 200.0),
        r#""3 m""#,
        "length along the pipe",
    ));
    keys.push(roughness_key());
    let table = bore_rules(Table::new(
        "A pipe: bore or nominal size, and length.",
        keys,
    ));
    Key::new(
        "pipe",
        Value::Table(table),
        r#"{ bore = "26.6 mm", length = "3 m" }"#,
        "bore or nominal size of the pipe, and its length",
    )
}

/// The keys `fittings` and `k`.
pub(super) fn loss_keys() -> Vec<Key> {
    let counts = Fitting::ALL
        .into_iter()
        .map(|f| {
            Key::new(
                f.name(),
                Value::Count(0, 100),
                "2",
                "how many of this fitting",
            )
        })
        .collect();
    vec![
        Key::new(
            "fittings",
            Value::Table(Table::new(
                "Numbers of fittings; their K are published ones.",
                counts,
            )),
            "{ elbow-90 = 3, tee-branch = 1 }",
            "number of each fitting",
        ),
        Key::new(
            "k",
            Value::Number(0.0, 1000.0),
            "4.5",
            "loss coefficient K of parts not counted in fittings",
        )
        .default("0"),
    ]
}

pub(super) fn valve_key() -> Key {
    let kinds = ValveKind::ALL
        .into_iter()
        .map(|kind| {
            Key::new(
                kind.name(),
                Value::Number(0.0, 1.0),
                "0.6",
                "opening from 0, shut, to 1, fully open",
            )
        })
        .collect();
    let table = Table::new("A valve and its opening, 0 to 1.", kinds).one_of(&["ball", "gate"]);
    Key::new(
        "valve",
        Value::Table(table),
        "{ ball = 0.6 }",
        "the throttle valve",
    )
    .default("none")
}

/// Keys of a branch from the manifold: outlet level, pipe, valve, fittings.
pub(super) fn branch_keys() -> Vec<Key> {
    let mut keys = vec![
        Key::new(
            "level",
            elevation(),
            r#""1.35 m""#,
            "elevation at which its outlet pours",
        ),
        pipe_key(),
        valve_key(),
    ];
    keys.extend(loss_keys());
    keys
}

/// A hole in a branch into a vessel, which its water might run back through.
pub(super) fn hole_key() -> Key {
    Key::new(
        "anti-siphon-hole",
        elevation(),
        r#""1.30 m""#,
        "elevation of a hole that lets air in when the pump stops",
    )
    .default("none")
}

/// A branch that must be complete.
pub(super) fn branch(help: &'static str) -> Table {
    let mut keys = branch_keys();
    for key in &mut keys {
        key.required = matches!(key.name, "level" | "pipe");
    }
    Table::new(help, keys)
}

pub(super) fn supply() -> Table {
    let mut keys = vec![Key {
        required: true,
        ..pipe_key()
    }];
    keys.extend(loss_keys());
    keys.push(Key::new(
        "bypass",
        Value::Table(branch("A valved branch from the manifold back to the sump.")),
        r#"{ level = "0.6 m", pipe = { bore = "15 mm", length = "0.5 m" }, valve = { ball = 0.4 } }"#,
        "branch that leads back to the sump",
    ));
    Table::new("Pump to manifold; the branches are on the beds.", keys)
}

pub(super) fn drain_line() -> Table {
    let slope = Value::Quantity(Bounds::new(Quantity::Slope, 0.0005, 1.0));
    let mut keys = vec![
        Key {
            required: true,
            ..pipe_key()
        },
        measure("slope", slope, r#""2 %""#, "fall per length"),
        measure(
            "outlet",
            elevation(),
            r#""0.55 m""#,
            "elevation of the invert, the pipe's inside bottom, at the lower end",
        ),
        Key::new(
            "vented",
            Value::Flag,
            "true",
            "whether air can follow the water",
        )
        .default("true"),
    ];
    keys.extend(loss_keys());
    Table::new(
        "Sloping pipe shared by the siphons with into = \"line\".",
        keys,
    )
}
