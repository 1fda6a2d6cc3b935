//! Reading a text that must be accepted.

use ebbwright::model::System;
use ebbwright::scenario::{self, Scenario};

pub fn read(text: &str) -> Scenario {
    scenario::parse(text, "test.toml").unwrap_or_else(|error| panic!("{}", error.render(false)))
}

pub fn system(text: &str) -> System {
    let scenario = read(text);
    assert!(
        scenario.warnings.is_empty(),
        "{}",
        scenario.render_warnings(false)
    );
    scenario.system
}

#[track_caller]
pub fn close(value: f64, expected: f64) {
    assert!(
        (value - expected).abs() <= 1e-12 * expected.abs().max(1.0),
        "{value}, not {expected}"
    );
}
