//! The keys of vessels: shapes, sump, fish tank, settler, float valve.

use super::measure;
use super::pipes::{branch, hole_key};
use crate::model::{Entries, MOST_JOINED};
use crate::scenario::format::{Bounds, Key, Table, Value, elevation, flow, length, volume};
use crate::units::table::Quantity;

const SHAPE_EXAMPLE: &str = r#"{ box = { length = "1.2 m", width = "1.0 m", depth = "0.35 m" } }"#;

/// A vessel's inside shape: exactly one of the named ones.
pub(super) fn shape() -> Table {
    let side = || length(0.02, 20.0);
    let rounded = |last: Key| {
        vec![
            measure("diameter", side(), r#""572 mm""#, "inside diameter"),
            last,
        ]
    };
    let depth = || measure("depth", side(), r#""0.35 m""#, "inside depth");
    let long = || measure("length", side(), r#""851 mm""#, "inside length");
    let shapes = vec![
        Key::new(
            "box",
            Value::Table(Table::new(
                "Upright walls, rectangular.",
                vec![
                    long(),
                    measure("width", side(), r#""1.0 m""#, "inside width"),
                    depth(),
                ],
            )),
            r#"{ length = "1.2 m", width = "1.0 m", depth = "0.35 m" }"#,
            "rectangular, upright walls",
        ),
        Key::new(
            "tapered",
            Value::Table(Table::new(
                "Rectangular tote, wider at the top.",
                vec![
                    measure(
                        "top-length",
                        side(),
                        r#""1.2 m""#,
                        "inside length at the top",
                    ),
                    measure("top-width", side(), r#""1.0 m""#, "inside width at the top"),
                    measure(
                        "bottom-length",
                        side(),
                        r#""1.1 m""#,
                        "inside length at the bottom",
                    ),
                    measure(
                        "bottom-width",
                        side(),
                        r#""0.9 m""#,
                        "inside width at the bottom",
                    ),
                    depth(),
                ],
            )),
            r#"{ top-length = "1.2 m", top-width = "1.0 m", bottom-length = "1.1 m", bottom-width = "0.9 m", depth = "0.35 m" }"#,
            "rectangular with sloping walls",
        ),
        Key::new(
            "upright-cylinder",
            Value::Table(Table::new("A drum standing on its end.", rounded(depth()))),
            r#"{ diameter = "572 mm", depth = "0.85 m" }"#,
            "a drum on its end",
        ),
        Key::new(
            "lying-cylinder",
            Value::Table(Table::new(
                "A drum lying on its side, flat ends.",
                rounded(long()),
            )),
            r#"{ diameter = "572 mm", length = "851 mm" }"#,
            "a drum on its side",
        ),
        Key::new(
            "half-drum",
            Value::Table(Table::new(
                "A drum lying on its side, flat ends, its top cut away lengthwise.",
                vec![
                    long(),
                    measure(
                        "width",
                        side(),
                        r#""572 mm""#,
                        "inside width across the opening",
                    ),
                    measure("depth", side(), r#""286 mm""#, "inside depth at the middle"),
                ],
            )),
            r#"{ length = "851 mm", width = "572 mm", depth = "286 mm" }"#,
            "a drum on its side, cut open lengthwise",
        ),
        Key::new(
            "table",
            Value::Table(Table::new(
                "Water area measured at several depths, linear between them.",
                vec![
                    Key::new(
                        "depth",
                        Value::List(Bounds::new(Quantity::Length, 0.0, 20.0), 2),
                        r#"["0 m", "0.2 m", "0.4 m"]"#,
                        "depths from the bottom, the first 0, rising",
                    )
                    .required(),
                    Key::new(
                        "area",
                        Value::List(Bounds::new(Quantity::Area, 0.0, 400.0), 2),
                        r#"["0.30 m2", "0.35 m2", "0.40 m2"]"#,
                        "water area at each of those depths",
                    )
                    .required(),
                ],
            )),
            r#"{ depth = ["0 m", "0.4 m"], area = ["0.30 m2", "0.40 m2"] }"#,
            "water area at measured depths",
        ),
    ];
    Table::new("Inside shape of a vessel: one of the named shapes.", shapes).one_of(&[
        "box",
        "tapered",
        "upright-cylinder",
        "lying-cylinder",
        "half-drum",
        "table",
    ])
}

/// The key `shape`.
pub(super) fn shape_key() -> Key {
    Key::new(
        "shape",
        Value::Table(shape()),
        SHAPE_EXAMPLE,
        "inside shape and measures",
    )
    .required()
}

pub(super) fn sump() -> Table {
    Table::new(
        "The lowest vessel, which everything drains to. Elevations are above the room's floor.",
        vec![
            shape_key(),
            Key::new(
                "count",
                Value::Count(1, MOST_JOINED),
                "2",
                "how many such vessels stand side by side, joined at the bottom; shape is that of one",
            )
            .default("1"),
            measure(
                "floor",
                elevation(),
                r#""0 m""#,
                "elevation of the sump's inside bottom",
            ),
            measure(
                "start-level",
                elevation(),
                r#""0.50 m""#,
                "elevation of the water at the start, beds at their start levels",
            ),
            measure(
                "overflow-level",
                elevation(),
                r#""0.53 m""#,
                "elevation at which the sump spills",
            ),
            Key::new(
                "fish-tank",
                Value::Flag,
                "true",
                "whether the sump itself is the fish tank",
            )
            .default("false"),
            Key::new(
                "sealed-entries",
                Value::Flag,
                "true",
                "whether pipes that go through its wall under the rim are sealed there (bulkhead fittings)",
            )
            .default("false"),
            Key::new(
                "entries",
                Value::Choice(Entries::TOLD.map(|one| one.0).to_vec()),
                r#""over-rim""#,
                "how pipes that end under the rim come in: over it, or through holes in the wall, which leak \
                 unless they are sealed",
            )
            .default("not told: either may be"),
        ],
    )
}

pub(super) fn tank() -> Table {
    let mut inlet = branch("A branch from the manifold into the tank.");
    inlet.keys.push(hole_key());
    Table::new(
        "Fish tank beside the sump.",
        vec![
            shape_key(),
            measure(
                "floor",
                elevation(),
                r#""0.3 m""#,
                "elevation of the tank's inside bottom",
            ),
            measure(
                "overflow-level",
                elevation(),
                r#""0.9 m""#,
                "elevation of its overflow",
            ),
            Key::new(
                "overflow-bore",
                length(0.01, 0.3),
                r#""40 mm""#,
                "bore of its upright overflow pipe",
            )
            .default("40 mm"),
            Key::new(
                "start-level",
                elevation(),
                r#""0.9 m""#,
                "elevation of its water at the start",
            )
            .default("the overflow level"),
            Key::new(
                "fed-by",
                Value::Choice(vec!["pump"]),
                r#""pump""#,
                "what fills it",
            )
            .default("pump"),
            Key::new(
                "inlet",
                Value::Table(inlet),
                r#"{ level = "1.0 m", pipe = { bore = "20 mm", length = "1 m" } }"#,
                "its own branch from the manifold",
            )
            .default("the pump's whole flow"),
            measure(
                "overflows-to",
                Value::Choice(vec!["beds", "sump", "settler"]),
                r#""sump""#,
                "where its overflow goes",
            ),
        ],
    )
}

pub(super) fn settler() -> Table {
    Table::new(
        "Settler on the way to the sump, after the fish tank's overflow or on a branch of the pump; it stands full to its own overflow.",
        vec![
            measure(
                "kind",
                Value::Choice(vec!["radial-flow", "plain"]),
                r#""radial-flow""#,
                "radial-flow: in through a well in the middle, out over a trough round the rim; \
                 plain: in at one end, out at the other",
            ),
            shape_key(),
            measure(
                "floor",
                elevation(),
                r#""0.3 m""#,
                "elevation of the settler's inside bottom",
            ),
            measure(
                "overflow-level",
                elevation(),
                r#""0.85 m""#,
                "elevation of its overflow, where its water stands",
            ),
            Key::new(
                "inlet",
                Value::Table(branch("A branch from the manifold into the settler.")),
                r#"{ level = "1.0 m", pipe = { bore = "20 mm", length = "1 m" } }"#,
                "a branch of its own from the pump, beside those to the beds",
            )
            .default("none: the fish tank's overflow feeds it"),
        ],
    )
}

pub(super) fn top_off() -> Table {
    Table::new(
        "Float valve in the sump.",
        vec![
            measure(
                "level",
                elevation(),
                r#""0.25 m""#,
                "sump level below which it opens",
            ),
            measure(
                "flow",
                flow(0.01, 200.0),
                r#""2 L/min""#,
                "flow while it is open",
            ),
            measure(
                "bore",
                length(0.001, 0.1),
                r#""6 mm""#,
                "bore of its supply",
            ),
            Key::new(
                "reservoir",
                volume(0.001, 100.0),
                r#""100 L""#,
                "water it can draw on",
            )
            .default("mains, without end"),
            super::garden::dissolved("what is dissolved in its water, hardness or other")
                .default("as in the water the system is filled with"),
        ],
    )
}
