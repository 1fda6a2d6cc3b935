//! The answer to `run` as people and programs read it.
#![allow(clippy::unwrap_used, clippy::panic)]

use serde_json::{Value, json};

use crate::answer::run::elevations::elevations;
use crate::answer::run::page::beds_in_words;
use crate::answer::{Document, Look, Picture};
use crate::assessment::{Check, Subject};
use crate::model::{Band, Coefficient};
use crate::report::Sample;
use crate::units::UnitSystem;

fn document(sample: &Sample, units: UnitSystem) -> Document {
    sample.report(units).document("two-beds.toml")
}

fn results(sample: &Sample, units: UnitSystem) -> Value {
    serde_json::from_str(&document(sample, units).json().unwrap()).unwrap()
}

fn held(name: &str, text: &str) {
    insta::with_settings!({ snapshot_path => "../../../tests/snapshots", prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!(name, text);
    });
}

#[test]
fn a_failing_system_in_metric_units() {
    let mut found = document(&Sample::new(), UnitSystem::Metric);
    found.add_pictures([Picture {
        file: "levels (all).svg".to_owned(),
        caption: "Water levels in the beds".to_owned(),
        svg: "<svg></svg>".to_owned(),
    }]);
    held("text_failing", &found.terminal(Look::default()));
    held("page_failing", &found.markdown());
}

#[test]
fn a_passing_system_in_us_units() {
    let found = document(&Sample::passing(), UnitSystem::Us);
    held("text_passing", &found.terminal(Look::default()));
    held("page_passing", &found.markdown());
}

#[test]
fn the_samples_keep_to_the_table_of_keys() {
    for sample in [Sample::new(), Sample::passing()] {
        assert_eq!(document(&sample, UnitSystem::Us).faults(), [""; 0]);
    }
}

#[test]
fn the_table_of_checks_fits_an_old_terminal() {
    let mut sample = Sample::new();
    for bed in &mut sample.system.beds {
        bed.name = "a bed with quite a long name".to_owned();
    }
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        let text = document(&sample, units).terminal(Look::default());
        let table = text.split("\nChecks\n").nth(1).unwrap();
        let rows: Vec<&str> = table.lines().take_while(|line| !line.is_empty()).collect();
        assert!(rows.len() > 5, "{text}");
        for row in rows {
            assert!(row.chars().count() <= 80, "{row}");
        }
    }
}

#[test]
fn beds_that_are_alike_are_described_once() {
    let mut sample = Sample::new();
    let said = |sample: &Sample| beds_in_words(&sample.report(UnitSystem::Metric)).to_string();
    assert!(said(&sample).starts_with("2 beds: north, south (each 1.2 m2 of surface, "));
    sample.system.beds[1].media.depth = 0.25;
    assert!(said(&sample).contains("; south (1.2 m2 of surface, 250 mm of gravel, "));
}

#[test]
fn beds_that_do_alike_are_one_section_and_both_in_the_results() {
    let mut sample = Sample::new();
    assert!(
        !document(&sample, UnitSystem::Metric)
            .markdown()
            .contains("## Beds ")
    );
    let name = sample.system.beds[1].name.clone();
    sample.system.beds[1] = sample.system.beds[0].clone();
    sample.system.beds[1].name = name;
    sample.run.beds[1] = sample.run.beds[0].clone();
    sample.assessment.beds[1] = sample.assessment.beds[0].clone();
    let found = document(&sample, UnitSystem::Metric);
    assert!(found.markdown().contains("## Beds \"north\", \"south\""));
    assert_eq!(found.faults(), [""; 0]);
    let json = results(&sample, UnitSystem::Metric);
    assert_eq!(json["beds"][1]["name"], "south");
    assert_eq!(
        json["beds"][0]["peak_level_m"],
        json["beds"][1]["peak_level_m"]
    );
}

