//! Measured figures against the simulation, before and after a fit.

use crate::model::System;
use crate::study::fit::Fit;
use crate::units::UnitSystem;

use super::axis::{Panel, axis_name};
use super::page::{MARGIN, WIDTH, count, title, title_height};
use super::palette::{BLACK, BLUE, GREY, MID_GREY, Stroke, VERMILLION, WATER_HIGH, WHITE};
use super::sheet::{Align, BODY, SMALL, Sheet, shorten};
use super::{Plot, PlotError, paint};

/// Height of one measurement's strip `[px]`.
const STRIP: f64 = 52.0;
/// Room left for names and values `[px]`.
const NAMES: f64 = 300.0;
/// Widest part of the axis, in units of each measurement's own spread.
const WIDEST: f64 = 12.0;
/// Most measurements on the page.
const MOST: usize = 60;

/// Draws the picture `fit`: every measurement with its spread, the scenario as written and
/// the fitted model beside it.
///
/// The same input gives the same bytes. Of more than 60 measurements the first 60 are shown.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_fit(system: &System, fit: &Fit, units: UnitSystem) -> Result<Plot, PlotError> {
    let sheet = draw(system, fit, units);
    Ok(Plot {
        name: "fit",
        svg: paint::svg(&sheet)?,
        png: paint::png(&sheet)?,
    })
}

fn draw(system: &System, fit: &Fit, units: UnitSystem) -> Sheet {
    let shown = fit.compared.len().min(MOST);
    let rows = &fit.compared[..shown];
    let remarks = [format!(
        "{}. Each line is one measurement at 0, the light field its spread (2 in 3 repeats) and \
         the bar twice that. Ring: the scenario as written. Disc: the fitted model. Off the axis: \
         an arrow.",
        system.title
    )];
    let top = title_height(&remarks) + 12.0;
    let bottom = top + STRIP * count(shown.max(1));
    let mut sheet = Sheet::new(WIDTH, bottom + 46.0 + MARGIN);
    let _ = title(&mut sheet, "Measured against simulated", &remarks);
    let before = |row: usize| {
        let one = &rows[row];
        let m = one.measurement;
        one.before.ok().map(|value| (value - m.value) / m.sigma)
    };
    let reach = (0..shown)
        .flat_map(|row| [before(row).unwrap_or(0.0).abs(), rows[row].pull.abs()])
        .fold(3.0, f64::max)
        .min(WIDEST)
        * 1.08;
    let panel = Panel {
        left: MARGIN + NAMES,
        right: WIDTH - MARGIN - 8.0,
        top,
        bottom,
        across: (-reach, reach),
        up: (0.0, 1.0),
    };
    let step = if reach > 7.0 { 3.0 } else { 1.0 };
    let most = (reach / step).floor() as i32;
    let ticks: Vec<f64> = (-most..=most).map(|k| f64::from(k) * step).collect();
    sheet.rect((panel.x(-1.0), top), (panel.x(1.0), bottom), WATER_HIGH);
    panel.grid_across(&mut sheet, &ticks);
    sheet.line(
        &[(panel.x(0.0), top), (panel.x(0.0), bottom)],
        Stroke::solid(BLUE, 1.6),
    );
    for (row, one) in rows.iter().enumerate() {
        let m = one.measurement;
        let y = top + STRIP * (count(row) + 0.5);
        let bed = system.beds.get(m.bed).map_or("", |bed| &bed.name);
        let name = shorten(&format!("{}, {bed}", m.what.words()), BODY, NAMES - 12.0);
        sheet.text((MARGIN, y - 10.0), Align::Left, BODY, BLACK, name);
        let text = |value: f64| m.what.text(value, units);
        let measured = format!("measured {} +- {}", text(m.value), text(m.sigma));
        sheet.text((MARGIN, y + 5.0), Align::Left, SMALL, GREY, measured);
        let scenario = one.before.map_or_else(|_| "none".to_owned(), text);
        let model = format!("scenario {scenario}, fitted {}", text(one.after));
        sheet.text((MARGIN, y + 19.0), Align::Left, SMALL, GREY, model);
        sheet.line(
            &[(panel.x(-2.0), y), (panel.x(2.0), y)],
            Stroke::solid(MID_GREY, 5.0),
        );
        let mut mark = |pull: f64, ring: bool| {
            let x = panel.x(pull.clamp(-reach, reach));
            let out = pull.abs() > reach;
            if out {
                let tip = if pull > 0.0 { -9.0 } else { 9.0 };
                let corners = vec![(x + tip, y - 6.0), (x, y), (x + tip, y + 6.0)];
                sheet.area(corners, if ring { GREY } else { VERMILLION });
            } else if ring {
                sheet.disc((x, y), 7.5, BLACK);
                sheet.disc((x, y), 5.5, WHITE);
            } else {
                sheet.disc((x, y), 4.5, VERMILLION);
            }
        };
        if let Some(pull) = before(row) {
            mark(pull, true);
        }
        mark(one.pull, false);
        let line = top + STRIP * count(row + 1);
        sheet.line(
            &[(MARGIN, line), (panel.right, line)],
            Stroke::solid(MID_GREY, 0.8),
        );
    }
    if rows.is_empty() {
        let at = (0.5 * (panel.left + panel.right), top + 0.5 * STRIP - 8.0);
        sheet.text(at, Align::Centre, BODY, BLACK, "nothing was measured");
    }
    panel.frame(&mut sheet);
    panel.figures_across(&mut sheet, &ticks);
    let middle = 0.5 * (panel.left + panel.right);
    axis_name(
        &mut sheet,
        (middle, bottom + 34.0),
        Align::Centre,
        "simulated less measured, in spreads of the measurement".to_owned(),
    );
    sheet
}
