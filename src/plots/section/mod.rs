//! A to-scale side section of the whole loop, floor to ceiling.
//!
//! Heights and the width of every vessel, pipe and siphon share one scale; only
//! the distances between vessels are drawn shorter or longer than they are.

mod access;
mod bed;
mod detail;
mod live;
mod pipes;
mod plan;
mod sump;
mod tank;
pub(super) mod vessel;

pub use live::scene;

use crate::model::{Bed, System};
use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;
use crate::simulation::Run;
use crate::units::UnitSystem;

use super::axis::round_ticks;
use super::labels::{Label, Side, column_height, column_width, draw_column_on_white};
use super::page::{MARGIN, WIDTH, title, title_height};
use super::palette::{BLACK, DOTS, GREY, MID_GREY, Rgb, Stroke, WHITE};
use super::sheet::{Align, HEADING, Point, SMALL, Sheet, shorten, text_width};
use plan::{Place, Plan};

/// Thin line that carries an elevation from a part to its label.
const HAIR: Stroke = Stroke::solid(MID_GREY, 1.0);
/// Wall of a vessel.
const WALL: Stroke = Stroke::solid(BLACK, 2.0);
/// Under the floor line of a row: ground and captions `[px]`.
const GROUND: f64 = 34.0;

/// What a section is laid out on, and how far its parts stand apart `[px]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Paper {
    width: f64,
    margin: f64,
    /// Room for the ruler left of each row.
    ruler: f64,
    /// Ruler to the sump's labels.
    inset: f64,
    /// Sump to the first bed.
    gap: f64,
    /// Labels of one bed to the next bed.
    bed_gap: f64,
    /// Left of the first bed in a row without the sump: pipes that come and go.
    incoming: f64,
    /// Left of a tank in a row of its own.
    indent: f64,
    /// A row lower than this is avoided by a further row.
    low: f64,
}

impl Paper {
    /// The page of the pictures.
    const PAGE: Self = Self {
        width: WIDTH,
        margin: MARGIN,
        ruler: 44.0,
        inset: 12.0,
        gap: 36.0,
        bed_gap: 16.0,
        incoming: 92.0,
        indent: 40.0,
        low: 240.0,
    };

    /// A screen, without ruler and labels.
    const fn screen(width: f64) -> Self {
        Self {
            width,
            margin: 4.0,
            ruler: 0.0,
            inset: 8.0,
            gap: 22.0,
            bed_gap: 14.0,
            incoming: 22.0,
            indent: 14.0,
            low: 190.0,
        }
    }

    fn left(&self) -> f64 {
        self.margin + self.ruler
    }

    fn right(&self) -> f64 {
        self.width - self.margin
    }
}

/// Heights of one row of the section on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    /// Pixels in a metre, both ways.
    pub(super) scale: f64,
    /// Where elevation zero is `[px]`.
    pub(super) zero: f64,
    /// Upper and lower edge of the row `[px]`.
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl View {
    pub(super) fn y(&self, elevation: f64) -> f64 {
        self.zero - self.scale * elevation
    }

    pub(super) fn px(&self, length: f64) -> f64 {
        self.scale * length
    }
}

/// An elevation to be labelled.
#[derive(Debug, Clone, PartialEq)]
struct Elevation {
    name: &'static str,
    /// `[m]`.
    z: f64,
    part: Part,
}

/// What an elevation belongs to: a thin line runs from there to the label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Floor or ceiling: nothing to point at.
    Room,
    /// Wall of the vessel, or the water that touches it.
    Wall,
    /// Standpipe and bell in the middle of a bed.
    Siphon,
    /// End of a bed's inlet.
    Inlet,
    /// End of a siphon's own pipe.
    Outlet,
    /// The drain line.
    Line,
    /// The pump.
    Pump,
}

impl Elevation {
    fn new(name: &'static str, z: f64, part: Part) -> Self {
        Self { name, z, part }
    }
}

/// What the break level is called: the siphon sees the water in the guard, and the
/// bed's turns higher where gravel holds it back.
pub(super) fn breaks_label(bed: &Bed) -> &'static str {
    match (bed.media.grain, &bed.guard) {
        (None, _) => "breaks",
        (Some(_), Some(_)) => "breaks, in the guard",
        (Some(_), None) => "breaks, at the bell",
    }
}

