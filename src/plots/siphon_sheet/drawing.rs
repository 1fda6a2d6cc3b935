//! The section itself: gravel, water, guard, bell, standpipe, air tube.

use crate::numerics::maths::Maths;
use std::f64::consts::TAU;

use crate::model::{Bed, Bell, Standpipe};
use crate::units::UnitSystem;

use super::super::palette::{
    BLACK, BLUE, GREY, LONG, MID_GREY, Rgb, SHORT, Stroke, WATER_HIGH, WHITE,
};
use super::super::sheet::{Point, Sheet};
use super::dimension::Across;
use super::frame::Frame;
use super::{ROW, SiphonPage};

/// Width of gravel drawn on either side `[px]`.
pub(super) const GRAVEL: f64 = 24.0;
/// Pipe drawn below the bed's floor `[px]`.
const STUB: f64 = 36.0;
/// Thickness of the bed's floor `[px]`.
const FLOOR: f64 = 5.0;
/// A cap is drawn at least this thick `[m]`.
const LEAST_CAP: f64 = 0.003;

const WALL: Stroke = Stroke::solid(BLACK, 1.0);

fn cap_top(bed: &Bed) -> f64 {
    bed.siphon.cap_height() + cap_thickness(&bed.siphon.bell)
}

fn cap_thickness(bell: &Bell) -> f64 {
    (0.5 * (bell.outside - bell.bore)).max(LEAST_CAP)
}

/// Height of everything above the bed's floor `[m]`.
pub(super) fn height(page: &SiphonPage) -> f64 {
    let bed = page.bed;
    bed.media
        .depth
        .max(cap_top(bed))
        .max(page.guard.unwrap_or(0.0))
        .max(page.peak.unwrap_or(0.0))
}

/// Half the width of guard, bell and air tube `[m]`.
pub(super) fn half_width(bed: &Bed) -> f64 {
    let bell = &bed.siphon.bell;
    let tube = bell.air_tube.as_ref().map_or(0.0, |tube| 2.0 * tube.bore);
    let guard = bed.guard.as_ref().map_or(0.0, |guard| 0.5 * guard.diameter);
    (0.5 * bell.outside + tube).max(guard)
}

/// Rows of dimensions above the drawing.
pub(super) fn rows_above(page: &SiphonPage) -> f64 {
    if page.guard.is_some() { 2.0 } else { 1.0 }
}

/// Widths to dimension; `top` is the top of the drawing `[px]`.
pub(super) fn across(page: &SiphonPage, units: UnitSystem, frame: &Frame, top: f64) -> Vec<Across> {
    let bed = page.bed;
    let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
    let one = |width: f64, y: f64, part_y: f64, text: String| Across {
        from: frame.centre() - 0.5 * frame.px(width),
        to: frame.centre() + 0.5 * frame.px(width),
        y,
        part_y,
        text,
    };
    let mut list = vec![one(
        bell.bore,
        top - 14.0,
        frame.y(cap_top(bed)),
        format!("bell bore {}", units.bore(bell.bore)),
    )];
    if let (Some(guard), Some(guard_top)) = (&bed.guard, page.guard) {
        list.push(one(
            guard.diameter,
            top - 14.0 - ROW,
            frame.y(guard_top),
            format!("guard inside {}", units.bore(guard.diameter)),
        ));
    }
    let stub = frame.floor + STUB;
    list.push(one(
        pipe.bore,
        stub + 18.0,
        stub,
        format!("standpipe bore {}", units.bore(pipe.bore)),
    ));
    list.push(one(
        pipe.outside,
        stub + 18.0 + ROW,
        stub,
        format!("outside {}", units.bore(pipe.outside)),
    ));
    list
}

/// Draws the section.
pub(super) fn draw(sheet: &mut Sheet, page: &SiphonPage, frame: &Frame) {
    let bed = page.bed;
    let (left, right) = (frame.left + 4.0, frame.right - 4.0);
    if let Some(peak) = page.peak {
        sheet.rect((left, frame.y(peak)), (right, frame.floor), WATER_HIGH);
    }
    gravel(sheet, bed, frame, (left, right));
    floor(sheet, bed, frame, (left, right));
    if let Some(peak) = page.peak {
        let y = frame.y(peak);
        sheet.line(&[(left, y), (right, y)], Stroke::solid(BLUE, 1.4));
        let x = right - 12.0;
        sheet.area(vec![(x - 5.0, y - 9.0), (x + 5.0, y - 9.0), (x, y)], BLUE);
    }
    if let (Some(column), Some(top)) = (&bed.guard, page.guard) {
        for sign in [-0.5, 0.5] {
            let x = frame.centre() + sign * frame.px(column.diameter);
            sheet.line(
                &[(x, frame.floor), (x, frame.y(top))],
                Stroke::new(BLACK, 2.0, SHORT),
            );
        }
    }
    bell(sheet, bed, frame, page.peak);
    standpipe(sheet, bed, frame);
}

