//! Riser, feed pipe, siphon legs and drain line.

use crate::model::{DrainTarget, Entries, Inlet, System};

use super::super::page::count;
use super::super::palette::{BLACK, DOTS, SHORT, Stroke, WATER_HIGH, WATER_LOW};
use super::super::sheet::{Align, Point, Sheet};
use super::plan::{Place, Plan};
use super::sump::{line_x, pump_x, within};
use super::tank::between;
use super::{View, note, pipe, pipe_end, valve};

/// Keys of what the whole system shares.
const SUPPLY: &str = "supply";
const LINE: &str = "line";

/// Draws every pipe.
pub(super) fn draw(sheet: &mut Sheet, system: &System, plan: &Plan, views: &[View]) {
    sheet.open(LINE);
    drain_line(sheet, system, plan, views);
    sheet.close();
    drains(sheet, system, plan, views);
    supply(sheet, system, plan, views);
}

/// Edge from which pipes of a row run to the right one of the paper `[px]`.
fn left(plan: &Plan) -> f64 {
    plan.paper.left() + 6.0
}

/// Riser shown over the sump where the pump feeds a tank that feeds the beds `[m]`.
const TO_TANK: f64 = 0.25;
/// Length of that feed shown before the first bed's inlet `[px]`.
const FROM_TANK: f64 = 24.0;

/// Pump, or a tank's overflow, to beds.
fn supply(sheet: &mut Sheet, system: &System, plan: &Plan, views: &[View]) {
    let bore = views[0].px(system.supply.trunk.bore);
    let last = plan.rows.len() - 1;
    for (row, (places, view)) in plan.rows.iter().zip(views).enumerate() {
        let y = view.y(plan.manifold);
        let mut path: Vec<Point> = Vec::new();
        let by_tank = between(system);
        if row == 0 {
            let x = pump_x(system, plan);
            let foot = (x, view.y(system.pump.intake_level) - 8.0);
            if by_tank {
                let top = view.y(system.sump.top() + TO_TANK);
                sheet.open(SUPPLY);
                pipe(sheet, &[foot, (x, top)], bore, WATER_HIGH);
                sheet.close();
                note(sheet, (x, top - 6.0), Align::Centre, "to the fish tank");
                let start = places
                    .first()
                    .map_or(x, |place| place.inlet_x() - FROM_TANK);
                let over = y - 0.5 * bore - 6.0;
                note(sheet, (start, over), Align::Left, "from the fish tank");
                path.push((start, y));
            } else {
                path.extend([foot, (x, y)]);
            }
        } else {
            path.push((left(plan), y));
            // Over it: branches leave it downward.
            let over = y - 0.5 * bore - 6.0;
            let from = if by_tank {
                "from the fish tank"
            } else {
                "from the pump"
            };
            note(sheet, (left(plan), over), Align::Left, from);
        }
        let end = if row < last {
            plan.paper.right()
        } else {
            places.last().map_or(left(plan), Place::inlet_x) + 0.5 * bore.max(8.0)
        };
        path.push((end, y));
        for place in places {
            let bed = &system.beds[place.bed];
            let x = place.inlet_x();
            match &bed.inlet {
                Inlet::Piped(branch) => {
                    let drop = [(x, y), (x, view.y(branch.level))];
                    sheet.open(&format!("inlet.{}", place.bed));
                    pipe(sheet, &drop, view.px(branch.run.bore), WATER_HIGH);
                    let middle = 0.5 * (y + 0.5 * bore + view.y(branch.level.max(bed.rim_level())));
                    if branch.valve.is_some() && middle - y > 0.5 * bore + 6.0 {
                        valve(sheet, (x, middle));
                    }
                    sheet.close();
                }
                // Where a measured inflow ends is not known.
                Inlet::Share(_) | Inlet::Measured(_) => {
                    let drop = [(x, y), (x, view.y(bed.rim_level()))];
                    sheet.line(&drop, Stroke::new(BLACK, 1.4, SHORT));
                }
            }
        }
        sheet.open(SUPPLY);
        pipe(sheet, &path, bore, WATER_HIGH);
        sheet.close();
        if row == last {
            pipe_end(sheet, (left(plan), y), (end, y), bore);
        }
    }
    if let Some(bypass) = &system.supply.bypass {
        let view = &views[0];
        let top = view.y(system.sump.top() + 0.12);
        let most = plan.sump.centre - pump_x(system, plan) + 0.2 * plan.sump.width;
        let end = (bypass.level, view.px(bypass.run.bore));
        let x = plan.sump.centre - within(system, plan, end, most);
        let path = [
            (pump_x(system, plan), top),
            (x, top),
            (x, view.y(bypass.level)),
        ];
        sheet.open("bypass");
        pipe(sheet, &path, view.px(bypass.run.bore), WATER_HIGH);
        if bypass.valve.is_some() {
            valve(sheet, (0.5 * (x + pump_x(system, plan)), top));
        }
        sheet.close();
    }
}