/// Draws the page.
pub(super) fn draw(system: &System, run: &Run, units: UnitSystem) -> Sheet {
    let sump_labels = sump::elevations(system, run);
    let bed_labels: Vec<Vec<Elevation>> = (0..system.beds.len())
        .map(|i| bed::elevations(system, run, i))
        .collect();
    let columns = (
        labels_width(&sump_labels, units),
        bed_labels
            .iter()
            .map(|labels| labels_width(labels, units))
            .fold(0.0, f64::max),
    );
    let tallest = bed_labels.iter().map(Vec::len).max().unwrap_or(0);
    let plan = Plan::new(system, Paper::PAGE, columns, column_height(tallest));
    let mut remarks = vec![format!(
        "{}. To scale: every height and every vessel, pipe and siphon, seen from its narrow end; \
         distances between them and the course of pipes are not. Water is drawn at its highest and \
         its lowest in the run.",
        system.title
    )];
    if access::any(system) {
        remarks.push(access::REMARK.to_owned());
    }
    let top = title_height(&remarks) + 6.0;
    let (mut views, beds_bottom) = plan.views(top);
    let spot = tank::spot(system, run, &plan, columns.1, units);
    let own_row = spot
        .filter(|spot| spot.own_row)
        .map(|_| tank::row(system, &plan, beds_bottom));
    let details_top = own_row.map_or(beds_bottom, |view| view.bottom + GROUND) + 16.0;
    let details = detail::draw(system, units);
    let mut sheet = Sheet::new(WIDTH, details_top + details.height + MARGIN);
    let _ = title(&mut sheet, "Side section of the system", &remarks);

    views.extend(own_row);
    for view in &views {
        room(&mut sheet, system, view, units);
    }
    for place in plan.places() {
        access::draw(&mut sheet, system, place, &views[place.row]);
    }
    // Water and gravel first, then pipes over them, then walls and labels.
    sump::draw(&mut sheet, system, run, &plan, &views[0]);
    for place in plan.places() {
        bed::draw_inside(&mut sheet, system, run, place, &views[place.row]);
    }
    hairs(&mut sheet, system, &plan, &views, &sump_labels, &bed_labels);
    pipes::draw(&mut sheet, system, &plan, &views);
    for place in plan.places() {
        let view = &views[place.row];
        bed::draw_siphon(&mut sheet, system, place, view);
        let name = &system.beds[place.bed].name;
        caption(
            &mut sheet,
            view,
            place.left(),
            name,
            place.width + columns.1 - 10.0,
        );
        bed_column(
            &mut sheet,
            system,
            &plan,
            place,
            view,
            &bed_labels[place.bed],
            units,
        );
    }
    if let (Some(spot), Some(view)) = (spot, views.last()) {
        tank::draw(&mut sheet, system, run, view, spot, units);
    }
    let view = &views[0];
    let called = sump::called(system);
    caption(&mut sheet, view, plan.sump.left(), &called, plan.sump.width);
    let range = (view.top, view.zero - 3.0);
    column(
        &mut sheet,
        &sump_labels,
        units,
        view,
        plan.sump.left(),
        range,
        Side::Left,
    );
    scale_bar(&mut sheet, units, &plan, details_top - 30.0);
    sheet.append(details, details_top);
    sheet
}

/// Thin lines from parts to the edges where their labels stand.
fn hairs(
    sheet: &mut Sheet,
    system: &System,
    plan: &Plan,
    views: &[View],
    sump_labels: &[Elevation],
    bed_labels: &[Vec<Elevation>],
) {
    let mut hair = |view: &View, from: Option<f64>, to: f64, elevation: &Elevation| {
        if let Some(from) = from.filter(|_| elevation.z.is_finite()) {
            let y = view.y(elevation.z);
            let stroke = match elevation.part {
                Part::Siphon => Stroke::new(BLACK, 1.0, DOTS),
                _ => HAIR,
            };
            sheet.line(&[(from, y), (to, y)], stroke);
        }
    };
    for elevation in sump_labels {
        let from = sump::part_x(system, plan, &views[0], elevation);
        hair(&views[0], from, plan.sump.left(), elevation);
    }
    for place in plan.places() {
        let view = &views[place.row];
        for elevation in &bed_labels[place.bed] {
            let from = bed::part_x(system, plan, place, view, elevation);
            hair(view, from, place.right(), elevation);
        }
    }
}

