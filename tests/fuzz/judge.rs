//! What every text must come to: a reading or reasons, and an answer where it was read.

use ebbwright::answer::Look;
use ebbwright::model::{Duration, System};
use ebbwright::report::Report;
use ebbwright::scenario::{
    self, AdviceError, FaultKind, Scenario, ScenarioError, Seek, Severity, WriteError,
};
use ebbwright::simulation::{Run, Sampling};
use ebbwright::study::mend::Judged;
use ebbwright::study::window::without_incidents;
use ebbwright::units::UnitSystem;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Seconds between samples, as `ebbwright run` takes them.
const SAMPLE_EVERY: f64 = 10.0;
/// Most numbers in a recording.
const MOST_NUMBERS: usize = 4_500_000;
/// Most events of an hour and a part that switches, beside what a short run may begin with.
const EVENTS_PER_HOUR: f64 = 400.0;
const EVENTS_AT_FIRST: f64 = 2000.0;
/// Most events of a part at each edge of the timer.
const EVENTS_PER_EDGE: f64 = 4.0;
/// Most steps of an hour and a bed, beside those of a short run.
const STEPS_PER_HOUR: f64 = 20_000.0;
const STEPS_AT_FIRST: f64 = 100_000.0;
/// Water that rounding may make or lose, as a share of all that is there or was pumped.
const UNACCOUNTED: f64 = 1e-9;

/// `work`, a panic being a fault like others.
fn caught<T>(work: impl FnOnce() -> Result<T, String>) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        let text = panic.downcast_ref::<String>().cloned();
        let text = text.or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()));
        Err(format!("panic: {}", text.unwrap_or_default()))
    })
}

/// Reads a text: a scenario, or `None` where it is refused with reasons that help.
pub fn read(text: &str) -> Result<Option<Scenario>, String> {
    caught(|| match scenario::parse(text, "fuzzed\u{1b}[31m.toml") {
        Ok(scenario) => {
            if scenario
                .warnings
                .iter()
                .any(|fault| fault.severity == Severity::Error)
            {
                return Err("an error among the warnings".to_owned());
            }
            harmless(&scenario.render_warnings(false), "warnings")?;
            Ok(Some(scenario))
        }
        Err(error) => {
            refused(text, &error)?;
            Ok(None)
        }
    })
}

/// Each fault has line, key, a place in the text, and what to write instead.
fn refused(text: &str, error: &ScenarioError) -> Result<(), String> {
    let faults = error.faults();
    if faults
        .iter()
        .all(|fault| fault.severity == Severity::Warning)
    {
        return Err("refused without a reason".to_owned());
    }
    for fault in faults {
        let span = fault.span();
        let syntax = matches!(fault.kind, FaultKind::Syntax { .. });
        let line = 1 + text.as_bytes()[..span.start.min(text.len())]
            .iter()
            .filter(|byte| **byte == b'\n')
            .count();
        let whole = text.get(span).is_some()
            && fault.line == line
            && !fault.help.trim().is_empty()
            && (syntax || !fault.path.0.is_empty());
        if !whole {
            return Err(format!(
                "a fault without line, key, place or help: {fault:?}"
            ));
        }
    }
    let shown = error.render(false);
    if shown.contains("Failed to read contents") {
        return Err(format!("a label outside the text:\n{shown}"));
    }
    harmless(&shown, "message")
}