#[test]
fn coefficients_given_by_the_owner_say_so() {
    let mut sample = Sample::new();
    sample.system.coefficients[Coefficient::StartFroude] = Band::exact(0.42);
    let page = document(&sample, UnitSystem::Metric).markdown();
    assert!(
        page.contains("| 0.42 | 0.42 | 0.42 | no unit | given in the scenario |"),
        "{page}"
    );
}

#[test]
fn heights_fall_from_ceiling_to_floor() {
    let sample = Sample::new();
    let report = sample.report(UnitSystem::Metric);
    let heights = elevations(&report);
    assert!(
        heights
            .windows(2)
            .all(|pair| pair[0].level >= pair[1].level)
    );
    assert_eq!(heights.first().map(|h| h.what.as_str()), Some("ceiling"));
    // Ceiling, room floor, 10 heights a bed without air tube, 2 of the line,
    // 9 of sump and pump: counted by hand.
    assert_eq!(heights.len(), 2 + 2 * 10 + 2 + 9);
}

/// The document of the design contract: every key with a value of its type.
/// Text of several words separated by bars lists the words allowed.
fn contract() -> Value {
    let range = json!({"mean": 0, "min": 0, "max": 0});
    let band = json!({"low": 0, "nominal": 0, "high": 0});
    let regimes = "cycles|dribbles|stalls|runs-on|overflows|never-fills|unfinished";
    json!({
        "schema": 2, "command": "run", "headline": "", "title": "", "simulated_s": 0, "verdict": "pass|warn|fail",
        "beds": [{
            "name": "", "regime": regimes,
            "regimes": [{"from_s": 0, "to_s": 0, "regime": regimes}],
            "cycles": 0, "period_s": range, "fill_s": range, "prime_s": range, "drain_s": range,
            "peak_level_m": 0, "first_peak_level_m": 0, "peak_depth_m": 0, "dry_layer_m": 0,
            "break_level_m": 0, "water_per_cycle_m3": 0, "inflow_m3_s": range,
            "judged_inflow_at_start_m3_s": 0, "judged_inflow_at_break_m3_s": 0,
            "siphon_flow_at_start_m3_s": 0, "siphon_flow_at_break_m3_s": 0,
            "crown_pressure_min_pa": 0, "start_flow_m3_s": band, "run_on_flow_m3_s": band,
            "stall_flow_m3_s": 0,
            "will_start": "will|uncertain|will-not", "will_break": "will|uncertain|will-not"
        }],
        "sump": {"level_m": range, "bound_low_m": 0, "bound_high_m": 0, "ran_dry_s": 0,
                 "overflowed_m3": 0},
        "pump": {"flow_m3_s": range, "head_m": range, "energy_kwh_day": 0},
        "drain_line": {"peak_flow_m3_s": 0, "capacity_m3_s": 0, "peak_fill_ratio": 0,
                       "surcharged_s": 0},
        "water_balance_residual_m3": 0,
        "checks": [{"id": "", "subject": "", "status": "pass|warn|fail", "value": 0, "limit": 0,
                    "margin": 0, "unit": "", "because": "", "first_fix": "", "basis": ""}],
        "cautions": [""]
    })
}

fn hold(found: &Value, asked: &Value, path: &str) {
    match (asked, found) {
        (Value::Object(asked), Value::Object(found)) => {
            for (key, asked) in asked {
                let value = found
                    .get(key)
                    .unwrap_or_else(|| panic!("no key {path}.{key}"));
                hold(value, asked, &format!("{path}.{key}"));
            }
        }
        (Value::Array(asked), Value::Array(found)) => {
            assert!(!found.is_empty(), "{path} is empty");
            for (i, value) in found.iter().enumerate() {
                hold(value, &asked[0], &format!("{path}[{i}]"));
            }
        }
        (Value::String(asked), Value::String(found)) => assert!(
            asked.is_empty() || asked.split('|').any(|word| word == found),
            "{path}: {found} is none of {asked}"
        ),
        (Value::Number(_), Value::Number(_)) => {}
        _ => panic!("{path}: {found} where the contract has {asked}"),
    }
}

