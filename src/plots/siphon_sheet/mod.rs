//! One printable page of a siphon in section, to scale and dimensioned.
//!
//! The page is A4 portrait at 96 px to the inch, the size of a pixel in CSS, so
//! that an SVG printed at full size has the stated scale. Everything stands
//! above the lower edge of a US Letter page too.

mod dimension;
mod drawing;
mod frame;
mod table;

use crate::model::Bed;
use crate::units::UnitSystem;

use super::page::count;
use super::palette::{BLACK, GREY, Stroke, VERMILLION, WHITE};
use super::pen;
use super::sheet::{Align, BODY, SMALL, Sheet, TITLE, shorten, wrap};
#[cfg(feature = "plots")]
use super::sheet::{Mark, Point};
#[cfg(feature = "plots")]
use super::{PlotError, paint};
use dimension::{Lanes, Upright};
use frame::Frame;

/// A4 portrait `[px]`.
const SIZE: (f64, f64) = (794.0, 1123.0);
/// Left and right margin `[px]`: 8 mm, which every printer can do.
const MARGIN: f64 = 30.0;
/// First line and lowest point used `[px]`; a Letter page ends at 1056.
const TOP: f64 = 36.0;
const BOTTOM: f64 = 1036.0;
/// Pixels in a metre at full size.
const PIXELS: f64 = 96.0 / 0.0254;
/// The PNG has this many times the pixels of the page, for print.
const PNG_SCALE: f64 = 2.0;
/// Scales, largest first: one to this many. The usual ones of ISO 5455 (from
/// memory) with some between, for a page is small.
const SCALES: [f64; 16] = [
    1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 100.0,
];
/// Below the bed's floor: pipe stub and two rows of dimensions `[px]`.
const BELOW: f64 = 106.0;
/// A row of dimensions above the drawing `[px]`.
const ROW: f64 = 27.0;

/// What goes on the page of one bed.
#[derive(Debug, Clone, Copy)]
pub struct SiphonPage<'a> {
    /// The system's title.
    pub title: &'a str,
    /// The bed with its standpipe cut and its bell to fit.
    pub bed: &'a Bed,
    /// Length of its guard, where it has one `[m]`.
    pub guard: Option<f64>,
    /// Highest water above the bed's floor `[m]`.
    pub peak: Option<f64>,
    /// What of the dry media above it is kept for errors of level `[m]`.
    pub allowance: f64,
    /// Cut list: piece, length, what it is.
    pub pieces: &'a [[String; 3]],
    /// Why there is nothing to cut; then nothing is drawn.
    pub refused: Option<&'a str>,
}

/// A page as SVG and as PNG.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// An SVG document whose size is A4.
    pub svg: String,
    /// A PNG file of twice the page's pixels.
    pub png: Vec<u8>,
}

/// Draws the page. The same input gives the same bytes.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
#[cfg(feature = "plots")]
pub fn siphon_page(page: &SiphonPage, units: UnitSystem) -> Result<Page, PlotError> {
    let sheet = lay_out(page, units);
    Ok(Page {
        svg: paint::svg(&sheet)?,
        png: paint::png(&enlarged(&sheet, PNG_SCALE))?,
    })
}

/// The same as an `svg` element, its colours classes: for a page that has the engine.
pub fn siphon_drawing(page: &SiphonPage, units: UnitSystem) -> String {
    pen::svg(&lay_out(page, units), &|_| None)
}

/// The page, not yet painted.
fn lay_out(page: &SiphonPage, units: UnitSystem) -> Sheet {
    let mut sheet = Sheet::new(SIZE.0, SIZE.1);
    let room = SIZE.0 - 2.0 * MARGIN;
    let title = format!("Siphon of bed \"{}\"", page.bed.name);
    let mut y = TOP + TITLE;
    sheet.text(
        (MARGIN, y),
        Align::Left,
        TITLE,
        BLACK,
        shorten(&title, TITLE, room),
    );
    y += BODY + 8.0;
    sheet.text(
        (MARGIN, y),
        Align::Left,
        BODY,
        GREY,
        shorten(page.title, BODY, room),
    );
    if let Some(why) = page.refused {
        refusal(&mut sheet, why, y + 40.0);
        return sheet;
    }
    let table_top = BOTTOM - table::height(page.pieces);
    draw(&mut sheet, page, units, (y + 8.0, table_top - 12.0));
    table::draw(&mut sheet, page.pieces, table_top);
    sheet
}

