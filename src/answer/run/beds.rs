//! The section of one bed.

use crate::answer::run::keys::{
    ALLOWANCE, BREAK, BREAK_DEPTH, CAME_FOR, CAME_FROM, CAME_PEAK, CROWN, CYCLES, DRAIN, DRY_ABOVE,
    DRY_LAYER, FILL, FIRST_PEAK, FIRST_PEAK_DEPTH, INFLOW, INFLOW_AT_BREAK, INFLOW_AT_START,
    JUDGED_BREAK, JUDGED_START, LEFT_DEPTH, LEFT_VOLUME, NAME, OVERFLOWED, PEAK, PEAK_DEPTH,
    PERIOD, PRIME, REGIME, RUN_ON, SIPHON_BREAK, SIPHON_START, SPAN_FROM, SPAN_REGIME, SPAN_TO,
    STALL, STALL_BAND, START, SURELY_WORKS, WATER, WATER_ENDS, WILL_BREAK, WILL_START, WORKS,
};
use crate::answer::run::spread_of;
use crate::answer::{At, Block, Figure, Key, Kind, Piece, Row, Section, Text, between, said};
use crate::assessment::{BedVerdict, Verdict, level_allowance};
use crate::model::Bed;
use crate::report::{Report, bed_title, regime_key, regime_phrase, verdict_key};
use crate::simulation::{BedOutcome, Cycle, Regime};

/// Stretches that are told one by one.
const TOLD: usize = 4;

/// Figures of every bed; beds of which the same is said have one section.
pub(super) fn sections(report: &Report) -> Vec<Section> {
    let judged = report.run.beds.len().min(report.assessment.beds.len());
    let mut told: Vec<(Vec<String>, Vec<&str>, Section)> = Vec::new();
    for i in 0..report.system.beds.len().min(judged) {
        let (section, name) = (section(report, i), &*report.system.beds[i].name);
        let printed = as_printed(&section);
        match told.iter_mut().find(|(known, ..)| *known == printed) {
            Some((_, names, first)) => {
                names.push(name);
                let figures = section.blocks.iter().flat_map(Block::figures);
                let data = Block::Data(figures.cloned().collect());
                first.blocks.push(data);
            }
            None => told.push((printed, vec![name], section)),
        }
    }
    told.into_iter()
        .map(|(_, names, mut section)| {
            if names.len() > 1 {
                section.title = format!("Beds \"{}\"", names.join("\", \""));
            }
            section
        })
        .collect()
}

/// What a section's rows say.
fn as_printed(section: &Section) -> Vec<String> {
    let rows = section.blocks.iter().filter_map(|block| match block {
        Block::Rows(rows) => Some(rows),
        _ => None,
    });
    rows.flatten()
        .map(|row| format!("{}: {}", row.label, row.text))
        .collect()
}

/// Figures of bed `i`.
fn section(report: &Report, i: usize) -> Section {
    let (bed, outcome) = (&report.system.beds[i], &report.run.beds[i]);
    let verdict = &report.assessment.beds[i];
    let at = At::top(report.units).item("beds", i);
    let regime = at.word(&REGIME, regime_key(outcome.regime));
    let mut rows = vec![Row::new(
        "Regime",
        regime.said(regime_phrase(outcome.regime)),
    )];
    rows.extend(earlier(outcome, &at));
    rows.extend(timing(outcome, &at));
    rows.extend(levels(report, bed, outcome, &at));
    if bed.media.grain.is_some() {
        rows.extend(left(outcome, &at));
    }
    rows.extend(flows(outcome, &at));
    rows.extend(window(outcome, verdict, &at));
    Section::new(bed_title(bed))
        .keyed(format!("bed-{i}"))
        .with(Block::Rows(rows))
        .with(Block::Data(data(report, i, &at)))
}

fn earlier(outcome: &BedOutcome, at: &At) -> Option<Row> {
    let (_, before) = outcome.regimes.split_last()?;
    let mut parts: Vec<Text> = before
        .iter()
        .take(TOLD)
        .enumerate()
        .map(|(i, span)| {
            // Without a complete cycle it was on its way to a first one.
            let word = match span.regime {
                Regime::Unfinished => "filling",
                regime => regime_key(regime),
            };
            let at = at.item("regimes", i);
            said!("{} until {}", word, at.figure(&SPAN_TO, span.to))
        })
        .collect();
    if before.len() > TOLD {
        parts.push(format!("{} more changes", before.len() - TOLD).into());
    }
    (!parts.is_empty()).then(|| Row::new("Before that", Text::joined(parts, ", ")))
}

