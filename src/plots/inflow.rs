//! Today's inflow of every bed against the edges of its window.

use crate::model::{Band, System};
use crate::study::window::{BedWindow, Trust, Windows};
use crate::units::UnitSystem;

use super::axis::{Panel, axis_name, round_ticks};
use super::page::{MARGIN, WIDTH, count, title, title_height};
use super::palette::{BLACK, BLUE, GREY, MID_GREY, ORANGE, Stroke, VERMILLION, WATER_HIGH, WHITE};
use super::sheet::{Align, BODY, HEADING, Point, SMALL, Sheet, shorten};
use super::{Plot, PlotError, paint};

/// Height of one bed's strip `[px]`.
const STRIP: f64 = 118.0;
/// Room for a bed's name and the names of its bands `[px]`.
const NAMES: f64 = 190.0;
/// Half height of a band `[px]`.
const HALF: f64 = 7.0;
/// Most beds on the page.
const MOST_BEDS: usize = 40;

/// Draws the picture `inflow` of all beds of `system`.
///
/// The same input gives the same bytes. Of more than 40 beds the first 40 are shown.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_inflow(
    system: &System,
    windows: &Windows,
    units: UnitSystem,
) -> Result<Plot, PlotError> {
    let sheet = draw(system, windows, units);
    Ok(Plot {
        name: "inflow",
        svg: paint::svg(&sheet)?,
        png: paint::png(&sheet)?,
    })
}

/// The page, not yet painted.
pub(super) fn draw(system: &System, windows: &Windows, units: UnitSystem) -> Sheet {
    let shown = windows.beds.len().min(MOST_BEDS);
    let beds = &windows.beds[..shown];
    let (factor, unit) = units.flow_axis();
    let more = if shown < windows.beds.len() {
        format!(" Only the first {shown} of {} beds.", windows.beds.len())
    } else {
        String::new()
    };
    let most = beds.iter().map(greatest).fold(0.0, f64::max);
    let end = 1.04 * most;
    let beyond = |found: &BedWindow| {
        let window = &found.window;
        [window.start, window.run_on, window.stall]
            .iter()
            .any(|band| band.high > end)
    };
    let arrows = if beds.iter().any(beyond) {
        " An arrow at the right edge: the band goes on, or lies, beyond it."
    } else {
        ""
    };
    let remarks = [format!(
        "{}. A siphon starts for certain right of its start band and breaks for certain left of its \
         run-on and stall bands; inside a band nobody can say. Light field: works in every \
         case. A band's tick is its nominal value.{arrows}{more}",
        system.title
    )];
    let top = title_height(&remarks) + 12.0;
    let bottom = top + STRIP * count(shown);
    let mut sheet = Sheet::new(WIDTH, bottom + 46.0 + MARGIN);
    let _ = title(
        &mut sheet,
        "Inflow of every bed against its window",
        &remarks,
    );
    let panel = Panel {
        left: MARGIN + NAMES,
        right: WIDTH - MARGIN - 8.0,
        top,
        bottom,
        across: (0.0, end * factor),
        up: (0.0, 1.0),
    };
    let ticks = round_ticks(panel.across, (panel.right - panel.left) / 80.0);
    panel.grid_across(&mut sheet, &ticks);
    for (k, (bed, found)) in system.beds.iter().zip(beds).enumerate() {
        let strip = Strip {
            panel: &panel,
            top: top + STRIP * count(k),
            factor,
            units,
        };
        strip.draw(&mut sheet, &bed.name, found);
    }
    panel.frame(&mut sheet);
    panel.figures_across(&mut sheet, &ticks);
    let middle = 0.5 * (panel.left + panel.right);
    axis_name(
        &mut sheet,
        (middle, bottom + 34.0),
        Align::Centre,
        format!("inflow, {unit}"),
    );
    sheet
}

/// What the axis must reach for one bed: all that can decide, but not a band's far end.
fn greatest(found: &BedWindow) -> f64 {
    let window = &found.window;
    [
        found.today.range.max,
        found.best.flow,
        window.start.high,
        window.run_on.nominal.min(window.stall.nominal),
        window.run_on.low,
    ]
    .into_iter()
    .fold(0.0, f64::max)
        * 1.1
}

struct Strip<'a> {
    panel: &'a Panel,
    top: f64,
    factor: f64,
    units: UnitSystem,
}