fn refusal(sheet: &mut Sheet, why: &str, top: f64) {
    const HEAD: f64 = 16.0;
    let room = SIZE.0 - 2.0 * MARGIN;
    sheet.text(
        (MARGIN, top),
        Align::Left,
        HEAD,
        VERMILLION,
        "Nothing to cut yet",
    );
    for (k, line) in wrap(why, BODY, room).iter().enumerate() {
        let at = (MARGIN, top + 28.0 + count(k) * (BODY + 6.0));
        sheet.text(at, Align::Left, BODY, BLACK, shorten(line, BODY, room));
    }
}

/// Section and dimensions between two heights of the page `[px]`.
fn draw(sheet: &mut Sheet, page: &SiphonPage, units: UnitSystem, (top, bottom): (f64, f64)) {
    let (left, right) = (upright_left(page, units), upright_right(page, units));
    let above = drawing::rows_above(page);
    let heading = BODY + 10.0;
    let head_room = heading + above * ROW + 8.0;
    let height = bottom - top - head_room - BELOW;
    let width = SIZE.0 - 2.0 * MARGIN - left.width() - right.width();
    let tallest = drawing::height(page);
    let half = drawing::half_width(page.bed);
    let fits = |scale: &f64| {
        tallest * PIXELS / scale <= height
            && 2.0 * (half * PIXELS / scale + drawing::GRAVEL) <= width
    };
    let ratio = SCALES.into_iter().find(fits).unwrap_or_else(|| {
        let needed =
            (tallest * PIXELS / height).max(2.0 * half * PIXELS / (width - 2.0 * drawing::GRAVEL));
        (needed / 100.0).ceil() * 100.0
    });
    // What is not used is shared between above and below.
    let idle = height - tallest * PIXELS / ratio;
    let frame = Frame {
        scale: PIXELS / ratio,
        floor: bottom - BELOW - 0.5 * idle,
        left: MARGIN + left.width(),
        right: SIZE.0 - MARGIN - right.width(),
    };
    let said = format!(
        "Scale 1 : {ratio} when printed at full size (100 %, A4 or Letter); the bar below is then {} \
         long. Lengths run from the bed's floor.",
        units.length(bar(units))
    );
    for (k, line) in wrap(&said, SMALL, SIZE.0 - 2.0 * MARGIN).iter().enumerate() {
        let at = (MARGIN, top + SMALL + count(k) * (SMALL + 4.0));
        sheet.text(at, Align::Left, SMALL, GREY, line.clone());
    }
    drawing::draw(sheet, page, &frame);
    let top_of_drawing = frame.y(tallest);
    dimension::across(sheet, &drawing::across(page, units, &frame, top_of_drawing));
    left.draw(sheet, &frame, top + heading);
    right.draw(sheet, &frame, top + heading);
    below(sheet, page, units, &frame);
}

/// Dimensions left of the section, from the inside out.
fn upright_left(page: &SiphonPage, units: UnitSystem) -> Lanes {
    let bed = page.bed;
    let siphon = &bed.siphon;
    let (pipe, bell) = (&siphon.standpipe, &siphon.bell);
    let (lip, cap) = (pipe.lip_height, siphon.cap_height());
    let one = |name, from: f64, to: f64, half: f64| Upright {
        name,
        from,
        to,
        value: units.length(to - from),
        part: -half,
    };
    let bell_half = 0.5 * bell.outside;
    let mut lanes = vec![vec![
        one("slots", 0.0, bell.slots.height, bell_half),
        one(
            "clearance",
            lip,
            cap,
            0.5 * pipe.lip_diameter.max(pipe.outside),
        ),
    ]];
    if let Some(tube) = &bell.air_tube {
        lanes.push(vec![one(
            "mouth",
            0.0,
            tube.mouth_height,
            bell_half + tube.bore,
        )]);
    }
    lanes.push(vec![one(
        "standpipe",
        0.0,
        lip,
        0.5 * pipe.lip_diameter.max(pipe.outside),
    )]);
    lanes.push(vec![one("bell", 0.0, cap, bell_half)]);
    Lanes::new(dimension::Side::Left, lanes)
}