#[test]
fn every_key_of_the_contract_is_there_with_its_type() {
    let mut sample = Sample::new();
    // The bed that never broke has no cycle figures; they are null below.
    let _ = sample.system.beds.pop();
    let _ = sample.run.beds.pop();
    let kept = |check: &Check| check.subject != Subject::Bed(1);
    sample.assessment.checks.retain(kept);
    hold(&results(&sample, UnitSystem::Metric), &contract(), "result");
}

#[test]
fn what_does_not_exist_is_null() {
    let mut sample = Sample::new();
    sample.run.line = None;
    sample.run.pump.energy_kwh_day = None;
    sample.run.pump.head = None;
    sample.run.beds[1].crown_pressure_min = f64::NAN;
    sample.assessment.checks[0].limit = f64::INFINITY;
    sample.run.residual = -0.0;
    let found = results(&sample, UnitSystem::Metric);
    let bed = &found["beds"][1];
    for key in [
        "period_s",
        "fill_s",
        "prime_s",
        "drain_s",
        "water_per_cycle_m3",
    ] {
        assert_eq!(bed.get(key), Some(&Value::Null), "{key}");
    }
    for value in [
        &found["drain_line"],
        &found["pump"]["energy_kwh_day"],
        &found["pump"]["energy_cost_day"],
        &found["pump"]["head_m"],
        &bed["crown_pressure_min_pa"],
        &bed["siphon_flow_at_break_m3_s"],
        &found["checks"][0]["limit"],
    ] {
        assert!(value.is_null());
    }
    assert_eq!(found["water_balance_residual_m3"].to_string(), "0.0");
}

/// Takes out what is written in the reader's units.
fn without_words(told: &mut Value) {
    match told {
        Value::Array(items) => items.iter_mut().for_each(without_words),
        Value::Object(parts) => {
            for (key, part) in parts {
                match key.as_str() {
                    "shown" | "because" | "words" | "in_words" | "first_fix" | "headline" => {
                        *part = Value::Null
                    }
                    _ => without_words(part),
                }
            }
        }
        _ => {}
    }
}

#[test]
fn figures_are_si_whatever_units_the_reader_asked_for() {
    let sample = Sample::new();
    let metric = results(&sample, UnitSystem::Metric);
    // Sentences are for people: they carry the units of the reader.
    let figures = |mut told: Value| {
        for list in ["notes", "cautions"] {
            told[list] = Value::Null;
        }
        without_words(&mut told);
        told
    };
    let us = results(&sample, UnitSystem::Us);
    assert_eq!(figures(metric.clone()), figures(us));
    let bed = &metric["beds"][0];
    let near = |value: &Value, expected: f64| {
        assert!(
            (value.as_f64().unwrap() - expected).abs() < 1e-12,
            "{value}"
        );
    };
    // By hand from the sample: floor 0.95 m, gravel to 1.25 m, peak 1.193 m, 5 mm for levelling.
    near(&bed["peak_depth_m"], 0.243);
    near(&bed["dry_above_peak_m"], 0.057);
    near(&bed["dry_layer_m"], 0.052);
    // 0.912 kWh at 0.30 each.
    let mut priced = Sample::new();
    priced.system.pump.tariff = Some(0.30);
    let priced = results(&priced, UnitSystem::Metric);
    near(&priced["pump"]["energy_cost_day"], 0.2736);
    // Periods 1033.2 s and 1040.0 s.
    near(&bed["period_s"]["mean"], 1036.6);
    near(&bed["period_s"]["min"], 1033.2);
    near(&bed["period_s"]["max"], 1040.0);
    near(&bed["stall_flow_m3_s"], 24e-3 / 60.0);
    assert_eq!(metric["coincidences"][0]["second"], "south");
    assert_eq!(metric["drain_line"]["largest_bed"], "north");
}
