//! The daily account of water, told alike by every command.

use crate::answer::{At, Figure, Form, Key, Kind, Row, Text, between, said};
use crate::assessment::WaterAccount;
use crate::units::DAY;
use crate::units::UnitSystem;
use crate::units::amounts::{self, Side};

/// Both ends.
const RANGE: Form = Form::Named(&["low", "high"]);

keys! { pub(super) TOP:
    ACCOUNT = Key::new("water_account", Kind::Part, "Water that comes and goes every day.");
}

keys! { pub(super) KEYS:
    LOST = Key::new("lost_m3_day", Kind::Volume, "What the air takes in a day.");
    BROUGHT = Key::new("brought_m3_day", Kind::Volume, "What sources bring in a day.");
    TO_ADD = Key::new("to_add_m3_day", Kind::Volume, "What has to be added in a day; negative where more comes than goes.");
    UNTIL_DRY = Key::new("until_dry_s", Kind::Time, "Time until the pump draws air where nobody adds any.").absent("sources bring as much as the air takes");
    UNTIL_FULL = Key::new("until_full_s", Kind::Time, "Time until the sump goes over its overflow.").absent("sources bring no more than the air takes");
    FLOAT = Key::new("float_m", Kind::Elevation, "Where a float valve may open: it helps before the pump draws air, and no cycle reaches it.").of(RANGE).absent("there is no such level");
    RESERVOIR = Key::new("reservoir_lasts_s", Kind::Time, "How long the float valve's reservoir lasts.").absent("there is none, or nothing has to be added");
}

/// Every figure of it, for the results.
pub(super) fn figures(account: &WaterAccount, top: &At) -> Vec<Figure> {
    let at = top.part(ACCOUNT.name);
    let mut all = vec![
        at.figure(&LOST, DAY * account.lost),
        at.figure(&BROUGHT, DAY * account.brought),
        at.figure(&TO_ADD, DAY * account.to_add()),
    ];
    let times = [
        (&UNTIL_DRY, account.until_dry),
        (&UNTIL_FULL, account.until_full),
        (&RESERVOIR, account.reservoir),
    ];
    all.extend(
        times
            .into_iter()
            .filter_map(|(key, time)| Some(days(&at, key, time?))),
    );
    if let Some((low, high)) = account.float {
        all.push(at.named(&FLOAT, "low", low));
        all.push(at.named(&FLOAT, "high", high));
    }
    all
}

/// Rows to read: what is to be added, how long it can be left alone, where a float valve belongs:
/// `has_float` tells the one that is there from one that could be.
pub(super) fn rows(account: &WaterAccount, top: &At, has_float: bool) -> Vec<Row> {
    let at = top.part(ACCOUNT.name);
    let mut rows = Vec::new();
    let volume = |key: &Key, flow: f64| at.figure(key, DAY * flow);
    if account.to_add() > 0.0 {
        let brought = (account.brought > 0.0).then(|| {
            said!(
                ", {} of them from its sources",
                volume(&BROUGHT, account.brought)
            )
        });
        rows.push(Row::new(
            "To add",
            said!(
                "{} a day: the air takes {}{}",
                volume(&TO_ADD, account.to_add()),
                volume(&LOST, account.lost),
                brought
            ),
        ));
    }
    rows.extend(left_alone(account, &at).map(|text| Row::new("Left alone", text)));
    let label = if has_float {
        "It may open at"
    } else {
        "Float valve at"
    };
    rows.push(Row::new(label, float_words(account, top)));
    if let Some(time) = account.reservoir {
        let text = said!("lasts {}", days(&at, &RESERVOIR, time));
        rows.push(Row::new("Its reservoir", text));
    }
    rows
}

/// What happens where nobody adds or takes any water.
fn left_alone(account: &WaterAccount, at: &At) -> Option<Text> {
    let dry = account
        .until_dry
        .map(|time| said!("the pump draws air after {}", days(at, &UNTIL_DRY, time)));
    let full = account.until_full.map(|time| {
        said!(
            "sources bring {} a day more than the air takes, and the sump goes over its overflow after {}",
            at.figure(&TO_ADD, DAY * account.to_add())
                .said(at.units().volume(-DAY * account.to_add())),
            days(at, &UNTIL_FULL, time)
        )
    });
    dry.or(full)
}

/// The one range for the level of a float valve.
pub(super) fn float_words(account: &WaterAccount, top: &At) -> Text {
    let at = top.part(ACCOUNT.name);
    match account.float {
        Some((low, high)) => {
            let (least, most) = whole_range((low, high), at.units());
            said!(
                "{}: it opens before the pump draws air, and no cycle reaches it",
                between(
                    Figure {
                        shown: least,
                        ..at.named(&FLOAT, "low", low)
                    },
                    "to",
                    Figure {
                        shown: most,
                        ..at.named(&FLOAT, "high", high)
                    }
                )
            )
        }
        None => "no level does: where the pump still has water, a cycle reaches it".into(),
    }
}

/// Both ends as they are printed: whichever is set, it lies inside.
pub(super) fn whole_range((low, high): (f64, f64), units: UnitSystem) -> (String, String) {
    let shown = |level, side| units.elevation(amounts::length(units, level, side));
    (shown(low, Side::Up), shown(high, Side::Down))
}

fn days(at: &At, key: &Key, time: f64) -> Figure {
    at.shown(key, time, at.units().days(time))
}
