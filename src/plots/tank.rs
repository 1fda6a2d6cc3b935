//! Water level in the fish tank, under the beds' panels.

use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;

use super::axis::{axis_name, padded, round_ticks};
use super::incidents;
use super::page::{FIGURES, MARGIN, Series, TIME_AXIS, TimePair, WIDTH};
use super::palette::{BLACK, DASH_DOT, GREEN, LONG, SERIES, Stroke, VERMILLION};
use super::reference::{Reference, draw_labels, draw_lines, labels_width};
use super::sheet::{Align, HEADING, Sheet, shorten};
use super::window::Windows;

const RIM: Stroke = Stroke::solid(BLACK, 1.2);
const OVERFLOW: Stroke = Stroke::new(VERMILLION, 1.6, DASH_DOT);
const LOWEST: Stroke = Stroke::new(GREEN, 1.6, LONG);
/// Height of the panels and of what stands over them `[px]`.
const PANEL: f64 = 130.0;
const HEAD: f64 = 36.0;

/// Height that the panel takes, zero without a tank `[px]`.
pub(super) fn height(system: &System, run: &Run) -> f64 {
    if system.tank.is_some() && !run.recording.tank_level.is_empty() {
        HEAD + PANEL + TIME_AXIS + 16.0
    } else {
        0.0
    }
}

/// Levels to read the tank's water against, from the top down.
pub(super) fn references(system: &System, run: &Run, units: UnitSystem) -> Vec<Reference> {
    let (Some(tank), Some(found)) = (&system.tank, &run.tank) else {
        return Vec::new();
    };
    let (factor, _) = units.elevation_axis();
    [
        (tank.top(), RIM, "tank top"),
        (tank.overflow_level, OVERFLOW, "overflow"),
        (found.lowest_possible, LOWEST, "lowest possible"),
    ]
    .into_iter()
    .map(|(level, stroke, name)| {
        let text = format!("{name} {}", units.elevation(level));
        Reference::new(level * factor, stroke, text)
    })
    .collect()
}

/// Draws heading and panels below `top` `[px]`, beside labels `labels` wide.
pub(super) fn draw(
    sheet: &mut Sheet,
    system: &System,
    run: &Run,
    windows: &Windows,
    units: UnitSystem,
    (top, labels): (f64, f64),
) {
    let Some(found) = run.tank.as_ref().filter(|_| height(system, run) > 0.0) else {
        return;
    };
    let (factor, unit) = units.elevation_axis();
    let lines = references(system, run, units);
    let levels = &run.recording.tank_level;
    let shown = lines.iter().map(|line| line.value);
    let up = padded(shown.chain(levels.iter().map(|z| z * factor)), (0.05, 0.1));
    let (panel_top, bottom) = (top + HEAD, top + HEAD + PANEL);
    let pair = TimePair::new(
        windows,
        (MARGIN + FIGURES, WIDTH - MARGIN - labels),
        (panel_top, bottom),
        up,
    );
    let text = format!(
        "fish tank: water between {} and {}",
        units.elevation(found.level.min),
        units.elevation(found.level.max)
    );
    let text = shorten(&text, HEADING, WIDTH - 2.0 * MARGIN);
    sheet.text((MARGIN, top + HEADING), Align::Left, HEADING, BLACK, text);
    let name = format!("height above the room's floor, {unit}");
    axis_name(sheet, (MARGIN, panel_top - 6.0), Align::Left, name);
    pair.backdrop(sheet, &round_ticks(up, PANEL / 26.0));
    pair.series(
        sheet,
        &run.recording.time,
        windows,
        &[Series::new(SERIES, levels, factor)],
        |sheet| {
            draw_lines(sheet, &pair, &lines);
            incidents::lines(sheet, run, &pair);
        },
    );
    incidents::draw(sheet, run, &pair);
    pair.frames(sheet);
    pair.time_axis(sheet, 0.0);
    draw_labels(sheet, &pair, &lines);
}

/// Width of its labels `[px]`.
pub(super) fn labels(system: &System, run: &Run, units: UnitSystem) -> f64 {
    labels_width(&references(system, run, units))
}
