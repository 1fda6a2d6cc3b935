//! The lines that carry a fit back into the scenario.

use crate::model::{Inlet, PumpSource, System};
use crate::scenario::Edit;
use crate::study::fit::{Estimate, Fit, Unknown};
use crate::units::UnitSystem;
use crate::units::table::significant;

/// Significant figures: enough to give the fitted run back.
const FIGURES: i32 = 5;

/// A line and the table of the scenario that it belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PasteLine {
    /// Where it belongs, in words.
    pub place: String,
    /// The line.
    pub line: String,
}

/// What a fit changes in a scenario.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Paste {
    /// A `[coefficients]` table, empty where no coefficient moved.
    pub coefficients: String,
    /// Lines for other tables.
    pub others: Vec<PasteLine>,
}

/// What carries `fit` of `system` into its scenario, whose `[pump]` has `speed` now (1 where
/// it has none).
pub fn paste(system: &System, fit: &Fit, speed: f64) -> Paste {
    let mut coefficients = String::new();
    let mut others = Vec::new();
    for estimate in &fit.estimates {
        if !estimate.is_unmoved() {
            others.extend(line(system, estimate, speed));
        }
    }
    others.extend(pump_line(system, fit));
    for (which, band) in fit.bands() {
        let text = [band.low, band.nominal, band.high].map(|v| significant(v, FIGURES));
        coefficients += &format!("{} = [{}]\n", which.key(), text.join(", "));
    }
    if !coefficients.is_empty() {
        coefficients = format!("[coefficients]\n{coefficients}");
    }
    Paste {
        coefficients,
        others,
    }
}

/// The pump's flow where a bed's own moved: it gives what the beds get.
fn pump_line(system: &System, fit: &Fit) -> Option<PasteLine> {
    let moved = fit
        .estimates
        .iter()
        .any(|one| matches!(one.prior.unknown, Unknown::Inflow(_)) && !one.is_unmoved());
    match fit.learnt(system).pump.source {
        PumpSource::Steady(flow) if moved => Some(PasteLine {
            place: "[pump], in place of the steady-flow there".to_owned(),
            line: format!("steady-flow = {}", flow_text(flow)),
        }),
        _ => None,
    }
}

/// Metric with all figures: the display rounds to what a bucket can tell.
fn flow_text(flow: f64) -> String {
    format!("\"{} L/min\"", significant(flow * 60_000.0, FIGURES))
}

fn line(system: &System, estimate: &Estimate, speed: f64) -> Option<PasteLine> {
    let value = estimate.value();
    let number = significant(value, FIGURES);
    let name = |i: usize| system.beds[i].name.clone();
    let (place, line) = match estimate.prior.unknown {
        Unknown::Void(i) => (
            format!("bed \"{}\", inside media = {{ ... }}", name(i)),
            format!("void = {number}"),
        ),
        Unknown::TotalLoss(i) => (
            format!(
                "bed \"{}\", [bed.drain], in place of its fittings or k",
                name(i)
            ),
            format!("total-k = {number}"),
        ),
        Unknown::PumpSpeed => (
            "[pump], in place of any speed there".to_owned(),
            format!("speed = {}", significant(value * speed, FIGURES)),
        ),
        Unknown::PumpFlow => {
            let PumpSource::Steady(now) = system.pump.source else {
                return None;
            };
            (
                "[pump], in place of the steady-flow there".to_owned(),
                format!("steady-flow = {}", flow_text(now * value)),
            )
        }
        Unknown::Inflow(i) => {
            let Inlet::Measured(now) = system.beds[i].inlet else {
                return None;
            };
            (
                format!("bed \"{}\", in place of its inlet", name(i)),
                format!("inlet = {{ flow = {} }}", flow_text(now * value)),
            )
        }
        Unknown::Soft(_) => return None,
    };
    Some(PasteLine { place, line })
}

/// The same as changes of the scenario's text; texts that are no change are left out.
pub fn fit_changes(system: &System, fit: &Fit, speed: f64) -> Vec<Edit> {
    let mut all: Vec<Edit> = Vec::new();
    let mut write = |text: String| all.extend(text.parse::<Edit>());
    for (which, band) in fit.bands() {
        let text = [band.low, band.nominal, band.high].map(|v| significant(v, FIGURES));
        write(format!(
            "coefficients.{} = [{}]",
            which.key(),
            text.join(", ")
        ));
    }
    let moved = fit.estimates.iter().filter(|one| !one.is_unmoved());
    let lines: Vec<(Unknown, String)> = moved
        .filter_map(|one| Some((one.prior.unknown, line(system, one, speed)?.line)))
        .collect();
    for (unknown, line) in &lines {
        match unknown {
            Unknown::Void(i) => write(format!("bed[{}].media.{line}", i + 1)),
            Unknown::TotalLoss(i) => write(format!("bed[{}].drain.{line}", i + 1)),
            Unknown::PumpSpeed | Unknown::PumpFlow => write(format!("pump.{line}")),
            Unknown::Inflow(i) => write(format!("bed[{}].{line}", i + 1)),
            Unknown::Soft(_) => {}
        }
    }
    if let Some(pump) = pump_line(system, fit) {
        write(format!("pump.{}", pump.line));
    }
    // One measured number stands in place of all of these.
    for (unknown, _) in &lines {
        if let Unknown::TotalLoss(i) = unknown {
            let gone = ["fittings", "k"].map(|key| format!("bed[{}].drain.{key}", i + 1));
            let paths = gone.into_iter().filter_map(|path| path.parse().ok());
            all.extend(paths.map(Edit::left_out));
        }
    }
    all
}

/// What an unknown is called, with the bed where there are several.
pub(super) fn name(system: &System, unknown: Unknown) -> String {
    let (what, bed) = match unknown {
        Unknown::Void(i) => ("drainable void".to_owned(), Some(i)),
        Unknown::TotalLoss(i) => ("total loss K".to_owned(), Some(i)),
        Unknown::PumpSpeed => ("pump speed".to_owned(), None),
        Unknown::PumpFlow => ("pump flow".to_owned(), None),
        Unknown::Inflow(i) => ("inflow".to_owned(), Some(i)),
        Unknown::Soft(which) => (which.key().to_owned(), None),
    };
    match bed {
        Some(i) if system.beds.len() > 1 => format!("{what}, {}", system.beds[i].name),
        _ => what,
    }
}

/// A value of an unknown: ratios of flows as flows, others as plain numbers.
/// That of the pump's speed is in shares of the file's, which is `speed` of its box.
pub(super) fn value(
    (system, speed): (&System, f64),
    unknown: Unknown,
    value: f64,
    units: UnitSystem,
) -> String {
    match (unknown, &system.pump.source) {
        (Unknown::PumpFlow, PumpSource::Steady(flow)) => units.flow(flow * value),
        (Unknown::Inflow(i), _) => match system.beds[i].inlet {
            Inlet::Measured(flow) => units.flow(flow * value),
            _ => significant(value, 3),
        },
        (Unknown::PumpSpeed, _) => units.percent(speed * value),
        _ => significant(value, 3),
    }
}
