//! A sweep: figures of one bed over one quantity, or the verdict over two.

use super::palette::Rgb;

use crate::assessment::Status;
use crate::study::vary::sweep::{Reading, Sweep, SweepPoint};
use crate::units::UnitSystem;

use super::axis::{Panel, axis_name, round_ticks};
use super::map_scale::Scale;
use super::page::{FIGURES, MARGIN, WIDTH, title, title_height};
use super::palette::{BLACK, BLUE, GREEN, MID_GREY, ORANGE, SERIES, Stroke, VERMILLION};
use super::sheet::{Align, HEADING, Point, SMALL, Sheet};
use super::{Plot, PlotError, paint};

/// Height of one panel of a sweep over one quantity `[px]`.
const PANEL: f64 = 210.0;
/// Height of the strip that tells the verdict `[px]`.
const STRIP: f64 = 18.0;
/// Height of the field of a sweep over two quantities `[px]`.
const FIELD: f64 = 560.0;

/// Draws the picture `sweep`; `subject` names system and bed.
///
/// The same input gives the same bytes.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_sweep(found: &Sweep, subject: &str, units: UnitSystem) -> Result<Plot, PlotError> {
    let sheet = match found.axes.as_slice() {
        [_, _] => field(found, subject, units),
        _ => curves(found, subject, units),
    };
    Ok(Plot {
        name: "sweep",
        svg: paint::svg(&sheet)?,
        png: paint::png(&sheet)?,
    })
}

/// Green passes, orange warns, orange-red fails, grey has no answer.
fn color(point: &SweepPoint) -> Rgb {
    match &point.reading {
        Err(_) => MID_GREY,
        Ok(reading) => match reading.verdict {
            Status::Pass => GREEN,
            Status::Warn => ORANGE,
            Status::Fail => VERMILLION,
        },
    }
}

const KEY: &str = "Colour is the verdict of all checks: green passes, orange warns, orange-red fails, grey \
                   cannot be built or simulated.";

/// Name of a row of panels, and its value of a reading in the unit shown.
type Row = (String, Box<dyn Fn(&Reading) -> Option<f64>>);

fn rows(units: UnitSystem) -> [Row; 3] {
    let (length, unit) = units.length_axis();
    [
        (
            "cycle period, min (nothing where it does not cycle)".to_owned(),
            Box::new(|reading: &Reading| reading.period.map(|seconds| seconds / 60.0)),
        ),
        (
            format!("highest water above the bed's floor, {unit}"),
            Box::new(move |reading: &Reading| Some(length * reading.peak)),
        ),
        (
            format!("dry gravel over the highest water, errors of level taken off, {unit}"),
            Box::new(move |reading: &Reading| Some(length * reading.dry_layer)),
        ),
    ]
}

