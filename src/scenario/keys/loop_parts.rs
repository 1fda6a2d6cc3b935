//! The keys of losses, events, coefficients and checks.

use super::DAY;
use crate::model::Coefficient;
use crate::scenario::format::{Bounds, Key, Table, Value, flow, length, time};
use crate::units::table::Quantity;

pub(super) fn losses() -> Table {
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

pub(super) fn event() -> Table {
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

pub(super) fn coefficients() -> Table {
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
        "Soft coefficients: a number, taken as exact, or [low, nominal, high]. A start-froude given here \
         holds in every bore as it is; the usual one changes in bores under 24 mm.",
        keys,
    )
}

/// Keys of `[checks]`, one for each field of the thresholds.
pub(super) fn checks() -> Table {
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
                "inflow over siphon flow at break, above this warns, or fails where the bed does not cycle",
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
                "tank-depth",
                length(0.0, 10.0),
                r#""0.4 m""#,
                "depth of water that the fish need, whatever fails",
            )
            .default("half the usual depth"),
            Key::new(
                "reach",
                length(0.1, 2.0),
                r#""0.6 m""#,
                "how far an arm reaches over a bed from one side",
            )
            .default("0.6 m"),
            Key::new(
                "dissolved",
                super::garden::concentration(0.0, 50.0),
                r#""500 mg/L""#,
                "most dissolved matter wanted in the water after a season",
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
