//! Levels and flows over time, as whole numbers: tenths of a millimetre, millilitres a second.

use serde_json::{Value, json};

use crate::model::System;
use crate::simulation::{Cycle, Run, SiphonMode};

/// A metre in units of a level.
const LEVEL: f64 = 1e4;
/// A cubic metre a second in units of a flow.
const FLOW: f64 = 1e6;
/// A second in units of time.
const TIME: f64 = 100.0;

/// Every series of a run, elevations for levels.
pub(super) fn series(system: &System, run: &Run) -> Value {
    let recording = &run.recording;
    let beds: Vec<Value> = recording
        .beds
        .iter()
        .map(|bed| {
            json!({
                "level": whole(&bed.level, LEVEL),
                "guard": whole(&bed.guard_level, LEVEL),
                "inflow": whole(&bed.inflow, FLOW),
                "siphon": whole(&bed.siphon_flow, FLOW),
                "mode": bed.mode.iter().map(|mode| word(*mode)).collect::<String>(),
            })
        })
        .collect();
    json!({
        "units": { "time": 1.0 / TIME, "level": 1.0 / LEVEL, "flow": 1.0 / FLOW, "fill": 0.001 },
        "time": whole(&recording.time, TIME),
        "beds": beds,
        "sump": whole(&recording.sump_level, LEVEL),
        "tank": whole(&recording.tank_level, LEVEL),
        "pump": whole(&recording.pump_flow, FLOW),
        "line": whole(&recording.line_flow, FLOW),
        "fill": whole(&recording.line_fill, 1000.0),
        "period": run.beds.iter().filter_map(|bed| bed.cycles.last()).map(Cycle::period)
            .fold(0.0, f64::max),
        "names": system.beds.iter().map(|bed| bed.name.as_str()).collect::<Vec<_>>(),
    })
}

#[allow(clippy::cast_possible_truncation)]
fn whole(values: &[f64], per_unit: f64) -> Vec<i64> {
    values
        .iter()
        .map(|value| (value * per_unit).round() as i64)
        .collect()
}

/// One letter for what a siphon does.
const fn word(mode: SiphonMode) -> char {
    match mode {
        SiphonMode::Filling => '.',
        SiphonMode::Spilling => 's',
        SiphonMode::Priming => 'p',
        SiphonMode::FullBore => 'f',
        SiphonMode::RunningOn => 'r',
    }
}
