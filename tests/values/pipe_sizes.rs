//! Pipe sizes: `04_pipe_sch40_pvc.csv` (ASTM D1785, secondary copies),
//! `04_pipe_metric_pvcu.csv` (EN ISO 1452-2, walls from memory) and
//! `pipe_sch80_steel.csv` (ASME B36.10M through a library: a check of the
//! Schedule 80 figures, which are from memory of ASTM D1785).

use std::collections::HashSet;

use ebbwright::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, Schedule, find};

use crate::table::rows;

fn size(nominal: &str, schedule: Schedule) -> &'static PipeSize {
    find(nominal, schedule).unwrap_or_else(|| panic!("no {nominal} in {schedule:?}"))
}

#[test]
fn schedule_40_is_astm_d1785_with_minimum_walls() {
    let rows = rows("04_pipe_sch40_pvc.csv");
    assert_eq!(rows.len(), 9);
    for row in rows {
        let ours = size(row.text("NPS_in"), Schedule::Sch40);
        row.hold(
            "bore",
            ours.bore,
            row.number("ID_nominal_mm") / 1000.0,
            1e-9,
        );
        row.hold("outside", ours.outside, row.number("OD_in") * 0.0254, 1e-12);
        let wall = 0.5 * (ours.outside - ours.bore);
        row.hold("wall", wall, row.number("min_wall_in") * 0.0254, 1e-9);
        // The warning in the module: mean bores are 0.7 to 3.2 % smaller.
        let mean = row.number("ID_average_mm") / 1000.0 / ours.bore;
        assert!((0.967..0.994).contains(&mean), "{}: {mean}", row.place());
    }
}

#[test]
fn schedule_80_has_the_walls_of_the_steel_pipe() {
    let rows = rows("pipe_sch80_steel.csv");
    assert_eq!(rows.len(), 9);
    for row in rows {
        let ours = size(row.text("NPS_in"), Schedule::Sch80);
        // The metric edition rounds outside diameters to 0.1 mm, walls to 0.01 mm.
        for (what, metres, column) in [
            ("outside", ours.outside, "OD_mm"),
            ("bore", ours.bore, "ID_mm"),
        ] {
            let off = metres * 1000.0 - row.number(column);
            assert!(off.abs() < 0.07, "{}: {what} off {off} mm", row.place());
        }
        let wall = 500.0 * (ours.outside - ours.bore);
        let off = wall - row.number("wall_mm");
        assert!(off.abs() < 0.0051, "{}: wall off {off} mm", row.place());
    }
}

#[test]
fn metric_sizes_are_en_iso_1452() {
    let rows = rows("04_pipe_metric_pvcu.csv");
    assert_eq!(rows.len(), 16);
    for row in rows {
        let schedule = Schedule::from_name(&format!("PN{}", row.text("PN_bar"))).unwrap();
        let ours = size(row.text("OD_mm"), schedule);
        row.hold("outside", ours.outside, row.number("OD_mm") / 1000.0, 1e-12);
        row.hold(
            "bore",
            ours.bore,
            row.number("ID_nominal_mm") / 1000.0,
            1e-9,
        );
    }
}

#[test]
fn the_tables_hold_no_row_without_a_check() {
    assert_eq!(PIPE_SIZES.len(), 9 + 9 + 16);
    let keys: HashSet<(&str, Schedule)> =
        PIPE_SIZES.iter().map(|s| (s.nominal, s.schedule)).collect();
    assert_eq!(keys.len(), PIPE_SIZES.len(), "a size twice");
}
