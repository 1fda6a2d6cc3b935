//! Each siphon enlarged, with heights above its bed's floor.

use crate::model::{Bed, System};
use crate::siphon::SiphonLaw;
use crate::units::UnitSystem;

use super::super::labels::{Label, Side, column_height, column_width, draw_column};
use super::super::page::{MARGIN, WIDTH, count};
use super::super::palette::{BLACK, DOTS, GREY, Stroke};
use super::super::sheet::{Align, BODY, HEADING, SMALL, Sheet, shorten, wrap};
use super::bed::siphon;
use super::{HAIR, View, breaks_label};

/// Height of a drawing `[px]`.
const HEIGHT: f64 = 240.0;
/// Between two lines of text `[px]`.
const LINE: f64 = SMALL + 4.0;
/// Half the greatest width of a drawing `[px]`.
const HALF: f64 = 75.0;

/// Beds with one and the same siphon.
struct Group<'a> {
    bed: &'a Bed,
    names: String,
    heights: Vec<Height>,
}

/// A height above the bed's floor with its line.
struct Height {
    name: &'static str,
    /// `[m]`.
    height: f64,
    stroke: Stroke,
}

/// A sheet of its own, to be appended under the section.
pub(super) fn draw(system: &System, units: UnitSystem) -> Sheet {
    let mut groups: Vec<Group> = Vec::new();
    for bed in &system.beds {
        let heights = heights(system, bed);
        match groups.iter_mut().find(|group| same(group, bed, &heights)) {
            Some(group) => {
                group.names.push_str(", ");
                group.names.push_str(&bed.name);
            }
            None => groups.push(Group {
                bed,
                names: bed.name.clone(),
                heights,
            }),
        }
    }
    let texts = |group: &Group| -> Vec<Label> {
        group
            .heights
            .iter()
            .map(|Height { name, height, .. }| {
                Label::new(0.0, GREY, format!("{name} {}", units.length(*height)))
            })
            .collect()
    };
    let column = groups
        .iter()
        .map(|group| column_width(&texts(group)))
        .fold(0.0, f64::max);
    let cell = 2.0 * HALF + column + 30.0;
    let room = WIDTH - 2.0 * MARGIN;
    let columns = (room / cell).floor().max(1.0);
    let cell = room / columns;
    let rows = (count(groups.len()) / columns).ceil();
    let texts_of = |group: &Group| captions(group, cell - 14.0, units);
    let lines = groups
        .iter()
        .map(|group| texts_of(group).len())
        .max()
        .unwrap_or(0);
    let text_height = count(lines) * LINE + 10.0;
    let pitch = HEIGHT + text_height + 26.0;
    let mut sheet = Sheet::new(WIDTH, HEADING + 14.0 + rows * pitch);
    sheet.text(
        (MARGIN, HEADING),
        Align::Left,
        HEADING,
        BLACK,
        "Siphons enlarged, each to a scale of its own. Heights are above the bed's floor.",
    );
    for (index, group) in groups.iter().enumerate() {
        let (row, place) = ((count(index) / columns).floor(), count(index) % columns);
        let left = MARGIN + place * cell;
        let top = HEADING + 14.0 + row * pitch;
        let mut labels = texts(group);
        for (line, text) in texts_of(group).into_iter().enumerate() {
            let at = (left, top + BODY + count(line) * LINE);
            sheet.text(at, Align::Left, SMALL, BLACK, text);
        }
        one(&mut sheet, group, &mut labels, (left, top + text_height));
    }
    sheet
}

fn same(group: &Group, bed: &Bed, heights: &[Height]) -> bool {
    let close = |a: f64, b: f64| (a - b).abs() < 2e-4;
    let (a, b) = (&group.bed.siphon, &bed.siphon);
    let pairs = || group.heights.iter().zip(heights);
    group.heights.len() == heights.len()
        && pairs().all(|(a, b)| a.name == b.name && close(a.height, b.height))
        && a.standpipe.bore == b.standpipe.bore
        && a.standpipe.lip_diameter == b.standpipe.lip_diameter
        && a.bell.bore == b.bell.bore
        && a.bell.slots.count == b.bell.slots.count
        && a.bell.slots.width == b.bell.slots.width
        && group.bed.guard == bed.guard
}