/// Grains outside the guard, or outside the bell where there is none.
fn gravel(sheet: &mut Sheet, bed: &Bed, frame: &Frame, (left, right): (f64, f64)) {
    const PITCH: f64 = 9.0;
    const GRAIN: f64 = 2.0;
    let column = bed
        .guard
        .as_ref()
        .map_or(bed.siphon.bell.outside, |guard| guard.diameter);
    let clear = 0.5 * frame.px(column) + GRAIN + 1.0;
    let surface = frame.y(bed.media.depth);
    let mut row = 0.0;
    loop {
        let y = frame.floor - 0.6 * PITCH - row * 0.8 * PITCH;
        if y < surface + GRAIN {
            break;
        }
        let mut x = if row % 2.0 == 0.0 { 0.0 } else { 0.5 * PITCH };
        while frame.centre() + x <= right - GRAIN {
            if x >= clear {
                for at in [frame.centre() + x, frame.centre() - x] {
                    let grain = [
                        (at - GRAIN, y),
                        (at, y - GRAIN),
                        (at + GRAIN, y),
                        (at, y + GRAIN),
                    ];
                    sheet.area(grain.to_vec(), MID_GREY);
                }
            }
            x += PITCH;
        }
        row += 1.0;
    }
    let half = 0.5 * frame.px(column);
    for (from, to) in [
        (left, frame.centre() - half),
        (frame.centre() + half, right),
    ] {
        sheet.line(&[(from, surface), (to, surface)], Stroke::solid(BLACK, 1.2));
    }
    for x in [left, right] {
        sheet.line(
            &[(x, surface), (x, frame.floor)],
            Stroke::new(MID_GREY, 1.0, LONG),
        );
    }
}

/// The bed's floor with the pipe going through.
fn floor(sheet: &mut Sheet, bed: &Bed, frame: &Frame, (left, right): (f64, f64)) {
    let half = 0.5 * frame.px(bed.siphon.standpipe.outside);
    for (from, to) in [
        (left, frame.centre() - half),
        (frame.centre() + half, right),
    ] {
        sheet.rect((from, frame.floor), (to, frame.floor + FLOOR), GREY);
    }
}

/// Bell in section, the slots of its far half, air tube.
fn bell(sheet: &mut Sheet, bed: &Bed, frame: &Frame, peak: Option<f64>) {
    let bell = &bed.siphon.bell;
    let centre = frame.centre();
    let (inner, outer) = (0.5 * frame.px(bell.bore), 0.5 * frame.px(bell.outside));
    let under_cap = frame.y(bed.siphon.cap_height());
    let (crown, floor) = (frame.y(bell.slots.height), frame.floor);
    let top = frame.y(cap_top(bed));
    // Inside: air above the water.
    let water = frame.y(peak.unwrap_or(0.0)).max(under_cap);
    sheet.rect((centre - inner, under_cap), (centre + inner, water), WHITE);
    let mut k = 0;
    while k < bell.slots.count.min(400) {
        let angle = TAU * (f64::from(k) + 0.5) / f64::from(bell.slots.count.max(1));
        k += 1;
        // Those of the near half are cut away, those on edge do not show.
        if angle.cosine() < 0.2 {
            continue;
        }
        let middle = centre + inner * angle.sine();
        let half = 0.5 * frame.px(bell.slots.width) * angle.cosine();
        let (from, to) = (
            (middle - half).max(centre - inner),
            (middle + half).min(centre + inner),
        );
        sheet.rect((from, crown), (to, floor), WHITE);
        let corners = [(from, floor), (from, crown), (to, crown), (to, floor)];
        sheet.line(&corners, Stroke::solid(GREY, 0.8));
    }
    for sign in [-1.0, 1.0] {
        let (a, b) = (centre + sign * inner, centre + sign * outer);
        block(sheet, (a, crown), (b, floor), WHITE);
        block(sheet, (a, top), (b, crown), GREY);
    }
    block(
        sheet,
        (centre - outer, top),
        (centre + outer, under_cap),
        GREY,
    );
    if let Some(tube) = &bell.air_tube {
        let bore = frame.px(tube.bore).max(2.0);
        let x = centre - outer - 0.5 * bore - 3.0;
        let y = under_cap + 0.5 * bore + 2.0;
        let path: [Point; 3] = [(centre - inner, y), (x, y), (x, frame.y(tube.mouth_height))];
        sheet.line(&path, Stroke::solid(BLACK, bore + 2.0));
        sheet.line(&path, Stroke::solid(WHITE, bore));
    }
}

/// A piece of wall in section.
fn block(sheet: &mut Sheet, a: Point, b: Point, color: Rgb) {
    sheet.rect(a, b, color);
    sheet.outline(&[a, (b.0, a.1), b, (a.0, b.1)], Stroke::solid(BLACK, 0.8));
}

/// Standpipe in section down to a break below the floor.
fn standpipe(sheet: &mut Sheet, bed: &Bed, frame: &Frame) {
    let Standpipe {
        bore,
        outside,
        lip_height,
        lip_diameter,
    } = &bed.siphon.standpipe;
    let centre = frame.centre();
    let (inner, outer) = (0.5 * frame.px(*bore), 0.5 * frame.px(*outside));
    let mouth = 0.5 * frame.px(*lip_diameter);
    let (lip, end) = (frame.y(*lip_height), frame.floor + STUB);
    let shoulder = lip + (mouth - inner);
    let rim = mouth + (outer - inner);
    sheet.area(
        vec![
            (centre - mouth, lip),
            (centre + mouth, lip),
            (centre + inner, shoulder),
            (centre + inner, end),
            (centre - inner, end),
            (centre - inner, shoulder),
        ],
        WHITE,
    );
    for sign in [-1.0, 1.0] {
        let at = |x: f64, y: f64| (centre + sign * x, y);
        let wall = [
            at(mouth, lip),
            at(rim, lip),
            at(outer, shoulder),
            at(outer, end),
            at(inner, end),
            at(inner, shoulder),
        ];
        sheet.area(wall.to_vec(), GREY);
        sheet.outline(&wall, Stroke::solid(BLACK, 0.8));
    }
    // The pipe goes on: a break.
    let zigzag = [
        (centre - outer - 6.0, end),
        (centre - 4.0, end),
        (centre - 2.0, end - 5.0),
        (centre + 2.0, end + 5.0),
        (centre + 4.0, end),
        (centre + outer + 6.0, end),
    ];
    sheet.line(&zigzag, WALL);
}