impl Strip<'_> {
    fn x(&self, flow: f64) -> f64 {
        self.panel
            .x(flow * self.factor)
            .clamp(self.panel.left, self.panel.right)
    }

    fn draw(&self, sheet: &mut Sheet, name: &str, found: &BedWindow) {
        let (left, right) = (self.panel.left, self.panel.right);
        let bottom = self.top + STRIP;
        if let Some((low, high)) = found.certain() {
            let corners = ((self.x(low), self.top + 1.0), (self.x(high), bottom - 1.0));
            sheet.rect(corners.0, corners.1, WATER_HIGH);
            for x in [self.x(low), self.x(high)] {
                sheet.line(&[(x, self.top), (x, bottom)], Stroke::solid(BLUE, 1.0));
            }
        }
        sheet.line(
            &[(MARGIN, bottom), (right, bottom)],
            Stroke::solid(MID_GREY, 1.0),
        );
        let room = left - MARGIN - 8.0;
        let head = (MARGIN, self.top + 18.0);
        sheet.text(
            head,
            Align::Left,
            HEADING,
            BLACK,
            shorten(name, HEADING, room),
        );
        let window = &found.window;
        let rows = [
            ("starts", window.start, ORANGE, Fill::Solid),
            ("runs on", window.run_on, VERMILLION, Fill::Hatched),
            ("stalls", window.stall, GREY, Fill::Open),
        ];
        for (k, (what, band, color, fill)) in rows.into_iter().enumerate() {
            let y = self.top + 38.0 + 21.0 * count(k);
            let text = format!("{what} {}", self.units.flow(band.nominal));
            sheet.text(
                (left - 8.0, y + 0.36 * SMALL),
                Align::Right,
                SMALL,
                BLACK,
                text,
            );
            self.band(sheet, y, band, color, fill);
        }
        let y = self.top + 38.0 + 63.0;
        let text = format!("today {}", self.units.flow(found.today.range.mean));
        sheet.text(
            (left - 8.0, y + 0.36 * SMALL),
            Align::Right,
            SMALL,
            BLACK,
            text,
        );
        self.today(sheet, y, found);
        self.best(sheet, found);
    }

    fn band(&self, sheet: &mut Sheet, y: f64, band: Band, color: super::palette::Rgb, fill: Fill) {
        if band.low * self.factor > self.panel.across.1 {
            arrow(sheet, (self.panel.right - 4.0, y));
            return;
        }
        let (low, high) = (self.x(band.low), self.x(band.high));
        let corners = [
            (low, y - HALF),
            (high, y - HALF),
            (high, y + HALF),
            (low, y + HALF),
        ];
        match fill {
            Fill::Solid => sheet.area(corners.to_vec(), color),
            Fill::Hatched => {
                sheet.area(corners.to_vec(), WHITE);
                let mut x = low + 3.0;
                while x < high {
                    sheet.line(&[(x, y - HALF), (x, y + HALF)], Stroke::solid(color, 2.0));
                    x += 6.0;
                }
            }
            Fill::Open => sheet.area(corners.to_vec(), WHITE),
        }
        sheet.outline(&corners, Stroke::solid(color, 1.4));
        if band.nominal * self.factor < self.panel.across.1 {
            let x = self.x(band.nominal);
            for (width, color) in [(5.0, WHITE), (2.4, BLACK)] {
                let reach = HALF + 3.0;
                sheet.line(
                    &[(x, y - reach), (x, y + reach)],
                    Stroke::solid(color, width),
                );
            }
        }
        if band.high * self.factor > self.panel.across.1 {
            arrow(sheet, (self.panel.right - 4.0, y));
        }
    }

    fn today(&self, sheet: &mut Sheet, y: f64, found: &BedWindow) {
        let range = found.today.range;
        let (low, high) = (self.x(range.min), self.x(range.max));
        sheet.line(&[(low, y), (high, y)], Stroke::solid(BLACK, 3.0));
        for x in [low, high] {
            sheet.line(&[(x, y - 5.0), (x, y + 5.0)], Stroke::solid(BLACK, 1.6));
        }
        let x = self.x(range.mean);
        sheet.disc((x, y), 5.5, BLACK);
        sheet.disc((x, y), 2.2, WHITE);
    }

    /// A pointed mark at the top of the strip and its words beside it.
    fn best(&self, sheet: &mut Sheet, found: &BedWindow) {
        let x = self.x(found.best.flow);
        let y = self.top + 9.0;
        sheet.area(
            vec![(x - 6.0, y - 6.0), (x + 6.0, y - 6.0), (x, y + 6.0)],
            BLACK,
        );
        let kind = match found.best.trust {
            Trust::Certain => "best inflow",
            Trust::Nominal => "best inflow, in doubt",
            Trust::Doubtful | Trust::Hopeless => "least bad inflow",
        };
        let text = format!("{kind} {}", self.units.flow(found.best.flow));
        let width = super::sheet::text_width(&text, BODY);
        let (at, align) = if x + 12.0 + width < self.panel.right {
            (x + 11.0, Align::Left)
        } else {
            (x - 11.0, Align::Right)
        };
        let left = if align == Align::Left { at } else { at - width };
        sheet.rect((left - 3.0, y - 7.0), (left + width + 3.0, y + 8.0), WHITE);
        sheet.text((at, y + 0.36 * BODY), align, BODY, BLACK, text);
    }
}

/// How a band is told apart without colour.
#[derive(Clone, Copy)]
enum Fill {
    Solid,
    Hatched,
    Open,
}

/// A band goes on past the right edge.
fn arrow(sheet: &mut Sheet, (x, y): Point) {
    sheet.area(vec![(x - 8.0, y - 5.0), (x, y), (x - 8.0, y + 5.0)], BLACK);
}