/// Heights to label, from the top down.
fn heights(system: &System, bed: &Bed) -> Vec<Height> {
    const DOTTED: Stroke = Stroke::new(BLACK, 1.0, DOTS);
    let law = SiphonLaw::new(bed, &system.water, &system.coefficients.nominal());
    let mut found = Vec::new();
    let mut add = |name, elevation: f64, stroke| {
        let height = elevation - bed.floor;
        found.push(Height {
            name,
            height,
            stroke,
        });
    };
    add("media surface", bed.media_surface(), HAIR);
    add("cap, underside", bed.cap_level(), HAIR);
    add("starts", law.start_level(0.0), DOTTED);
    add("lip", bed.lip_level(), HAIR);
    if let Some(mouth) = bed.mouth_level() {
        add("air tube mouth", mouth, HAIR);
    }
    add(
        breaks_label(bed),
        law.break_level(f64::NEG_INFINITY),
        DOTTED,
    );
    add("slot crown", bed.crown_level(), HAIR);
    add("bed floor", bed.floor, Stroke::solid(BLACK, 2.0));
    found
}

/// Which beds, and the sizes that a height does not show.
fn captions(group: &Group, width: f64, units: UnitSystem) -> Vec<String> {
    let (pipe, bell) = (&group.bed.siphon.standpipe, &group.bed.siphon.bell);
    let slots = &bell.slots;
    let sizes = format!(
        "standpipe bore {}, bell bore {}, clearance {}, {} slots {} x {}",
        units.length(pipe.bore),
        units.length(bell.bore),
        units.length(bell.clearance),
        slots.count,
        units.length(slots.width),
        units.length(slots.height)
    );
    let fit = |text: &str, most: usize| -> Vec<String> {
        let lines = wrap(text, SMALL, width);
        let cut = lines.len() > most;
        let mut kept: Vec<String> = lines.into_iter().take(most).collect();
        if let Some(last) = kept.last_mut().filter(|_| cut) {
            last.push_str(" …");
        }
        kept.iter()
            .map(|line| shorten(line, SMALL, width))
            .collect()
    };
    let mut lines = fit(&group.names, 2);
    lines.extend(fit(&sizes, 3));
    lines
}

fn one(sheet: &mut Sheet, group: &Group, labels: &mut [Label], (left, drawing_top): (f64, f64)) {
    let bed = group.bed;
    let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
    let highest = group.heights.iter().map(|h| h.height).fold(0.0, f64::max);
    let widest = bed
        .guard
        .as_ref()
        .map_or(bell.outside, |guard| guard.diameter)
        .max(bell.outside)
        + 2.0 * bell.air_tube.as_ref().map_or(0.0, |tube| tube.bore);
    let below = 0.06 * highest;
    let scale = (HEIGHT / (highest + below)).min(2.0 * HALF / widest);
    let bottom = drawing_top + scale * (highest + below);
    let view = View {
        scale,
        zero: bottom - scale * below + scale * bed.floor,
        top: drawing_top,
        bottom,
    };
    let centre = left + HALF;
    let edge = left + 2.0 * HALF;
    for (label, shown) in labels.iter_mut().zip(&group.heights) {
        label.y = view.y(bed.floor + shown.height);
        sheet.line(&[(left, label.y), (edge, label.y)], shown.stroke);
    }
    siphon(sheet, bed, centre, &view, 1.6);
    // The pipe goes on through the floor.
    let half = 0.5 * view.px(pipe.outside);
    for sign in [-1.0, 1.0] {
        let x = centre + sign * half;
        sheet.line(
            &[(x, view.y(bed.floor)), (x, bottom)],
            Stroke::solid(BLACK, 1.6),
        );
    }
    let range = (
        drawing_top,
        bottom.max(drawing_top + column_height(labels.len())),
    );
    draw_column(sheet, labels, edge, Side::Right, range);
}
