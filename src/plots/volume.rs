//! The vessels that could be the sump, from the side and as level against volume.

use crate::model::System;
use crate::numerics::in_order::InOrder;
use crate::study::absorb::{Absorb, Stance, Standing, freeboard_level, nearest_run};
use crate::units::UnitSystem;

use super::axis::{Panel, axis_name, round_ticks};
use super::labels::{Label, Side, column_height, column_width, draw_column};
use super::page::{FIGURES, MARGIN, TIME_AXIS, WIDTH, count, title, title_height};
use super::palette::{
    BLACK, BLUE, DASH_DOT, DOTS, GREY, LONG, MID_GREY, PALE_GREY, SHORT, SOLID, Stroke, VERMILLION,
    WATER_HIGH, WATER_LOW, WHITE,
};
use super::section::vessel::{Drawn, side_width};
use super::section::{View, surface_mark};
use super::sheet::{Align, BODY, HEADING, Point, Sheet, shorten};
use super::{Plot, PlotError, paint};

const OVERFLOW: Stroke = Stroke::solid(VERMILLION, 2.0);
const FREEBOARD: Stroke = Stroke::new(VERMILLION, 1.4, DASH_DOT);
const COVER: Stroke = Stroke::new(BLACK, 1.4, SHORT);
const WALL: Stroke = Stroke::solid(BLACK, 2.0);
const SURFACE: Stroke = Stroke::solid(BLUE, 1.4);
const GROUND: Stroke = Stroke::solid(BLACK, 1.2);
const CEILING: Stroke = Stroke::new(MID_GREY, 1.2, LONG);

/// Most height of the side views `[px]`.
const SIDE_HEIGHT: f64 = 330.0;
/// Room over a side view for its name, and under it for one line `[px]`.
const SIDE_HEAD: f64 = 26.0;
const SIDE_FOOT: f64 = 22.0;
/// Least height of the chart `[px]`.
const CHART_HEIGHT: f64 = 330.0;
/// Points of a curve.
const STEPS: u32 = 120;

/// Draws `volume`: every vessel compared, from the side and as level against volume.
///
/// The same input gives the same bytes.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_volume(system: &System, absorb: &Absorb, units: UnitSystem) -> Result<Plot, PlotError> {
    let sheet = draw(system, absorb, units);
    Ok(Plot {
        name: "volume",
        svg: paint::svg(&sheet)?,
        png: paint::png(&sheet)?,
    })
}

/// The page, not yet painted.
pub(super) fn draw(system: &System, absorb: &Absorb, units: UnitSystem) -> Sheet {
    let standings = &absorb.standings;
    let remarks = [
        format!(
            "{}. Top: each vessel under the lowest bed, to scale, water shaded up to the low and \
             the high bound; every outlet keeps its height over the overflow.",
            system.title
        ),
        "Bottom: what each holds at every level. The thick part of a curve is the water that \
         moves between the bounds; it has to stay between the pump's cover and the freeboard."
            .to_owned(),
    ];
    let side_top = title_height(&remarks) + 4.0;
    let side_bottom = side_top + SIDE_HEAD + SIDE_HEIGHT + SIDE_FOOT;
    let callouts = callouts(absorb, units);
    let chart_top = side_bottom + 34.0;
    let chart_bottom = chart_top + CHART_HEIGHT.max(column_height(callouts.len()) + 20.0);
    let mut sheet = Sheet::new(WIDTH, chart_bottom + TIME_AXIS + MARGIN);
    let _ = title(&mut sheet, "What the sump absorbs", &remarks);

    let column = (WIDTH - 2.0 * MARGIN) / count(standings.len()).max(1.0);
    let sides: Vec<SideView> = standings
        .iter()
        .map(|standing| SideView::new(standing, units))
        .collect();
    let scale = sides
        .iter()
        .map(|side| side.scale(column))
        .fold(f64::INFINITY, f64::min);
    for (k, side) in sides.iter().enumerate() {
        let left = MARGIN + count(k) * column;
        side.draw(&mut sheet, (left, side_top), column, scale, units);
    }
    chart(
        &mut sheet,
        absorb,
        &callouts,
        (chart_top, chart_bottom),
        units,
    );
    sheet
}

/// One vessel with the bed over it.
struct SideView<'a> {
    standing: &'a Standing,
    /// Levels to label, from the top down: elevation, what, colour of the leader.
    levels: Vec<(f64, String, Stroke)>,
    highest: f64,
    lowest: f64,
}

