//! The regimes of a bed over two quantities.

use plotters::style::RGBColor;

use crate::simulation::Regime;
use crate::study::map::{Doubt, MapPoint, RegimeMap};
use crate::study::map_edges::Question;
use crate::study::map_quantity::{MapQuantity, MapUnit};
use crate::units::UnitSystem;

use super::axis::{Panel, axis_name, round_ticks};
use super::map_zones::{Zones, contour, fill, label_places};
use super::page::{FIGURES, MARGIN, WIDTH, count, title, title_height};
use super::palette::{
    BLACK, DASH_DOT, DOTS, GREY, LONG, SHORT, Stroke, VERMILLION, WATER_HIGH, WHITE,
};
use super::sheet::{Align, BODY, Point, Sheet, circle, text_width, wrap};
use super::{Plot, PlotError, font, paint};

/// Side that the map aims at [px].
const SIDE: f64 = 600.0;
/// Room under the panel for figures and the axis name [px].
const UNDER: f64 = 44.0;
/// Distance between the lines of a hatch [px].
const PITCH: f64 = 9.0;
/// Steps in which a hatch looks where it is [px].
const LOOK: f64 = 1.0;
/// Width and height of a swatch in the legend [px].
const SWATCH: (f64, f64) = (34.0, 18.0);

/// Lines between nominal regimes.
const NOMINAL: Stroke = Stroke::solid(BLACK, 1.2);
/// Lines at the ends of the bands, in the order of [`Question::ALL`], with their meaning.
const ENDS: [(Question, Stroke, &str); 4] = [
    (
        Question::StartsForCertain,
        Stroke::solid(BLACK, 3.0),
        "end of the start band: on the side away from \"dribbles\" it starts for certain",
    ),
    (
        Question::MayNotBreak,
        Stroke::new(BLACK, 3.0, LONG),
        "end of the break band: on the side away from \"runs on\" and \"stalls\" it breaks for \
         certain",
    ),
    (
        Question::MayStart,
        Stroke::new(BLACK, 1.6, DOTS),
        "other end of the start band: beyond it it certainly does not start",
    ),
    (
        Question::NeverBreaks,
        Stroke::new(BLACK, 1.6, DASH_DOT),
        "other end of the break band: beyond it it certainly does not break",
    ),
];

/// Classes of a cell: the nominal regime, or none.
const CLASSES: [Class; 8] = [
    Class {
        key: Some(Regime::Cycles),
        fill: WATER_HIGH,
        name: "cycles",
        means: "floods, starts, empties, breaks and fills again",
    },
    Class {
        key: Some(Regime::Dribbles),
        fill: RGBColor(244, 211, 133),
        name: "dribbles",
        means: "trickles over the lip; the siphon never starts",
    },
    Class {
        key: Some(Regime::NeverFills),
        fill: RGBColor(178, 178, 178),
        name: "never fills",
        means: "the water never reaches the lip",
    },
    Class {
        key: Some(Regime::RunsOn),
        fill: RGBColor(206, 130, 172),
        name: "runs on",
        means: "empties, then draws air and water and never refills",
    },
    Class {
        key: Some(Regime::Overflows),
        fill: VERMILLION,
        name: "overflows",
        means: "water goes over the wall",
    },
    Class {
        key: Some(Regime::Stalls),
        fill: RGBColor(0, 84, 136),
        name: "stalls",
        means: "runs full and never gets down to its break level",
    },
    Class {
        key: None,
        fill: WHITE,
        name: "cannot be built",
        means: "the parts do not fit each other",
    },
    Class {
        key: None,
        fill: RGBColor(120, 120, 120),
        name: "no answer",
        means: "the simulation gave up",
    },
];
const UNBUILDABLE: usize = 6;
const FAILED: usize = 7;

struct Class {
    key: Option<Regime>,
    fill: RGBColor,
    name: &'static str,
    means: &'static str,
}

