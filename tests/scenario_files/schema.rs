//! The JSON Schema agrees with the reader.

use crate::json_schema::valid;
use ebbwright::scenario;
use serde_json::Value;

fn toml_to_json(text: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap()
}

fn fits_schema(text: &str) -> bool {
    let schema = scenario::schema();
    valid(&schema, &schema, &toml_to_json(text))
}

#[test]
fn files_that_are_read_fit_the_schema() {
    for text in [
        scenario::starter(),
        scenario::starter_us(),
        include_str!("piped.toml"),
        include_str!("shares.toml"),
        include_str!("measured.toml"),
        include_str!("allotment.toml"),
    ] {
        assert!(scenario::parse(text, "a.toml").is_ok());
        assert!(fits_schema(text), "{}", text.lines().next().unwrap());
    }
}

#[test]
fn shipped_scenarios_fit_the_schema_and_are_read_without_warnings() {
    let mut count = 0;
    for entry in std::fs::read_dir("scenarios").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let scenario = scenario::read(&path).unwrap_or_else(|e| panic!("{}", e.render(false)));
        assert_eq!(scenario.render_warnings(false), "", "{}", path.display());
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(fits_schema(&text), "{}", path.display());
        count += 1;
    }
    assert!(count >= 9, "only {count} scenarios");
}

/// The schema sees one value at a time: what breaks it, the reader refuses;
/// and of the bad files it catches all but ranges and rules between values.
#[test]
fn the_schema_refuses_nothing_that_is_read_and_most_that_is_not() {
    let (mut caught, mut all) = (0, 0);
    for entry in std::fs::read_dir("tests/bad").unwrap() {
        let path = entry.unwrap().path();
        let Ok(text) = std::fs::read_to_string(&path) else {
            continue;
        };
        let Ok(table) = toml::from_str::<toml::Table>(&text) else {
            continue;
        };
        let Ok(value) = serde_json::to_value(table) else {
            continue;
        };
        let schema = scenario::schema();
        all += 1;
        caught += usize::from(!valid(&schema, &schema, &value));
    }
    assert!(all > 120 && caught * 2 > all, "{caught} of {all}");
}

#[test]
fn every_key_is_explained() {
    fn explained(schema: &Value, path: &str) {
        for (key, property) in schema["properties"].as_object().into_iter().flatten() {
            let path = format!("{path}.{key}");
            let text = property["description"].as_str().unwrap_or_default();
            assert!(text.len() > 5, "{path} is not explained");
            explained(property, &path);
            if property["items"].is_object() {
                explained(&property["items"], &path);
            }
        }
    }
    let schema = scenario::schema();
    assert_eq!(
        schema["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    explained(&schema, "");
}

/// The files that the tests of the reader use leave no key out.
#[test]
fn every_key_is_used_by_some_file() {
    fn collect(schema: &Value, files: &[&Value], path: &str, unused: &mut Vec<String>) {
        for (key, property) in schema["properties"].as_object().into_iter().flatten() {
            let path = format!("{path}.{key}");
            let mut below: Vec<&Value> = Vec::new();
            for file in files {
                match file.get(key) {
                    Some(Value::Array(items)) if property["items"]["properties"].is_object() => {
                        below.extend(items);
                    }
                    Some(value) => below.push(value),
                    None => {}
                }
            }
            if below.is_empty() {
                unused.push(path);
            } else {
                let inner = if property["items"]["properties"].is_object() {
                    &property["items"]
                } else {
                    property
                };
                collect(inner, &below, &path, unused);
            }
        }
    }
    let files = [
        include_str!("piped.toml"),
        include_str!("shares.toml"),
        include_str!("measured.toml"),
    ]
    .map(toml_to_json);
    let mut unused = Vec::new();
    collect(
        &scenario::schema(),
        &files.iter().collect::<Vec<_>>(),
        "",
        &mut unused,
    );
    // One shape or one kind of valve stands for the others, and one way to give a bore
    // for both; all of them have tests of their own.
    unused.retain(|path| {
        !path.contains(".shape.") && !path.contains(".valve.") && !path.contains(".fittings.")
    });
    unused.retain(|path| {
        !path.ends_with("pipe.bore")
            && !path.ends_with(".nominal")
            && !path.ends_with(".schedule")
            && !path.ends_with(".roughness")
    });
    // Its keys are those of a bed; `every_bed` holds it.
    unused.retain(|path| !path.starts_with(".every-bed"));
    assert_eq!(unused, Vec::<String>::new());
}

// A form that knew no order would show a bell before its bed, and one without ranges a slider
// without ends.
#[test]
fn a_form_finds_order_ranges_and_defaults_in_the_schema() {
    let schema = scenario::schema();
    let order = schema["x-order"].as_array().unwrap();
    let keys = schema["properties"].as_object().unwrap();
    assert_eq!(order.len(), keys.len());
    let place = |key: &str| order.iter().position(|one| one == key).unwrap();
    assert!(place("sump") < place("pump") && place("pump") < place("bed"));
    let length = &keys["bed"]["items"]["properties"]["standpipe"]["properties"]["length"];
    let end = |end: &str| length["x-range"][end].as_f64().unwrap();
    assert!(end("least") > 0.0 && end("least") < 0.225 && 0.225 < end("most"));
    assert!(keys["title"]["x-default"].is_string());
}