/// Dimensions right of the section, from the inside out.
fn upright_right(page: &SiphonPage, units: UnitSystem) -> Lanes {
    let bed = page.bed;
    let surface = bed.media.depth;
    let edge = f64::INFINITY;
    let one = |name, from: f64, to: f64, value: f64, part: f64| Upright {
        name,
        from,
        to,
        value: units.length(value),
        part,
    };
    let mut lanes = Vec::new();
    if let Some(peak) = page.peak {
        lanes.push(vec![
            one("peak water", 0.0, peak, peak, edge),
            // The figure that answers and checks give too.
            one("dry", peak, surface, surface - peak - page.allowance, edge),
        ]);
    }
    lanes.push(vec![one("gravel", 0.0, surface, surface, edge)]);
    if let (Some(guard), Some(top)) = (&bed.guard, page.guard) {
        lanes.push(vec![one("guard", 0.0, top, top, 0.5 * guard.diameter)]);
    }
    Lanes::new(dimension::Side::Right, lanes)
}

/// What stands under the bed's floor: the way to the outlet and the scale bar.
fn below(sheet: &mut Sheet, page: &SiphonPage, units: UnitSystem, frame: &Frame) {
    let drop = page.bed.floor - page.bed.siphon.drain.outlet;
    let texts = [
        format!(
            "middle of the outlet {} under the bed's floor",
            units.length(drop)
        ),
        format!(
            "dry is what {} for errors of level leave of it",
            units.length(page.allowance)
        ),
    ];
    let pipe = frame.centre() - 0.5 * frame.px(page.bed.siphon.standpipe.outside);
    let room = pipe - 24.0 - MARGIN;
    let mut y = frame.floor + 38.0;
    for line in texts.iter().flat_map(|text| wrap(text, SMALL, room)) {
        sheet.text(
            (MARGIN, y),
            Align::Left,
            SMALL,
            BLACK,
            shorten(&line, SMALL, room),
        );
        y += SMALL + 4.0;
    }
    let width = PIXELS * bar(units);
    let (left, y) = (MARGIN, frame.floor + BELOW - 28.0);
    let (right, quarter) = (left + width, 0.25 * width);
    for (n, color) in [(0.0, BLACK), (1.0, WHITE), (2.0, BLACK), (3.0, WHITE)] {
        let from = left + n * quarter;
        sheet.rect((from, y), (from + quarter, y + 6.0), color);
    }
    let corners = [(left, y), (right, y), (right, y + 6.0), (left, y + 6.0)];
    sheet.outline(&corners, Stroke::solid(BLACK, 1.0));
    let shown = units.length(bar(units) * PIXELS / frame.scale);
    let text = format!("{} on paper, {shown} of siphon", units.length(bar(units)));
    sheet.text((left, y + 20.0), Align::Left, SMALL, BLACK, text);
}

/// Length of the scale bar on paper `[m]`.
fn bar(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 0.050,
        UnitSystem::Us => 2.0 * 0.0254,
    }
}

#[cfg(feature = "plots")]
/// Every mark of a sheet larger by a factor.
fn enlarged(sheet: &Sheet, factor: f64) -> Sheet {
    let mut large = Sheet::new(sheet.width * factor, sheet.height * factor);
    let grow = |(x, y): Point| (factor * x, factor * y);
    large.marks = sheet
        .marks
        .iter()
        .map(|mark| match mark {
            Mark::Line {
                points,
                color,
                width,
            } => Mark::Line {
                points: points.iter().map(|&p| grow(p)).collect(),
                color: *color,
                width: factor * width,
            },
            Mark::Area { points, color } => Mark::Area {
                points: points.iter().map(|&p| grow(p)).collect(),
                color: *color,
            },
            Mark::Text {
                at,
                align,
                size,
                color,
                text,
            } => Mark::Text {
                at: grow(*at),
                align: *align,
                size: factor * size,
                color: *color,
                text: text.clone(),
            },
            key => key.clone(),
        })
        .collect();
    large
}

#[cfg(all(test, feature = "plots"))]
mod tests;
