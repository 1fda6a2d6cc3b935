//! The keys of a bed and its siphon.

use super::pipes::{bore_keys, bore_rules, branch_keys, hole_key, loss_keys, roughness_key};
use super::vessels::shape_key;
use crate::scenario::format::{Key, Table, Value, area, elevation, flow, length};

pub(super) fn bed() -> Table {
    Table::new(
        "A gravel bed with its siphon. Elevations are above the room's floor; heights inside are above the bed's floor.",
        vec![
            Key::new("name", Value::Text(40), r#""north""#, "a name of its own").required(),
            Key::new("floor", elevation(), r#""0.95 m""#, "elevation of the underside of the media").required(),
            shape_key(),
            Key::new("rim", elevation(), r#""1.30 m""#, "elevation at which water spills over the wall, for a drum cut open or a wall with a notch")
                .default("floor plus the depth of the shape"),
            Key::new("media", Value::Table(media()), r#"{ depth = "0.30 m", void = 0.40 }"#, "the gravel").required(),
            Key::new("guard", Value::Table(guard()), r#"{ diameter = "110 mm", slot-area = "60 cm2" }"#, "column that keeps the media off the bell"),
            Key::new("inlet", Value::Table(inlet()), r#"{ flow = "6 L/min" }"#, "where its water comes from"),
            Key::new("start-level", elevation(), r#""0.98 m""#, "elevation of its water at the start").default("its break level"),
            super::garden::access(),
            Key::new("standpipe", Value::Table(standpipe()), "a table", "the pipe that stands in the bed").required(),
            Key::new("bell", Value::Table(bell()), "a table", "the capped pipe over the standpipe").required(),
            Key::new("drain", Value::Table(drain()), "a table", "the siphon's pipe below the bed").required(),
        ],
    )
}

fn media() -> Table {
    Table::new(
        "The gravel.",
        vec![
            Key::new("depth", length(0.02, 2.0), r#""0.30 m""#, "depth of the gravel from the bed's floor").required(),
            Key::new("void", Value::Number(0.05, 0.95), "0.40", "drainable void, the share of the volume that fills with water; about 0.40 for gravel").required(),
            Key::new("grain", length(0.0005, 0.1), r#""12 mm""#, "grain size").default("no loss between gravel and siphon"),
            Key::new("fouling", Value::Number(1.0, 100.0), "3", "resistance with dirt and roots over that of clean gravel").default("1"),
        ],
    )
}

fn guard() -> Table {
    Table::new(
        "Open column around the bell.",
        vec![
            Key::new(
                "diameter",
                length(0.02, 1.0),
                r#""110 mm""#,
                "inside diameter",
            )
            .required(),
            Key::new(
                "slot-area",
                area(1e-6, 2.0),
                r#""60 cm2""#,
                "area of all its openings together",
            )
            .default("no loss through them"),
        ],
    )
}

fn inlet() -> Table {
    let mut keys = branch_keys();
    keys.push(hole_key());
    keys.push(Key::new(
        "share",
        Value::Number(0.0, 1.0),
        "0.5",
        "share of the pump's steady flow, 0 to 1",
    ));
    keys.push(Key::new(
        "flow",
        flow(0.02, 2000.0),
        r#""6 L/min""#,
        "inflow measured with bucket and stopwatch",
    ));
    Table::new(
        "Where the bed's water comes from: a branch of the supply, a share, or a measured flow.",
        keys,
    )
    .one_of(&["level", "share", "flow"])
    .needs("level", "pipe")
    .needs("pipe", "level")
    .needs("valve", "level")
    .needs("fittings", "level")
    .needs("k", "level")
    .needs("anti-siphon-hole", "level")
}

fn standpipe() -> Table {
    let mut keys = bore_keys(
        length(0.005, 0.15),
        r#""26.6 mm""#,
        "inside diameter of the standpipe",
    );
    keys.extend([
        Key::new(
            "outside",
            length(0.005, 0.2),
            r#""33.4 mm""#,
            "outside diameter of the standpipe",
        )
        .default("that of the nominal size, else bore plus 6 mm"),
        Key::new(
            "length",
            length(0.01, 2.0),
            r#""225 mm""#,
            "height of the lip above the bed's floor",
        )
        .required(),
        Key::new(
            "flare",
            length(0.005, 0.4),
            r#""40 mm""#,
            "diameter of the lip when the top is flared",
        )
        .default("the bore"),
    ]);
    bore_rules(Table::new("The pipe that stands in the bed.", keys))
}

fn bell() -> Table {
    let mut keys = bore_keys(
        length(0.01, 0.5),
        r#""78 mm""#,
        "inside diameter of the bell",
    );
    let slots = Table::new(
        "Openings at the bell's foot.",
        vec![
            Key::new("count", Value::Count(1, 200), "6", "how many").required(),
            Key::new("width", length(0.001, 0.5), r#""12 mm""#, "width of each").required(),
            Key::new(
                "height",
                length(0.001, 0.5),
                r#""25 mm""#,
                "height of the slots' crown above the bed's floor",
            )
            .required(),
        ],
    );
    let tube = Table::new(
        "Tube that lets air in under the cap at a chosen level.",
        vec![
            Key::new("bore", length(0.001, 0.05), r#""8 mm""#, "inside diameter").required(),
            Key::new(
                "mouth",
                length(0.0, 2.0),
                r#""30 mm""#,
                "height of its open end above the bed's floor",
            )
            .required(),
        ],
    );
    keys.extend([
        Key::new(
            "outside",
            length(0.01, 0.6),
            r#""90 mm""#,
            "outside diameter of the bell",
        )
        .default("that of the nominal size, else bore plus 6 mm"),
        Key::new(
            "clearance",
            length(0.001, 0.5),
            r#""25 mm""#,
            "lip of the standpipe to underside of the cap",
        )
        .required(),
        Key::new(
            "slots",
            Value::Table(slots),
            r#"{ count = 6, width = "12 mm", height = "25 mm" }"#,
            "openings at its foot; their crown sets the break level",
        )
        .required(),
        Key::new(
            "air-tube",
            Value::Table(tube),
            r#"{ bore = "8 mm", mouth = "30 mm" }"#,
            "tube that lets air in",
        )
        .default("none"),
        Key::new(
            "air-leak",
            flow(0.0, 100.0),
            r#""0.5 L/min""#,
            "air that leaks in while the siphon starts",
        )
        .default("none"),
    ]);
    bore_rules(Table::new("The capped pipe over the standpipe.", keys))
}

fn drain() -> Table {
    let mut keys = vec![
        Key::new(
            "outlet",
            elevation(),
            r#""0.62 m""#,
            "elevation at which this siphon's own pipe ends",
        )
        .required(),
        Key::new(
            "length",
            length(0.02, 100.0),
            r#""0.6 m""#,
            "developed length from lip to outlet, standpipe included",
        ),
        roughness_key(),
    ];
    keys.extend(loss_keys());
    keys.extend([
        Key::new(
            "total-k",
            Value::Number(0.0, 200.0),
            "3.0",
            "one measured number for all losses: Q = A sqrt(2 g H / (1 + total-k))",
        ),
        Key::new(
            "into",
            Value::Choice(vec!["line", "sump"]),
            r#""sump""#,
            "where it ends",
        )
        .default("the line if there is a [drain-line], else the sump"),
        Key::new(
            "at",
            length(0.0, 200.0),
            r#""3 m""#,
            "distance of its junction from the line's outlet",
        )
        .default("the line's upper end"),
    ]);
    Table::new("The siphon's pipe below the bed.", keys)
        .any_of(&["length", "total-k"])
        .at_most_one(&["total-k", "fittings"])
        .at_most_one(&["total-k", "k"])
}
