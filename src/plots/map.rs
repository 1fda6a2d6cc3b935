//! The regimes of a bed over two quantities.

use crate::study::map::RegimeMap;
use crate::study::map::quantity::MapQuantity;
use crate::units::UnitSystem;

use super::axis::{Panel, axis_name, round_ticks};
use super::map_hatch::{Places, answers, both_answer, hatch_doubt, hatch_unbuildable};
use super::map_kinds::{CLASSES, DOUBTS, ENDS, NOMINAL, class};
use super::map_legend::{Legend, SIDE};
use super::map_scale::Scale;
use super::map_zones::{Zones, contour, fill, label_places};
use super::page::{FIGURES, MARGIN, WIDTH, count, title, title_height};
use super::palette::{BLACK, Stroke, WHITE};
use super::sheet::{Align, BODY, Point, Sheet, text_width};
use super::{Plot, PlotError, paint};

/// Room under the panel for figures and the axis name `[px]`.
const UNDER: f64 = 44.0;
/// Draws `map` as the picture `map`; `title_text` is the system's title.
///
/// The same input gives the same bytes.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_map(map: &RegimeMap, title_text: &str, units: UnitSystem) -> Result<Plot, PlotError> {
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
        "{title_text}. Bed \"{}\" alone over its sump, which rises and falls with it but never runs dry. Each of {n} x {n} points \
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
    let places = Places::new(&panel, map, &zones);
    hatch_unbuildable(&mut sheet, &places);
    for (which, (hatch, _)) in DOUBTS.iter().enumerate() {
        hatch_doubt(&mut sheet, &places, which, *hatch);
    }
    contour(&mut sheet, &panel, &zones, NOMINAL, |_, _| true);
    for (k, (_, stroke, _)) in ENDS.iter().enumerate() {
        // Where there is no answer there is no edge to it either.
        contour(&mut sheet, &panel, &answers(map, k), *stroke, both_answer);
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

/// Where today's point is, if the map shows it `[px]`.
fn here(panel: &Panel, map: &RegimeMap, x: &Scale, y: &Scale) -> Option<Point> {
    let plan = &map.plan;
    let inside = |value: f64, from: f64, to: f64| from <= value && value <= to;
    (inside(plan.here.0, plan.x.from, plan.x.to) && inside(plan.here.1, plan.y.from, plan.y.to))
        .then(|| panel.point((x.shown(plan.here.0), y.shown(plan.here.1))))
}

/// A box on the page: left, top, right, bottom `[px]`.
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