/// First height free under the feed pipe `[px]`.
pub(super) fn under_feed(system: &System, plan: &Plan, view: &View) -> f64 {
    view.y(plan.manifold) + 0.5 * view.px(system.supply.trunk.bore) + 4.0
}

/// Heights between which pipes of farther beds pass the labels of this one `[px]`.
pub(super) fn passing(
    system: &System,
    plan: &Plan,
    place: &Place,
    view: &View,
) -> Option<(f64, f64)> {
    let mut range: Option<(f64, f64)> = None;
    let mut widen = |top: f64, bottom: f64| {
        range = Some(range.map_or((top, bottom), |(t, b)| (t.min(top), b.max(bottom))));
    };
    let farther = plan
        .places()
        .skip_while(|other| other.bed != place.bed)
        .skip(1);
    for other in farther {
        let bed = &system.beds[other.bed];
        match (&bed.siphon.drain.into, &system.drain_line) {
            (DrainTarget::Line { at }, Some(line)) => {
                // It rises from this bed's junction, or its outlet, to the other's.
                let near = match system.beds[place.bed].siphon.drain.into {
                    DrainTarget::Line { at } => at,
                    DrainTarget::Sump => 0.0,
                };
                let crown = line.invert(*at) + line.run.bore;
                widen(view.y(crown) - 3.0, view.y(line.invert(near)) + 3.0);
            }
            // Beds of lower rows pass only the first.
            _ if other.row == place.row || place.row == 0 => {
                let half = 0.5 * view.px(bed.siphon.standpipe.bore) + 3.0;
                let (begins, ends) = run_to_sump(system, other, plan);
                widen(view.y(begins) - half, view.y(ends) + half);
            }
            _ => {}
        }
    }
    range
}

/// Each siphon's own pipe below its bed.
fn drains(sheet: &mut Sheet, system: &System, plan: &Plan, views: &[View]) {
    // Highest pipe that leaves each row for the sump.
    let mut leaving = vec![f64::INFINITY; views.len()];
    for place in plan.places() {
        let bed = &system.beds[place.bed];
        let view = &views[place.row];
        let bore = view.px(bed.siphon.standpipe.bore);
        let (top, outlet) = (view.y(bed.floor), view.y(bed.siphon.drain.outlet));
        sheet.open(&format!("drain.{}", place.bed));
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
                let (own, over_sump) = to_sump(system, place, plan, views);
                pipe(sheet, &own, bore, WATER_LOW);
                if let Some(path) = over_sump {
                    pipe(sheet, &path, bore, WATER_LOW);
                    let y = own[own.len() - 1].1 - 0.5 * bore;
                    leaving[place.row] = leaving[place.row].min(y);
                }
            }
        }
        sheet.close();
    }
    for y in leaving.into_iter().filter(|y| y.is_finite()) {
        note(sheet, (left(plan), y - 6.0), Align::Left, "to the sump");
    }
}

