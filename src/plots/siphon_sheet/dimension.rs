//! Dimension lines with arrows, extension lines and their texts.
//!
//! Upright dimensions stand in lanes beside the drawing, one text column wide,
//! so that no text can meet one of another lane; within a lane texts are moved
//! apart. Texts are drawn last, on white, and interrupt what passes under them.

use super::super::labels::spread;
use super::super::page::count;
use super::super::palette::{BLACK, MID_GREY, Stroke, WHITE};
use super::super::sheet::{Align, BODY, Point, SMALL, Sheet, text_width};
use super::frame::Frame;
use crate::numerics::maths::Maths;

/// Thin line between a part and its dimension line.
const EXTENSION: Stroke = Stroke::solid(MID_GREY, 0.8);
/// Dimension line.
const LINE: Stroke = Stroke::solid(BLACK, 0.9);
/// Length and half width of an arrow head `[px]`.
const ARROW: (f64, f64) = (8.0, 2.4);
/// Dimension line beyond arrows that point inward from outside `[px]`.
const TAIL: f64 = 14.0;
/// Extension line beyond the dimension line `[px]`.
const BEYOND: f64 = 4.0;
/// Height of a name with its value under it `[px]`.
pub(super) const BLOCK: f64 = SMALL + BODY + 5.0;
/// Room between the texts of neighbouring lanes `[px]`.
const BETWEEN: f64 = 10.0;

/// Which side of the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
}

/// A height to be dimensioned.
#[derive(Debug, Clone)]
pub(super) struct Upright {
    pub(super) name: &'static str,
    /// Its ends above the bed's floor `[m]`.
    pub(super) from: f64,
    pub(super) to: f64,
    /// What it says.
    pub(super) value: String,
    /// Where the part ends, right of the middle `[m]`; infinite: at the drawing's edge.
    pub(super) part: f64,
}

/// Dimensions of one side; the first lane is nearest to the drawing.
#[derive(Debug, Clone)]
pub(super) struct Lanes {
    side: Side,
    lanes: Vec<Vec<Upright>>,
    pitch: f64,
}

impl Lanes {
    pub(super) fn new(side: Side, lanes: Vec<Vec<Upright>>) -> Self {
        let widest = lanes
            .iter()
            .flatten()
            .map(|one| text_width(one.name, SMALL).max(text_width(&one.value, BODY)))
            .fold(0.0, f64::max);
        Self {
            side,
            lanes,
            pitch: widest + BETWEEN,
        }
    }

    /// Room that the lanes take `[px]`.
    pub(super) fn width(&self) -> f64 {
        count(self.lanes.len()) * self.pitch
    }

    fn x(&self, frame: &Frame, lane: usize) -> f64 {
        let out = (count(lane) + 0.5) * self.pitch;
        match self.side {
            Side::Left => frame.left - out,
            Side::Right => frame.right + out,
        }
    }

    /// Draws the lanes; no text goes above `top` `[px]`.
    pub(super) fn draw(&self, sheet: &mut Sheet, frame: &Frame, top: f64) {
        let out = match self.side {
            Side::Left => -1.0,
            Side::Right => 1.0,
        };
        // The floor carries all lanes.
        let (near, far) = match self.side {
            Side::Left => (
                frame.left,
                self.x(frame, self.lanes.len().saturating_sub(1)),
            ),
            Side::Right => (
                frame.right,
                self.x(frame, self.lanes.len().saturating_sub(1)),
            ),
        };
        sheet.line(
            &[(near, frame.floor), (far + out * BEYOND, frame.floor)],
            EXTENSION,
        );
        for (k, lane) in self.lanes.iter().enumerate() {
            let x = self.x(frame, k);
            for one in lane {
                for z in [one.from, one.to].into_iter().filter(|z| *z > 0.0) {
                    let from = frame.part_x(one.part, near);
                    sheet.line(
                        &[(from, frame.y(z)), (x + out * BEYOND, frame.y(z))],
                        EXTENSION,
                    );
                }
            }
        }
        for (k, lane) in self.lanes.iter().enumerate() {
            let x = self.x(frame, k);
            for one in lane {
                arrows(sheet, (x, frame.y(one.from)), (x, frame.y(one.to)));
            }
        }
        for (k, lane) in self.lanes.iter().enumerate() {
            texts(sheet, frame, lane, self.x(frame, k), top);
        }
    }
}

