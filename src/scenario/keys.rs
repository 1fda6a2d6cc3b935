//! The tables and keys of a scenario.

use std::sync::LazyLock;

use super::format::{
    Bounds, Key, Table, Value, elevation, flow, flow_bounds, length, time, volume,
};
use super::keys_bed;
use crate::hydraulics::fittings::Fitting;
use crate::hydraulics::valves::ValveKind;
use crate::model::Coefficient;
use crate::units::table::Quantity;

/// The whole file.
pub(super) static FORMAT: LazyLock<Table> = LazyLock::new(root);

const DAY: f64 = 86_400.0;

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
                Value::Table(sump()),
                "a table",
                "the lowest vessel, which everything drains to",
            )
            .required(),
            Key::new(
                "pump",
                Value::Table(pump()),
                "a table",
                "the pump in the sump",
            )
            .required(),
            Key::new(
                "supply",
                Value::Table(supply()),
                "a table",
                "pipe from the pump to the manifold",
            ),
            Key::new(
                "bed",
                Value::Tables(keys_bed::bed()),
                "a table",
                "a bed with its siphon, one table each",
            )
            .required(),
            Key::new(
                "drain-line",
                Value::Table(drain_line()),
                "a table",
                "sloping pipe shared by several siphons",
            ),
            Key::new(
                "tank",
                Value::Table(tank()),
                "a table",
                "fish tank beside the sump",
            ),
            Key::new(
                "top-off",
                Value::Table(top_off()),
                "a table",
                "float valve in the sump",
            ),
            Key::new(
                "losses",
                Value::Table(losses()),
                r#"{ evaporation = "4 L/day" }"#,
                "water lost to the air",
            ),
            Key::new(
                "event",
                Value::Tables(event()),
                "a table",
                "something that happens once during the run",
            ),
            Key::new(
                "coefficients",
                Value::Table(coefficients()),
                "{ start-froude = 0.45 }",
                "replace soft coefficients, for example with fitted ones",
            ),
            Key::new(
                "checks",
                Value::Table(checks()),
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
        "table",
    ])
}

fn measure(name: &'static str, value: Value, example: &'static str, help: &'static str) -> Key {
    Key::new(name, value, example, help).required()
}

const SHAPE_EXAMPLE: &str = r#"{ box = { length = "1.2 m", width = "1.0 m", depth = "0.35 m" } }"#;

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

/// A branch that must be complete.
fn branch(help: &'static str) -> Table {
    let mut keys = branch_keys();
    for key in &mut keys {
        key.required = matches!(key.name, "level" | "pipe");
    }
    Table::new(help, keys)
}

fn sump() -> Table {
    Table::new(
        "The lowest vessel, which everything drains to. Elevations are above the room's floor.",
        vec![
            shape_key(),
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
        ],
    )
}

fn pump() -> Table {
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

fn supply() -> Table {
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

fn drain_line() -> Table {
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

fn tank() -> Table {
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
                Value::Table(branch("A branch from the manifold into the tank.")),
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

fn top_off() -> Table {
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
        ],
    )
}

fn losses() -> Table {
    Table::new(
        "Water lost to the air.",
        vec![
            Key::new(
                "evaporation",
                flow(0.0, 10.0),
                r#""4 L/day""#,
                "evaporation and transpiration, all surfaces together",
            )
            .default("0 L/day"),
        ],
    )
}

fn event() -> Table {
    Table::new(
        "Something that happens once during the run.",
        vec![
            Key::new(
                "at",
                Value::TimeOr(Bounds::new(Quantity::Time, 0.0, 365.0 * DAY), "worst"),
                r#""worst""#,
                "when: a time from the start, or the worst moment of the cycle",
            )
            .required(),
            Key::new(
                "pump",
                Value::Choice(vec!["stops", "starts"]),
                r#""stops""#,
                "the pump stops or starts",
            ),
            Key::new(
                "siphon-blocked",
                Value::Text(40),
                r#""north""#,
                "name of the bed whose siphon is blocked",
            ),
            Key::new(
                "line-blocked",
                Value::Number(0.0, 1.0),
                "0.5",
                "share of the drain line's area that is blocked",
            ),
            Key::new(
                "valve-shut",
                Value::Text(40),
                r#""north""#,
                "name of the bed whose inlet is shut",
            ),
        ],
    )
    .one_of(&["pump", "siphon-blocked", "line-blocked", "valve-shut"])
}

fn coefficients() -> Table {
    let keys = Coefficient::ALL
        .into_iter()
        .map(|which| {
            let (least, most) = which.allowed();
            let band = which.default_band();
            let usual = format!("[{}, {}, {}]", band.low, band.nominal, band.high);
            Key::new(
                which.key(),
                Value::Band(least, most),
                usual.clone(),
                which.basis(),
            )
            .default(usual)
        })
        .collect();
    Table::new(
        "Soft coefficients: a number, taken as exact, or [low, nominal, high].",
        keys,
    )
}

/// Keys of `[checks]`, one for each field of the thresholds.
fn checks() -> Table {
    let span = || length(0.0, 2.0);
    let ratio = || Value::Number(0.01, 1.0);
    let pressure = Value::Quantity(Bounds::new(Quantity::Pressure, 0.0, 101_325.0));
    Table::new(
        "Limits of the checks.",
        vec![
            Key::new(
                "dry-layer",
                span(),
                r#""50 mm""#,
                "dry media wanted above peak water",
            )
            .default("50 mm"),
            Key::new(
                "dry-layer-least",
                span(),
                r#""38 mm""#,
                "less dry media than this fails",
            )
            .default("38 mm"),
            Key::new(
                "levelling-error",
                length(0.0, 0.1),
                r#""5 mm""#,
                "assumed error in levelling bed and standpipe",
            )
            .default("5 mm"),
            Key::new(
                "rim-freeboard",
                span(),
                r#""25 mm""#,
                "wall left above the water when a siphon is dead",
            )
            .default("25 mm"),
            Key::new(
                "inflow-ratio",
                ratio(),
                "0.5",
                "inflow over siphon flow at break, above this warns",
            )
            .default("0.5"),
            Key::new(
                "inflow-ratio-most",
                ratio(),
                "0.7",
                "inflow over siphon flow at break, above this fails",
            )
            .default("0.7"),
            Key::new(
                "period-least",
                time(10.0, DAY),
                r#""15 min""#,
                "shortest period wanted",
            )
            .default("15 min"),
            Key::new(
                "period-most",
                time(10.0, 7.0 * DAY),
                r#""60 min""#,
                "longest period wanted",
            )
            .default("60 min"),
            Key::new(
                "sump-freeboard",
                span(),
                r#""50 mm""#,
                "freeboard under the sump's overflow",
            )
            .default("50 mm"),
            Key::new(
                "growing-height",
                length(0.0, 20.0),
                r#""1.0 m""#,
                "height wanted between rim and ceiling",
            )
            .default("not checked"),
            Key::new(
                "crown-pressure",
                pressure,
                r#""0.3 bar""#,
                "lowest absolute pressure under the cap",
            )
            .default("0.3 bar"),
            Key::new(
                "fall-back",
                length(0.0, 0.5),
                r#""5 mm""#,
                "rise by water falling back out of the bell, above this warns",
            )
            .default("5 mm"),
        ],
    )
}
