//! Shared drain lines: EPA SWMM's dynamic wave (`python/drain_lines.py`,
//! `data/drain_lines.csv`).

use crate::support::LITRE_PER_MINUTE;
use crate::table::{Row, rows_in};
use ebbwright::hydraulics::circular::{capacity, normal_depth};

/// Depth over diameter of uniform flow.
const DEPTH: f64 = 0.001;
/// Of the capacity, which ours is the greatest gravity flow (y/D 0.938) and SWMM's the flow
/// at which the pipe fills.
const CAPACITY: f64 = 0.08;

/// Bore [m], slope [-] and Manning's n of a row.
fn pipe(row: &Row) -> (f64, f64, f64) {
    (
        row.number("bore_m"),
        row.number("slope"),
        row.number("manning"),
    )
}

fn asked(quantity: &str) -> Vec<Row> {
    let rows = rows_in("references/data", "drain_lines.csv");
    let rows: Vec<Row> = rows
        .into_iter()
        .filter(|row| row.text("quantity") == quantity)
        .collect();
    assert!(rows.len() >= 6, "{quantity}");
    rows
}

#[test]
fn uniform_depth_is_that_of_swmm() {
    for row in asked("uniform_depth_ratio") {
        let (d, slope, n) = pipe(&row);
        let q = row.number("flow_L_min") * LITRE_PER_MINUTE;
        let (ours, theirs) = (normal_depth(d, slope, n, q) / d, row.number("value"));
        assert!(
            (ours - theirs).abs() < DEPTH,
            "{}: {ours} against {theirs}",
            row.place()
        );
    }
}

#[test]
fn capacity_is_that_of_swmm() {
    for row in asked("capacity_L_min") {
        let (d, slope, n) = pipe(&row);
        let ours = capacity(d, slope, n) / LITRE_PER_MINUTE;
        row.hold("capacity", ours, row.number("value"), CAPACITY);
    }
}
