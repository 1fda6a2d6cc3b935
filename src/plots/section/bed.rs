//! One bed: water, gravel, siphon, elevations.

use crate::model::{Bed, DrainTarget, Inlet, System};
use crate::simulation::Run;
use crate::siphon::SiphonLaw;

use super::super::palette::{BLACK, BLUE, SHORT, Stroke, WATER_HIGH, WATER_LOW, WHITE};
use super::super::sheet::Sheet;
use super::plan::{Place, Plan};
use super::vessel::Drawn;
use super::{Elevation, HAIR, Part, View, WALL, breaks_label, pipes, surface_mark};

/// A guard that stands no farther below its bed looks the same `[m]`.
const VISIBLE: f64 = 0.003;

/// Elevations to label, from the top down `[m]`.
pub(super) fn elevations(system: &System, run: &Run, index: usize) -> Vec<Elevation> {
    let bed = &system.beds[index];
    let law = SiphonLaw::new(bed, &system.water, &system.coefficients.nominal());
    let mut found = Vec::new();
    let mut add = |name, z, part| found.push(Elevation::new(name, z, part));
    if let Inlet::Piped(branch) = &bed.inlet {
        add("inlet", branch.level, Part::Inlet);
    }
    add("rim", bed.rim_level(), Part::Wall);
    add("media surface", bed.media_surface(), Part::Wall);
    let (low, high) = water(run, index);
    add("highest water", high, Part::Wall);
    add("starts", law.start_level(0.0), Part::Siphon);
    add("lip", bed.lip_level(), Part::Siphon);
    if let Some(outcome) = run.beds.get(index) {
        add(breaks_label(bed), outcome.break_level, Part::Siphon);
    }
    add("lowest water", low, Part::Wall);
    add("bed floor", bed.floor, Part::Wall);
    add("siphon outlet", bed.siphon.drain.outlet, Part::Outlet);
    if let (DrainTarget::Line { at }, Some(line)) = (&bed.siphon.drain.into, &system.drain_line) {
        add("line here, invert", line.invert(*at), Part::Line);
    }
    found
}

/// Where a part of a bed is that an elevation belongs to `[px]`.
pub(super) fn part_x(
    system: &System,
    plan: &Plan,
    place: &Place,
    view: &View,
    elevation: &Elevation,
) -> Option<f64> {
    let bed = &system.beds[place.bed];
    match elevation.part {
        Part::Wall => Some(place.centre + vessel(bed, place, view).half_width(elevation.z)),
        Part::Siphon => Some(place.centre + 0.5 * view.px(bed.siphon.bell.outside) + 2.0),
        Part::Inlet => Some(place.inlet_x()),
        Part::Outlet => Some(pipes::outlet_x(system, plan, place)),
        Part::Line => Some(place.centre),
        Part::Room | Part::Pump => None,
    }
}

/// Lowest and highest water in the run `[m]`.
fn water(run: &Run, index: usize) -> (f64, f64) {
    let outcome = run.beds.get(index);
    let high = outcome.map_or(f64::NAN, |bed| bed.highest_water());
    let low = run
        .recording
        .beds
        .get(index)
        .into_iter()
        .flat_map(|series| series.level.iter().copied())
        .fold(f64::INFINITY, f64::min);
    if low.is_finite() {
        (low, high)
    } else {
        (outcome.map_or(f64::NAN, |bed| bed.break_level), high)
    }
}

/// Lowest water beside the siphon in the run `[m]`.
fn lowest_in_guard(run: &Run, index: usize) -> Option<f64> {
    let series = run.recording.beds.get(index)?;
    series.guard_level.iter().copied().reduce(f64::min)
}

fn vessel<'a>(bed: &'a Bed, place: &Place, view: &'a View) -> Drawn<'a> {
    Drawn {
        shape: &bed.shape,
        floor: bed.floor,
        centre: place.centre,
        view,
    }
}

/// Water, gravel and walls.
pub(super) fn draw_inside(
    sheet: &mut Sheet,
    system: &System,
    run: &Run,
    place: &Place,
    view: &View,
) {
    let bed = &system.beds[place.bed];
    let vessel = vessel(bed, place, view);
    let (low, high) = water(run, place.bed);
    let top = bed.rim_level();
    vessel.fill(sheet, (bed.floor, low.min(top)), WATER_LOW);
    vessel.fill(sheet, (low, high.min(top)), WATER_HIGH);
    let clear = 0.5 * view.px(column_width(bed)) + 3.0;
    vessel.gravel(sheet, bed.media_surface().min(top), clear);
    vessel.surface(sheet, bed.media_surface(), HAIR);
    if let Some(guard) = lowest_in_guard(run, place.bed).filter(|guard| low - guard > VISIBLE) {
        let half = 0.5 * view.px(column_width(bed));
        let (left, right) = (place.centre - half, place.centre + half);
        let (y, low) = (view.y(guard), view.y(low));
        sheet.rect((left, low), (right, y), WATER_HIGH);
        sheet.line(&[(left, y), (right, y)], Stroke::solid(BLUE, 1.2));
    }
    for level in [high, low] {
        if level.is_finite() {
            vessel.surface(sheet, level, Stroke::solid(BLUE, 1.2));
            let x = place.centre + 0.72 * vessel.half_width(level);
            surface_mark(sheet, x, view.y(level), BLUE);
        }
    }
    vessel.walls(sheet, top, WALL);
}

