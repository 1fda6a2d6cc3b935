//! Points of a sweep are plain runs.

use ebbwright::model::{Duration, Inlet};
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::study::map::MapAxis;
use ebbwright::study::map::quantity::MapQuantity;
use ebbwright::study::vary::sweep::{Reading, SweepError, sweep};

use crate::support::{self, LITRE_PER_MINUTE};

fn axis(quantity: MapQuantity, from: f64, to: f64) -> MapAxis {
    MapAxis { quantity, from, to }
}

#[test]
fn every_point_is_the_run_of_its_system() {
    let system = support::one_bed(12.0, 0.6);
    let found = sweep(
        &system,
        0,
        axis(MapQuantity::Void, 0.3, 0.5),
        Some(axis(MapQuantity::Clearance, 0.015, 0.035)),
        3,
        &|| {},
    )
    .unwrap();
    assert_eq!(found.cells.len(), 9);
    for (k, cell) in found.cells.iter().enumerate() {
        let (x, y) = ([0.3, 0.4, 0.5][k % 3], [0.015, 0.025, 0.035][k / 3]);
        assert!((cell.values[0] - x).abs() < 1e-12 && (cell.values[1] - y).abs() < 1e-12);
        let mut built = system.clone();
        built.beds[0].media.void = cell.values[0];
        built.beds[0].siphon.bell.clearance = cell.values[1];
        let run = simulate(&built, Sampling::None).unwrap();
        assert_eq!(cell.reading, Ok(Reading::new(&built, &run, 0)));
    }
}

/// Filling takes volume over inflow: with twice the void it takes twice as long.
#[test]
fn the_time_to_fill_follows_the_void() {
    let system = support::one_bed(12.0, 0.6);
    let voids = axis(MapQuantity::Void, 0.25, 0.50);
    let found = sweep(&system, 0, voids, None, 2, &|| {}).unwrap();
    let periods: Vec<f64> = found
        .cells
        .iter()
        .map(|cell| cell.reading.as_ref().unwrap().period.unwrap())
        .collect();
    // Bell and standpipe hold open water whatever the void is, hence a little less.
    let ratio = periods[1] / periods[0];
    assert!((1.95..2.0).contains(&ratio), "{ratio}");
}

#[test]
fn the_inflow_of_one_bed_leaves_the_others_theirs() {
    let beds = ["north", "south"].map(|name| support::bed(name, 1.0, 0.6, Inlet::Share(0.5)));
    let hours = Duration::Fixed(2.0 * 3600.0);
    let system = support::system(beds.to_vec(), 24.0 * LITRE_PER_MINUTE, hours);
    let from = 12.0 * LITRE_PER_MINUTE;
    let inflows = axis(MapQuantity::Inflow, from, 1.25 * from);
    let mine = sweep(&system, 0, inflows, None, 2, &|| {}).unwrap();
    let flows: Vec<f64> = mine
        .cells
        .iter()
        .map(|cell| cell.reading.as_ref().unwrap().inflow)
        .collect();
    assert!((flows[0] - from).abs() < 1e-9, "{flows:?}");
    assert!((flows[1] - 1.25 * from).abs() < 1e-9, "{flows:?}");
    // The same for the other bed, and today's flow is a plain run.
    let run = simulate(&system, Sampling::None).unwrap();
    let today = Reading::new(&system, &run, 0);
    let first = mine.cells[0].reading.as_ref().unwrap();
    assert!((first.period.unwrap() - today.period.unwrap()).abs() < 1e-6);
    let other = sweep(&system, 1, inflows, None, 2, &|| {}).unwrap();
    let readings = [&mine, &other].map(|found| found.cells[1].reading.as_ref().unwrap().period);
    assert!((readings[0].unwrap() - readings[1].unwrap()).abs() < 0.01 * readings[0].unwrap());
}

#[test]
fn what_makes_no_sense_is_refused() {
    let system = support::one_bed(12.0, 0.6);
    let voids = axis(MapQuantity::Void, 0.3, 0.5);
    let refused = |i, x, y, points| sweep(&system, i, x, y, points, &|| {}).unwrap_err();
    assert_eq!(refused(4, voids, None, 5), SweepError::NoBed(4));
    assert_eq!(refused(0, voids, Some(voids), 5), SweepError::Same("void"));
    assert_eq!(refused(0, voids, None, 1), SweepError::Points(1));
    let falling = axis(MapQuantity::Void, 0.5, 0.3);
    assert!(matches!(
        refused(0, falling, None, 5),
        SweepError::Range { .. }
    ));
    // A lip above the rim cannot be built, and says so.
    let lips = axis(MapQuantity::Standpipe, 0.2, 0.5);
    let found = sweep(&system, 0, lips, None, 2, &|| {}).unwrap();
    assert!(found.cells[0].reading.is_ok());
    let why = found.cells[1].reading.as_ref().unwrap_err();
    assert!(why.contains("rim"), "{why}");
}
