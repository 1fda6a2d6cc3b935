//! The sump with its water and its pump.

use crate::model::System;
use crate::numerics::maths::Maths;
use crate::simulation::Run;

use super::super::palette::{BLACK, BLUE, GREY, Stroke, WATER_HIGH, WATER_LOW};
use super::super::sheet::Sheet;
use super::plan::Plan;
use super::vessel::{Drawn, width_at};
use super::{Elevation, Part, View, WALL, pipe, surface_mark};
use crate::hydraulics::vessel::VesselShape;

/// Pump body, drawn, not known `[px]`.
const PUMP: (f64, f64) = (22.0, 16.0);

/// Of several vessels that are joined it is told how many there are.
pub(super) fn called(system: &System) -> String {
    match system.sump.count {
        1 => "sump".to_owned(),
        count => format!("{count} x sump"),
    }
}

/// Elevations to label, from the top down `[m]`.
pub(super) fn elevations(system: &System, run: &Run) -> Vec<Elevation> {
    let (sump, pump) = (&system.sump, &system.pump);
    let mut found = Vec::new();
    let mut add = |name, z, part| found.push(Elevation::new(name, z, part));
    if let Some(ceiling) = system.ceiling {
        add("ceiling", ceiling, Part::Room);
    }
    add("sump top", sump.top(), Part::Wall);
    add("spills over", sump.overflow_level, Part::Wall);
    if let Some(line) = &system.drain_line {
        add("line outlet, invert", line.outlet, Part::Line);
    }
    add("highest water", run.sump.level.max, Part::Wall);
    add("lowest water", run.sump.level.min, Part::Wall);
    add("pump draws air below", pump.least_level(), Part::Pump);
    if let Some(valve) = &system.top_off {
        add("float valve opens below", valve.level, Part::Wall);
    }
    add("pump intake", pump.intake_level, Part::Pump);
    add("sump floor", sump.floor, Part::Wall);
    if sump.floor != 0.0 {
        add("room floor", 0.0, Part::Room);
    }
    found
}

/// Where a part of the sump is that an elevation belongs to `[px]`.
pub(super) fn part_x(
    system: &System,
    plan: &Plan,
    view: &View,
    elevation: &Elevation,
) -> Option<f64> {
    match elevation.part {
        Part::Wall => {
            let half = vessel(system, plan.sump.centre, view).half_width(elevation.z);
            Some(plan.sump.farthest() - half)
        }
        Part::Line => Some(line_x(system, plan)),
        Part::Pump => Some(pump_x(system, plan)),
        Part::Room | Part::Siphon | Part::Inlet | Part::Outlet => None,
    }
}

const fn vessel<'a>(system: &'a System, centre: f64, view: &'a View) -> Drawn<'a> {
    Drawn {
        shape: &system.sump.shape,
        floor: system.sump.floor,
        centre,
        view,
    }
}

/// Draws vessel, water and pump.
pub(super) fn draw(sheet: &mut Sheet, system: &System, run: &Run, plan: &Plan, view: &View) {
    let sump = &system.sump;
    let (low, high) = (run.sump.level.min, run.sump.level.max);
    for centre in plan.sump.centres() {
        let vessel = vessel(system, centre, view);
        vessel.fill(sheet, (sump.floor, low), WATER_LOW);
        vessel.fill(sheet, (low, high), WATER_HIGH);
        for (level, color) in [(high, BLUE), (low, BLUE)] {
            vessel.surface(sheet, level, Stroke::solid(color, 1.2));
            let x = centre + 0.55 * vessel.half_width(level);
            surface_mark(sheet, x, view.y(level), color);
        }
    }
    fittings(sheet, system, plan, view);
}

/// The same with water that moves.
pub(super) fn draw_moving(sheet: &mut Sheet, system: &System, plan: &Plan, view: &View) {
    let sump = &system.sump;
    for centre in plan.sump.centres() {
        let inside = vessel(system, centre, view).slice((sump.floor, sump.top()));
        sheet.water("sump", inside, (view.zero, view.scale));
    }
    fittings(sheet, system, plan, view);
}