/// Kinds of doubt, each with the direction of its hatch.
const DOUBTS: [(Hatch, &str); 3] = [
    (Hatch::Rising, "the bands leave open whether it starts"),
    (Hatch::Falling, "the bands leave open whether it breaks"),
    (Hatch::Upright, "the bands leave open whether it spills"),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hatch {
    Rising,
    Falling,
    Upright,
}

/// Draws `map` as the picture `map`; `title_text` is the system's title.
///
/// The same input gives the same bytes.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_map(map: &RegimeMap, title_text: &str, units: UnitSystem) -> Result<Plot, PlotError> {
    font::register()?;
    let sheet = draw(map, title_text, units);
    Ok(Plot {
        name: "map",
        svg: paint::svg(&sheet)?,
        png: paint::png(&sheet)?,
    })
}

/// The page, not yet painted.
pub(super) fn draw(map: &RegimeMap, title_text: &str, units: UnitSystem) -> Sheet {
    let plan = &map.plan;
    let (x, y) = (
        Scale::new(plan.x.quantity, units),
        Scale::new(plan.y.quantity, units),
    );
    let n = plan.points;
    let remarks = [format!(
        "{title_text}. Bed \"{}\" alone over the sump as it is at the start. Each of {n} x {n} points \
         was simulated three times: with the nominal coefficients, and with those ends of their \
         bands that start the siphon latest and that break it hardest.",
        plan.bed
    )];
    let top = title_height(&remarks) + 20.0;
    // Whole pixels from point to point: seams between areas stay invisible.
    let pitch = (SIDE / count(n - 1)).floor();
    let side = if pitch >= 1.0 {
        pitch * count(n - 1)
    } else {
        SIDE
    };
    let left = (MARGIN + FIGURES + 8.0).ceil();
    let panel = Panel {
        left,
        right: left + side,
        top: top.ceil(),
        bottom: top.ceil() + side,
        across: (x.shown(plan.x.from), x.shown(plan.x.to)),
        up: (y.shown(plan.y.from), y.shown(plan.y.to)),
    };
    let legend = Legend::new(map, units);
    let height = (panel.bottom + UNDER).max(top + legend.height()) + MARGIN;
    let mut sheet = Sheet::new(WIDTH, height);
    let heading = format!(
        "What the bed does over {} and {}",
        plan.x.quantity.words(),
        plan.y.quantity.words()
    );
    let _ = title(&mut sheet, &heading, &remarks);

    let zones = Zones::new(n, Some(&map.edges.nominal), |column, row| {
        class(map.cell(column, row))
    });
    fill(&mut sheet, &panel, &zones, |class| CLASSES[class].fill);
    hatch_unbuildable(&mut sheet, &panel, &zones);
    for (which, (hatch, _)) in DOUBTS.iter().enumerate() {
        hatch_doubt(&mut sheet, &panel, map, which, *hatch);
    }
    contour(&mut sheet, &panel, &zones, NOMINAL, |_, _| true);
    for ((question, stroke, _), edges) in ENDS.iter().zip(&map.edges.ends) {
        // Where there is no answer there is no edge to it either.
        const NONE: usize = 2;
        let answers = Zones::new(n, Some(edges), |column, row| {
            question
                .answer(map.cell(column, row))
                .map_or(NONE, usize::from)
        });
        contour(&mut sheet, &panel, &answers, *stroke, |a, b| {
            a != NONE && b != NONE
        });
    }
    panel.frame(&mut sheet);

    let across = round_ticks(panel.across, side / 80.0);
    panel.figures_across(&mut sheet, &across);
    panel.figures_up(&mut sheet, &round_ticks(panel.up, side / 44.0));
    let middle = 0.5 * (panel.left + panel.right);
    axis_name(
        &mut sheet,
        (middle, panel.bottom + 34.0),
        Align::Centre,
        x.name(),
    );
    axis_name(&mut sheet, (MARGIN, panel.top - 8.0), Align::Left, y.name());

    let mut taken = Vec::new();
    if let Some(here) = here(&panel, map, &x, &y) {
        taken.extend(mark_today(&mut sheet, &panel, map, &x, here));
    }
    label_zones(&mut sheet, &panel, &zones, &taken);
    legend.draw(&mut sheet, (panel.right + 34.0, top));
    sheet
}