fn curves(found: &Sweep, subject: &str, units: UnitSystem) -> Sheet {
    let remarks = [format!("{subject}. {KEY}")];
    let Some(axis) = found.axes.first() else {
        return Sheet::new(WIDTH, MARGIN);
    };
    let scale = Scale::new(axis.quantity, units);
    let mut top = title_height(&remarks) + 14.0;
    let rows = rows(units);
    let mut sheet = Sheet::new(WIDTH, top + 3.0 * (PANEL + 34.0) + STRIP + 50.0 + MARGIN);
    let name = format!("Sweep of {}", axis.quantity.words());
    let _ = title(&mut sheet, &name, &remarks);
    let (left, right) = (MARGIN + FIGURES + 10.0, WIDTH - MARGIN - 10.0);
    let across = (scale.shown(axis.from), scale.shown(axis.to));
    let ticks = round_ticks(across, (right - left) / 90.0);
    for (name, value) in rows {
        let points: Vec<(f64, Option<f64>)> = found
            .cells
            .iter()
            .map(|cell| {
                let x = cell.values.first().copied().unwrap_or(f64::NAN);
                (scale.shown(x), cell.reading.as_ref().ok().and_then(&value))
            })
            .collect();
        let panel = Panel {
            left,
            right,
            top: top + 20.0,
            bottom: top + PANEL,
            across,
            up: reach(points.iter().filter_map(|point| point.1)),
        };
        sheet.text((left, top + 12.0), Align::Left, HEADING, BLACK, name);
        let up = round_ticks(panel.up, 5.0);
        panel.grid_up(&mut sheet, &up);
        panel.grid_across(&mut sheet, &ticks);
        for run in points.split(|point| point.1.is_none()) {
            let line: Vec<Point> = run
                .iter()
                .filter_map(|&(x, y)| Some(panel.point((x, y?))))
                .collect();
            for &point in &line {
                sheet.disc(point, 2.2, BLUE);
            }
            if line.len() > 1 {
                sheet.line(&line, SERIES);
            }
        }
        panel.frame(&mut sheet);
        panel.figures_up(&mut sheet, &up);
        panel.figures_across(&mut sheet, &ticks);
        top += PANEL + 34.0;
    }
    let strip = Panel {
        left,
        right,
        top: top + 4.0,
        bottom: top + 4.0 + STRIP,
        across,
        up: (0.0, 1.0),
    };
    let half = 0.5 * (right - left) / super::page::count(found.points.saturating_sub(1).max(1));
    for cell in &found.cells {
        let x = strip.x(scale.shown(cell.values.first().copied().unwrap_or(f64::NAN)));
        let ends = ((x - half).max(left), (x + half).min(right));
        sheet.rect((ends.0, strip.top), (ends.1, strip.bottom), color(cell));
    }
    strip.frame(&mut sheet);
    axis_name(
        &mut sheet,
        (0.5 * (left + right), strip.bottom + 18.0),
        Align::Centre,
        scale.name(),
    );
    sheet
}

/// Least and greatest value with a little room; a level line gets room too.
fn reach(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    if low > high {
        return (0.0, 1.0);
    }
    let room = (0.08 * (high - low)).max(0.02 * high.abs()).max(1e-3);
    (low - room, high + room)
}

fn field(found: &Sweep, subject: &str, units: UnitSystem) -> Sheet {
    let remarks = [format!("{subject}. {KEY}")];
    let top = title_height(&remarks) + 10.0;
    let mut sheet = Sheet::new(WIDTH, top + FIELD + 50.0 + MARGIN);
    let [x, y] = found.axes.as_slice() else {
        return sheet;
    };
    let name = format!("Sweep of {} and {}", x.quantity.words(), y.quantity.words());
    let _ = title(&mut sheet, &name, &remarks);
    let (across, up) = (Scale::new(x.quantity, units), Scale::new(y.quantity, units));
    let panel = Panel {
        left: MARGIN + FIGURES + 20.0,
        right: WIDTH - MARGIN - 10.0,
        top: top + 18.0,
        bottom: top + FIELD,
        across: (across.shown(x.from), across.shown(x.to)),
        up: (up.shown(y.from), up.shown(y.to)),
    };
    let steps = super::page::count(found.points.saturating_sub(1).max(1));
    let half = (
        0.5 * (panel.right - panel.left) / steps,
        0.5 * (panel.bottom - panel.top) / steps,
    );
    for cell in &found.cells {
        let [at_x, at_y] = cell.values.as_slice() else {
            continue;
        };
        let at = panel.point((across.shown(*at_x), up.shown(*at_y)));
        sheet.rect(
            (
                (at.0 - half.0).max(panel.left),
                (at.1 - half.1).max(panel.top),
            ),
            (
                (at.0 + half.0).min(panel.right),
                (at.1 + half.1).min(panel.bottom),
            ),
            color(cell),
        );
    }
    let ticks_x = round_ticks(panel.across, (panel.right - panel.left) / 90.0);
    let ticks_y = round_ticks(panel.up, 9.0);
    for &tick in &ticks_y {
        panel.level(&mut sheet, tick, Stroke::solid(BLACK, 0.3));
    }
    panel.frame(&mut sheet);
    panel.figures_across(&mut sheet, &ticks_x);
    panel.figures_up(&mut sheet, &ticks_y);
    axis_name(
        &mut sheet,
        (0.5 * (panel.left + panel.right), panel.bottom + 34.0),
        Align::Centre,
        across.name(),
    );
    sheet.text(
        (panel.left, top + 12.0),
        Align::Left,
        SMALL,
        BLACK,
        up.name(),
    );
    sheet
}