fn timing(outcome: &BedOutcome, at: &At) -> Vec<Row> {
    let all = |pick: fn(&Cycle) -> f64| spread_of(outcome.cycles.iter().map(pick));
    let count = at.count(&CYCLES, outcome.cycle_count);
    let mut rows = vec![Row::new(
        "Cycles",
        match outcome.cycle_count {
            0 => count.said("no complete one").into(),
            _ => said!("{} complete", count),
        },
    )];
    type Span<'a> = (&'a str, &'a Key, fn(&Cycle) -> f64, &'a str);
    let spans: [Span; 4] = [
        ("Period", &PERIOD, Cycle::period, "break to break"),
        (
            "Filling",
            &FILL,
            |cycle| cycle.fill,
            "break to start of priming",
        ),
        (
            "Priming",
            &PRIME,
            |cycle| cycle.prime,
            "start of priming to full bore",
        ),
        (
            "Draining",
            &DRAIN,
            |cycle| cycle.drain,
            "full bore to break",
        ),
    ];
    for (label, key, pick, meaning) in spans {
        if let Some(span) = all(pick) {
            rows.push(Row::new(
                label,
                said!("{}, {}", at.spread(key, span), meaning),
            ));
        }
    }
    if let Some(water) = all(|cycle| cycle.water) {
        let mean = at.figure(&WATER, water.mean);
        let (low, high) = (
            at.named(&WATER_ENDS, "low", water.min),
            at.named(&WATER_ENDS, "high", water.max),
        );
        let text = if low.shown == high.shown {
            Text(vec![
                Piece::Figure(mean),
                Piece::Unsaid(low),
                Piece::Unsaid(high),
            ])
        } else {
            said!("{} ({})", mean, between(low, "to", high))
        };
        rows.push(Row::new("Water a cycle", text));
    }
    rows
}

fn levels(report: &Report, bed: &Bed, outcome: &BedOutcome, at: &At) -> Vec<Row> {
    let thresholds = &report.system.thresholds;
    let above_floor =
        |height: Figure, level: Figure| said!("{} above the bed's floor, at {}", height, level);
    let mut rows = vec![Row::new(
        "Peak water",
        above_floor(
            at.figure(&PEAK_DEPTH, outcome.peak_level - bed.floor),
            at.figure(&PEAK, outcome.peak_level),
        ),
    )];
    // A first filling that peaks elsewhere is worth a line: start level, cold pipes.
    if (outcome.first_peak_level - outcome.peak_level).abs() > 0.0005 {
        let level = outcome.first_peak_level;
        let text = above_floor(
            at.figure(&FIRST_PEAK_DEPTH, level - bed.floor),
            at.figure(&FIRST_PEAK, level),
        );
        rows.push(Row::new("First peak", text));
    }
    let dry = bed.gravel_over(outcome.peak_level);
    let allowance = level_allowance(thresholds, bed);
    let whole = at.figure(&DRY_ABOVE, dry);
    rows.push(Row::new(
        "Dry layer",
        if dry < 0.0 {
            let over = Kind::Length.shown(-dry, at.units());
            said!("none: the peak stands {} over the gravel", whole.said(over))
        } else {
            let also = if allowance > thresholds.levelling_error {
                " and surface tension"
            } else {
                ""
            };
            let kept = (allowance > 0.0 && dry > allowance).then(|| {
                said!(
                    ", {} with {} for levelling{} taken off",
                    at.figure(&DRY_LAYER, dry - allowance),
                    at.figure(&ALLOWANCE, allowance),
                    also
                )
            });
            said!("{} of gravel stay dry above the peak{}", whole, kept)
        },
    ));
    let level = outcome.break_level;
    let text = above_floor(
        at.figure(&BREAK_DEPTH, level - bed.floor),
        at.figure(&BREAK, level),
    );
    rows.push(Row::new("Break level", text));
    rows
}