impl<'a> SideView<'a> {
    fn new(standing: &'a Standing, units: UnitSystem) -> Self {
        let system = &standing.system;
        let (sump, bounds) = (&system.sump, &standing.volumes.bounds);
        let bed = lowest_bed(system);
        let high = if standing.volumes.lost > 0.0 {
            (
                sump.overflow_level,
                format!("spills {}", units.volume(standing.volumes.lost)),
            )
        } else {
            (
                bounds.high,
                format!("high bound {}", units.elevation(bounds.high)),
            )
        };
        let named = |name: &str, level: f64| format!("{name} {}", units.elevation(level));
        let mut levels = Vec::new();
        if let Some(ceiling) = system.ceiling {
            levels.push((ceiling, named("ceiling", ceiling), CEILING));
        }
        let rim = system.beds[bed].rim_level();
        levels.push((rim, named("rim", rim), Stroke::solid(BLACK, 1.0)));
        if let Some(run) = nearest_run(system) {
            levels.push((
                run.level,
                named("lowest outlet", run.level),
                Stroke::solid(BLACK, 1.0),
            ));
        }
        let top = sump.top();
        levels.push((top, named("top", top), WALL));
        levels.push((
            sump.overflow_level,
            named("overflow", sump.overflow_level),
            OVERFLOW,
        ));
        levels.push((high.0, high.1, SURFACE));
        let dry = if bounds.low < system.pump.least_level() - 1e-9 {
            ": dry"
        } else {
            ""
        };
        let low = format!("{}{dry}", named("low bound", bounds.low));
        levels.push((bounds.low, low, SURFACE));
        levels.push((
            system.pump.least_level(),
            named("pump draws air", system.pump.least_level()),
            COVER,
        ));
        let highest = levels.iter().map(|level| level.0).fold(top, f64::max);
        Self {
            standing,
            levels,
            highest,
            lowest: sump.floor.min(0.0),
        }
    }

    fn width(&self) -> f64 {
        let system = &self.standing.system;
        let bed = &system.beds[lowest_bed(system)].shape;
        side_width(&system.sump.shape).max(side_width(bed))
    }

    fn labels(&self, view: Option<&View>) -> Vec<Label> {
        let label = |(level, text, stroke): &(f64, String, Stroke)| {
            Label::new(
                view.map_or(0.0, |view| view.y(*level)),
                stroke.color,
                text.clone(),
            )
        };
        self.levels.iter().map(label).collect()
    }

    /// Pixels in a metre with which this view fits its column.
    fn scale(&self, column: f64) -> f64 {
        let room = column - column_width(&self.labels(None)) - 46.0;
        (room / self.width()).min((SIDE_HEIGHT - 10.0) / (self.highest - self.lowest))
    }

    fn draw(
        &self,
        sheet: &mut Sheet,
        (left, top): Point,
        column: f64,
        scale: f64,
        units: UnitSystem,
    ) {
        let system = &self.standing.system;
        let bottom = top + SIDE_HEAD + SIDE_HEIGHT;
        let view = View {
            scale,
            zero: bottom + scale * self.lowest,
            top: top + SIDE_HEAD,
            bottom,
        };
        let half = 0.5 * view.px(self.width());
        let centre = left + 14.0 + half;
        let result = if self.standing.passes {
            "passes"
        } else {
            "fails"
        };
        let now = if self.standing.is_present {
            ", as it is"
        } else {
            ""
        };
        let name = format!("{}{now}: {result}", name(self.standing.stance));
        sheet.text(
            (left, top + HEADING),
            Align::Left,
            HEADING,
            BLACK,
            shorten(&name, HEADING, column - 12.0),
        );
        let right = centre + half + 10.0;
        let across = |sheet: &mut Sheet, level: f64, stroke: Stroke| {
            sheet.line(&[(left, view.y(level)), (right, view.y(level))], stroke);
        };
        across(sheet, 0.0, GROUND);
        if let Some(ceiling) = system.ceiling {
            across(sheet, ceiling, CEILING);
        }
        self.draw_bed(sheet, centre, &view);
        self.draw_sump(sheet, centre, right, &view);
        draw_column(
            sheet,
            &self.labels(Some(&view)),
            right,
            Side::Right,
            (view.top, view.bottom),
        );
        let shift = self.standing.shift;
        let foot = if shift.abs() < 5e-4 {
            "beds, outlets and line as they are".to_owned()
        } else if shift < 0.0 {
            format!("beds, outlets and line {} lower", units.length(-shift))
        } else {
            format!("beds, outlets and line {} higher", units.length(shift))
        };
        sheet.text(
            (left, bottom + 17.0),
            Align::Left,
            BODY,
            GREY,
            shorten(&foot, BODY, column - 12.0),
        );
    }

    fn draw_bed(&self, sheet: &mut Sheet, centre: f64, view: &View) {
        let system = &self.standing.system;
        let bed = &system.beds[lowest_bed(system)];
        let drawn = Drawn {
            shape: &bed.shape,
            floor: bed.floor,
            centre,
            view,
        };
        drawn.fill(sheet, (bed.floor, bed.media_surface()), PALE_GREY);
        drawn.walls(sheet, bed.rim_level(), Stroke::solid(BLACK, 1.4));
        let end = nearest_run(system).map_or(bed.siphon.drain.outlet, |run| run.level);
        let pipe = Stroke::solid(GREY, 4.0);
        sheet.line(
            &[(centre, view.y(bed.lip_level())), (centre, view.y(end))],
            pipe,
        );
    }

