//! The first screen, and the advice that every command gives: what it says is done and run again.

use serde_json::Value;

use crate::bench::{Bench, WORKS, fails};

const DRIBBLES: &str = include_str!("../../scenarios/dribbles.toml");
const LOOP: &str = include_str!("../../scenarios/whole-loop.toml");

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

/// The steps of a plan as options.
fn as_options(plan: &Value) -> Vec<String> {
    let steps = plan["steps"].as_array().unwrap().iter();
    let edits = steps.flat_map(|step| step["with"].as_array().unwrap());
    edits
        .flat_map(|edit| ["--with".to_owned(), edit.as_str().unwrap().to_owned()])
        .collect()
}

#[test]
fn the_plan_of_run_done_as_printed_gives_the_verdict_it_promises() {
    for scenario in [DRIBBLES.to_owned(), fails()] {
        let bench = Bench::new(&scenario);
        let (text, _) = bench.expect(1, &["run", "bed.toml", "--json"]);
        let plan = &json(&text)["plan"];
        assert_eq!(plan["works"], true, "{plan}");
        let options = as_options(plan);
        let mut words = vec!["run", "bed.toml", "--json"];
        words.extend(options.iter().map(String::as_str));
        let (text, _) = bench.expect(0, &words);
        let after = json(&text);
        assert_eq!(after["verdict"], plan["verdict_after"]);
        assert!(after["plan"].is_null());
    }
}

#[test]
fn a_length_that_was_refused_is_there_after_the_plan() {
    let shallow = WORKS.replace("depth = \"0.30 m\", void", "depth = \"0.10 m\", void");
    let shallow = shallow.replace("length = \"225 mm\"", "length = \"80 mm\"");
    let bench = Bench::new(&shallow);
    let wish = ["cut", "bed.toml", "--dry-layer", "70 mm", "--json"];
    let (text, _) = bench.expect(1, &wish);
    let found = json(&text);
    assert!(found["beds"][0]["refused"].is_object(), "{found}");
    let options = as_options(&found["plan"]);
    let words: Vec<&str> = wish
        .into_iter()
        .chain(options.iter().map(String::as_str))
        .collect();
    let (text, _) = bench.expect(0, &words);
    assert!(json(&text)["beds"][0]["cut"].is_object());
}

#[test]
fn events_change_no_ordinary_figure() {
    let at = LOOP.find("[[event]]").unwrap();
    let bench = Bench::new(LOOP);
    let (with, _) = bench.expect(0, &["run", "bed.toml", "--json"]);
    let bench = Bench::new(&LOOP[..at]);
    let (without, _) = bench.expect(0, &["run", "bed.toml", "--json"]);
    let (mut with, mut without) = (json(&with), json(&without));
    assert!(with["what_if"]["words"].is_string() && without["what_if"].is_null());
    for found in [&mut with, &mut without] {
        for key in ["what_if", "incidents", "pump_stops"] {
            found[key] = Value::Null;
        }
    }
    assert_eq!(with, without);
}

/// A siphon blocked for good puts the bed over its wall: told beside, and it counts.
#[test]
fn an_event_that_floods_the_room_is_told_beside_the_ordinary_verdict() {
    let large = WORKS.replace("width = \"0.6 m\"", "width = \"0.9 m\"");
    let text = format!("{large}\n[[event]]\nat = \"1 h\"\nsiphon-blocked = \"north\"\n");
    let bench = Bench::new(&text);
    let (text, _) = bench.expect(1, &["run", "bed.toml", "--json"]);
    let found = json(&text);
    assert_ne!(found["verdict"], "fail", "{}", found["headline"]);
    assert_eq!(found["what_if"]["status"], "fail");
    let worse = found["what_if"]["worse"].as_array().unwrap();
    assert!(worse.iter().any(|check| check["id"] == "rim"), "{worse:?}");
}

#[test]
fn the_first_screen_is_one_and_the_rest_is_asked_for() {
    let bench = Bench::new(DRIBBLES);
    let (brief, _) = bench.expect(1, &["run", "bed.toml"]);
    assert!(brief.lines().count() <= 50, "{brief}");
    for part in ["Answers\n", "What to do\n", "Take care: ", "--full"] {
        assert!(brief.contains(part), "{part} in {brief}");
    }
    assert!(!brief.contains("\nChecks\n"), "{brief}");
    let (full, _) = bench.expect(1, &["run", "bed.toml", "--full"]);
    for part in ["Answers\n", "What to do\n", "\nChecks\n", "\nCautions\n"] {
        assert!(full.contains(part), "{part} in {full}");
    }
}
