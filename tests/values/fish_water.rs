//! Oxygen, feed and dissolved matter: `14_oxygen_fish_water.csv`. Saturation values are
//! FROM_MEMORY of a published table, feed and density from the named FAO paper, times
//! COMPUTED by hand.

use ebbwright::hydraulics::dissolved::{after, before_exchange, exchange_for, pure_share};
use ebbwright::hydraulics::oxygen::{
    BEGINNERS_DENSITY, FEED_SHARE, FISH_USE, FRUITING_FEED, LEAFY_FEED, LOW_OXYGEN, USUAL_OXYGEN,
    saturation, time_to,
};
use ebbwright::model::Thresholds;

use crate::table::{Row, rows};

const DAY: f64 = 86_400.0;

/// Numbers in a text such as `40 to 50` or `at most 20`.
fn numbers(row: &Row) -> Vec<f64> {
    let words = row.text("value").split(' ');
    words.filter_map(|word| word.parse().ok()).collect()
}

fn held(quantity: &str) -> Vec<Row> {
    let all = rows("14_oxygen_fish_water.csv").into_iter();
    let found: Vec<Row> = all
        .filter(|row| row.text("quantity").starts_with(quantity))
        .collect();
    assert!(!found.is_empty(), "{quantity}");
    found
}

#[test]
fn saturated_water_holds_the_tabulated_oxygen() {
    let found = held("dissolved oxygen at saturation");
    assert_eq!(found.len(), 7);
    for row in found {
        let celsius = crate::table::number_after(row.text("condition"), "fresh water ");
        let ours = 1e3 * saturation(celsius).unwrap();
        // The table has two decimals.
        row.hold("saturation", ours, row.number("value"), 0.0055 / ours);
    }
    assert!(saturation(-1.0).is_err() && saturation(41.0).is_err());
}

#[test]
fn fish_bring_still_water_down_in_the_computed_minutes() {
    let found = held("minutes from 7 to 3 mg/L");
    assert_eq!(found.len(), 3);
    for row in found {
        let condition = row.text("condition");
        let density: f64 = condition.split(' ').next().unwrap().parse().unwrap();
        let minutes = time_to(USUAL_OXYGEN, LOW_OXYGEN, 1.0, density, FISH_USE[1]) / 60.0;
        row.hold("minutes", minutes, row.number("value"), 3e-3);
    }
}

#[test]
fn rules_of_stocking_and_feeding_are_the_published_ones() {
    let near = |ours: &[f64], row: &Row| {
        let published = numbers(row);
        assert_eq!(ours.len(), published.len(), "{}", row.place());
        for (ours, published) in ours.iter().zip(published) {
            row.hold("rule", *ours, published, 1e-9);
        }
    };
    let leafy_and_fruiting = held("feed a day a bed area takes");
    near(&LEAFY_FEED.map(|q| q * DAY * 1e3), &leafy_and_fruiting[0]);
    near(
        &FRUITING_FEED.map(|q| q * DAY * 1e3),
        &leafy_and_fruiting[1],
    );
    near(&FISH_USE.map(|q| q * 3600.0 * 1e6), &held("oxygen use")[0]);
    near(&[BEGINNERS_DENSITY], &held("fish density")[0]);
    let [least, _, most] = FEED_SHARE.map(|q| q * DAY * 100.0);
    near(&[least, most], &held("feed of growing fish")[0]);
    let reach = held("reach over a bed");
    let own = Thresholds::default().reach;
    assert_eq!(numbers(&reach[0])[0], own);
    // From two sides each side reaches half way.
    assert_eq!(numbers(&reach[1])[0], 2.0 * own);
}

/// By hand from the row `minerals added by top-off`: E c / V.
#[test]
fn evaporation_leaves_the_minerals_behind() {
    assert_eq!(held("minerals added")[0].text("value"), "E c / V");
    let load = 6e-3 * 0.3 / DAY;
    // 6 L a day of 300 mg/L into 600 L: 3 mg/L a day.
    let week = after(0.3, load, 0.0, 0.6, 7.0 * DAY);
    assert!((week - 0.321).abs() < 1e-12, "{week}");
    // With 2 L a day going away as water it ends at load over what leaves: 900 mg/L.
    let long = after(0.3, load, 2e-3 / DAY, 0.6, 1e5 * DAY);
    assert!((long - 0.9).abs() < 1e-9, "{long}");
    // One time constant of 300 days: 0.9 - 0.6 / e.
    let one = after(0.3, load, 2e-3 / DAY, 0.6, 300.0 * DAY);
    assert!((one - (0.9 - 0.6 / 1f64.exp())).abs() < 1e-12, "{one}");
}

/// A tenth exchanged every week against a rise of 21 mg/L a week: followed step by step.
#[test]
fn a_regular_exchange_settles_where_the_formula_says() {
    let mut water = 0.3;
    for _ in 0..1000 {
        water = water * 0.9 + 0.1 * 0.3 + 0.021;
    }
    assert!((water - before_exchange(0.3, 0.021, 0.1)).abs() < 1e-9);
    let share = exchange_for(0.51, 0.3, 0.021).unwrap();
    assert!((share - 0.1).abs() < 1e-12);
    assert_eq!(exchange_for(0.3, 0.3, 0.021), None);
    assert_eq!(pure_share(0.1, 0.4, 0.2), None);
}