/// The same with water that moves: in the bed, and in its guard where gravel holds it back.
pub(super) fn draw_moving(sheet: &mut Sheet, system: &System, place: &Place, view: &View) {
    let bed = &system.beds[place.bed];
    let vessel = vessel(bed, place, view);
    let top = bed.rim_level();
    let key = format!("bed.{}", place.bed);
    sheet.water(
        &key,
        vessel.slice((bed.floor, top)),
        (view.zero, view.scale),
    );
    let surface = bed.media_surface().min(top);
    sheet.grains(vessel.slice((bed.floor, surface)));
    let half = 0.5 * view.px(column_width(bed)) + 3.0;
    let (left, right) = (place.centre - half, place.centre + half);
    let (floor, rim) = (view.y(bed.floor), view.y(top));
    // Grains keep clear of bell and guard, whose water stands apart.
    sheet.rect((left, rim), (right, floor), WHITE);
    let column = vec![(left, floor), (left, rim), (right, rim), (right, floor)];
    let key = format!("guard.{}", place.bed);
    sheet.water(&key, column, (view.zero, view.scale));
    vessel.surface(sheet, bed.media_surface(), HAIR);
    vessel.walls(sheet, top, WALL);
}

/// Width of the column without gravel: guard, or bell `[m]`.
fn column_width(bed: &Bed) -> f64 {
    bed.guard
        .as_ref()
        .map_or(bed.siphon.bell.outside, |guard| guard.diameter)
}

/// Guard, bell, standpipe and air tube, to scale.
pub(super) fn draw_siphon(sheet: &mut Sheet, system: &System, place: &Place, view: &View) {
    let bed = &system.beds[place.bed];
    siphon(sheet, bed, place.centre, view, 1.0);
}

/// The siphon around a middle; `line` is the width of its walls `[px]`.
pub(super) fn siphon(sheet: &mut Sheet, bed: &Bed, centre: f64, view: &View, line: f64) {
    let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
    let wall = Stroke::solid(BLACK, line);
    let floor = view.y(bed.floor);
    let both = |sheet: &mut Sheet, half: f64, from: f64, to: f64, stroke: Stroke| {
        for sign in [-1.0, 1.0] {
            let x = centre + sign * half;
            sheet.line(&[(x, from), (x, to)], stroke);
        }
    };
    if let Some(guard) = &bed.guard {
        let half = 0.5 * view.px(guard.diameter);
        let dashed = Stroke::new(BLACK, line, SHORT);
        both(sheet, half, floor, view.y(bed.media_surface()), dashed);
    }
    // Standpipe, flared lip included.
    let lip = view.y(bed.lip_level());
    let half = 0.5 * view.px(pipe.outside);
    let flare = 0.5 * view.px(pipe.lip_diameter.max(pipe.outside)) - half;
    sheet.rect((centre - half, floor), (centre + half, lip + flare), WHITE);
    both(sheet, half, floor, lip + flare, wall);
    for sign in [-1.0, 1.0] {
        let foot = (centre + sign * half, lip + flare);
        sheet.line(&[foot, (centre + sign * (half + flare), lip)], wall);
    }
    // Bell: cap and walls down to the crown of the slots; between slots it
    // reaches the floor, drawn thin.
    let half = 0.5 * view.px(bell.outside);
    let cap = view.y(bed.cap_level());
    let crown = view.y(bed.crown_level());
    both(sheet, half, cap, crown, Stroke::solid(BLACK, 1.6 * line));
    both(sheet, half, crown, floor, HAIR);
    sheet.line(
        &[(centre - half, cap), (centre + half, cap)],
        Stroke::solid(BLACK, 2.2 * line),
    );
    if let Some(tube) = &bell.air_tube {
        let x = centre - half - (0.5 * view.px(tube.bore)).max(1.5) - line;
        let mouth = view.y(bed.floor + tube.mouth_height);
        let path = [
            (centre - half, cap + 2.0 * line),
            (x, cap + 2.0 * line),
            (x, mouth),
        ];
        super::pipe(sheet, &path, view.px(tube.bore), WHITE);
    }
}