    fn draw_sump(&self, sheet: &mut Sheet, centre: f64, right: f64, view: &View) {
        let system = &self.standing.system;
        let (sump, bounds) = (&system.sump, &self.standing.volumes.bounds);
        let drawn = Drawn {
            shape: &sump.shape,
            floor: sump.floor,
            centre,
            view,
        };
        let top = sump.top();
        let high = bounds.high.min(sump.overflow_level);
        drawn.fill(sheet, (sump.floor, bounds.low), WATER_LOW);
        drawn.fill(sheet, (bounds.low.max(sump.floor), high), WATER_HIGH);
        drawn.surface(sheet, system.pump.least_level(), COVER);
        for level in [bounds.low, high] {
            drawn.surface(sheet, level, SURFACE);
            surface_mark(
                sheet,
                centre - 0.4 * drawn.half_width(level),
                view.y(level),
                BLUE,
            );
        }
        drawn.surface(sheet, freeboard_level(system), FREEBOARD);
        drawn.walls(sheet, top, WALL);
        drawn.surface(sheet, top, Stroke::solid(BLACK, 1.0));
        let wall = centre + drawn.half_width(sump.overflow_level);
        let y = view.y(sump.overflow_level);
        sheet.line(&[(wall - 4.0, y), (right, y)], OVERFLOW);
    }
}

/// The bed that the lowest outlet belongs to, else the lowest bed.
fn lowest_bed(system: &System) -> usize {
    let lowest = (0..system.beds.len())
        .min_by(|&a, &b| system.beds[a].floor.total_cmp(&system.beds[b].floor))
        .unwrap_or(0);
    nearest_run(system)
        .and_then(|run| run.bed)
        .unwrap_or(lowest)
}

fn name(stance: Stance) -> &'static str {
    match stance {
        Stance::AsItIs => "Sump",
        Stance::Upright => "Upright drum",
        Stance::Lying => "Drum on its side",
    }
}

fn curve_stroke(stance: Stance) -> Stroke {
    match stance {
        Stance::AsItIs => Stroke::new(BLACK, 1.8, DASH_DOT),
        Stance::Upright => Stroke::new(BLUE, 1.8, SOLID),
        Stance::Lying => Stroke::new(VERMILLION, 1.8, LONG),
    }
}

/// A point of a curve with its label.
struct Callout {
    /// Water `[m3]` and level `[m]`.
    at: Point,
    stroke: Stroke,
    text: String,
    mark: Mark,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    Ring,
    Disc,
    Bar,
    Cross,
    /// A line across the whole chart.
    Line,
}

fn callouts(absorb: &Absorb, units: UnitSystem) -> Vec<Callout> {
    let mut found = Vec::new();
    let mut dry_levels: Vec<f64> = Vec::new();
    for standing in &absorb.standings {
        let system = &standing.system;
        let (sump, volumes) = (&system.sump, &standing.volumes);
        let stroke = curve_stroke(standing.stance);
        let who = match standing.stance {
            Stance::AsItIs => "sump",
            Stance::Upright => "upright",
            Stance::Lying => "on its side",
        };
        let mut add = |what: &str, level: f64, mark: Mark| {
            let volume = sump.volume_at(level);
            found.push(Callout {
                at: (volume, level),
                stroke,
                text: format!(
                    "{who}: {what} {}, {}",
                    units.elevation(level),
                    units.volume(volume)
                ),
                mark,
            });
        };
        add("overflow", sump.overflow_level, Mark::Bar);
        add("freeboard from", freeboard_level(system), Mark::Bar);
        if volumes.lost > 0.0 {
            let what = format!("spills {} at", units.volume(volumes.lost));
            add(&what, sump.overflow_level, Mark::Ring);
        } else {
            add("high bound", volumes.bounds.high, Mark::Ring);
        }
        if let Some(after) = standing.simulated.and_then(|found| found.after_cut) {
            add("after a power cut", after, Mark::Cross);
        }
        add("filled to", sump.start_level, Mark::Disc);
        add("low bound", volumes.bounds.low, Mark::Ring);
        let dry = system.pump.least_level();
        if !dry_levels.contains(&dry) {
            dry_levels.push(dry);
            found.push(Callout {
                at: (0.0, dry),
                stroke: COVER,
                text: format!("pump draws air below {}", units.elevation(dry)),
                mark: Mark::Line,
            });
        }
    }
    // Upper ones first, so that labels of one height keep the order of the levels.
    found.order_by(|a, b| b.at.1.total_cmp(&a.at.1));
    found
}

