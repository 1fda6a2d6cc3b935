//! A garden that is planned: drafted from what was typed.
#![allow(clippy::unwrap_used)]

use super::asked;
use serde_json::json;

#[test]
fn a_fact_that_cannot_be_read_names_its_box() {
    for (typed, says) in [
        (json!({ "beds": "many" }), "whole number"),
        (json!({ "bed": "4 ft" }), "1 measure"),
        (json!({ "drum": "bucket" }), "lying, upright"),
        (json!({ "room": "tall" }), "height of the room"),
        (json!({ "pump": "big" }), "figures on its box"),
        (json!({ "tank": "koi" }), "a volume such as"),
    ] {
        let mut question = typed.clone();
        question["call"] = json!("draft");
        let found = asked(&question);
        let named = found["fact"].as_str().unwrap();
        assert!(typed.get(named).is_some(), "{found}");
        assert!(found["error"].as_str().unwrap().contains(says), "{found}");
    }
}

// Examples were in gallons and feet whatever the page read.
#[test]
fn what_to_type_instead_is_told_in_the_units_that_are_read() {
    for (units, has, has_not) in [
        ("metric", "3000 L/h, 3 m", "gal"),
        ("us", "800 gal/h, 10 ft", "L/h"),
    ] {
        let found = asked(&json!({ "call": "draft", "units": units, "pump": "a big one" }));
        let error = found["error"].as_str().unwrap();
        assert!(error.contains(has) && !error.contains(has_not), "{error}");
    }
}

#[test]
fn a_fish_tank_that_is_planned_is_drafted() {
    let mut question =
        json!({ "call": "draft", "beds": "1", "tank": "300 L on 40 cm", "pump": "3500 L/h 2.8 m" });
    let found = asked(&question);
    let text = found["text"].as_str().unwrap();
    assert_eq!(found["works"], json!(true), "{found}");
    assert!(
        text.contains("[tank]") && text.contains("\"tank.floor\""),
        "{text}"
    );
    assert!(text.contains("open-flow = \"3500 L/h\""), "{text}");
    question["tank"] = json!("");
    let found = asked(&question);
    assert!(
        !found["text"].as_str().unwrap().contains("[tank]"),
        "{found}"
    );
}
