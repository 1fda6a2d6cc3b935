//! Properties that maps and inflow charts keep.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::map_kinds::CLASSES;
use super::sample::{self, Wish};
use super::sheet::{Align, Mark, Sheet, text_width};
use super::{draw_inflow, draw_map, inflow, map};
use crate::assessment::assess;
use crate::model::System;
use crate::numerics::in_order::InOrder;
use crate::study::map::quantity::MapQuantity;
use crate::study::map::range::usual_axis;
use crate::study::map::{MapAxis, MapPlan, RegimeMap};
use crate::study::window::{Windows, windows};
use crate::units::UnitSystem;

const BOTH: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Us];

fn windows_of(system: &System) -> Windows {
    let run = sample::run(system);
    windows(system, &run, &assess(system, &run))
}

fn map_of(system: &System, found: &Windows, x: MapQuantity, y: MapQuantity) -> RegimeMap {
    let axis = |quantity| usual_axis(quantity, system, 0, &found.beds[0]).unwrap();
    let plan = MapPlan::new(system, &found.beds[0], 0, (axis(x), axis(y)), 3).unwrap();
    plan.simulate(&|| {})
}

fn wishes() -> Vec<Wish> {
    let steady = |litres| Wish {
        steady: Some(litres),
        ..Wish::default()
    };
    vec![
        Wish::default(),
        steady(4.0),
        steady(30.0),
        steady(60.0),
        Wish {
            beds: 4,
            hours: 2.0,
            title: "A <shed> & \"barn\" with a very long title ".repeat(6),
            ..Wish::default()
        },
    ]
}

/// Left, top, right and bottom of every text, and the text [px].
fn texts(sheet: &Sheet) -> Vec<(f64, f64, f64, f64, String)> {
    let boxes = sheet.marks.iter().filter_map(|mark| match mark {
        Mark::Text {
            at,
            align,
            size,
            text,
            ..
        } => {
            assert!(*size > 10.99, "small print: {text}");
            let width = text_width(text, *size);
            let left = match align {
                Align::Left => at.0,
                Align::Centre => at.0 - 0.5 * width,
                Align::Right => at.0 - width,
            };
            let (top, bottom) = (at.1 - 0.76 * size, at.1 + 0.24 * size);
            Some((left, top, left + width, bottom, text.clone()))
        }
        _ => None,
    });
    boxes.collect()
}

fn hold(sheet: &Sheet, what: &str) {
    let boxes = texts(sheet);
    assert!(boxes.len() > 8, "{what}: only {} texts", boxes.len());
    for (i, a) in boxes.iter().enumerate() {
        let inside = a.0 >= 0.0 && a.1 >= 0.0 && a.2 <= sheet.width && a.3 <= sheet.height;
        assert!(inside, "{what}: off the page {a:?}");
        for b in &boxes[..i] {
            let apart = a.2 <= b.0 || b.2 <= a.0 || a.3 <= b.1 || b.3 <= a.1;
            assert!(apart, "{what}: {a:?} over {b:?}");
        }
    }
}

#[test]
fn texts_never_cover_each_other_and_stay_on_the_page() {
    for wish in wishes() {
        let system = sample::system(&wish);
        let found = windows_of(&system);
        for units in BOTH {
            hold(&inflow::draw(&system, &found, units), "inflow");
        }
    }
    // Every point of a map is simulated three times: few systems, few points.
    for (litres, x, y) in [
        (4.0, MapQuantity::Inflow, MapQuantity::Bore),
        (30.0, MapQuantity::SlotArea, MapQuantity::Temperature),
    ] {
        let system = sample::system(&Wish {
            steady: Some(litres),
            hours: 1.0,
            line: false,
            title: "A <shed> & \"barn\" with a very long title ".repeat(6),
            ..Wish::default()
        });
        let drawn = map_of(&system, &windows_of(&system), x, y);
        for units in BOTH {
            hold(&map::draw(&drawn, &system.title, units), &format!("{x:?}"));
        }
    }
}

#[test]
fn bands_that_leave_the_chart_have_an_arrow_that_is_explained() {
    let mut seen = [0; 2];
    for wish in wishes() {
        let system = sample::system(&wish);
        let sheet = inflow::draw(&system, &windows_of(&system), UnitSystem::Metric);
        // The only triangles that lie on their side, their tip at the edge.
        let arrows = sheet.marks.iter().filter(|mark| match mark {
            Mark::Area { points, .. } => matches!(
                points.as_slice(),
                [a, tip, b] if a.0 == b.0 && a.0 == tip.0 - 8.0
            ),
            _ => false,
        });
        let arrows = arrows.count();
        let said: Vec<String> = texts(&sheet).into_iter().map(|text| text.4).collect();
        let explained = said.join(" ").contains("An arrow at the right edge");
        assert_eq!(explained, arrows > 0, "{arrows} arrows: {said:?}");
        seen[usize::from(explained)] += 1;
    }
    assert!(seen[1] > 0, "{seen:?}");
}

#[test]
fn the_same_map_gives_the_same_bytes() {
    let system = sample::system(&Wish {
        hours: 1.0,
        line: false,
        ..Wish::default()
    });
    let found = windows_of(&system);
    let drawn = map_of(&system, &found, MapQuantity::Inflow, MapQuantity::Bore);
    let draw = || {
        (
            draw_map(&drawn, "invented", UnitSystem::Metric).unwrap(),
            draw_inflow(&system, &found, UnitSystem::Metric).unwrap(),
        )
    };
    assert_eq!(draw(), draw());
}

/// Grey values that a reader without colour sees (luma of ITU-R BT.601) stay a
/// twentieth of the range apart, so that neighbouring zones differ in grey too.
#[test]
fn zones_are_told_apart_without_colour() {
    let mut greys: Vec<f64> = CLASSES
        .iter()
        .map(|class| {
            let c = class.fill;
            0.299 * f64::from(c.0) + 0.587 * f64::from(c.1) + 0.114 * f64::from(c.2)
        })
        .collect();
    greys.order_by(f64::total_cmp);
    for pair in greys.windows(2) {
        assert!(pair[1] - pair[0] > 255.0 / 20.0, "{greys:?}");
    }
}

/// Every zone of the map is named on it or in its legend, and today is marked.
#[test]
fn every_zone_has_its_name() {
    let system = sample::system(&Wish {
        steady: Some(12.0),
        hours: 1.0,
        line: false,
        ..Wish::default()
    });
    let found = windows_of(&system);
    let litre = 1e-3 / 60.0;
    let axes = (
        MapAxis {
            quantity: MapQuantity::Inflow,
            from: litre,
            to: 70.0 * litre,
        },
        MapAxis {
            quantity: MapQuantity::Bore,
            from: 0.012,
            to: 0.09,
        },
    );
    let plan = MapPlan::new(&system, &found.beds[0], 0, axes, 6).unwrap();
    let sheet = map::draw(&plan.simulate(&|| {}), "invented", UnitSystem::Metric);
    let texts = texts(&sheet);
    for name in ["cycles", "dribbles", "runs on", "stalls", "cannot be built"] {
        let start = format!("{name}:");
        assert!(
            texts.iter().any(|text| text.4.starts_with(&start)),
            "{name}"
        );
    }
    assert!(texts.iter().any(|text| text.4 == "today"));
    assert!(
        texts
            .iter()
            .any(|text| text.4.starts_with("today: inflow of the bed 12.0 L/min"))
    );
}