/// Texts of one lane, each in its span where it fits, else above it.
fn texts(sheet: &mut Sheet, frame: &Frame, lane: &[Upright], x: f64, top: f64) {
    let wanted: Vec<f64> = lane
        .iter()
        .map(|one| {
            let (low, high) = (frame.y(one.from), frame.y(one.to));
            let roomy = low - high >= BLOCK + 2.0 * (ARROW.0 + 2.0);
            if roomy {
                0.5 * (low + high)
            } else {
                let arrows = if low - high < 2.0 * ARROW.0 + 4.0 {
                    TAIL + ARROW.0
                } else {
                    0.0
                };
                high - arrows - 3.0 - 0.5 * BLOCK
            }
        })
        .collect();
    let range = (top + 0.5 * BLOCK, frame.floor - 0.5 * BLOCK);
    for (one, middle) in lane.iter().zip(spread(&wanted, BLOCK + 2.0, range)) {
        let half = 0.5 * text_width(one.name, SMALL).max(text_width(&one.value, BODY)) + 2.0;
        let upper = middle - 0.5 * BLOCK;
        sheet.rect((x - half, upper), (x + half, upper + BLOCK), WHITE);
        let at = (x, upper + SMALL);
        sheet.text(at, Align::Centre, SMALL, BLACK, one.name);
        let at = (x, upper + SMALL + 3.0 + BODY);
        sheet.text(at, Align::Centre, BODY, BLACK, one.value.clone());
    }
}

/// A width to be dimensioned, at a height of the page.
#[derive(Debug, Clone)]
pub(super) struct Across {
    /// Its ends and its height `[px]`.
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) y: f64,
    /// Where the part is at either end: extension lines run from there `[px]`.
    pub(super) part_y: f64,
    pub(super) text: String,
}

/// Widths, all lines before all texts.
pub(super) fn across(sheet: &mut Sheet, list: &[Across]) {
    for one in list {
        let beyond = if one.y < one.part_y { -BEYOND } else { BEYOND };
        for x in [one.from, one.to] {
            sheet.line(&[(x, one.part_y), (x, one.y + beyond)], EXTENSION);
        }
    }
    for one in list {
        arrows(sheet, (one.from, one.y), (one.to, one.y));
    }
    for one in list {
        let width = text_width(&one.text, BODY);
        let span = one.to - one.from;
        let inside = span >= width + 2.0 * (ARROW.0 + 4.0);
        let outside = if span < 2.0 * ARROW.0 + 4.0 {
            TAIL + ARROW.0
        } else {
            0.0
        };
        // Under the floor there is room beside the line; above the drawing the
        // lanes may reach as high, so the text goes over the line.
        let above = one.y < one.part_y && !inside;
        let left = if inside || above {
            0.5 * (one.from + one.to - width)
        } else {
            one.to + outside + 6.0
        };
        let half = 0.5 * BODY + 1.0;
        let y = if above { one.y - half - 2.0 } else { one.y };
        sheet.rect(
            (left - 3.0, y - half),
            (left + width + 3.0, y + half),
            WHITE,
        );
        sheet.text(
            (left, y + 0.36 * BODY),
            Align::Left,
            BODY,
            BLACK,
            one.text.clone(),
        );
    }
}

/// A dimension line, its arrows inside where they fit, else pointing inward.
fn arrows(sheet: &mut Sheet, a: Point, b: Point) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypotenuse(dy);
    if length <= 0.0 {
        return;
    }
    let (ux, uy) = (dx / length, dy / length);
    let along = |from: Point, by: f64| (from.0 + ux * by, from.1 + uy * by);
    if length >= 2.0 * ARROW.0 + 4.0 {
        sheet.line(&[along(a, 0.5 * ARROW.0), along(b, -0.5 * ARROW.0)], LINE);
        head(sheet, a, (ux, uy));
        head(sheet, b, (-ux, -uy));
    } else {
        sheet.line(&[a, along(a, -TAIL - ARROW.0)], LINE);
        sheet.line(&[b, along(b, TAIL + ARROW.0)], LINE);
        sheet.line(&[a, b], LINE);
        head(sheet, a, (-ux, -uy));
        head(sheet, b, (ux, uy));
    }
}

/// An arrow head with its point at `tip`, its body toward `body` (a unit vector).
fn head(sheet: &mut Sheet, tip: Point, body: Point) {
    let foot = (tip.0 + ARROW.0 * body.0, tip.1 + ARROW.0 * body.1);
    let (nx, ny) = (-body.1 * ARROW.1, body.0 * ARROW.1);
    sheet.area(
        vec![tip, (foot.0 + nx, foot.1 + ny), (foot.0 - nx, foot.1 - ny)],
        BLACK,
    );
}
