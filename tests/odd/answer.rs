//! An answer can be told: every figure of it is a number.

use crate::properties::{Faults, Property};
use crate::trial::{Trial, message};
use ebbwright::report::{Look, Report};
use ebbwright::units::UnitSystem;
use serde_json::Value;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Keys that are null where there is no such thing.
const MAY_BE_NULL: [&str; 26] = [
    "period_s",
    "fill_s",
    "prime_s",
    "drain_s",
    "left_depth_m",
    "left_volume_m3",
    "water_per_cycle_m3",
    "inflow_at_start_m3_s",
    "inflow_at_break_m3_s",
    "siphon_flow_at_start_m3_s",
    "siphon_flow_at_break_m3_s",
    "head_m",
    "energy_kwh_day",
    "energy_cost_day",
    "drain_line",
    "timer",
    "pump_stops",
    "tank",
    "top_off",
    "reservoir_spent_s",
    "bed",
    "largest_bed",
    "first",
    "second",
    "came_up_drain",
    // Of what came up a drain: from the sump, not from a bed.
    "from",
];

pub fn told(trial: &Trial, found: &mut Faults) {
    let write = || {
        let mut faults = Vec::new();
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let report = Report::new(&trial.system, &trial.run, &trial.assessment, units);
            let json = report.json().expect("plain numbers and text");
            nulls(
                &serde_json::from_str(&json).expect("JSON"),
                "result",
                &mut faults,
            );
            words(&report.text(Look::default()), "text", &mut faults);
            words(&report.markdown("odd.toml", &[]), "page", &mut faults);
            let table =
                String::from_utf8(report.levels_csv().expect("equal columns")).expect("text");
            words(&table, "table of levels", &mut faults);
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
                if value.is_null() && (MAY_BE_NULL.contains(&key.as_str()) || informs || none) {
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