fn class(point: &MapPoint) -> usize {
    match point {
        MapPoint::Simulated(found) => CLASSES
            .iter()
            .position(|class| class.key == Some(found.nominal()))
            .unwrap_or(FAILED),
        MapPoint::Unbuildable(_) => UNBUILDABLE,
        MapPoint::Failed(_) => FAILED,
    }
}

fn doubt(point: &MapPoint) -> Doubt {
    match point {
        MapPoint::Simulated(found) => found.doubt(),
        _ => Doubt::default(),
    }
}

fn certain(point: &MapPoint) -> bool {
    matches!(point, MapPoint::Simulated(found) if found.certainly_cycles())
}

fn has_doubt(point: &MapPoint, which: usize) -> bool {
    let doubt = doubt(point);
    [doubt.start, doubt.stop, doubt.spill][which]
}

/// From SI to what an axis shows.
struct Scale {
    quantity: MapQuantity,
    factor: f64,
    offset: f64,
    unit: &'static str,
}

impl Scale {
    fn new(quantity: MapQuantity, units: UnitSystem) -> Self {
        let us = units == UnitSystem::Us;
        let (factor, offset, unit) = match quantity.unit() {
            MapUnit::Flow => {
                let (factor, unit) = units.flow_axis();
                (factor, 0.0, unit)
            }
            MapUnit::Length => {
                let (factor, unit) = units.length_axis();
                (factor, 0.0, unit)
            }
            MapUnit::Area if quantity == MapQuantity::SlotArea => {
                if us {
                    (1.0 / (0.0254 * 0.0254), 0.0, "in2")
                } else {
                    (1e4, 0.0, "cm2")
                }
            }
            MapUnit::Area => {
                if us {
                    (1.0 / (0.3048 * 0.3048), 0.0, "ft2")
                } else {
                    (1.0, 0.0, "m2")
                }
            }
            MapUnit::Temperature if us => (1.8, 32.0, "degF"),
            MapUnit::Temperature => (1.0, 0.0, "degC"),
            MapUnit::Number => (1.0, 0.0, "no unit"),
        };
        Self {
            quantity,
            factor,
            offset,
            unit,
        }
    }

    fn shown(&self, value: f64) -> f64 {
        self.factor * value + self.offset
    }

    fn name(&self) -> String {
        format!("{}, {}", self.quantity.words(), self.unit)
    }
}