/// What the gravel of a bed keeps back, where its grain size is given.
fn left(outcome: &BedOutcome, at: &At) -> Vec<Row> {
    let of = |pick: fn(&Cycle) -> f64| spread_of(outcome.cycles.iter().map(pick));
    let (Some(depth), Some(volume)) = (of(|c| c.left_depth), of(|c| c.left_volume)) else {
        return Vec::new();
    };
    vec![
        Row::new(
            "At the guard",
            said!(
                "it breaks with {} there, the water in the gravel {} higher",
                at.figure(&BREAK, outcome.break_level),
                at.spread(&LEFT_DEPTH, depth)
            ),
        ),
        Row::new(
            "Left behind",
            said!("{} above the break level", at.spread(&LEFT_VOLUME, volume)),
        ),
    ]
}

fn flows(outcome: &BedOutcome, at: &At) -> Vec<Row> {
    let mut rows = vec![Row::new("Inflow", at.spread(&INFLOW, outcome.inflow))];
    let start = outcome.siphon_flow_at_start;
    let first = start.map(|start| at.figure(&SIPHON_START, start));
    let text = match (first, outcome.siphon_flow_at_break) {
        (Some(first), Some(end)) => said!(
            "{} when it first runs full, {} at the break level",
            first,
            at.figure(&SIPHON_BREAK, end)
        ),
        (Some(first), None) => said!(
            "{} when it first runs full; it never came down to the break level",
            first
        ),
        (None, _) => "it never ran full".into(),
    };
    rows.push(Row::new("Siphon flow", text));
    if start.is_some() {
        rows.push(Row::new(
            "Under the cap",
            said!(
                "{} absolute at the lowest",
                at.figure(&CROWN, outcome.crown_pressure_min)
            ),
        ));
    }
    if outcome.overflowed > 0.0 {
        let over = at.figure(&OVERFLOWED, outcome.overflowed);
        rows.push(Row::new("Over the wall", over));
    }
    rows
}

fn window(outcome: &BedOutcome, verdict: &BedVerdict, at: &At) -> Vec<Row> {
    // The inflow that was judged, and where it comes from.
    let judged = |key: &Key, judged: f64, seen: Option<f64>, extreme: f64, words: [&str; 2]| {
        let from = match seen {
            Some(seen) if seen >= judged => words[0],
            None if extreme >= judged => words[1],
            _ => "while the pump has water",
        };
        said!("{} {}", at.figure(key, judged), from)
    };
    let pumped = outcome.inflow_pumped;
    let at_lip = judged(
        &JUDGED_START,
        verdict.inflow_at_start,
        outcome.inflow_least_at_start,
        pumped.map_or(outcome.inflow.min, |fed| fed.0),
        ["with the water at the lip", "at the least"],
    );
    let at_break = judged(
        &JUDGED_BREAK,
        verdict.inflow_at_break,
        outcome.inflow_most_at_break,
        pumped.map_or(outcome.inflow.max, |fed| fed.1),
        ["with the water at the break level", "at the most"],
    );
    vec![
        Row::new("Starts above", at.band(&START, verdict.start_flow)),
        Row::new("Runs on above", at.band(&RUN_ON, verdict.run_on_flow)),
        Row::new("Stalls above", at.band(&STALL_BAND, verdict.stall_flow)),
        Row::new("Works between", working_range(verdict, at)),
        Row::new(
            "Will it start",
            will(
                at.word(&WILL_START, verdict_key(verdict.will_start)),
                verdict.will_start,
                at_lip,
                [
                    "above the whole start band",
                    "inside the start band",
                    "below the whole start band",
                ],
            ),
        ),
        Row::new(
            "Will it break",
            will(
                at.word(&WILL_BREAK, verdict_key(verdict.will_break)),
                verdict.will_break,
                at_break,
                [
                    "below the whole run-on band",
                    "inside the run-on band",
                    "above every flow at which it might break",
                ],
            ),
        ),
    ]
}

fn will(key: Figure, verdict: Verdict, inflow: Text, places: [&str; 3]) -> Text {
    let (answer, place) = match verdict {
        Verdict::Will => ("will", places[0]),
        Verdict::Uncertain => ("uncertain", places[1]),
        Verdict::WillNot => ("will not", places[2]),
    };
    said!(
        "{}: today's inflow, {}, is {}",
        key.said(answer),
        inflow,
        place
    )
}

