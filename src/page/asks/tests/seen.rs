//! What somebody has seen, beside what is reckoned.
#![allow(clippy::unwrap_used)]

use super::asked;
use serde_json::{Value, json};

const TUBS: &str = include_str!("../../../../tests/page/two-tubs.toml");
const DRIBBLES: &str = include_str!("../../../../scenarios/dribbles.toml");
const RUNS_ON: &str = include_str!("../../../../scenarios/runs-on.toml");

fn said(found: &Value) -> String {
    found["says"].as_str().unwrap().to_owned()
}

fn still(text: &str, symptom: &str, with: &Value) -> Value {
    asked(&json!({
        "call": "still-seen", "text": text, "name": "one.toml", "with": with,
        "seen": { "bed": 0, "symptom": symptom },
    }))
}

// "Mended" did not tell whether what was complained of was gone.
#[test]
fn whether_what_was_seen_is_gone_is_told_of_what_was_put_in() {
    let before = still(DRIBBLES, "dribbles", &json!([]));
    assert!(
        said(&before).contains("is still to be expected"),
        "{before}"
    );
    let some = json!(["pump.steady-flow = \"9 L/min\""]);
    let doubtful = said(&still(DRIBBLES, "dribbles", &some));
    assert!(doubtful.contains("not sure (see \"Starts\")"), "{doubtful}");
    let more = json!(["pump.steady-flow = \"11 L/min\""]);
    let after = still(DRIBBLES, "dribbles", &more);
    assert!(
        said(&after).contains("not to be expected any more"),
        "{after}"
    );
    assert!(said(&after).contains("\"balcony\""), "{after}");
    assert!(!said(&after).contains("not sure"), "{after}");
    assert_eq!(said(&still(DRIBBLES, "none of these", &json!([]))), "");
}

// A plan that takes the bed complained of farther from what it should do says so.
#[test]
fn a_plan_says_where_it_leads_away_from_what_is_seen() {
    let head = |text: &str, bed: usize, symptom: &str| {
        let found = asked(&json!({
            "call": "plan", "text": text, "name": "two.toml", "units": "us",
            "seen": { "bed": bed, "symptom": symptom },
        }));
        found["head"].as_str().unwrap().to_owned()
    };
    // Less water stops it, and is what it may not start with.
    let away = head(RUNS_ON, 0, "dribbles");
    assert!(away.contains("lead away from mending that"), "{away}");
    assert!(away.contains("goes from PASS to WARN"), "{away}");
    for as_good in [
        head(RUNS_ON, 0, "overflows-bed"),
        head(DRIBBLES, 0, "runs-on"),
    ] {
        assert!(as_good.contains("find the cause first"), "{as_good}");
        assert!(!as_good.contains("lead away"), "{as_good}");
    }
}

#[test]
fn what_other_beds_are_seen_to_do_is_reckoned_with() {
    let ask = |others: &Value| {
        asked(&json!({
            "call": "why", "text": TUBS, "name": "two.toml", "units": "us", "bed": 1,
            "symptom": "dribbles", "readings": {}, "others": others,
        }))
    };
    let (alone, beside) = (ask(&json!({})), ask(&json!({ "0": { "seen": "cycles" } })));
    assert_ne!(alone["head"], beside["head"], "{beside}");
    let wrong = ask(&json!({ "0": { "seen": "dances" } }));
    assert!(wrong.to_string().contains("never-breaks"), "{wrong}");
}

// Somebody whose bed floods and empties read that it cannot, and found no place to say so.
#[test]
fn a_card_in_doubt_names_the_beds_of_which_somebody_may_have_seen_otherwise() {
    let ask = |text: &str, with: &Value| {
        asked(&json!({ "call": "answer", "text": text, "name": "one.toml", "with": with }))
    };
    let found = ask(DRIBBLES, &json!([]));
    assert_eq!(
        found["contested"]["Starts"],
        json!([0]),
        "{}",
        found["contested"]
    );
    assert_eq!(found["contested"]["Stops"], json!([]));
    let told = asked(&json!({
        "call": "fit", "text": DRIBBLES, "name": "one.toml", "bed": 0, "readings": { "seen": "cycles" },
    }));
    let learnt = ask(DRIBBLES, &json!([told["edits"]]));
    let starts = learnt["cards"].as_array().unwrap().iter();
    let mut starts = starts.filter(|card| card["asks"] == "Starts");
    assert_ne!(starts.next().unwrap()["status"], "fail", "{learnt}");
}
