//! The file of readings to fill in.

use std::fmt::Write;

use crate::model::System;
use crate::scenario::RECORD;
use crate::study::protocol::{Protocol, StepKind};
use crate::units::UnitSystem;
use crate::units::table::significant;

/// The file to fill in for the bed of `protocol`; with `open` without its name, for a record
/// that others may read.
pub fn readings_template(
    system: &System,
    protocol: &Protocol,
    open: bool,
    units: UnitSystem,
) -> String {
    let name = system.beds.get(protocol.bed).map_or("", |bed| &bed.name);
    let (per_flow, flow_unit) = units.flow_axis();
    let flow = |value: f64| format!("{} {flow_unit}", significant(value * per_flow, 3));
    let time = |value: f64| format!("{} s", significant(value, 4));
    let expected = |kind: StepKind| {
        let step = protocol.steps.iter().find(|step| step.kind == kind);
        step.and_then(|step| step.expected)
    };
    let mut text = format!(
        "# Readings of the protocol; take the # off what you have and write your figures in.\n\
         # Each may have its spread: \"{} +- 1 %\". What stands here is what is expected.\n\
         record = {RECORD}\ninvented = false   # true for an example that nobody measured\n\n[[bed]]\n",
        units.words("9 L/min")
    );
    let mut line = |text_line: String| {
        text += &text_line;
        text += "\n";
    };
    if !open || system.beds.len() > 1 {
        let name = if open {
            format!("bed {}", protocol.bed + 1)
        } else {
            name.to_owned()
        };
        line(format!("name = {}", toml_edit::Value::from(name)));
    }
    let (low, high) = protocol.marks;
    line(format!(
        "# step 0\n# inflow = \"{} +- 0.5 %\"",
        flow(protocol.inflow)
    ));
    let mut timed = |title: String, key: &str, kind: StepKind| {
        if let Some(band) = expected(kind) {
            line(format!("# {title}\n# {key} = \"{}\"", time(band.nominal)));
        }
    };
    timed(
        format!(
            "step 1, from {} to {}",
            units.length(low),
            units.length(high)
        ),
        "rise",
        StepKind::Rise,
    );
    timed(
        "step 3, second mean less the first".to_owned(),
        "priming-gain",
        StepKind::Priming,
    );
    timed(
        format!(
            "step 4, from {} to {}",
            units.length(high),
            units.length(low)
        ),
        "fall",
        StepKind::Fall,
    );
    let mut pair = |title: &str, above: &str, below: &str, kind: StepKind, by: f64| {
        if let Some(band) = expected(kind) {
            line(format!(
                "# {title}\n# {above} = [\"{} +- 0.5 %\"]\n# {below} = [\"{} +- 0.5 %\"]",
                flow(band.nominal * (1.0 + 0.5 * by)),
                flow(band.nominal / (1.0 + 0.5 * by))
            ));
        }
    };
    pair("step 2", "started-at", "dribbled-at", StepKind::Start, 0.08);
    pair("step 5", "ran-on-at", "broke-at", StepKind::Break, 0.07);
    pair(
        "step 6",
        "raised-ran-on-at",
        "raised-broke-at",
        StepKind::RaisedBreak,
        0.07,
    );
    let head = protocol
        .steps
        .iter()
        .find(|step| step.kind == StepKind::Start);
    let head = head.and_then(|step| step.ladder.get(step.ladder.len() / 2));
    if let Some((_, head)) = head {
        let _ = writeln!(
            text,
            "# step 2, at the last dribble\n# dribble-head = \"{}\"",
            units.fine_length(*head)
        );
    }
    text
}
