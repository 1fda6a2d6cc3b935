//! What the pump can do against what the pipes ask.

use crate::model::{PumpSource, System};
use crate::network::supply::SupplyTree;
use crate::simulation::Run;
use crate::units::UnitSystem;

use super::axis::{Panel, axis_name, round_ticks};
use super::labels::{Label, Side, column_width, draw_column};
use super::page::{FIGURES, MARGIN, TIME_AXIS, WIDTH, title, title_height};
use super::palette::{BLACK, BLUE, DASH_DOT, LONG, SHORT, SOLID, Stroke, VERMILLION, WHITE};
use super::sheet::{Align, Point, Sheet};

const CURVE: Stroke = Stroke::new(BLACK, 2.2, SOLID);
const ASKED_HIGH: Stroke = Stroke::new(BLUE, 2.0, LONG);
const ASKED_LOW: Stroke = Stroke::new(VERMILLION, 2.0, SHORT);
const GIVEN: Stroke = Stroke::new(BLACK, 2.2, DASH_DOT);
/// Height of the panel with curves, and of one with a flow only `[px]`.
const HEIGHT: f64 = 470.0;
const LOW: f64 = 120.0;
/// Points of a curve.
const STEPS: u32 = 160;

/// Draws the page.
pub(super) fn draw(system: &System, run: &Run, units: UnitSystem) -> Sheet {
    let tree = SupplyTree::new(system);
    let (q_factor, q_unit) = units.flow_axis();
    let (h_factor, h_unit) = units.head_axis();
    let sump = [run.sump.level.max, run.sump.level.min];
    let duties = sump.map(|level| {
        let duty = tree.duty(level);
        (duty.pump_flow, duty.pump_head)
    });
    let asks = tree.required_head(duties[0].0, sump[0]).is_some();

    let (q_most, h_most) = extent(system, &duties);
    let remarks = [format!("{}. {}", system.title, what_it_shows(system, asks))];
    let top = title_height(&remarks) + 18.0;
    // Without any curve there is no head to show, only a flow.
    let has_head = asks || matches!(system.pump.source, PumpSource::Curve(_));
    let height = if has_head { HEIGHT } else { LOW };
    let bottom = top + height;
    let mut sheet = Sheet::new(WIDTH, bottom + TIME_AXIS + MARGIN);
    let _ = title(
        &mut sheet,
        "What the pump can lift and what the pipes ask for",
        &remarks,
    );
    let mut panel = Panel {
        left: MARGIN + FIGURES,
        right: 0.0,
        top,
        bottom,
        across: (0.0, q_most * q_factor),
        up: (0.0, h_most * h_factor),
    };

    // Each curve with its name, pointing where the curve leaves the panel.
    let mut curves: Vec<(Vec<Point>, Stroke, String)> = Vec::new();
    match &system.pump.source {
        PumpSource::Curve(curve) => {
            let name = if curve.is_estimate() {
                "pump curve, estimated from its box"
            } else {
                "pump curve"
            };
            let points = sampled(q_most, |q| Some(curve.head(q)));
            curves.push((points, CURVE, name.to_owned()));
        }
        PumpSource::Steady(flow) => curves.push((
            vec![(*flow, 0.0), (*flow, h_most)],
            GIVEN,
            format!("measured flow given, {}", units.flow(*flow)),
        )),
    }
    for (level, stroke, which) in [
        (sump[0], ASKED_HIGH, "highest"),
        (sump[1], ASKED_LOW, "lowest"),
    ] {
        let points = sampled(q_most, |q| tree.required_head(q, level));
        if !points.is_empty() {
            let at = units.elevation(level);
            curves.push((
                points,
                stroke,
                format!("system curve, sump at its {which} {at}"),
            ));
        }
    }
    let mut labels: Vec<Callout> = Vec::new();
    let mut drawn = Vec::new();
    // Curves that leave at the top are named a little below it, each at its own height.
    let mut name_at = 0.97;
    for (points, stroke, name) in curves {
        let points = inside(&points, h_most);
        let Some(&(q_end, h_end)) = points.last() else {
            continue;
        };
        let mut at = (q_end, h_end);
        if h_end >= h_most && q_end < q_most {
            at = inside(&points, name_at * h_most)
                .last()
                .copied()
                .unwrap_or(at);
            name_at -= 0.06;
        } else if h_end <= 0.0 {
            // Named above its foot, where it does not run into the frame.
            let foot = 0.08 * h_most;
            at = points.iter().rfind(|p| p.1 >= foot).copied().unwrap_or(at);
        }
        labels.push(Callout {
            at: (at.0 * q_factor, at.1 * h_factor),
            stroke,
            text: name,
            marked: false,
        });
        let scaled = |(q, h): Point| (q * q_factor, h * h_factor);
        drawn.push((points.into_iter().map(scaled).collect::<Vec<_>>(), stroke));
    }
    for ((flow, head), (stroke, which)) in duties
        .into_iter()
        .zip([(ASKED_HIGH, "highest"), (ASKED_LOW, "lowest")])
    {
        if let Some(head) = head.filter(|_| asks) {
            let text = format!(
                "duty, sump at its {which}: {} at {}",
                units.flow(flow),
                units.head(head)
            );
            labels.push(Callout {
                at: (flow * q_factor, head * h_factor),
                stroke,
                text,
                marked: true,
            });
        }
    }
    let column = |panel: Option<&Panel>| -> Vec<Label> {
        labels
            .iter()
            .map(|callout| {
                let y = panel.map_or(0.0, |panel| panel.y(callout.at.1));
                Label::new(y, callout.stroke.color, callout.text.clone())
            })
            .collect()
    };
    panel.right = WIDTH - MARGIN - column_width(&column(None));

    let across = round_ticks(panel.across, (panel.right - panel.left) / 80.0);
    panel.grid_across(&mut sheet, &across);
    panel.figures_across(&mut sheet, &across);
    if has_head {
        let up = round_ticks(panel.up, height / 34.0);
        panel.grid_up(&mut sheet, &up);
        panel.figures_up(&mut sheet, &up);
        let name = format!("head over the sump's water, {h_unit}");
        axis_name(&mut sheet, (MARGIN, top - 6.0), Align::Left, name);
    }
    let under = (0.5 * (panel.left + panel.right), bottom + 32.0);
    axis_name(
        &mut sheet,
        under,
        Align::Centre,
        format!("flow of the pump, {q_unit}"),
    );
    for (points, stroke) in &drawn {
        let points: Vec<Point> = points.iter().map(|&p| panel.point(p)).collect();
        sheet.line(&points, *stroke);
    }
    panel.frame(&mut sheet);
    for callout in &labels {
        let (x, y) = panel.point(callout.at);
        let color = callout.stroke.color;
        sheet.line(&[(x, y), (panel.right, y)], Stroke::solid(color, 1.0));
        if callout.marked {
            sheet.disc((x, y), 5.5, color);
            sheet.disc((x, y), 2.5, WHITE);
        }
    }
    draw_column(
        &mut sheet,
        &column(Some(&panel)),
        panel.right,
        Side::Right,
        (top, bottom),
    );
    sheet
}