/// The labels of one bed: where there is room, clear of the feed pipe above and
/// of the pipes of farther beds that pass below.
fn bed_column(
    sheet: &mut Sheet,
    system: &System,
    plan: &Plan,
    place: &Place,
    view: &View,
    elevations: &[Elevation],
    units: UnitSystem,
) {
    let edge = place.right();
    let (feed, floor) = (pipes::under_feed(system, plan, view), view.zero - 3.0);
    let (lower, upper): (Vec<Elevation>, Vec<Elevation>) = elevations
        .iter()
        .cloned()
        .partition(|elevation| matches!(elevation.part, Part::Outlet | Part::Line));
    if let Some((top, bottom)) = pipes::passing(system, plan, place, view) {
        let fits = top - feed >= column_height(upper.len())
            && floor - bottom >= column_height(lower.len());
        if fits {
            column(sheet, &upper, units, view, edge, (feed, top), Side::Right);
            column(
                sheet,
                &lower,
                units,
                view,
                edge,
                (bottom, floor),
                Side::Right,
            );
            return;
        }
    }
    let room = floor - feed >= column_height(elevations.len());
    let top = if room { feed } else { view.top };
    column(
        sheet,
        elevations,
        units,
        view,
        edge,
        (top, floor),
        Side::Right,
    );
}

/// Name of a vessel under the floor line.
fn caption(sheet: &mut Sheet, view: &View, left: f64, name: &str, room: f64) {
    let text = shorten(name, HEADING, room);
    sheet.text(
        (left, view.bottom + 24.0),
        Align::Left,
        HEADING,
        BLACK,
        text,
    );
}

/// Floor, ceiling and a ruler.
fn room(sheet: &mut Sheet, system: &System, view: &View, units: UnitSystem) {
    let (left, right) = (Paper::PAGE.left(), Paper::PAGE.right());
    floor_and_ceiling(sheet, system, view, (left, right));
    let floor = view.y(0.0);
    let (factor, unit) = units.elevation_axis();
    let most = (view.zero - view.top) / view.scale;
    let panel = super::axis::Panel {
        left,
        right,
        top: view.top,
        bottom: view.zero,
        across: (0.0, 1.0),
        up: (0.0, most * factor),
    };
    let ticks = match units {
        UnitSystem::Metric => round_ticks(panel.up, (view.zero - view.top) / 40.0),
        UnitSystem::Us => feet(most * factor, (view.zero - view.top) / 40.0),
    };
    panel.figures_up(sheet, &ticks);
    sheet.line(
        &[(left, view.top), (left, floor)],
        Stroke::solid(BLACK, 1.0),
    );
    let name = format!("height, {unit}");
    sheet.text((MARGIN, view.bottom + 24.0), Align::Left, SMALL, GREY, name);
}

fn floor_and_ceiling(sheet: &mut Sheet, system: &System, view: &View, (left, right): (f64, f64)) {
    let floor = view.y(0.0);
    sheet.line(&[(left, floor), (right, floor)], Stroke::solid(BLACK, 2.0));
    let mut x = left + 4.0;
    while x + 6.0 < right {
        sheet.line(&[(x + 6.0, floor + 1.0), (x, floor + 7.0)], HAIR);
        x += 9.0;
    }
    let in_view = |z: &f64| view.y(*z) >= view.top;
    if let Some(ceiling) = system.ceiling.filter(in_view) {
        let y = view.y(ceiling);
        sheet.line(&[(left, y), (right, y)], Stroke::solid(BLACK, 2.0));
    }
}

/// Ticks at whole feet, or half and quarter feet, in inches.
fn feet(most: f64, count: f64) -> Vec<f64> {
    let step = [3.0, 6.0, 12.0, 24.0, 60.0, 120.0]
        .into_iter()
        .find(|step| most / step <= count)
        .unwrap_or(240.0);
    super::axis::multiples(step, (0.0, most))
}

