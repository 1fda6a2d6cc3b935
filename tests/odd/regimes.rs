//! No regime that contradicts the figures.

use crate::properties::{Faults, Property};
use crate::trial::Trial;
use ebbwright::simulation::{EventKind, Regime, RegimeSpan, SiphonMode};

/// A level that holds may be this far from where it holds [m].
const HELD: f64 = 1e-3;
const ROUNDING: f64 = 1e-6;

pub fn fit_the_figures(trial: &Trial, found: &mut Faults) {
    for i in 0..trial.system.beds.len() {
        if let Err(text) = fits(trial, i) {
            found.push((
                Property::Regimes,
                format!("{}: {text}", trial.system.beds[i].name),
            ));
        }
    }
}

fn ensure(holds: bool, text: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(text()) }
}

fn fits(trial: &Trial, i: usize) -> Result<(), String> {
    let (bed, run) = (&trial.system.beds[i], &trial.run);
    let outcome = &run.beds[i];
    let lip = bed.lip_level();
    let peak = outcome.peak_level.max(outcome.first_peak_level);
    in_time_order(&outcome.regimes, run.duration)?;
    let spilled = outcome.overflowed > 1e-9;
    let brimmed = outcome
        .regimes
        .iter()
        .any(|span| span.regime == Regime::Overflows);
    ensure(!brimmed || outcome.overflowed > 0.0, || {
        "overflows, but no water went over its wall".to_owned()
    })?;
    ensure(brimmed || !spilled, || {
        format!(
            "{:.3e} m3 over its wall, but it never overflows: {:?}",
            outcome.overflowed, outcome.regimes
        )
    })?;
    match outcome.regime {
        Regime::Cycles => ensure(!outcome.cycles.is_empty(), || {
            "cycles without a complete cycle".to_owned()
        }),
        Regime::Unfinished => ensure(outcome.cycles.is_empty(), || {
            "unfinished with a complete cycle".to_owned()
        }),
        Regime::Dribbles => ensure(peak > lip - ROUNDING, || {
            format!("dribbles, peak {peak:.6} m under its lip {lip:.6} m")
        }),
        Regime::NeverFills => {
            let from = outcome.regimes.last().map_or(0.0, |span| span.from);
            let reached = run
                .events
                .iter()
                .find(|event| event.time > from && event.kind == EventKind::LipReached(i));
            ensure(reached.is_none(), || {
                format!(
                    "never fills from {from:.1} s on, but comes to its lip at {:.1} s",
                    reached.map_or(0.0, |event| event.time)
                )
            })
        }
        Regime::RunsOn => at_the_end(trial, i, |level, guard, mode| {
            let near =
                (guard - outcome.break_level).abs() < HELD.max(0.2 * (lip - outcome.break_level));
            ensure(mode != SiphonMode::RunningOn || near, || {
                format!(
                    "runs on at {level:.6} m, guard {guard:.6} m, break level {:.6} m",
                    outcome.break_level
                )
            })
        }),
        Regime::Stalls => at_the_end(trial, i, |level, guard, mode| {
            let crown = bed.crown_level();
            ensure(
                mode != SiphonMode::FullBore || level.max(guard) > crown - ROUNDING,
                || format!("stalls at {level:.6} m under the slots' crown {crown:.6} m"),
            )
        }),
        Regime::Overflows => ensure(spilled, || {
            format!("overflows by {:.3e} m3", outcome.overflowed)
        }),
    }
}

/// Regimes follow one another without gaps and fill the run.
fn in_time_order(spans: &[RegimeSpan], duration: f64) -> Result<(), String> {
    let mut at = 0.0;
    for span in spans {
        ensure((span.from - at).abs() < 1e-6 && span.to > span.from, || {
            format!("gap in {spans:?}")
        })?;
        at = span.to;
    }
    ensure((at - duration).abs() < 1e-6, || {
        format!("{spans:?} do not fill {duration} s")
    })
}

/// Tries the samples of the last regime: level, guard's level, mode.
fn at_the_end(
    trial: &Trial,
    i: usize,
    holds: impl Fn(f64, f64, SiphonMode) -> Result<(), String>,
) -> Result<(), String> {
    let record = &trial.run.recording;
    let series = &record.beds[i];
    let from = trial.run.beds[i]
        .regimes
        .last()
        .map_or(0.0, |span| span.from);
    let mut samples = record.time.iter().enumerate().filter(|(_, t)| **t > from);
    samples.try_for_each(|(k, _)| holds(series.level[k], series.guard_level[k], series.mode[k]))
}