/// A text that points at a place of the chart.
struct Callout {
    /// In the units shown.
    at: Point,
    stroke: Stroke,
    text: String,
    /// Whether the place gets a ring.
    marked: bool,
}

fn what_it_shows(system: &System, asks: bool) -> &'static str {
    match (&system.pump.source, asks) {
        (PumpSource::Curve(_), true) => {
            "The pump works where its curve meets the curve of the pipes; as beds fill, the sump \
             falls and that point moves."
        }
        (PumpSource::Curve(_), false) => {
            "The inflows of the beds were given as measured, so the pipes ask for no head here: \
             only the pump's curve is shown."
        }
        (PumpSource::Steady(_), true) => {
            "A measured flow was given instead of a pump curve, so it does not change with the \
             sump. The pipes' curves show the head that a pump needs for it."
        }
        (PumpSource::Steady(_), false) => {
            "A measured flow was given instead of a pump curve, and measured inflows instead of \
             pipes: there are no curves to compare, only that flow."
        }
    }
}

/// Greatest flow `[m3/s]` and head `[m]` shown.
fn extent(system: &System, duties: &[(f64, Option<f64>); 2]) -> (f64, f64) {
    let flow = duties.iter().map(|duty| duty.0).fold(0.0, f64::max);
    let head = duties.iter().filter_map(|duty| duty.1).fold(0.0, f64::max);
    let (flow, head) = match &system.pump.source {
        PumpSource::Curve(curve) => (
            flow.max(curve.open_flow()),
            head.max(1.2 * curve.shut_off_head()),
        ),
        PumpSource::Steady(given) => (1.6 * flow.max(*given), 1.6 * head),
    };
    let or_one = |value: f64, one: f64| {
        if value > 0.0 && value.is_finite() {
            value
        } else {
            one
        }
    };
    (1.06 * or_one(flow, 1e-4), 1.04 * or_one(head, 1.0))
}

/// A curve over all flows shown; empty where there is none.
fn sampled(q_most: f64, head: impl Fn(f64) -> Option<f64>) -> Vec<Point> {
    (0..=STEPS)
        .filter_map(|i| {
            let q = q_most * f64::from(i) / f64::from(STEPS);
            head(q).filter(|h| h.is_finite()).map(|h| (q, h))
        })
        .collect()
}

/// The part of a curve between no head and `most`, from its first point inside
/// to the first point out of it.
fn inside(points: &[Point], most: f64) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    let mut before: Option<Point> = None;
    for &(q, h) in points {
        let is_in = (0.0..=most).contains(&h);
        if let Some((q0, h0)) = before {
            let was_in = (0.0..=most).contains(&h0);
            if is_in != was_in {
                let outside = if is_in { h0 } else { h };
                let edge = if outside > most { most } else { 0.0 };
                let share = (edge - h0) / (h - h0);
                kept.push((q0 + share * (q - q0), edge));
                if was_in {
                    break;
                }
            }
        }
        if is_in {
            kept.push((q, h));
        }
        before = Some((q, h));
    }
    kept
}