/// Where a siphon's own pipe ends `[px]`.
pub(super) fn outlet_x(system: &System, plan: &Plan, place: &Place) -> f64 {
    match system.beds[place.bed].siphon.drain.into {
        DrainTarget::Line { .. } => place.centre,
        DrainTarget::Sump if place.row > 0 => left(plan),
        DrainTarget::Sump => entry_x(system, plan, place),
    }
}

/// Where a pipe straight to the sump comes down over it `[px]`.
fn entry_x(system: &System, plan: &Plan, place: &Place) -> f64 {
    let (rank, of) = rank(system, plan, place);
    let share = if of > 1 {
        count(rank) / count(of - 1)
    } else {
        0.5
    };
    // None ends beside the wall of a drum on its side.
    let most = system
        .beds
        .iter()
        .filter(|bed| bed.siphon.drain.into == DrainTarget::Sump)
        .map(|bed| {
            let end = (
                bed.siphon.drain.outlet,
                plan.scale * bed.siphon.standpipe.bore,
            );
            within(system, plan, end, FARTHEST_IN * plan.sump.width)
        })
        .fold(f64::INFINITY, f64::min);
    plan.sump.centre + (0.05 + 0.95 * share) * most
}

/// Farthest from the sump's middle that a drain ends in it, as a share of its width.
const FARTHEST_IN: f64 = 0.42;

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

/// Path of a pipe straight to the sump `[px]`: down, across with a fall, down.
/// The nearest bed's pipe runs highest and ends farthest in, so that none cross.
/// A bed in a lower row has two: to the edge of its row, and from there on in
/// the first row.
fn to_sump(
    system: &System,
    place: &Place,
    plan: &Plan,
    views: &[View],
) -> (Vec<Point>, Option<Vec<Point>>) {
    let view = &views[place.row];
    let bed = &system.beds[place.bed];
    let (begins, ends) = run_to_sump(system, place, plan);
    let x = outlet_x(system, plan, place);
    let mut own = vec![
        (place.centre, view.y(bed.floor)),
        (place.centre, view.y(begins)),
        (x, view.y(ends)),
    ];
    let outlet = bed.siphon.drain.outlet;
    if place.row == 0 {
        own.push((x, view.y(outlet)));
        return (own, None);
    }
    let first = &views[0];
    let x = entry_x(system, plan, place);
    let over_sump = vec![
        (plan.paper.right(), first.y(begins)),
        (x, first.y(ends)),
        (x, first.y(outlet)),
    ];
    (own, Some(over_sump))
}

/// Elevations at which a pipe straight to the sump begins and ends its way across `[m]`.
fn run_to_sump(system: &System, place: &Place, plan: &Plan) -> (f64, f64) {
    let px = |pixels: f64| pixels / plan.scale;
    let direct = plan
        .places()
        .map(|other| &system.beds[other.bed])
        .filter(|bed| bed.siphon.drain.into == DrainTarget::Sump);
    let sump_top = system.sump.top();
    let (mut lowest, mut highest) = (sump_top + px(10.0), f64::INFINITY);
    for bed in direct {
        lowest = lowest.max(bed.siphon.drain.outlet);
        highest = highest.min(bed.floor - px(8.0));
    }
    let bed = &system.beds[place.bed];
    let told = system.sump.entries;
    let over = told == Entries::OverRim && bed.floor - bed.siphon.standpipe.bore >= sump_top;
    if highest <= lowest && over {
        return over_rim(system, place, plan);
    }
    if highest <= lowest || (told == Entries::Holes && bed.siphon.drain.outlet < sump_top) {
        let level = through_wall(system, place, plan);
        return (level, level);
    }
    let (rank, of) = rank(system, plan, place);
    let pitch = ((highest - lowest) / count(of)).min(px(12.0));
    let ends = lowest + pitch * count(of - 1 - rank);
    (ends + 0.5 * pitch.min(px(8.0)), ends)
}

