//! The map: rows of letters in the results, one line a point in the series.

use crate::answer::window::keys::{
    DOUBTFUL, FROM, LETTER_IS, LETTER_MEANS, MAP_BED, POINTS, QUANTITY, ROWS_FROM, ROWS_HARD,
    ROWS_LATE, ROWS_NOMINAL, SURE, TODAY, UNIT, UNTIL, VALUES,
};
use crate::answer::window::words::map_shares;
use crate::answer::{At, Cells, Figure, Series, SeriesColumn};
use crate::report::{regime_key, unit_symbol};
use crate::study::map::{MapAxis, MapPoint, RegimeMap};
use crate::units::UnitSystem;

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

/// The map in the results.
pub(super) fn figures(map: &RegimeMap, units: UnitSystem) -> Vec<Figure> {
    let (at, plan) = (At::top(units).part("map"), &map.plan);
    let rows = |corner: usize| -> Vec<String> {
        map.cells
            .chunks(plan.points)
            .map(|row| row.iter().map(|point| letter(point, corner)).collect())
            .collect()
    };
    let [sure, doubtful] = map_shares(map);
    let mut out = vec![
        at.figure(&SURE, sure),
        at.figure(&DOUBTFUL, doubtful),
        at.word(&MAP_BED, &*plan.bed),
        at.count(&POINTS, plan.points),
        at.word(
            &ROWS_FROM,
            "one text per y, lowest first; one letter per x, lowest first",
        ),
    ];
    for (i, (letter, means)) in LETTERS.into_iter().enumerate() {
        let at = at.item("legend", i);
        out.push(at.word(&LETTER_IS, letter));
        out.push(at.word(&LETTER_MEANS, means));
    }
    for (corner, key) in [&ROWS_NOMINAL, &ROWS_LATE, &ROWS_HARD]
        .into_iter()
        .enumerate()
    {
        out.extend(at.words(key, rows(corner)));
    }
    axis(&at.part("x"), &plan.x, plan.points, plan.here.0, &mut out);
    axis(&at.part("y"), &plan.y, plan.points, plan.here.1, &mut out);
    out
}

fn axis(at: &At, axis: &MapAxis, points: usize, today: f64, out: &mut Vec<Figure>) {
    out.push(at.word(&QUANTITY, axis.quantity.key()));
    out.push(at.word(&UNIT, unit_symbol(axis.quantity)));
    out.push(at.figure(&FROM, axis.from));
    out.push(at.figure(&UNTIL, axis.to));
    out.push(at.figure(&TODAY, today));
    out.extend(at.list(&VALUES, (0..points).map(|k| axis.value(k, points))));
}

/// The series of a map: one line for each point, both values, the regime with each set of coefficients, what is in
/// doubt, and why a point has no regime.
pub fn series(map: &RegimeMap) -> Series {
    let plan = &map.plan;
    let head = |axis: &MapAxis| {
        let unit = unit_symbol(axis.quantity).replace('/', "_");
        format!("{}_{unit}", axis.quantity.key().replace('-', "_"))
    };
    let points = 0..map.cells.len();
    let x = points
        .clone()
        .map(|k| plan.x.value(k % plan.points, plan.points));
    let y = points.map(|k| plan.y.value(k / plan.points, plan.points));
    let words = |of: &dyn Fn(&MapPoint) -> String| Cells::Words(map.cells.iter().map(of).collect());
    let regime = |corner: usize| {
        words(&|point| match point {
            MapPoint::Simulated(found) => regime_key(found.regimes[corner]).to_owned(),
            MapPoint::Unbuildable(_) | MapPoint::Failed(_) => String::new(),
        })
    };
    let columns = [
        (head(&plan.x), Cells::Full(x.collect())),
        (head(&plan.y), Cells::Full(y.collect())),
        ("nominal".to_owned(), regime(0)),
        ("starts_latest".to_owned(), regime(1)),
        ("breaks_hardest".to_owned(), regime(2)),
        ("in_doubt".to_owned(), words(&in_doubt)),
        ("why_none".to_owned(), words(&why_none)),
    ];
    Series {
        file: "map.csv",
        columns: columns
            .map(|(key, cells)| SeriesColumn { key, cells })
            .into(),
    }
}

fn in_doubt(point: &MapPoint) -> String {
    let MapPoint::Simulated(found) = point else {
        return String::new();
    };
    let doubt = found.doubt();
    let kinds = [
        (doubt.start, "start"),
        (doubt.stop, "break"),
        (doubt.spill, "spill"),
    ];
    let named = kinds
        .iter()
        .filter(|(there, _)| *there)
        .map(|(_, name)| *name);
    named.collect::<Vec<_>>().join(" ")
}

fn why_none(point: &MapPoint) -> String {
    match point {
        MapPoint::Simulated(_) => String::new(),
        MapPoint::Unbuildable(why) => why.to_string(),
        MapPoint::Failed(why) => why.to_string(),
    }
}