/// A value of a quantity with its unit.
fn figure(quantity: MapQuantity, value: f64, units: UnitSystem) -> String {
    match quantity.unit() {
        MapUnit::Flow => units.flow(value),
        MapUnit::Length if quantity == MapQuantity::SumpLevel => units.elevation(value),
        MapUnit::Length
            if matches!(
                quantity,
                MapQuantity::Bore | MapQuantity::BellBore | MapQuantity::Flare
            ) =>
        {
            units.bore(value)
        }
        MapUnit::Length => units.length(value),
        MapUnit::Area => units.area(value),
        MapUnit::Temperature => {
            let scale = Scale::new(quantity, units);
            format!("{:.1} {}", scale.shown(value), scale.unit)
        }
        MapUnit::Number => format!("{value:.2}"),
    }
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
fn hatch_lines(
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

fn hatch_doubt(sheet: &mut Sheet, panel: &Panel, map: &RegimeMap, which: usize, hatch: Hatch) {
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

fn hatch_unbuildable(sheet: &mut Sheet, panel: &Panel, zones: &Zones) {
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

/// Where today's point is, if the map shows it [px].
fn here(panel: &Panel, map: &RegimeMap, x: &Scale, y: &Scale) -> Option<Point> {
    let plan = &map.plan;
    let inside = |value: f64, from: f64, to: f64| from <= value && value <= to;
    (inside(plan.here.0, plan.x.from, plan.x.to) && inside(plan.here.1, plan.y.from, plan.y.to))
        .then(|| panel.point((x.shown(plan.here.0), y.shown(plan.here.1))))
}

/// A box on the page: left, top, right, bottom [px].
type Frame = (f64, f64, f64, f64);

/// Marks today's point and the swing of its inflow; returns what that covers.
fn mark_today(
    sheet: &mut Sheet,
    panel: &Panel,
    map: &RegimeMap,
    x: &Scale,
    at: Point,
) -> Vec<Frame> {
    let plan = &map.plan;
    let mut left = at.0 - 7.0;
    let mut right = at.0 + 7.0;
    if plan.x.quantity == MapQuantity::Inflow && plan.inflow.1 > plan.inflow.0 {
        let end = |flow: f64| panel.x(x.shown(flow)).clamp(panel.left, panel.right);
        let (low, high) = (end(plan.inflow.0), end(plan.inflow.1));
        for (width, color) in [(5.0, WHITE), (2.0, BLACK)] {
            sheet.line(&[(low, at.1), (high, at.1)], Stroke::solid(color, width));
            for end in [low, high] {
                sheet.line(
                    &[(end, at.1 - 5.0), (end, at.1 + 5.0)],
                    Stroke::solid(color, width),
                );
            }
        }
        left = left.min(low);
        right = right.max(high);
    }
    sheet.disc(at, 8.5, WHITE);
    sheet.disc(at, 6.5, BLACK);
    sheet.disc(at, 2.5, WHITE);
    let text = "today";
    let width = text_width(text, BODY);
    let (start, end) = if right + 10.0 + width < panel.right {
        (right + 8.0, right + 8.0 + width)
    } else {
        (left - 8.0 - width, left - 8.0)
    };
    sheet.rect((start - 3.0, at.1 - 9.0), (end + 3.0, at.1 + 8.0), WHITE);
    sheet.text((start, at.1 + 0.36 * BODY), Align::Left, BODY, BLACK, text);
    vec![(
        left.min(start) - 4.0,
        at.1 - 12.0,
        right.max(end) + 4.0,
        at.1 + 12.0,
    )]
}

/// Names each zone where it has most room, clear of `taken`.
fn label_zones(sheet: &mut Sheet, panel: &Panel, zones: &Zones, taken: &[Frame]) {
    let mut taken = taken.to_vec();
    for (class, kind) in CLASSES.iter().enumerate() {
        let (w, h) = (text_width(kind.name, BODY) + 10.0, BODY + 7.0);
        let Some((x, y)) = label_places(panel, zones, class, (w, h), &taken) else {
            continue;
        };
        let frame = (x - 0.5 * w, y - 0.5 * h, x + 0.5 * w, y + 0.5 * h);
        sheet.rect((frame.0, frame.1), (frame.2, frame.3), WHITE);
        sheet.text((x, y + 0.36 * BODY), Align::Centre, BODY, BLACK, kind.name);
        taken.push(frame);
    }
}

/// What stands beside the map.
struct Legend {
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
    /// Room for its text [px].
    const ROOM: f64 = WIDTH - MARGIN - (MARGIN + FIGURES + 8.0 + SIDE + 34.0) - SWATCH.0 - 12.0;

    fn new(map: &RegimeMap, units: UnitSystem) -> Self {
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

    fn height(&self) -> f64 {
        self.entries
            .iter()
            .map(|(_, lines)| Self::entry_height(lines))
            .sum()
    }

    fn draw(&self, sheet: &mut Sheet, (left, top): Point) {
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
