//! Labelled figures of each part, for the terminal and the page alike.

use crate::assessment::{BedVerdict, Verdict, level_allowance};
use crate::model::{Bed, Thresholds};
use crate::report::Report;
use crate::report::whole_loop::left_rows;
use crate::report::words::{flow_band, plain, regime_key, regime_phrase, spread, spread_of};
use crate::simulation::{BedOutcome, Cycle, LineOutcome, Regime};
use crate::units::UnitSystem;
use crate::units::display::between;

/// A figure with its name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    /// Short name.
    pub label: &'static str,
    /// Figures with units.
    pub value: String,
}

pub(super) fn row(label: &'static str, value: String) -> Row {
    Row { label, value }
}

/// Figures of one bed.
pub(super) fn bed_rows(
    report: &Report,
    bed: &Bed,
    outcome: &BedOutcome,
    verdict: &BedVerdict,
) -> Vec<Row> {
    let (thresholds, units) = (&report.system.thresholds, report.units);
    let mut rows = vec![row("Regime", regime_phrase(outcome.regime))];
    rows.extend(earlier(outcome, units));
    rows.extend(timing(&outcome.cycles, units));
    rows.extend(levels(bed, thresholds, outcome, units));
    if bed.media.grain.is_some() {
        rows.extend(left_rows(&outcome.cycles, outcome.break_level, units));
    }
    rows.extend(flows(outcome, units));
    rows.extend(window(outcome, verdict, units));
    rows
}

/// Stretches that are told one by one.
const TOLD: usize = 4;

fn earlier(outcome: &BedOutcome, units: UnitSystem) -> Option<Row> {
    let (_, before) = outcome.regimes.split_last()?;
    let mut parts: Vec<_> = before
        .iter()
        .take(TOLD)
        .map(|span| {
            // Without a complete cycle it was on its way to a first one.
            let word = match span.regime {
                Regime::Unfinished => "filling",
                regime => regime_key(regime),
            };
            format!("{word} until {}", units.time(span.to))
        })
        .collect();
    if before.len() > TOLD {
        parts.push(format!("{} more changes", before.len() - TOLD));
    }
    (!parts.is_empty()).then(|| row("Before that", parts.join(", ")))
}

fn timing(cycles: &[Cycle], units: UnitSystem) -> Vec<Row> {
    let all = |pick: fn(&Cycle) -> f64| {
        spread_of(cycles.iter().map(pick)).map(|found| spread(found, |t| units.time(t)))
    };
    let mut rows = vec![row(
        "Cycles",
        match cycles.len() {
            0 => "no complete one".to_owned(),
            n => format!("{n} complete"),
        },
    )];
    let spans = [
        ("Period", all(Cycle::period), "break to break"),
        (
            "Filling",
            all(|cycle| cycle.fill),
            "break to start of priming",
        ),
        (
            "Priming",
            all(|cycle| cycle.prime),
            "start of priming to full bore",
        ),
        ("Draining", all(|cycle| cycle.drain), "full bore to break"),
    ];
    for (label, span, meaning) in spans {
        if let Some(text) = span {
            rows.push(row(label, format!("{text}, {meaning}")));
        }
    }
    if let Some(water) = spread_of(cycles.iter().map(|cycle| cycle.water)) {
        rows.push(row("Water a cycle", spread(water, |v| units.volume(v))));
    }
    rows
}

fn levels(bed: &Bed, thresholds: &Thresholds, outcome: &BedOutcome, units: UnitSystem) -> Vec<Row> {
    let above_floor = |level: f64| {
        format!(
            "{} above the bed's floor, at {}",
            units.length(level - bed.floor),
            units.elevation(level)
        )
    };
    let mut rows = vec![row("Peak water", above_floor(outcome.peak_level))];
    // A first filling that peaks elsewhere is worth a line: start level, cold pipes.
    if (outcome.first_peak_level - outcome.peak_level).abs() > 0.0005 {
        rows.push(row("First peak", above_floor(outcome.first_peak_level)));
    }
    let dry = bed.gravel_over(outcome.peak_level);
    rows.push(row(
        "Dry layer",
        if dry < 0.0 {
            format!(
                "none: the peak stands {} over the gravel",
                units.length(-dry)
            )
        } else {
            let allowance = level_allowance(thresholds, bed);
            let kept = if allowance > 0.0 && dry > allowance {
                let also = if allowance > thresholds.levelling_error {
                    " and surface tension"
                } else {
                    ""
                };
                format!(
                    ", {} with {} for levelling{also} taken off",
                    units.length(dry - allowance),
                    units.length(allowance)
                )
            } else {
                String::new()
            };
            format!(
                "{} of gravel stay dry above the peak{kept}",
                units.length(dry)
            )
        },
    ));
    rows.push(row("Break level", above_floor(outcome.break_level)));
    rows
}

