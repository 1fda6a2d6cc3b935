//! The legend beside a map.

use crate::study::map::RegimeMap;
use crate::study::map::quantity::MapQuantity;
use crate::units::UnitSystem;

use super::map_hatch::{PITCH, hatch_lines};
use super::map_kinds::{
    CLASSES, DOUBTS, ENDS, Hatch, NOMINAL, UNBUILDABLE, certain, class, has_doubt,
};
use super::map_scale::figure;
use super::page::{FIGURES, MARGIN, WIDTH, count};
use super::palette::{BLACK, GREY, SHORT, Stroke, WHITE};
use super::sheet::{Align, BODY, Point, Sheet, circle, wrap};

/// Width and height of a swatch in the legend `[px]`.
const SWATCH: (f64, f64) = (34.0, 18.0);

/// What stands beside the map.
pub(super) struct Legend {
    entries: Vec<(Sign, Vec<String>)>,
}

#[derive(Clone, Copy)]
enum Sign {
    Class(usize),
    Doubt(Hatch),
    Line(Stroke),
    Today,
    None,
}

impl Legend {
    /// Room for its text `[px]`.
    const ROOM: f64 = WIDTH - MARGIN - (MARGIN + FIGURES + 8.0 + SIDE + 34.0) - SWATCH.0 - 12.0;

    pub(super) fn new(map: &RegimeMap, units: UnitSystem) -> Self {
        let mut entries = Vec::new();
        let mut add =
            |sign: Sign, text: String| entries.push((sign, wrap(&text, BODY, Self::ROOM)));
        let present = |wanted: usize| map.cells.iter().any(|point| class(point) == wanted);
        for (k, kind) in CLASSES.iter().enumerate().filter(|(k, _)| present(*k)) {
            add(Sign::Class(k), format!("{}: {}", kind.name, kind.means));
        }
        if (0..CLASSES.len()).filter(|&k| present(k)).count() > 1 {
            add(
                Sign::Line(NOMINAL),
                "where it changes with the nominal coefficients".to_owned(),
            );
        }
        for (question, stroke, text) in &ENDS {
            let answers = |wanted| {
                map.cells
                    .iter()
                    .any(|point| question.answer(point) == Some(wanted))
            };
            if answers(true) && answers(false) {
                add(Sign::Line(*stroke), (*text).to_owned());
            }
        }
        if !map.cells.iter().any(certain) {
            let text =
                "Nowhere here does it cycle whatever the coefficients are within their bands.";
            add(Sign::None, text.to_owned());
        }
        for (k, (hatch, text)) in DOUBTS.iter().enumerate() {
            if map.cells.iter().any(|point| has_doubt(point, k)) {
                add(Sign::Doubt(*hatch), (*text).to_owned());
            }
        }
        let plan = &map.plan;
        let (x, y) = (plan.x.quantity, plan.y.quantity);
        let today = format!(
            "today: {} {}, {} {}",
            x.words(),
            figure(x, plan.here.0, units),
            y.words(),
            figure(y, plan.here.1, units)
        );
        let swing = if x == MapQuantity::Inflow && plan.inflow.1 > plan.inflow.0 {
            format!(
                "; the bar is how far the inflow swings, {} to {}",
                units.flow(plan.inflow.0),
                units.flow(plan.inflow.1)
            )
        } else {
            String::new()
        };
        let inside = plan.x.from <= plan.here.0
            && plan.here.0 <= plan.x.to
            && plan.y.from <= plan.here.1
            && plan.here.1 <= plan.y.to;
        if inside {
            add(Sign::Today, format!("{today}{swing}"));
        } else {
            add(Sign::None, format!("{today}: outside this map."));
        }
        Self { entries }
    }

    fn entry_height(lines: &[String]) -> f64 {
        (16.0 * count(lines.len())).max(SWATCH.1) + 12.0
    }

    pub(super) fn height(&self) -> f64 {
        self.entries
            .iter()
            .map(|(_, lines)| Self::entry_height(lines))
            .sum()
    }

    pub(super) fn draw(&self, sheet: &mut Sheet, (left, top): Point) {
        let mut y = top;
        for (sign, lines) in &self.entries {
            let middle = y + 0.5 * SWATCH.1;
            sign.draw(sheet, (left, y));
            let mut base = middle + 0.36 * BODY;
            let text_left = match sign {
                Sign::None => left,
                _ => left + SWATCH.0 + 12.0,
            };
            for line in lines {
                sheet.text((text_left, base), Align::Left, BODY, BLACK, line.clone());
                base += 16.0;
            }
            y += Self::entry_height(lines);
        }
    }
}

impl Sign {
    fn draw(self, sheet: &mut Sheet, (left, top): Point) {
        let (right, bottom) = (left + SWATCH.0, top + SWATCH.1);
        let middle = (0.5 * (left + right), 0.5 * (top + bottom));
        let frame = Stroke::solid(BLACK, 1.0);
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        let hatch = |sheet: &mut Sheet, hatch: Hatch, pitch: f64, stroke: Stroke| {
            for line in hatch_lines((left, top), (right, bottom), hatch, pitch) {
                if let [first, .., last] = line.as_slice() {
                    sheet.line(&[*first, *last], stroke);
                }
            }
        };
        match self {
            Self::Class(k) => {
                sheet.rect((left, top), (right, bottom), CLASSES[k].fill);
                if k == UNBUILDABLE {
                    hatch(sheet, Hatch::Rising, 12.0, Stroke::new(GREY, 0.8, SHORT));
                }
                sheet.outline(&corners, frame);
            }
            Self::Doubt(kind) => {
                hatch(sheet, kind, PITCH, Stroke::solid(BLACK, 0.8));
                sheet.outline(&corners, frame);
            }
            Self::Line(stroke) => sheet.line(&[(left, middle.1), (right, middle.1)], stroke),
            Self::Today => {
                sheet.area(circle(middle, 6.5), BLACK);
                sheet.area(circle(middle, 2.5), WHITE);
            }
            Self::None => {}
        }
    }
}

/// Side that the map aims at `[px]`.
pub(super) const SIDE: f64 = 600.0;
