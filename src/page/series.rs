//! Levels and flows over time, as whole numbers: tenths of a millimetre, millilitres a second.

use serde_json::{Value, json};

use crate::hydraulics::circular_curves::depth_at_outfall;
use crate::model::System;
use crate::network::drain_line::DrainLineLaw;
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
        "into_tank": whole(&recording.tank_inflow, FLOW),
        "pump": whole(&recording.pump_flow, FLOW),
        "line": whole(&recording.line_flow, FLOW),
        "fill": whole(&recording.line_fill, 1000.0),
        "stream": stream(system, run),
        "period": run.beds.iter().filter_map(|bed| bed.cycles.last()).map(Cycle::period)
            .fold(0.0, f64::max),
        "lasts": lasts(run),
        "names": system.beds.iter().map(|bed| bed.name.as_str()).collect::<Vec<_>>(),
    })
}

/// Until when there is something to look at: the run's end, or that of the last cycle where beds
/// have long stopped flooding `[s]`.
fn lasts(run: &Run) -> f64 {
    let end = run.recording.time.last().copied().unwrap_or(0.0);
    let last = run.beds.iter().filter_map(|bed| bed.cycles.last());
    let (ended, period) = last.fold((0.0_f64, 0.0_f64), |(ended, period), one| {
        (
            ended.max(one.began + one.period()),
            period.max(one.period()),
        )
    });
    let long = 3.0 * period;
    if period > 0.0 && end - ended > long {
        ended + 0.5 * period
    } else {
        end
    }
}

/// Depth over diameter in the drain line, in thousandths: at its outlet, then just above the
/// junction of each bed that joins it, nearest first; nothing without a line.
fn stream(system: &System, run: &Run) -> Value {
    let values = system.coefficients.nominal();
    let (Some(line), Some(law)) = (&system.drain_line, DrainLineLaw::new(system, &values)) else {
        return json!([]);
    };
    let (beds, bore) = (&run.recording.beds, line.run.bore);
    let mut flows = vec![0.0; beds.len()];
    let mut grades = vec![0.0; beds.len()];
    let mut depths = vec![Vec::new(); law.junctions().len() + 1];
    for (i, &sump) in run.recording.sump_level.iter().enumerate() {
        for (flow, bed) in flows.iter_mut().zip(beds) {
            *flow = bed.siphon_flow.get(i).copied().unwrap_or(0.0);
        }
        let total: f64 = law.junctions().iter().map(|&(bed, _)| flows[bed]).sum();
        let drowned = sump - line.outlet;
        // Most of the time nothing runs, and nothing stands in it.
        if total <= 0.0 && drowned <= 0.0 {
            depths.iter_mut().for_each(|one| one.push(0.0));
            continue;
        }
        law.grades(&flows, sump, &mut grades);
        depths[0].push((depth_at_outfall(bore, total).max(drowned) / bore).clamp(0.0, 1.0));
        for (depth, &(bed, at)) in depths[1..].iter_mut().zip(law.junctions()) {
            depth.push(((grades[bed] - line.invert(at)) / bore).clamp(0.0, 1.0));
        }
    }
    let beds: Vec<usize> = law.junctions().iter().map(|&(bed, _)| bed).collect();
    let depths: Vec<Vec<i64>> = depths.iter().map(|one| whole(one, 1000.0)).collect();
    json!({ "beds": beds, "depths": depths })
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::model::Duration;
    use crate::scenario::{parse, starter};
    use crate::simulation::{Sampling, simulate};
    use crate::units::HOUR;

    fn run() -> Run {
        let mut system = parse(starter(), "starter.toml").unwrap().system;
        system.duration = Duration::Fixed(8.0 * HOUR);
        simulate(&system, Sampling::Thinned(60.0)).unwrap()
    }

    // A system that goes on is shown to its end; of one that stopped long before, what it did.
    #[test]
    fn a_drawing_looks_until_beds_have_stopped_flooding() {
        let whole = run();
        let end = whole.recording.time.last().copied().unwrap();
        assert_eq!(lasts(&whole), end);
        let mut stopped = whole.clone();
        let cycles = &mut stopped.beds[0].cycles;
        cycles.truncate(3);
        let last = cycles.last().unwrap();
        let (began, period) = (last.began, last.period());
        assert!((lasts(&stopped) - (began + 1.5 * period)).abs() < 1e-6);
        // Nothing flooded: all of it.
        stopped.beds[0].cycles.clear();
        assert_eq!(lasts(&stopped), end);
    }
}
