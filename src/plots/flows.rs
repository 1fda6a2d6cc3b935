//! Flows of pump, tank, siphons and drain line, each in a lane of its own.

use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;

use super::axis::round_ticks;
use super::page::{
    FIGURES, MARGIN, Series, TIME_AXIS, TimePair, WIDTH, count, title, title_height,
};
use super::palette::{BLACK, DASH_DOT, GREEN, LONG, ORANGE, SERIES, SHORT, Stroke, VERMILLION};
use super::reference::{Reference, draw_labels, draw_lines, labels_width};
use super::sheet::{Align, HEADING, Sheet, shorten};
use super::window::windows;

const PUMP: Stroke = Stroke::solid(GREEN, 2.0);
const INFLOW: Stroke = Stroke::new(ORANGE, 1.8, SHORT);
const LINE: Stroke = Stroke::solid(BLACK, 2.0);
const CAPACITY: Stroke = Stroke::new(VERMILLION, 1.8, LONG);
const HALF_FULL: Stroke = Stroke::new(VERMILLION, 1.4, DASH_DOT);
/// From a lane's heading to the lane `[px]`: a figure at its top edge must clear the heading.
const UNDER_HEADING: f64 = 12.0;
/// For labels that point at the end of a series instead of at a line.
const NO_LINE: f64 = 0.0;

/// One lane: its name, what it shows, what it is read against.
struct Lane<'a> {
    name: String,
    series: Vec<(Stroke, &'a [f64])>,
    references: Vec<Reference>,
    /// Top of the scale in the unit shown.
    most: f64,
}

fn unlined(stroke: Stroke) -> Stroke {
    Stroke {
        width: NO_LINE,
        ..stroke
    }
}

/// Draws the page.
pub(super) fn draw(system: &System, run: &Run, units: UnitSystem) -> Sheet {
    let windows = windows(run, units);
    let (factor, unit) = units.flow_axis();
    let lanes = lanes(system, run, units);
    let lane_height = match lanes.len() {
        0..=3 => 130.0,
        4..=6 => 90.0,
        _ => 70.0,
    };
    let pitch = HEADING + UNDER_HEADING + lane_height + 12.0;
    let remarks = [
        format!("{}. {}", system.title, windows.caption()),
        format!(
            "All flows in {unit}. Lanes have scales of their own; those of the siphons are alike."
        ),
    ];
    let top = title_height(&remarks);
    let mut sheet = Sheet::new(WIDTH, top + count(lanes.len()) * pitch + TIME_AXIS + MARGIN);
    let name = match (system.tank.is_some(), system.drain_line.is_some()) {
        (false, false) => "Flow of the pump and the siphons",
        (false, true) => "Flow of the pump, the siphons and the drain line",
        (true, false) => "Flow of the pump, the fish tank and the siphons",
        (true, true) => "Flow of the pump, the fish tank, the siphons and the drain line",
    };
    let _ = title(&mut sheet, name, &remarks);
    let labels = lanes
        .iter()
        .map(|lane| labels_width(&lane.references))
        .fold(0.0, f64::max);
    let edges = (MARGIN + FIGURES, WIDTH - MARGIN - labels);
    for (index, lane) in lanes.iter().enumerate() {
        let y = top + count(index) * pitch;
        let lane_top = y + HEADING + UNDER_HEADING;
        let up = (0.0, lane.most);
        let pair = TimePair::new(&windows, edges, (lane_top, lane_top + lane_height), up);
        let heading = shorten(&lane.name, HEADING, WIDTH - 2.0 * MARGIN);
        sheet.text(
            (MARGIN, y + HEADING + 3.0),
            Align::Left,
            HEADING,
            BLACK,
            heading,
        );
        pair.backdrop(&mut sheet, &round_ticks(up, lane_height / 24.0));
        let drawn: Vec<Reference> = lane
            .references
            .iter()
            .filter(|reference| reference.stroke.width > NO_LINE)
            .cloned()
            .collect();
        let series: Vec<Series> = lane
            .series
            .iter()
            .map(|&(stroke, flows)| Series::new(stroke, flows, factor))
            .collect();
        pair.series(
            &mut sheet,
            &run.recording.time,
            &windows,
            &series,
            |sheet| draw_lines(sheet, &pair, &drawn),
        );
        pair.frames(&mut sheet);
        draw_labels(&mut sheet, &pair, &lane.references);
        if index + 1 == lanes.len() {
            pair.time_axis(&mut sheet, 0.0);
        }
    }
    sheet
}

