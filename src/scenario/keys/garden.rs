//! The keys of fish and of what is dissolved in the water.

use crate::model::Side;
use crate::scenario::format::{Bounds, Key, Table, Value, flow};
use crate::units::table::Quantity;

/// A concentration of dissolved matter, in kg/m3.
pub(super) const fn concentration(least: f64, most: f64) -> Value {
    Value::Quantity(Bounds::new(Quantity::Concentration, least, most))
}

/// Mass of something alive in the water, in kg.
fn mass(least: f64, most: f64) -> Value {
    Value::Quantity(Bounds::new(Quantity::Mass, least, most))
}

pub(super) fn fish() -> Table {
    let feed = Value::Quantity(Bounds::new(Quantity::MassFlow, 0.0, 100.0 / 86_400.0));
    Table::new(
        "The fish in the tank, or in a sump with fish-tank = true. Everything about them informs or \
         warns; husbandry advice decides.",
        vec![
            Key::new("count", Value::Count(1, 100_000), "20", "how many fish").required(),
            Key::new("mass", mass(1e-4, 50.0), r#""200 g""#, "mass of one fish now"),
            Key::new(
                "total-mass",
                mass(1e-4, 10_000.0),
                r#""4 kg""#,
                "mass of all fish together now",
            ),
            Key::new("feed", feed, r#""80 g/day""#, "feed of all fish together")
                .default("2 % of their mass a day"),
            Key::new(
                "harvest-mass",
                mass(1e-4, 50.0),
                r#""500 g""#,
                "mass of one fish when it is taken out",
            )
            .default("500 g, or today's where that is more"),
        ],
    )
    .one_of(&["mass", "total-mass"])
}

pub(super) fn source() -> Table {
    Table::new(
        "Water that runs into the sump all the time: condensate, filtered water, a slow tap.",
        vec![
            Key::new(
                "name",
                Value::Text(40),
                r#""condensate""#,
                "a name of its own",
            )
            .required(),
            Key::new("flow", flow(0.0, 200.0), r#""3 gal/day""#, "its mean flow").required(),
            dissolved("what is dissolved in it").default("not told"),
        ],
    )
}

/// The key `dissolved`.
pub(super) fn dissolved(help: &'static str) -> Key {
    Key::new("dissolved", concentration(0.0, 50.0), r#""250 mg/L""#, help)
}

/// The key `access` of a bed.
pub(super) fn access() -> Key {
    let sides = Side::ALL.map(Side::key).to_vec();
    Key::new(
        "access",
        Value::Words(sides),
        r#"["front", "left"]"#,
        "sides of the bed that a person can stand at; front and back run along its length, left \
         and right along its width",
    )
    .default("not told")
}
