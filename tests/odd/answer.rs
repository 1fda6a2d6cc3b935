//! An answer can be told: every figure of it is a number.

use crate::properties::{Faults, Property};
use crate::trial::{Trial, message};
use ebbwright::answer::Look;
use ebbwright::report::Report;
use ebbwright::units::UnitSystem;
use serde_json::Value;
use std::panic::{AssertUnwindSafe, catch_unwind};

pub fn told(trial: &Trial, found: &mut Faults) {
    let write = || {
        let mut faults = Vec::new();
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let report = Report::new(&trial.system, &trial.run, &trial.assessment, units);
            let document = report.document("odd.toml");
            // What is null is so for the reason that its key gives.
            faults.extend(document.faults());
            let json = document.json().expect("plain numbers and text");
            let results: Value = serde_json::from_str(&json).expect("JSON");
            nulls(&results["checks"], "checks", &mut faults);
            words(&document.terminal(Look::default()), "text", &mut faults);
            words(&document.markdown(), "page", &mut faults);
            for series in document.series() {
                words(&series.csv().to_string(), series.file, &mut faults);
            }
        }
        faults
    };
    let faults = catch_unwind(AssertUnwindSafe(write))
        .unwrap_or_else(|panic| vec![format!("panic: {}", message(&*panic))]);
    found.extend(
        faults
            .into_iter()
            .take(2)
            .map(|text| (Property::Told, text)),
    );
}

fn nulls(value: &Value, path: &str, faults: &mut Vec<String>) {
    match value {
        Value::Null => faults.push(format!("{path} is not a number")),
        Value::Array(list) => list
            .iter()
            .enumerate()
            .for_each(|(i, value)| nulls(value, &format!("{path}[{i}]"), faults)),
        Value::Object(map) => {
            let id = map.get("id").and_then(Value::as_str).unwrap_or_default();
            // A check that only informs has no limit; without a cycle there is no period,
            // without a siphon that ran full no ratio.
            let informs = ["settler", "floor-load"].contains(&id);
            let failed = map.get("status").is_some_and(|status| status != "pass");
            let none = ["period", "inflow-ratio"].contains(&id) && failed;
            for (key, value) in map {
                if value.is_null() && (informs || none) {
                    continue;
                }
                nulls(value, &format!("{path}.{id} {key}"), faults);
            }
        }
        _ => {}
    }
}

fn words(text: &str, whence: &str, faults: &mut Vec<String>) {
    let odd = |word: &&str| ["nan", "inf", "infinity"].contains(&word.to_lowercase().as_str());
    if let Some(line) = text.lines().find(|line| {
        line.split(|c: char| !c.is_alphabetic())
            .any(|word| odd(&word))
    }) {
        faults.push(format!("{whence}: {}", line.trim()));
    }
}