fn lanes<'a>(system: &System, run: &'a Run, units: UnitSystem) -> Vec<Lane<'a>> {
    let (factor, _) = units.flow_axis();
    let most = |values: &[f64]| {
        values
            .iter()
            .copied()
            .filter(|q| q.is_finite())
            .fold(0.0, f64::max)
    };
    let mut lanes = Vec::new();

    let pump = &run.pump.flow;
    let (least, greatest) = (units.flow(pump.min), units.flow(pump.max));
    let range = if least == greatest {
        least
    } else {
        format!("{least} to {greatest}")
    };
    lanes.push(Lane {
        name: format!("Pump: {range} while it runs"),
        series: vec![(PUMP, &run.recording.pump_flow)],
        references: vec![Reference::new(
            pump.mean * factor,
            unlined(PUMP),
            format!("pump, mean {}", units.flow(pump.mean)),
        )],
        most: scale(most(&run.recording.pump_flow) * factor),
    });

    if let Some(tank) = run.tank.filter(|_| system.tank.is_some()) {
        let (inflow, outflow) = (&run.recording.tank_inflow, &run.recording.tank_outflow);
        let over = most(outflow);
        lanes.push(Lane {
            name: "Fish tank: inflow and overflow".to_owned(),
            series: vec![(INFLOW, inflow), (SERIES, outflow)],
            references: vec![
                Reference::new(
                    over * factor,
                    unlined(SERIES),
                    format!("overflow, at most {}", units.flow(over)),
                ),
                Reference::new(
                    tank.inflow * factor,
                    unlined(INFLOW),
                    format!("inflow, mean {}", units.flow(tank.inflow)),
                ),
            ],
            most: scale(most(inflow).max(over) * factor),
        });
    }

    let greatest = run
        .recording
        .beds
        .iter()
        .map(|bed| most(&bed.siphon_flow).max(most(&bed.inflow)))
        .fold(0.0, f64::max);
    let parts = system.beds.iter().zip(&run.beds).zip(&run.recording.beds);
    for ((bed, outcome), series) in parts {
        let peak = most(&series.siphon_flow);
        lanes.push(Lane {
            name: format!("{}: siphon and inflow", bed.name),
            series: vec![(INFLOW, &series.inflow), (SERIES, &series.siphon_flow)],
            references: vec![
                Reference::new(
                    peak * factor,
                    unlined(SERIES),
                    format!("siphon, at most {}", units.flow(peak)),
                ),
                Reference::new(
                    outcome.inflow.mean * factor,
                    unlined(INFLOW),
                    format!("inflow, mean {}", units.flow(outcome.inflow.mean)),
                ),
            ],
            most: scale(greatest * factor),
        });
    }

    if let Some(line) = &run.line {
        let peak = line.peak_flow;
        lanes.push(Lane {
            name: "Drain line at its lower end".to_owned(),
            series: vec![(LINE, &run.recording.line_flow)],
            references: vec![
                Reference::new(
                    line.capacity * factor,
                    CAPACITY,
                    format!("full {}", units.flow(line.capacity)),
                ),
                Reference::new(
                    line.half_full * factor,
                    HALF_FULL,
                    format!("half full {}", units.flow(line.half_full)),
                ),
                Reference::new(
                    peak * factor,
                    unlined(LINE),
                    format!("line, at most {}", units.flow(peak)),
                ),
            ],
            most: scale(peak.max(line.capacity) * factor),
        });
    }
    lanes
}

/// Top of a scale with some air over the greatest value.
fn scale(greatest: f64) -> f64 {
    if greatest > 0.0 { 1.12 * greatest } else { 1.0 }
}
