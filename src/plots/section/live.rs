//! The section for a screen: any width, no labels, parts with keys, and water that moves.
//! It needs no run: what is not yet simulated is drawn too.

use super::super::palette::{BLACK, Stroke, WATER_LOW};
use super::super::pen;
use super::super::sheet::Sheet;
use super::plan::Plan;
use super::{GROUND, Paper, access, bed, caption, floor_and_ceiling, pipes, sump, tank};
use crate::model::System;

/// Narrowest and widest screen it is laid out for `[px]`.
const WIDTHS: (f64, f64) = (280.0, 1600.0);

/// The section as an `svg` element `width` px wide. Parts are groups with `data-part`, the water
/// of a vessel is a rectangle with `data-water`, cut to the vessel's inside, whose surface
/// belongs at `data-zero` less `data-scale` px for each metre of elevation; `level` says where
/// it stands at first `[m]`.
pub fn scene(system: &System, width: f64, level: &dyn Fn(&str) -> Option<f64>) -> String {
    let paper = Paper::screen(width.clamp(WIDTHS.0, WIDTHS.1).floor());
    let plan = Plan::new(system, paper, (0.0, 0.0), 0.0);
    let top = 2.0;
    let (mut views, beds_bottom) = plan.views(top);
    let spot = tank::bare_spot(system, &plan);
    let own_row = spot
        .filter(|spot| spot.own_row)
        .map(|_| tank::row(system, &plan, beds_bottom));
    let bottom = own_row.map_or(beds_bottom, |view| view.bottom + GROUND);
    views.extend(own_row);
    let mut sheet = Sheet::new(paper.width, bottom);
    for view in &views {
        floor_and_ceiling(&mut sheet, system, view, (paper.left(), paper.right()));
    }
    for place in plan.places() {
        access::draw(&mut sheet, system, place, &views[place.row]);
    }
    sheet.open("sump");
    sump::draw_moving(&mut sheet, system, &plan, &views[0]);
    sheet.close();
    for place in plan.places() {
        sheet.open(&format!("bed.{}", place.bed));
        bed::draw_moving(&mut sheet, system, place, &views[place.row]);
        sheet.close();
    }
    pipes::draw(&mut sheet, system, &plan, &views);
    for place in plan.places() {
        let view = &views[place.row];
        sheet.open(&format!("siphon.{}", place.bed));
        bed::draw_siphon(&mut sheet, system, place, view);
        sheet.close();
        // Water in the standpipe is that of the pipe it goes on into.
        let bed = &system.beds[place.bed];
        sheet.open(&format!("drain.{}", place.bed));
        let inside = view.px(bed.siphon.standpipe.bore).max(1.6);
        let (lip, floor) = (view.y(bed.lip_level()), view.y(bed.floor));
        sheet.line(
            &[(place.centre, lip), (place.centre, floor)],
            Stroke::solid(WATER_LOW, inside),
        );
        sheet.close();
        let name = &system.beds[place.bed].name;
        caption(&mut sheet, view, place.left(), name, place.width + 10.0);
    }
    if let (Some(spot), Some(view)) = (spot, views.last()) {
        tank::draw_moving(&mut sheet, system, &plan, view, spot);
    }
    let view = &views[0];
    caption(
        &mut sheet,
        view,
        plan.sump.left(),
        &sump::called(system),
        plan.sump.width + 10.0,
    );
    // The floor once more, over the walls of what stands on it.
    for view in &views {
        let y = view.y(0.0);
        sheet.line(
            &[(paper.left(), y), (paper.right(), y)],
            Stroke::solid(BLACK, 2.0),
        );
    }
    pen::svg(&sheet, level)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::super::super::sample::{self, Wish};
    use super::*;
    use crate::numerics::maths::Maths;

    #[test]
    fn it_fits_a_phone_and_a_desk() {
        let system = sample::system(&Wish::default());
        for width in [360.0, 1200.0] {
            let svg = scene(&system, width, &|_| None);
            assert!(svg.contains(&format!("viewBox=\"0 0 {width} ")), "{svg}");
            for part in [
                "sump", "bed.0", "siphon.0", "pump", "supply", "inlet.0", "drain.0",
            ] {
                assert!(svg.contains(&format!("data-part=\"{part}\"")), "{part}");
            }
            assert!(svg.contains("data-water=\"bed.0\""));
            assert_eq!(svg.matches("<g").count(), svg.matches("</g>").count());
        }
    }

    #[test]
    fn water_stands_where_it_is_told() {
        let system = sample::system(&Wish::default());
        let level = system.beds[0].floor + 0.1;
        let svg = scene(&system, 360.0, &|key| (key == "bed.0").then_some(level));
        let rect = svg
            .split("<rect")
            .find(|part| part.contains("data-water=\"bed.0\""));
        let figure = |name: &str| -> f64 {
            let part = rect.and_then(|rect| rect.split(&format!(" {name}=\"")).nth(1));
            let text = part.and_then(|part| part.split('"').next());
            text.and_then(|text| text.parse().ok()).unwrap_or(f64::NAN)
        };
        let wanted = figure("data-zero") - figure("data-scale") * level;
        assert!(
            (figure("y") - wanted).abs() < 0.051,
            "{} {wanted}",
            figure("y")
        );
    }

    // Through the wall of a tall sump at one height, two pipes were drawn as one.
    #[test]
    fn pipes_through_the_wall_of_the_sump_stay_apart() {
        let system = sample::system(&Wish {
            beds: 2,
            line: false,
            sump: crate::hydraulics::vessel::VesselShape::UprightCylinder {
                diameter: 0.572,
                depth: 1.2,
            },
            ..Wish::default()
        });
        let outlets = [0, 1].map(|i| system.beds[i].siphon.drain.outlet);
        assert!((outlets[0] - outlets[1]).abs() < 0.02);
        assert!(system.sump.top() > system.beds[0].floor);
        let svg = scene(&system, 360.0, &|_| None);
        // Where the pipe turns to the side.
        let turns = |i: usize| -> f64 {
            let part = svg
                .split(&format!("data-part=\"drain.{i}\""))
                .nth(1)
                .unwrap();
            let path = part.split(" d=\"").nth(1).unwrap();
            let path = path.split('"').next().unwrap();
            let points: Vec<&str> = path.split(['M', 'L', 'H', 'V', ' ', ',']).collect();
            let numbers: Vec<f64> = points.iter().filter_map(|one| one.parse().ok()).collect();
            numbers[3]
        };
        assert!((turns(0) - turns(1)).abs() > 4.0, "{svg}");
    }

    /// Numbers of the first path after `from`.
    fn path(from: &str) -> Vec<f64> {
        let path = from.split(" d=\"").nth(1).unwrap();
        let path = path.split('"').next().unwrap();
        let numbers = path.split(['M', 'L', 'z', ' ']);
        numbers.filter_map(|one| one.parse().ok()).collect()
    }

    fn part<'a>(svg: &'a str, name: &str) -> &'a str {
        svg.split(&format!("data-part=\"{name}\"")).nth(1).unwrap()
    }

    // A drain ended beside a drum on its side, and the pump's box stood through its wall.
    #[test]
    fn what_ends_in_a_lying_drum_and_its_pump_are_inside() {
        for (beds, outlet) in [(1, 0.30), (3, 0.50), (3, 0.62)] {
            let mut system = sample::system(&Wish {
                beds,
                line: false,
                ..Wish::default()
            });
            for bed in &mut system.beds {
                bed.siphon.drain.outlet = outlet;
            }
            for width in [360.0, 1100.0] {
                let svg = scene(&system, width, &|_| None);
                let plan = Plan::new(&system, Paper::screen(width), (0.0, 0.0), 0.0);
                let view = plan.views(2.0).0[0];
                let radius = 0.5 * plan.sump.width;
                let centre = (plan.sump.centre, view.y(system.sump.floor) - radius);
                let off = |x: f64, y: f64| (x - centre.0).hypotenuse(y - centre.1) / radius;
                let mut ends = Vec::new();
                for place in plan.rows[0].iter() {
                    let points = path(part(&svg, &format!("drain.{}", place.bed)));
                    ends.extend(points[points.len() - 2..].iter().copied());
                }
                for end in ends.chunks(2) {
                    let top = centre.1 - radius;
                    // Over the drum it comes down over where that is cut open.
                    let inside = if end[1] < top {
                        (end[0] - centre.0).abs() / radius
                    } else {
                        off(end[0], end[1])
                    };
                    assert!(
                        inside < 1.0,
                        "{beds} {outlet} {width}: {end:?} of {centre:?}, {radius}"
                    );
                }
                let corners = path(part(&svg, "pump"));
                for corner in corners.chunks(2) {
                    assert!(
                        off(corner[0], corner[1]) < 1.0,
                        "{width}: {corner:?} of {centre:?}, {radius}"
                    );
                }
            }
        }
    }

    // Two drums were drawn as one.
    #[test]
    fn joined_drums_are_each_drawn_and_joined() {
        let mut system = sample::system(&Wish::default());
        for count in [1, 2, 3] {
            system.sump.count = count;
            for width in [360.0, 1100.0] {
                let svg = scene(&system, width, &|_| None);
                let drawn = svg.matches("data-water=\"sump\"").count();
                assert_eq!(drawn, count as usize, "{width}");
                assert_eq!(svg.contains(&format!("{count} x sump")), count > 1);
                let plan = Plan::new(&system, Paper::screen(width), (0.0, 0.0), 0.0);
                let centres: Vec<f64> = plan.sump.centres().collect();
                assert!(
                    centres
                        .windows(2)
                        .all(|two| two[0] - two[1] > plan.sump.width)
                );
                assert!(plan.sump.left() >= 0.0);
                let bed = &plan.rows.iter().flatten().next().unwrap();
                assert!(bed.row > 0 || bed.left() > plan.sump.centre + 0.5 * plan.sump.width);
            }
        }
    }
}
