//! Water level in the sump, with its bounds and its limits.

use crate::assessment::Assessment;
use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;

use super::axis::{axis_name, padded, round_ticks};
use super::incidents;
use super::page::{FIGURES, MARGIN, Series, TIME_AXIS, TimePair, WIDTH, title, title_height};
use super::palette::{
    BLACK, BLUE, DASH_DOT, DASH_DOT_DOT, DOTS, GREEN, LONG, PURPLE, SERIES, SHORT, Stroke,
    VERMILLION, WATER_HIGH,
};
use super::reference::{Reference, draw_labels, draw_lines, labels_width};
use super::sheet::{Align, Sheet};
use super::window::windows;

const OVERFLOW: Stroke = Stroke::solid(VERMILLION, 2.0);
const FREEBOARD: Stroke = Stroke::new(VERMILLION, 1.6, DASH_DOT);
const BOUND: Stroke = Stroke::new(PURPLE, 1.6, LONG);
const DEAD: Stroke = Stroke::new(PURPLE, 1.6, DOTS);
const RANGE: Stroke = Stroke::new(BLUE, 1.0, DOTS);
const COVER: Stroke = Stroke::new(BLACK, 1.6, SHORT);
const INTAKE: Stroke = Stroke::new(BLACK, 1.2, DASH_DOT_DOT);
const VALVE: Stroke = Stroke::new(GREEN, 1.6, DASH_DOT);
const FLOOR: Stroke = Stroke::solid(BLACK, 1.2);

/// Height of the panels `[px]`.
const HEIGHT: f64 = 430.0;

/// Draws the page.
pub(super) fn draw(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    units: UnitSystem,
) -> Sheet {
    let windows = windows(run, units);
    let level = &run.sump.level;
    let bounds = &assessment.sump;
    let mut remarks = vec![
        format!("{}. {}", system.title, windows.caption()),
        format!(
            "Shaded: where the level moved in the run, {} to {}. The bounds follow from volumes \
             alone, whatever the timing: {} with every bed at its highest and all pipes full, {} \
             with every bed drained and the pump off.",
            units.elevation(level.min),
            units.elevation(level.max),
            units.elevation(bounds.low),
            units.elevation(bounds.high)
        ),
    ];
    remarks.extend(incidents::remark(system, run, units));
    let top = title_height(&remarks) + 18.0;
    let bottom = top + HEIGHT;
    let mut sheet = Sheet::new(WIDTH, bottom + TIME_AXIS + MARGIN);
    let _ = title(&mut sheet, "Water level in the sump", &remarks);

    let (factor, unit) = units.elevation_axis();
    let references = references(system, run, assessment, units);
    let series = &run.recording.sump_level;
    let shown = references.iter().map(|reference| reference.value);
    let up = padded(shown.chain(series.iter().map(|z| z * factor)), (0.03, 0.05));
    let pair = TimePair::new(
        &windows,
        (MARGIN + FIGURES, WIDTH - MARGIN - labels_width(&references)),
        (top, bottom),
        up,
    );
    let name = format!("height above the room's floor, {unit}");
    axis_name(&mut sheet, (MARGIN, top - 6.0), Align::Left, name);
    for panel in pair.panels() {
        let (low, high) = (panel.y(level.min * factor), panel.y(level.max * factor));
        sheet.rect((panel.left, high), (panel.right, low), WATER_HIGH);
    }
    pair.backdrop(&mut sheet, &round_ticks(up, HEIGHT / 30.0));
    pair.series(
        &mut sheet,
        &run.recording.time,
        &windows,
        &[Series::new(SERIES, series, factor)],
        |sheet| {
            draw_lines(sheet, &pair, &references);
            incidents::lines(sheet, run, &pair);
        },
    );
    incidents::draw(&mut sheet, run, &pair);
    pair.frames(&mut sheet);
    pair.time_axis(&mut sheet, 0.0);
    draw_labels(&mut sheet, &pair, &references);
    sheet
}

/// Levels to read the water against, from the top down.
fn references(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    units: UnitSystem,
) -> Vec<Reference> {
    let (sump, pump) = (&system.sump, &system.pump);
    let bounds = &assessment.sump;
    let freeboard = sump.overflow_level - system.thresholds.sump_freeboard;
    let levels = [
        (sump.overflow_level, OVERFLOW, "spills over"),
        (freeboard, FREEBOARD, "freeboard limit"),
        (bounds.high, BOUND, "high bound"),
        (run.sump.level.max, RANGE, "highest in the run"),
        (run.sump.level.min, RANGE, "lowest in the run"),
        (bounds.low, BOUND, "low bound"),
        (bounds.dead_siphons, DEAD, "if no siphon started"),
        (pump.least_level(), COVER, "pump draws air below"),
        (
            system
                .top_off
                .as_ref()
                .map_or(f64::NAN, |valve| valve.level),
            VALVE,
            "float valve opens below",
        ),
        (pump.intake_level, INTAKE, "pump intake"),
        (sump.floor, FLOOR, "sump floor"),
    ];
    let (factor, _) = units.elevation_axis();
    levels
        .into_iter()
        .filter(|(level, ..)| level.is_finite())
        .map(|(level, stroke, name)| {
            let text = format!("{name} {}", units.elevation(level));
            Reference::new(level * factor, stroke, text)
        })
        .collect()
}
