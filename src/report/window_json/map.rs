//! The regime map as JSON: rows of letters.

use serde::Serialize;

use crate::report::json::Number;
use crate::report::words::regime_key;
use crate::study::map::{MapAxis, MapPoint, RegimeMap};
use crate::study::map_quantity::{MapQuantity, MapUnit};

#[derive(Serialize)]
pub(super) struct MapPart<'a> {
    bed: &'a str,
    points: usize,
    x: AxisPart,
    y: AxisPart,
    legend: Vec<(char, &'static str)>,
    rows_from: &'static str,
    nominal: Vec<String>,
    starts_latest: Vec<String>,
    breaks_hardest: Vec<String>,
}

#[derive(Serialize)]
struct AxisPart {
    quantity: &'static str,
    unit: &'static str,
    from: Number,
    to: Number,
    today: Number,
    values: Vec<Number>,
}

/// Letters of the map's rows.
const LETTERS: [(char, &str); 8] = [
    ('c', "cycles"),
    ('d', "dribbles"),
    ('n', "never-fills"),
    ('r', "runs-on"),
    ('s', "stalls"),
    ('o', "overflows"),
    ('x', "cannot be built"),
    ('?', "the simulation gave up"),
];

fn letter(point: &MapPoint, corner: usize) -> char {
    match point {
        MapPoint::Simulated(found) => {
            let key = regime_key(found.regimes[corner]);
            LETTERS
                .iter()
                .find(|(_, name)| *name == key)
                .map_or('?', |(letter, _)| *letter)
        }
        MapPoint::Unbuildable(_) => 'x',
        MapPoint::Failed(_) => '?',
    }
}

pub(super) fn map_part(map: &RegimeMap) -> MapPart<'_> {
    let plan = &map.plan;
    let rows = |corner: usize| {
        map.cells
            .chunks(plan.points)
            .map(|row| row.iter().map(|point| letter(point, corner)).collect())
            .collect()
    };
    MapPart {
        bed: &plan.bed,
        points: plan.points,
        x: axis_part(&plan.x, plan.points, plan.here.0),
        y: axis_part(&plan.y, plan.points, plan.here.1),
        legend: LETTERS.to_vec(),
        rows_from: "one text per y, lowest first; one letter per x, lowest first",
        nominal: rows(0),
        starts_latest: rows(1),
        breaks_hardest: rows(2),
    }
}

fn axis_part(axis: &MapAxis, points: usize, today: f64) -> AxisPart {
    AxisPart {
        quantity: axis.quantity.key(),
        unit: unit_symbol(axis.quantity),
        from: Number(axis.from),
        to: Number(axis.to),
        today: Number(today),
        values: (0..points).map(|k| Number(axis.value(k, points))).collect(),
    }
}

/// SI symbol of a quantity's unit.
pub(in crate::report) const fn unit_symbol(quantity: MapQuantity) -> &'static str {
    match quantity.unit() {
        MapUnit::Flow => "m3/s",
        MapUnit::Length => "m",
        MapUnit::Area => "m2",
        MapUnit::Temperature => "degC",
        MapUnit::Number => "1",
    }
}