/// Inflows at which it both starts and breaks: nominal, and beyond doubt.
fn working_range(verdict: &BedVerdict, at: &At) -> Text {
    let start = verdict.start_flow;
    let (run_on, stall) = (verdict.run_on_flow, verdict.stall_flow);
    let open = |low: f64, high: f64| (low < high).then_some((low, high));
    let nominal = open(start.nominal, run_on.nominal.min(stall.nominal));
    let certain = open(start.high, run_on.low.min(stall.low));
    let certain = certain.map(|certain| at.ends(&SURELY_WORKS, "and", certain));
    let Some(nominal) = nominal.map(|nominal| at.ends(&WORKS, "and", nominal)) else {
        return "no inflow: it would run on or stall before it starts".into();
    };
    match certain {
        Some(certain) => said!("{}, nominal; beyond doubt between {}", nominal, certain),
        None => said!(
            "{}, nominal; the bands leave no inflow beyond doubt",
            nominal
        ),
    }
}

/// What the rows leave out or say only at times.
fn data(report: &Report, i: usize, at: &At) -> Vec<Figure> {
    let (bed, outcome) = (&report.system.beds[i], &report.run.beds[i]);
    let verdict = &report.assessment.beds[i];
    let dry = bed.gravel_over(outcome.peak_level);
    let allowance = level_allowance(&report.system.thresholds, bed);
    let mut out = vec![
        at.word(&NAME, &*bed.name),
        at.figure(&FIRST_PEAK, outcome.first_peak_level),
        at.figure(&FIRST_PEAK_DEPTH, outcome.first_peak_level - bed.floor),
        at.figure(&ALLOWANCE, allowance),
        at.figure(&DRY_LAYER, dry - allowance),
        at.figure(&STALL, verdict.stall_flow.nominal),
        at.figure(&CROWN, outcome.crown_pressure_min),
        at.figure(&OVERFLOWED, outcome.overflowed),
    ];
    for (k, span) in outcome.regimes.iter().enumerate() {
        let at = at.item("regimes", k);
        out.push(at.figure(&SPAN_FROM, span.from));
        out.push(at.figure(&SPAN_TO, span.to));
        out.push(at.word(&SPAN_REGIME, regime_key(span.regime)));
    }
    for (key, flow) in [
        (&INFLOW_AT_START, outcome.inflow_least_at_start),
        (&INFLOW_AT_BREAK, outcome.inflow_most_at_break),
        (&SIPHON_BREAK, outcome.siphon_flow_at_break),
    ] {
        out.extend(flow.map(|flow| at.figure(key, flow)));
    }
    if let Some(came) = outcome.came_up {
        let at = at.part("came_up_drain");
        out.push(at.figure(&CAME_FOR, came.time));
        out.push(at.figure(&CAME_PEAK, came.peak_flow));
        let from = came.from.and_then(|i| report.bed_named(&at, &CAME_FROM, i));
        out.extend(from);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::Sample;
    use crate::units::UnitSystem::Metric;

    // A pump that ran dry must not put another inflow beside the verdict than was judged.
    #[test]
    fn the_inflow_beside_a_verdict_is_the_one_judged() {
        let mut sample = Sample::new();
        let mut said = |judged: f64, seen: Option<f64>, extreme: f64| {
            let outcome = &mut sample.run.beds[0];
            let verdict = &mut sample.assessment.beds[0];
            (verdict.inflow_at_start, outcome.inflow_least_at_start) = (judged, seen);
            outcome.inflow_pumped = Some((extreme, 20.0e-3 / 60.0));
            let rows = window(outcome, verdict, &At::top(Metric));
            let row = rows.into_iter().find(|row| row.label == "Will it start");
            row.map(|row| row.text.to_string()).unwrap_or_default()
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

    #[test]
    fn a_spread_without_values_is_none() {
        assert_eq!(spread_of(std::iter::empty()), None);
        let found = spread_of([3.0, 1.0, 2.0].into_iter());
        let found = found.map(|found| [found.mean, found.min, found.max]);
        assert_eq!(found, Some([2.0, 1.0, 3.0]));
    }
}