fn flows(outcome: &BedOutcome, units: UnitSystem) -> Vec<Row> {
    let mut rows = vec![row("Inflow", spread(outcome.inflow, |q| units.flow(q)))];
    match (outcome.siphon_flow_at_start, outcome.siphon_flow_at_break) {
        (Some(start), Some(end)) => rows.push(row(
            "Siphon flow",
            format!(
                "{} when it first runs full, {} at the break level",
                units.flow(start),
                units.flow(end)
            ),
        )),
        (Some(start), None) => rows.push(row(
            "Siphon flow",
            format!(
                "{} when it first runs full; it never came down to the break level",
                units.flow(start)
            ),
        )),
        _ => rows.push(row("Siphon flow", "it never ran full".to_owned())),
    }
    if outcome.siphon_flow_at_start.is_some() {
        rows.push(row(
            "Under the cap",
            format!(
                "{} absolute at the lowest",
                units.pressure(outcome.crown_pressure_min)
            ),
        ));
    }
    if outcome.overflowed > 0.0 {
        rows.push(row("Over the wall", units.volume(outcome.overflowed)));
    }
    rows
}

fn window(outcome: &BedOutcome, verdict: &BedVerdict, units: UnitSystem) -> Vec<Row> {
    // The inflow that was judged, and where it comes from.
    let at = |judged: f64, moment: Option<f64>, extreme: f64, [place, extreme_of]: [&str; 2]| {
        let from = match moment {
            Some(seen) if seen >= judged => place,
            None if extreme >= judged => extreme_of,
            _ => "while the pump has water",
        };
        format!("{} {from}", units.flow(judged))
    };
    let at_lip = at(
        verdict.inflow_at_start,
        outcome.inflow_least_at_start,
        outcome
            .inflow_pumped
            .map_or(outcome.inflow.min, |fed| fed.0),
        ["with the water at the lip", "at the least"],
    );
    let at_break = at(
        verdict.inflow_at_break,
        outcome.inflow_most_at_break,
        outcome
            .inflow_pumped
            .map_or(outcome.inflow.max, |fed| fed.1),
        ["with the water at the break level", "at the most"],
    );
    vec![
        row("Starts above", flow_band(verdict.start_flow, units)),
        row("Runs on above", flow_band(verdict.run_on_flow, units)),
        row("Stalls above", flow_band(verdict.stall_flow, units)),
        row("Works between", working_range(verdict, units)),
        row("Will it start", will_start(verdict.will_start, &at_lip)),
        row("Will it break", will_break(verdict.will_break, &at_break)),
    ]
}

/// Inflows at which it both starts and breaks: nominal, and beyond doubt.
fn working_range(verdict: &BedVerdict, units: UnitSystem) -> String {
    let least = |a: f64, b: f64| a.min(b);
    let nominal = (
        verdict.start_flow.nominal,
        least(verdict.run_on_flow.nominal, verdict.stall_flow.nominal),
    );
    let certain = (
        verdict.start_flow.high,
        least(verdict.run_on_flow.low, verdict.stall_flow.low),
    );
    let range = |(low, high): (f64, f64)| between(&units.flow(low), "and", &units.flow(high));
    let open = |(low, high): (f64, f64)| low < high;
    if !open(nominal) {
        return "no inflow: it would run on or stall before it starts".to_owned();
    }
    if !open(certain) {
        return format!(
            "{}, nominal; the bands leave no inflow beyond doubt",
            range(nominal)
        );
    }
    format!(
        "{}, nominal; beyond doubt between {}",
        range(nominal),
        range(certain)
    )
}

fn will_start(verdict: Verdict, inflow: &str) -> String {
    let (answer, place) = match verdict {
        Verdict::Will => ("will", "above the whole start band"),
        Verdict::Uncertain => ("uncertain", "inside the start band"),
        Verdict::WillNot => ("will not", "below the whole start band"),
    };
    format!("{answer}: today's inflow, {inflow}, is {place}")
}

fn will_break(verdict: Verdict, inflow: &str) -> String {
    let (answer, place) = match verdict {
        Verdict::Will => ("will", "below the whole run-on band"),
        Verdict::Uncertain => ("uncertain", "inside the run-on band"),
        Verdict::WillNot => ("will not", "above every flow at which it might break"),
    };
    format!("{answer}: today's inflow, {inflow}, is {place}")
}

/// Figures of the sump.
pub(super) fn sump_rows(report: &Report) -> Vec<Row> {
    let (units, sump, bounds) = (report.units, &report.run.sump, &report.assessment.sump);
    let at = |level| units.elevation(level);
    let pump = &report.system.pump;
    let mut rows = vec![
        row(
            "Water level",
            format!(
                "{} to {}, mean {}",
                at(sump.level.min),
                at(sump.level.max),
                at(sump.level.mean)
            ),
        ),
        row(
            "Lowest possible",
            format!("{}, with every bed at its peak", at(bounds.low)),
        ),
        row(
            "Pump needs",
            format!("{}, or it draws air", at(pump.least_level())),
        ),
        row(
            "Highest possible",
            format!(
                "{}, with every bed drained and the pump off",
                at(bounds.high)
            ),
        ),
        row("Spills at", at(report.system.sump.overflow_level)),
        row(
            "Siphons dead",
            format!(
                "{}, with every bed standing at its overflow",
                at(bounds.dead_siphons)
            ),
        ),
    ];
    if sump.ran_dry > 0.0 {
        rows.push(row(
            "Drew air",
            format!("for {} in all", units.time(sump.ran_dry)),
        ));
    }
    if sump.overflowed > 0.0 {
        rows.push(row("Spilled", units.volume(sump.overflowed)));
    }
    rows
}

