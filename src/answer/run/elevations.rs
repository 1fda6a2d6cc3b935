//! Every height of the system, from the ceiling down to the floor.

use crate::answer::run::keys::{ELEVATIONS, HEIGHT, WHAT_IS_THERE};
use crate::answer::{At, Block, Column, Place, Section, Table};
use crate::model::{Inlet, System};
use crate::numerics::in_order::InOrder;
use crate::report::Report;

/// One height above the room's floor.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Elevation {
    /// Height `[m]`.
    pub level: f64,
    /// What is there.
    pub what: String,
}

/// Every height as a table.
pub(super) fn section(report: &Report) -> Section {
    let heights = elevations(report).into_iter().enumerate();
    let rows = heights.map(|(i, height)| {
        let at = At::top(report.units).item(ELEVATIONS.name, i);
        vec![
            at.figure(&HEIGHT, height.level).into(),
            at.word(&WHAT_IS_THERE, height.what).into(),
        ]
    });
    let table = Table {
        rows: rows.collect(),
        columns: vec![Column::words("Height"), Column::words("What is there")],
    };
    Section::new("Every height, ceiling to floor")
        .at(Place::Back)
        .on_page()
        .with(Block::Sentence(
            "All above the floor of the room. Mark these with the tape before gluing anything."
                .into(),
        ))
        .with(Block::Table(table))
}

/// All heights, highest first; equal ones in the order they were met.
pub(super) fn elevations(report: &Report) -> Vec<Elevation> {
    let mut found = Vec::new();
    let mut add = |level: f64, what: String| {
        if level.is_finite() {
            found.push(Elevation { level, what });
        }
    };
    room(report.system, &mut add);
    beds(report, &mut add);
    loop_parts(report, &mut add);
    found.order_by(|a, b| b.level.total_cmp(&a.level));
    found
}

fn room(system: &System, add: &mut impl FnMut(f64, String)) {
    if let Some(ceiling) = system.ceiling {
        add(ceiling, "ceiling".to_owned());
    }
    add(0.0, "floor of the room".to_owned());
}

fn beds(report: &Report, add: &mut impl FnMut(f64, String)) {
    for (bed, outcome) in report.system.beds.iter().zip(&report.run.beds) {
        let name = &bed.name;
        let siphon = &bed.siphon;
        if let Inlet::Piped(branch) = &bed.inlet {
            add(branch.level, format!("{name}: inlet"));
        }
        add(bed.rim_level(), format!("{name}: rim"));
        add(bed.media_surface(), format!("{name}: top of the gravel"));
        add(outcome.peak_level, format!("{name}: highest water"));
        add(bed.cap_level(), format!("{name}: underside of the cap"));
        add(bed.lip_level(), format!("{name}: lip of the standpipe"));
        add(
            bed.crown_level(),
            format!("{name}: crown of the bell's slots"),
        );
        if let Some(mouth) = bed.mouth_level() {
            add(mouth, format!("{name}: mouth of the air tube"));
        }
        add(outcome.break_level, format!("{name}: break level"));
        add(bed.floor, format!("{name}: floor of the bed"));
        add(
            siphon.drain.outlet,
            format!("{name}: outlet of the siphon's pipe"),
        );
    }
}

fn loop_parts(report: &Report, add: &mut impl FnMut(f64, String)) {
    let system = report.system;
    if let Some(line) = &system.drain_line {
        add(
            line.invert(line.run.length),
            "drain line: invert at the upper end".to_owned(),
        );
        add(line.outlet, "drain line: invert at the outlet".to_owned());
    }
    if let Some(tank) = &system.tank {
        add(tank.overflow_level, "fish tank: overflow".to_owned());
        add(tank.floor, "fish tank: inside bottom".to_owned());
    }
    let (sump, bounds) = (&system.sump, &report.assessment.sump);
    add(sump.overflow_level, "sump: overflow".to_owned());
    add(
        bounds.high,
        "sump: highest possible water, all beds drained and pump off".to_owned(),
    );
    add(
        report.run.sump.level.max,
        "sump: highest water in this run".to_owned(),
    );
    add(sump.start_level, "sump: water at the start".to_owned());
    add(
        report.run.sump.level.min,
        "sump: lowest water in this run".to_owned(),
    );
    add(
        bounds.low,
        "sump: lowest water in use, all beds at their peak at once".to_owned(),
    );
    if let Some(valve) = &system.top_off {
        add(valve.level, "sump: float valve".to_owned());
    }
    add(
        system.pump.least_level(),
        "pump: water it needs over its intake".to_owned(),
    );
    add(system.pump.intake_level, "pump: intake".to_owned());
    add(sump.floor, "sump: inside bottom".to_owned());
}
