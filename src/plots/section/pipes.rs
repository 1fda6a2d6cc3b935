//! Riser, feed pipe, siphon legs and drain line.

use crate::model::{DrainTarget, Inlet, System};

use super::super::page::{MARGIN, WIDTH, count};
use super::super::palette::{BLACK, DOTS, SHORT, Stroke, WATER_HIGH, WATER_LOW};
use super::super::sheet::{Align, Point, Sheet};
use super::plan::{Place, Plan, RULER};
use super::sump::{line_x, pump_x};
use super::{View, note, pipe};

/// Draws every pipe.
pub(super) fn draw(sheet: &mut Sheet, system: &System, plan: &Plan, views: &[View]) {
    drain_line(sheet, system, plan, views);
    drains(sheet, system, plan, views);
    supply(sheet, system, plan, views);
}

/// Edges between which pipes of a row run [px].
const LEFT: f64 = MARGIN + RULER + 6.0;
const RIGHT: f64 = WIDTH - MARGIN;

/// Pump to beds.
fn supply(sheet: &mut Sheet, system: &System, plan: &Plan, views: &[View]) {
    let bore = views[0].px(system.supply.trunk.bore);
    let last = plan.rows.len() - 1;
    for (row, (places, view)) in plan.rows.iter().zip(views).enumerate() {
        let y = view.y(plan.manifold);
        let mut path: Vec<Point> = Vec::new();
        if row == 0 {
            let x = pump_x(plan);
            path.push((x, view.y(system.pump.intake_level) - 8.0));
            path.push((x, y));
        } else {
            path.push((LEFT, y));
            note(sheet, (LEFT, y - 8.0), Align::Left, "from the pump");
        }
        let end = if row < last {
            RIGHT
        } else {
            places.last().map_or(LEFT, inlet_x)
        };
        path.push((end, y));
        for place in places {
            let bed = &system.beds[place.bed];
            let x = inlet_x(place);
            match &bed.inlet {
                Inlet::Piped(branch) => {
                    let drop = [(x, y), (x, view.y(branch.level))];
                    pipe(sheet, &drop, view.px(branch.run.bore), WATER_HIGH);
                    let middle = 0.5 * (y + 0.5 * bore + view.y(branch.level.max(bed.rim)));
                    if branch.valve.is_some() && middle - y > 0.5 * bore + 6.0 {
                        valve(sheet, (x, middle));
                    }
                }
                // Where a measured inflow ends is not known.
                Inlet::Share(_) | Inlet::Measured(_) => {
                    let drop = [(x, y), (x, view.y(bed.rim))];
                    sheet.line(&drop, Stroke::new(BLACK, 1.4, SHORT));
                }
            }
        }
        pipe(sheet, &path, bore, WATER_HIGH);
    }
    if let Some(bypass) = &system.supply.bypass {
        let view = &views[0];
        let top = view.y(system.sump.floor + system.sump.shape.depth() + 0.12);
        let x = pump_x(plan) - 0.2 * plan.sump.width;
        let path = [(pump_x(plan), top), (x, top), (x, view.y(bypass.level))];
        pipe(sheet, &path, view.px(bypass.run.bore), WATER_HIGH);
        if bypass.valve.is_some() {
            valve(sheet, (0.5 * (x + pump_x(plan)), top));
        }
    }
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

/// Where a bed's inlet comes down [px].
pub(super) fn inlet_x(place: &Place) -> f64 {
    place.centre - 0.32 * place.width
}

/// Each siphon's own pipe below its bed.
fn drains(sheet: &mut Sheet, system: &System, plan: &Plan, views: &[View]) {
    for place in plan.places() {
        let bed = &system.beds[place.bed];
        let view = &views[place.row];
        let bore = view.px(bed.siphon.standpipe.bore);
        let (top, outlet) = (view.y(bed.floor), view.y(bed.siphon.drain.outlet));
        match bed.siphon.drain.into {
            DrainTarget::Line { at } => {
                let leg = [(place.centre, top), (place.centre, outlet)];
                pipe(sheet, &leg, bore, WATER_LOW);
                let crown = system
                    .drain_line
                    .as_ref()
                    .map_or(outlet, |line| view.y(line.invert(at) + line.run.bore));
                // Falls free from the outlet into the line.
                if crown > outlet + 4.0 {
                    let fall = [(place.centre, outlet), (place.centre, crown)];
                    sheet.line(&fall, Stroke::new(BLACK, 1.2, DOTS));
                }
            }
            DrainTarget::Sump => {
                let path = to_sump(system, place, plan, view);
                pipe(sheet, &path, bore, WATER_LOW);
                if place.row > 0 {
                    let (x, y) = path[path.len() - 1];
                    note(sheet, (x, y - 0.5 * bore - 6.0), Align::Left, "to the sump");
                }
            }
        }
    }
}

/// Where a siphon's own pipe ends [px].
pub(super) fn outlet_x(system: &System, plan: &Plan, place: &Place) -> f64 {
    match system.beds[place.bed].siphon.drain.into {
        DrainTarget::Line { .. } => place.centre,
        DrainTarget::Sump if place.row > 0 => LEFT,
        DrainTarget::Sump => {
            let (rank, of) = rank(system, plan, place);
            let share = if of > 1 { count(rank) / count(of - 1) } else { 0.5 };
            plan.sump.centre + (0.05 + 0.3 * share) * plan.sump.width
        }
    }
}

/// Which of the beds that drain straight to the sump this is, and of how many.
fn rank(system: &System, plan: &Plan, place: &Place) -> (usize, usize) {
    let direct = plan
        .places()
        .filter(|other| system.beds[other.bed].siphon.drain.into == DrainTarget::Sump);
    let nearer = direct
        .clone()
        .take_while(|other| other.bed != place.bed)
        .count();
    (nearer, direct.count())
}

/// Path of a pipe straight to the sump [px]: down, across with a fall, down.
/// The nearest bed's pipe runs highest and ends farthest in, so that none cross.
fn to_sump(system: &System, place: &Place, plan: &Plan, view: &View) -> Vec<Point> {
    let bed = &system.beds[place.bed];
    let (rank, of) = rank(system, plan, place);
    let px = |pixels: f64| pixels / view.scale;
    let outlet = bed.siphon.drain.outlet;
    let clear = system.sump.floor + system.sump.shape.depth() + px(12.0);
    let under_bed = bed.floor - px(8.0);
    // Over the sump's edge where there is room, else through its wall.
    let across = if under_bed > clear {
        let above = px(10.0) * count(of.saturating_sub(rank + 1));
        (clear.max(outlet) + above).min(under_bed)
    } else {
        outlet
    };
    let begins = (across + px(6.0)).min(under_bed).max(across);
    let x = outlet_x(system, plan, place);
    let mut path = vec![
        (place.centre, view.y(bed.floor)),
        (place.centre, view.y(begins)),
        (x, view.y(across)),
    ];
    if place.row == 0 {
        path.push((x, view.y(outlet)));
    }
    path
}

/// The shared line from its outlet over the sump past every bed on it.
fn drain_line(sheet: &mut Sheet, system: &System, plan: &Plan, views: &[View]) {
    let Some(line) = &system.drain_line else {
        return;
    };
    let centre = |at: f64| line.invert(at) + 0.5 * line.run.bore;
    let on_line: Vec<(&Place, f64)> = plan
        .places()
        .filter_map(|place| match system.beds[place.bed].siphon.drain.into {
            DrainTarget::Line { at } => Some((place, at)),
            DrainTarget::Sump => None,
        })
        .collect();
    let Some(&(_, farthest)) = on_line.last() else {
        return;
    };
    let mut at = 0.0;
    for (row, view) in views.iter().enumerate() {
        let here: Vec<(f64, f64)> = on_line
            .iter()
            .filter(|(place, _)| place.row == row)
            .map(|(place, at)| (place.centre, *at))
            .collect();
        let goes_on = on_line.iter().any(|(place, _)| place.row > row);
        if here.is_empty() && !goes_on {
            break;
        }
        let mut path: Vec<Point> = Vec::new();
        let start = if row == 0 {
            line_x(plan)
        } else {
            LEFT
        };
        path.push((start, view.y(centre(at))));
        for &(x, junction) in &here {
            path.push((x, view.y(centre(junction))));
            at = junction;
        }
        if goes_on {
            // Half way in distance to the next bed, at the edge of the page.
            let next = on_line
                .iter()
                .find(|(place, _)| place.row > row)
                .map_or(at, |(_, at)| *at);
            at = 0.5 * (at + next);
            path.push((RIGHT, view.y(centre(at))));
        } else if line.run.length > farthest {
            let (x, _) = path[path.len() - 1];
            path.push((x + 24.0, view.y(centre(line.run.length))));
        } else {
            let (x, y) = path[path.len() - 1];
            path.push((x + 0.5 * view.px(line.run.bore), y));
        }
        pipe(sheet, &path, view.px(line.run.bore), WATER_LOW);
        if row > 0 {
            let (x, y) = path[0];
            let y = y - 0.5 * view.px(line.run.bore) - 6.0;
            note(sheet, (x, y), Align::Left, "to the sump");
        }
    }
}