/// Figures of the pump while it ran.
pub(super) fn pump_rows(report: &Report) -> Vec<Row> {
    let (units, pump) = (report.units, &report.run.pump);
    let head = match pump.head {
        Some(head) => spread(head, |h| units.head(h)),
        None => "not known: its flow was measured, its curve is not given".to_owned(),
    };
    let energy = match (pump.energy_kwh_day, report.system.pump.tariff) {
        (None, _) => "not known: the scenario gives no power".to_owned(),
        (Some(day), None) => format!("{} a day", units.energy(day)),
        (Some(day), Some(tariff)) => format!(
            "{} a day, costing {:.2} a day in the currency of the tariff",
            units.energy(day),
            day * tariff
        ),
    };
    vec![
        row("Flow", spread(pump.flow, |q| units.flow(q))),
        row("Head", head),
        row("Energy", energy),
    ]
}

/// Figures of the shared drain line.
pub(super) fn line_rows(report: &Report, line: &LineOutcome) -> Vec<Row> {
    let units = report.units;
    let mut rows = vec![
        row("Peak flow", units.flow(line.peak_flow)),
        row(
            "Carries",
            format!(
                "{} by gravity, {} half full",
                units.flow(line.capacity),
                units.flow(line.half_full)
            ),
        ),
        row(
            "Fullest",
            format!(
                "{} of its diameter ({} to {}) just above the drain of {}",
                units.percent(line.fill.nominal),
                units.percent(line.fill.low),
                units.percent(line.fill.high),
                report
                    .system
                    .beds
                    .get(line.fullest_bed)
                    .map_or_else(String::new, |bed| plain(&bed.name))
            ),
        ),
        row(
            "Under pressure",
            if line.surcharged > 0.0 {
                format!("for {} in all", units.time(line.surcharged))
            } else {
                "never".to_owned()
            },
        ),
        row(
            "Highest grade",
            format!("{} at its upper end", units.elevation(line.peak_grade)),
        ),
    ];
    if let Some(bed) = report.system.beds.get(line.largest_bed) {
        rows.push(row(
            "Largest siphon",
            format!("{}, at the peak", plain(&bed.name)),
        ));
    }
    rows
}

/// The water balance as a share of the water in the system.
pub(super) fn balance(report: &Report) -> String {
    let share = report.run.residual.abs() / report.run.water_at_start;
    let size = if share == 0.0 {
        "nothing".to_owned()
    } else if share.is_finite() {
        format!("a share of {share:.1e}")
    } else {
        "a share that is not known".to_owned()
    };
    format!(
        "Water balance: of {} at the start {size} appeared or vanished by rounding.",
        report.units.volume(report.run.water_at_start)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample::Sample;

    // By hand: 0.912 kWh a day at 0.30 each are 0.2736 a day.
    #[test]
    fn energy_costs_what_the_tariff_says() {
        let mut sample = Sample::new();
        let said = |sample: &Sample| {
            let rows = pump_rows(&sample.report(UnitSystem::Metric));
            let row = rows.into_iter().find(|row| row.label == "Energy");
            row.map(|row| row.value).unwrap_or_default()
        };
        assert_eq!(said(&sample), "0.91 kWh a day");
        sample.system.pump.tariff = Some(0.30);
        assert_eq!(
            said(&sample),
            "0.91 kWh a day, costing 0.27 a day in the currency of the tariff"
        );
        sample.run.pump.energy_kwh_day = None;
        assert_eq!(said(&sample), "not known: the scenario gives no power");
    }

    // A pump that ran dry must not put another inflow beside the verdict than was judged.
    #[test]
    fn the_inflow_beside_a_verdict_is_the_one_judged() {
        let mut sample = Sample::new();
        let mut said = |judged: f64, seen: Option<f64>, extreme: f64| {
            let outcome = &mut sample.run.beds[0];
            let verdict = &mut sample.assessment.beds[0];
            (verdict.inflow_at_start, outcome.inflow_least_at_start) = (judged, seen);
            outcome.inflow_pumped = Some((extreme, 20.0e-3 / 60.0));
            let rows = window(outcome, verdict, UnitSystem::Metric);
            let row = rows.into_iter().find(|row| row.label == "Will it start");
            row.map(|row| row.value).unwrap_or_default()
        };
        let flow = 11.0e-3 / 60.0;
        assert!(
            said(flow, Some(flow), 0.0).contains("inflow, 11.0 L/min with the water at the lip,")
        );
        assert!(said(flow, None, flow).contains("inflow, 11.0 L/min at the least,"));
        for starved in [said(flow, None, 0.0), said(flow, Some(0.0), 0.0)] {
            assert!(
                starved.contains("inflow, 11.0 L/min while the pump has water,"),
                "{starved}"
            );
        }
    }
}