/// Walls, overflow, float valve and pump.
fn fittings(sheet: &mut Sheet, system: &System, plan: &Plan, view: &View) {
    let sump = &system.sump;
    let top = sump.top();
    joints(sheet, system, plan, view);
    for centre in plan.sump.centres() {
        let vessel = vessel(system, centre, view);
        vessel.walls(sheet, top, WALL);
        if matches!(sump.shape, VesselShape::LyingCylinder { .. }) {
            // A drum is closed; the last step of its wall is level.
            vessel.surface(sheet, top, WALL);
        }
    }
    let vessel = vessel(system, plan.sump.centre, view);
    // Overflow: a short spout through the left wall.
    let y = view.y(sump.overflow_level);
    let wall = plan.sump.farthest() - vessel.half_width(sump.overflow_level);
    sheet.line(
        &[(wall - 9.0, y + 3.0), (wall + 3.0, y)],
        Stroke::solid(BLACK, 3.0),
    );

    // Float valve: an arm from the right wall with its float on the water.
    if let Some(valve) = &system.top_off {
        sheet.open("top-off");
        let y = view.y(valve.level);
        let wall = plan.sump.centre + vessel.half_width(valve.level);
        let float = wall - 16.0;
        sheet.line(
            &[(wall, y - 9.0), (float, y - 2.0)],
            Stroke::solid(BLACK, 1.6),
        );
        let ball = (0..12).map(|k| {
            let (sin, cos) = (f64::from(k) * std::f64::consts::TAU / 12.0).sine_cosine();
            (float + 5.0 * cos, y + 5.0 * sin)
        });
        sheet.area(ball.collect(), GREY);
        sheet.close();
    }

    let foot = view.y(sump.floor);
    let x = pump_x(system, plan);
    let mouth = view.y(system.pump.intake_level);
    // As low as its corners are inside: a drum on its side is narrow at the bottom.
    let aside = plan.sump.centre - x + 0.5 * PUMP.0 + 1.0;
    let fits = |up: &f64| vessel.half_width(sump.floor + up / view.scale) >= aside;
    let up = (1..=24).map(f64::from).find(fits).unwrap_or(1.0);
    let bottom = mouth.max(foot - 3.0).min(foot - up);
    sheet.open("pump");
    sheet.rect(
        (
            x - 0.5 * PUMP.0,
            mouth.min(foot - PUMP.1).min(bottom - 0.6 * PUMP.1),
        ),
        (x + 0.5 * PUMP.0, bottom),
        GREY,
    );
    sheet.close();
}

/// Pipes near the bottom that join vessels.
fn joints(sheet: &mut Sheet, system: &System, plan: &Plan, view: &View) {
    let sump = &system.sump;
    let z = sump.floor + JOINED_AT * sump.shape.depth();
    let half = vessel(system, plan.sump.centre, view).half_width(z);
    for (right, left) in plan.sump.centres().zip(plan.sump.centres().skip(1)) {
        let ends = [(left + half, view.y(z)), (right - half, view.y(z))];
        pipe(sheet, &ends, JOINT_BORE, WATER_LOW);
    }
}

/// Where vessels are joined, as a share of their depth, and how wide that is drawn `[px]`; neither is known.
const JOINED_AT: f64 = 0.08;
const JOINT_BORE: f64 = 5.0;

/// From the middle of the sump to where something of this width is inside it at an elevation `[m]`, at
/// most this far; what ends over a drum on its side has to be over where that is cut open `[px]`.
pub(super) fn within(system: &System, plan: &Plan, (z, width): (f64, f64), most: f64) -> f64 {
    let sump = &system.sump;
    let height = (z - sump.floor).clamp(0.0, CUT_OPEN * sump.shape.depth());
    let half = 0.5 * plan.scale * width_at(&sump.shape, height);
    most.min(half - 0.5 * width - 2.0).max(0.0)
}

/// A drum on its side is cut open about here, as a share of its height; common practice, drawn only.
const CUT_OPEN: f64 = 0.93;

/// Middle of the pump and its riser `[px]`.
pub(super) fn pump_x(system: &System, plan: &Plan) -> f64 {
    let z = system.sump.floor + 0.5 * PUMP.1 / plan.scale;
    plan.sump.centre - within(system, plan, (z, PUMP.0), 0.2 * plan.sump.width)
}

/// End of the drain line over the sump `[px]`.
pub(super) fn line_x(system: &System, plan: &Plan) -> f64 {
    let end = system.drain_line.as_ref();
    let end = end.map_or((system.sump.top(), 0.0), |line| {
        (line.outlet, plan.scale * line.run.bore)
    });
    plan.sump.centre + within(system, plan, end, 0.15 * plan.sump.width)
}
