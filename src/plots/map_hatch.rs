//! Hatches over parts of a map.

use plotters::style::RGBColor;

use crate::study::map::RegimeMap;

use super::axis::Panel;
use super::map_kinds::{CLASSES, UNBUILDABLE, class, has_doubt};
use super::map_zones::Zones;
use super::page::count;
use super::palette::{BLACK, GREY, SHORT, Stroke, WHITE};
use super::sheet::{Point, Sheet};

/// Distance between the lines of a hatch `[px]`.
pub(super) const PITCH: f64 = 9.0;
/// Steps in which a hatch looks where it is `[px]`.
const LOOK: f64 = 1.0;

/// Direction of a hatch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hatch {
    Rising,
    Falling,
    Upright,
}

/// Runs of a straight line, given point by point, over which `holds`.
fn runs(points: impl Iterator<Item = Point>, holds: impl Fn(Point) -> bool) -> Vec<[Point; 2]> {
    let mut found: Vec<[Point; 2]> = Vec::new();
    let mut open = false;
    for point in points {
        if !holds(point) {
            open = false;
        } else if open && let Some(last) = found.last_mut() {
            last[1] = point;
        } else {
            found.push([point, point]);
            open = true;
        }
    }
    found
}

/// The lines of a hatch over a rectangle, `pitch` px apart, each as its points.
pub(super) fn hatch_lines(
    (left, top): Point,
    (right, bottom): Point,
    hatch: Hatch,
    pitch: f64,
) -> Vec<Vec<Point>> {
    let (width, height) = (right - left, bottom - top);
    let (lines, lean) = match hatch {
        Hatch::Upright => (width, 0.0),
        Hatch::Rising => (width + height, -1.0),
        Hatch::Falling => (width + height, 1.0),
    };
    let mut all = Vec::new();
    let mut k = 0.5 * pitch;
    while k < lines {
        // Where the line meets the top edge, or the top edge carried on.
        let start = match hatch {
            Hatch::Falling => k - height,
            _ => k,
        };
        let mut line = Vec::new();
        let mut down = 0.0;
        while down <= height {
            let x = start + lean * down;
            if (0.0..=width).contains(&x) {
                line.push((left + x, top + down));
            }
            down += LOOK;
        }
        all.push(line);
        k += pitch;
    }
    all
}

/// Column and row of the map's point nearest to a place of the panel.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn cell_at(panel: &Panel, n: usize, (x, y): Point) -> (usize, usize) {
    let place = |share: f64| ((share * count(n - 1)).round().max(0.0) as usize).min(n - 1);
    (
        place((x - panel.left) / (panel.right - panel.left)),
        place((panel.bottom - y) / (panel.bottom - panel.top)),
    )
}

pub(super) fn hatch_doubt(
    sheet: &mut Sheet,
    panel: &Panel,
    map: &RegimeMap,
    which: usize,
    hatch: Hatch,
) {
    let n = map.plan.points;
    let dark = |p: Point| {
        let (column, row) = cell_at(panel, n, p);
        is_dark(CLASSES[class(map.cell(column, row))].fill)
    };
    let doubtful = |p: Point| {
        let (column, row) = cell_at(panel, n, p);
        has_doubt(map.cell(column, row), which)
    };
    let corners = ((panel.left, panel.top), (panel.right, panel.bottom));
    for line in hatch_lines(corners.0, corners.1, hatch, PITCH) {
        for (on_dark, color) in [(false, BLACK), (true, WHITE)] {
            let found = runs(line.iter().copied(), |p| doubtful(p) && dark(p) == on_dark);
            for run in found {
                sheet.line(&run, Stroke::solid(color, 0.8));
            }
        }
    }
}

pub(super) fn hatch_unbuildable(sheet: &mut Sheet, panel: &Panel, zones: &Zones) {
    let corners = ((panel.left, panel.top), (panel.right, panel.bottom));
    for line in hatch_lines(corners.0, corners.1, Hatch::Rising, 18.0) {
        let none = |p: Point| {
            let (column, row) = cell_at(panel, zones.points(), p);
            zones.at(column, row) == UNBUILDABLE
        };
        for run in runs(line.into_iter(), none) {
            sheet.line(&run, Stroke::new(GREY, 0.8, SHORT));
        }
    }
}

fn is_dark(color: RGBColor) -> bool {
    // Luma of ITU-R BT.601.
    0.299 * f64::from(color.0) + 0.587 * f64::from(color.1) + 0.114 * f64::from(color.2) < 125.0
}