/// Nothing in it drives a terminal or turns the direction of what follows (UAX #9, section 2).
fn harmless(text: &str, whence: &str) -> Result<(), String> {
    let steers = |c: char| {
        (c.is_control() && c != '\n')
            || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    match text.chars().find(|c| steers(*c)) {
        Some(c) => Err(format!("{whence}: {c:?} reaches the terminal:\n{text:?}")),
        None => Ok(()),
    }
}

/// Simulates, judges and tells a system as `ebbwright run` does.
pub fn simulate(scenario: &Scenario) -> Result<(), String> {
    let system = &scenario.system;
    caught(|| {
        let judged = Judged::recorded(system, Sampling::Thinned(SAMPLE_EVERY))
            .map_err(|error| format!("no answer: {error}"))?;
        bounded(system, &judged.run)?;
        if let Some(disturbed) = &judged.disturbed {
            bounded(system, &disturbed.run)?;
        }
        let plain = without_incidents(system);
        let report = Report {
            judged: Some(&judged),
            ..Report::new(&plain, &judged.run, &judged.assessment, UnitSystem::Metric)
        };
        told(&report)
    })
}

/// The plan for a system that fails is written into its file, and read from there.
pub fn plan(scenario: &Scenario, tries: usize) -> Result<(), String> {
    caught(|| {
        let seek = Seek {
            kept: &scenario.keep,
            sizes: UnitSystem::Metric,
            most_tried: tries,
        };
        match scenario::advised(scenario, &scenario.system, seek, &|_| ()) {
            Ok(advised) => read(&advised.text)?.map(|_| ()).ok_or_else(|| {
                let error = scenario::parse(&advised.text, "planned.toml").unwrap_err();
                format!("the plan is refused: {}", error.render(false))
            }),
            Err(AdviceError::Written(WriteError::Scenario(error))) => {
                Err(format!("the plan is refused: {}", error.render(false)))
            }
            Err(AdviceError::Written(error)) => Err(format!("the plan has no place: {error}")),
            Err(_) => Ok(()),
        }
    })
}

/// Water is kept; events, steps and rows are no more than the time can hold.
fn bounded(system: &System, run: &Run) -> Result<(), String> {
    let there = run.water_at_start + run.pump.flow.mean * run.duration;
    if run.residual.is_nan() || run.residual.abs() > UNACCOUNTED * there.max(1e-3) {
        return Err(format!(
            "{} m3 of {there} m3 are unaccounted for",
            run.residual
        ));
    }
    let hours = match system.duration {
        Duration::Fixed(seconds) => seconds,
        Duration::UntilSettled { at_most } => at_most,
    } / 3600.0;
    let parts = (system.beds.len() + 4) as f64;
    let events = run.events.len() as f64;
    let timer = system.pump.schedule;
    let edges = timer.map_or(0.0, |timer| 7200.0 * hours / (timer.on + timer.off));
    let usual = EVENTS_PER_HOUR * hours + EVENTS_PER_EDGE * edges;
    if events > EVENTS_AT_FIRST + usual * parts {
        return Err(format!("{events} events in {hours} h"));
    }
    let steps = run.work.steps as f64;
    if steps > STEPS_AT_FIRST + STEPS_PER_HOUR * hours * parts {
        return Err(format!("{steps} steps in {hours} h"));
    }
    let numbers = run.recording.time.len() * (4 * system.beds.len() + 8);
    if numbers > MOST_NUMBERS {
        return Err(format!("{numbers} numbers recorded"));
    }
    Ok(())
}

/// The answer in every form: plain numbers, harmless text.
fn told(report: &Report) -> Result<(), String> {
    let document = report.document("fuzzed\u{1b}[31m.toml");
    // Among them a null that its key does not announce.
    if let Some(fault) = document.faults().first() {
        return Err(fault.clone());
    }
    let json = document.json().map_err(|error| error.to_string())?;
    let _: serde_json::Value =
        serde_json::from_str(&json).map_err(|error| format!("JSON: {error}"))?;
    let full = Look {
        full: true,
        ..Look::default()
    };
    for (whence, text) in [
        ("first screen", document.terminal(Look::default())),
        ("full text", document.terminal(full)),
        ("Markdown", document.markdown()),
        ("HTML", document.html()),
    ] {
        harmless(&text, whence)?;
        numbers(&text, whence)?;
    }
    for series in document.series() {
        numbers(&series.csv().to_string(), series.file)?;
    }
    Ok(())
}

/// No figure reads as what is no number.
fn numbers(text: &str, whence: &str) -> Result<(), String> {
    let is_none = |word: &str| ["nan", "inf", "infinity"].contains(&word.to_lowercase().as_str());
    let odd = |line: &&str| line.split(|c: char| !c.is_alphabetic()).any(is_none);
    match text.lines().find(odd) {
        Some(line) => Err(format!("{whence}: {}", line.trim())),
        None => Ok(()),
    }
}