/// Where a pipe that is told to go over the sump's edge crosses it, though that is near `[m]`.
fn over_rim(system: &System, place: &Place, plan: &Plan) -> (f64, f64) {
    let (rank, of) = rank(system, plan, place);
    let top = system.sump.top();
    let room = system.beds[place.bed].floor - top;
    let share = (count(of - 1 - rank) + 1.0) / (count(of) + 1.0);
    (
        top + (0.3 + 0.6 * share) * room,
        top + (0.2 + 0.6 * share) * room,
    )
}

/// Where a pipe goes through the sump's wall, for there is no room over its edge `[m]`: at its outlet,
/// or as far over the pipes of beds farther off that two are not drawn as one.
fn through_wall(system: &System, place: &Place, plan: &Plan) -> f64 {
    let direct = plan
        .places()
        .map(|other| &system.beds[other.bed])
        .filter(|bed| bed.siphon.drain.into == DrainTarget::Sump);
    let mut levels: Vec<f64> = Vec::new();
    let (rank, of) = rank(system, plan, place);
    let beds: Vec<_> = direct.collect();
    for bed in beds.iter().rev().take(of - rank) {
        let (outlet, bore) = (bed.siphon.drain.outlet, bed.siphon.standpipe.bore);
        let pitch = bore + 4.0 / plan.scale;
        let taken = |level: f64, levels: &[f64]| levels.iter().any(|at| (at - level).abs() < pitch);
        let mut level = outlet;
        while taken(level, &levels) {
            level += 0.25 * pitch;
        }
        levels.push(level.min(bed.floor));
    }
    levels.last().copied().unwrap_or_default()
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
    let mut joined: Option<usize> = None;
    for (row, view) in views.iter().enumerate() {
        let here: Vec<(f64, f64, usize)> = on_line
            .iter()
            .filter(|(place, _)| place.row == row)
            .map(|(place, at)| (place.centre, *at, place.bed))
            .collect();
        let goes_on = on_line.iter().any(|(place, _)| place.row > row);
        if here.is_empty() && !goes_on {
            break;
        }
        let mut path: Vec<Point> = Vec::new();
        // Whose depth the water has at each point.
        let mut stations = vec![joined.map_or("outlet".to_owned(), |bed| bed.to_string())];
        let start = if row == 0 {
            line_x(system, plan)
        } else {
            left(plan)
        };
        path.push((start, view.y(centre(at))));
        for &(x, junction, bed) in &here {
            path.push((x, view.y(centre(junction))));
            stations.push(bed.to_string());
            joined = Some(bed);
            at = junction;
        }
        if goes_on {
            // Half way in distance to the next bed, at the edge of the page.
            let next = on_line
                .iter()
                .find(|(place, _)| place.row > row)
                .map_or(at, |(_, at)| *at);
            at = 0.5 * (at + next);
            path.push((plan.paper.right(), view.y(centre(at))));
        } else if line.run.length > farthest {
            let (x, _) = path[path.len() - 1];
            let wall = on_line.last().map_or(x, |(place, _)| place.right());
            let end = (x + 24.0).max(wall - 8.0);
            path.push((end, view.y(centre(line.run.length))));
        } else if let [.., before, last] = path[..] {
            // On past the last junction, as far as its pipe is wide.
            let share = 0.5 * view.px(line.run.bore) / (last.0 - before.0).max(1.0);
            path.push((
                last.0 + share * (last.0 - before.0),
                last.1 + share * (last.1 - before.1),
            ));
        }
        let bore = view.px(line.run.bore);
        pipe(sheet, &path, bore, WATER_LOW);
        let last = stations[stations.len() - 1].clone();
        stations.resize(path.len(), if goes_on { last } else { "end".to_owned() });
        sheet.stream(&path, stations, bore);
        if let [.., before, last] = path[..]
            && !goes_on
        {
            pipe_end(sheet, before, last, bore);
        }
        if row > 0 {
            let (x, y) = path[0];
            // Under it: drains come down from above.
            let y = y + 0.5 * view.px(line.run.bore) + 14.0;
            note(sheet, (x, y), Align::Left, "to the sump");
        }
    }
}