/// A bar of a round length.
fn scale_bar(sheet: &mut Sheet, units: UnitSystem, plan: &Plan, y: f64) {
    const FOOT: f64 = 0.3048;
    let lengths: [f64; 7] = match units {
        UnitSystem::Metric => [10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1],
        UnitSystem::Us => [30.0, 10.0, 5.0, 3.0, 1.0, 0.5, 0.25].map(|feet| feet * FOOT),
    };
    let length = lengths
        .into_iter()
        .find(|length| plan.scale * length <= 180.0)
        .unwrap_or(lengths[6]);
    let width = plan.scale * length;
    let right = WIDTH - MARGIN;
    let left = right - width;
    let quarter = 0.25 * width;
    for (n, color) in [(0.0, BLACK), (1.0, WHITE), (2.0, BLACK), (3.0, WHITE)] {
        let from = left + n * quarter;
        sheet.rect((from, y), (from + quarter, y + 6.0), color);
    }
    let corners = [(left, y), (right, y), (right, y + 6.0), (left, y + 6.0)];
    sheet.outline(&corners, Stroke::solid(BLACK, 1.0));
    let text = units.length(length);
    sheet.text((right, y + 19.0), Align::Right, SMALL, BLACK, text);
}

fn text_of(elevation: &Elevation, units: UnitSystem) -> String {
    format!("{} {}", elevation.name, units.elevation(elevation.z))
}

fn labels_width(elevations: &[Elevation], units: UnitSystem) -> f64 {
    let labels: Vec<Label> = elevations
        .iter()
        .map(|elevation| Label::new(0.0, BLACK, text_of(elevation, units)))
        .collect();
    column_width(&labels)
}

/// The labels of one vessel, beside its wall.
fn column(
    sheet: &mut Sheet,
    elevations: &[Elevation],
    units: UnitSystem,
    view: &View,
    edge: f64,
    range: (f64, f64),
    side: Side,
) {
    let mut labels: Vec<Label> = elevations
        .iter()
        .filter(|elevation| elevation.z.is_finite())
        .map(|elevation| Label::new(view.y(elevation.z), GREY, text_of(elevation, units)))
        .collect();
    // Higher ones first: equal elevations keep the order of the list.
    labels.order_by(|a, b| a.y.total_cmp(&b.y));
    draw_column_on_white(sheet, &labels, edge, side, range);
}

/// A pipe along a path of centre points: walls, and what is inside.
fn pipe(sheet: &mut Sheet, path: &[Point], bore: f64, inside: Rgb) {
    let bore = bore.max(1.6);
    sheet.line(path, Stroke::solid(BLACK, bore + 2.0));
    sheet.line(path, Stroke::solid(inside, bore));
}

/// Two triangles, tip to tip.
fn valve(sheet: &mut Sheet, (x, y): Point) {
    for sign in [-1.0, 1.0] {
        sheet.area(
            vec![(x, y), (x - 5.0, y + sign * 6.0), (x + 5.0, y + sign * 6.0)],
            BLACK,
        );
    }
}

/// The closed end of a pipe that arrives there from another point.
fn pipe_end(sheet: &mut Sheet, from: Point, end: Point, bore: f64) {
    let (dx, dy) = (end.0 - from.0, end.1 - from.1);
    let length = dx.hypotenuse(dy);
    if length > 0.0 {
        let half = 0.5 * bore.max(1.6) + 1.0;
        let (nx, ny) = (dy / length * half, -dx / length * half);
        let across = [(end.0 + nx, end.1 + ny), (end.0 - nx, end.1 - ny)];
        sheet.line(&across, Stroke::solid(BLACK, 1.2));
    }
}

/// A small triangle that stands on a water surface.
pub(super) fn surface_mark(sheet: &mut Sheet, x: f64, y: f64, color: Rgb) {
    sheet.area(vec![(x - 4.5, y - 8.0), (x + 4.5, y - 8.0), (x, y)], color);
}

/// A text on a white ground.
fn note(sheet: &mut Sheet, at: Point, align: Align, text: &str) {
    let width = text_width(text, SMALL);
    let left = match align {
        Align::Left => at.0,
        Align::Centre => at.0 - 0.5 * width,
        Align::Right => at.0 - width,
    };
    sheet.rect(
        (left - 2.0, at.1 - SMALL),
        (left + width + 2.0, at.1 + 3.0),
        WHITE,
    );
    sheet.text(at, align, SMALL, BLACK, text);
}
