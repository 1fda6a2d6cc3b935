//! Shared drain lines: EPA SWMM's dynamic wave (`python/drain_lines.py`,
//! `data/drain_lines.csv`).

use crate::support::{LITRE_PER_MINUTE, bed, system};
use crate::table::{Row, rows_in};
use ebbwright::hydraulics::circular::{capacity, normal_depth};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::model::{Bed, Coefficient, DrainLine, DrainTarget, Duration, Inlet};
use ebbwright::network::drain_line::DrainLineLaw;

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

/// Depth over diameter just above the fullest junction, every bed dumping, for an entry
/// factor `entry` (0 along the line, 1 square to it).
fn dumping(row: &Row, entry: f64) -> f64 {
    let junctions: Vec<f64> = row
        .text("junctions_m")
        .split(';')
        .map(|at| at.parse().unwrap())
        .collect();
    let count = junctions.len() as f64;
    let beds: Vec<Bed> = junctions
        .iter()
        .enumerate()
        .map(|(i, &at)| {
            let share = Inlet::Share(1.0 / count);
            let mut bed = bed(&format!("bed {i}"), 1.5, 0.3, share);
            bed.siphon.drain.into = DrainTarget::Line { at };
            bed
        })
        .collect();
    let mut system = system(beds, 1e-4, Duration::Fixed(3600.0));
    let (bore, slope, manning) = pipe(row);
    system.drain_line = Some(DrainLine {
        run: PipeRun {
            bore,
            length: junctions.iter().copied().fold(0.0, f64::max),
            roughness: PLASTIC_ROUGHNESS,
            k: 0.0,
        },
        slope,
        outlet: 1.0,
        vented: true,
    });
    let values = system
        .coefficients
        .nominal()
        .with(Coefficient::LineManning, manning)
        .with(Coefficient::JunctionEntry, entry);
    let law = DrainLineLaw::new(&system, &values).unwrap();
    let each = row.number("flow_L_min") * LITRE_PER_MINUTE / count;
    let flows = vec![each; junctions.len()];
    law.grades(&flows, 0.3, &mut vec![0.0; flows.len()]).fill
}

#[test]
fn the_greatest_depth_of_beds_dumping_together_lies_within_the_band_of_entries() {
    for quantity in ["dumping_slowly_depth_ratio", "dumping_at_once_depth_ratio"] {
        for row in asked(quantity) {
            let (low, high) = (dumping(&row, 0.0), dumping(&row, 1.0));
            let theirs = row.number("value");
            assert!(
                low < theirs && theirs <= high,
                "{}: {theirs} outside {low} to {high}",
                row.place()
            );
        }
    }
}