fn chart(
    sheet: &mut Sheet,
    absorb: &Absorb,
    callouts: &[Callout],
    (top, bottom): (f64, f64),
    units: UnitSystem,
) {
    let (z_factor, z_unit) = units.elevation_axis();
    let (v_factor, v_unit) = units.volume_axis();
    let standings = &absorb.standings;
    let tops = standings.iter().map(|s| s.system.sump.top());
    let highest = tops.fold(f64::NEG_INFINITY, f64::max);
    let floor = standings
        .iter()
        .map(|s| s.system.sump.floor)
        .fold(f64::INFINITY, f64::min);
    let most = standings
        .iter()
        .map(|s| s.system.sump.joined().full_volume())
        .fold(0.0, f64::max);
    let labels = |panel: Option<&Panel>| -> Vec<Label> {
        callouts
            .iter()
            .map(|callout| {
                let y = panel.map_or(0.0, |panel| panel.y(callout.at.1 * z_factor));
                Label::new(y, callout.stroke.color, callout.text.clone())
            })
            .collect()
    };
    let panel = Panel {
        left: MARGIN + FIGURES,
        right: WIDTH - MARGIN - column_width(&labels(None)),
        top,
        bottom,
        across: (0.0, 1.04 * most * v_factor),
        up: (
            floor * z_factor,
            (highest + 0.04 * (highest - floor)) * z_factor,
        ),
    };
    let across = round_ticks(panel.across, (panel.right - panel.left) / 70.0);
    let up = round_ticks(panel.up, (bottom - top) / 34.0);
    panel.grid_across(sheet, &across);
    panel.grid_up(sheet, &up);
    panel.figures_across(sheet, &across);
    panel.figures_up(sheet, &up);
    let elevation = format!("height above the room's floor, {z_unit}");
    axis_name(sheet, (MARGIN, top - 8.0), Align::Left, elevation);
    let under = (0.5 * (panel.left + panel.right), bottom + 32.0);
    axis_name(
        sheet,
        under,
        Align::Centre,
        format!("water in the sump, {v_unit}"),
    );

    for callout in callouts {
        let (x, y) = place(&panel, callout.at, v_factor, z_factor);
        let from = if callout.mark == Mark::Line {
            panel.left
        } else {
            x
        };
        let stroke = if callout.mark == Mark::Line {
            callout.stroke
        } else {
            Stroke::new(callout.stroke.color, 0.9, DOTS)
        };
        sheet.line(&[(from, y), (panel.right, y)], stroke);
    }
    for standing in standings {
        let stroke = curve_stroke(standing.stance);
        let sump = &standing.system.sump;
        let bounds = &standing.volumes.bounds;
        let thick = Stroke::solid(stroke.color, 6.0);
        let moving = (
            bounds.low - sump.floor,
            bounds.high.min(sump.overflow_level) - sump.floor,
        );
        sheet.line(&curve(standing, moving, &panel, v_factor, z_factor), thick);
        let whole = (0.0, sump.shape.depth());
        sheet.line(&curve(standing, whole, &panel, v_factor, z_factor), stroke);
    }
    for callout in callouts {
        let (x, y) = place(&panel, callout.at, v_factor, z_factor);
        match callout.mark {
            Mark::Ring => {
                sheet.disc((x, y), 5.5, callout.stroke.color);
                sheet.disc((x, y), 2.8, WHITE);
            }
            Mark::Disc => sheet.disc((x, y), 4.5, BLACK),
            Mark::Bar => sheet.line(&[(x - 9.0, y), (x + 9.0, y)], Stroke::solid(BLACK, 2.0)),
            Mark::Cross => {
                for rise in [-6.0, 6.0] {
                    let ends = [(x - 6.0, y - rise), (x + 6.0, y + rise)];
                    sheet.line(&ends, Stroke::solid(BLACK, 2.0));
                }
            }
            Mark::Line => {}
        }
    }
    panel.frame(sheet);
    draw_column(
        sheet,
        &labels(Some(&panel)),
        panel.right,
        Side::Right,
        (top, bottom),
    );
}

fn place(panel: &Panel, (volume, level): Point, v_factor: f64, z_factor: f64) -> Point {
    panel.point((volume * v_factor, level * z_factor))
}

/// Volume against level between two depths.
fn curve(
    standing: &Standing,
    (from, to): (f64, f64),
    panel: &Panel,
    v_factor: f64,
    z_factor: f64,
) -> Vec<Point> {
    let sump = &standing.system.sump;
    (0..=STEPS)
        .map(|i| {
            let depth = from + (to - from) * f64::from(i) / f64::from(STEPS);
            let level = sump.floor + depth;
            let at = (sump.volume_at(level), level);
            place(panel, at, v_factor, z_factor)
        })
        .collect()
}
