//! Pump and branch flows of random supply trees: EPANET 2.2
//! (`python/supply_trees.py`, `data/supply_trees.csv`).

use std::collections::BTreeMap;

use crate::support::{bed, system};
use crate::table::{Row, rows_in};
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Branch, Duration, Inlet, PumpSource, System, Tank, TankFeed, TankOutlet};
use ebbwright::network::supply::{Duty, SupplyTree};

/// Of the pump's flow. EPANET's gravity (32.2 ft/s2) alone makes 0.04 %, its friction
/// formula (Swamee and Jain) the rest: 0.19 % at most.
const PUMP: f64 = 0.0025;
/// Of a branch's flow where it is turbulent: 0.29 % at most.
const TURBULENT: f64 = 0.0035;
/// Of a branch's flow up to Reynolds number 4000, where two cubics differ: 0.14 %.
const BETWEEN: f64 = 0.005;

/// The rows of each tree.
fn trees() -> BTreeMap<String, Vec<Row>> {
    let mut trees: BTreeMap<String, Vec<Row>> = BTreeMap::new();
    for row in rows_in("references/data", "supply_trees.csv") {
        let name = row.text("tree").to_owned();
        trees.entry(name).or_default().push(row);
    }
    trees
}

fn run(row: &Row) -> PipeRun {
    PipeRun {
        bore: row.number("bore_m"),
        length: row.number("length_m"),
        roughness: row.number("roughness_m"),
        k: row.number("k"),
    }
}

fn branch(row: &Row) -> Branch {
    Branch {
        level: row.number("outlet_m"),
        run: run(row),
        valve: None,
        anti_siphon_hole: None,
    }
}

/// The tree as a system of ours; only its supply matters.
fn built(name: &str, rows: &[Row]) -> System {
    let beds = rows
        .iter()
        .filter(|row| row.text("pipe").starts_with("bed"))
        .map(|row| bed(row.text("pipe"), 0.9, 0.3, Inlet::Piped(branch(row))))
        .collect();
    let mut system = system(beds, 0.0, Duration::Fixed(3600.0));
    let points: Vec<(f64, f64)> = rows_in("references/data", "supply_pumps.csv")
        .iter()
        .filter(|row| row.text("tree") == name)
        .map(|row| (row.number("flow_m3_s"), row.number("head_m")))
        .collect();
    system.pump.source = PumpSource::Curve(PumpCurve::from_points(&points).unwrap());
    for row in rows {
        match row.text("pipe") {
            "trunk" => system.supply.trunk = run(row),
            "bypass" => system.supply.bypass = Some(branch(row)),
            "tank" => system.tank = Some(tank(branch(row))),
            _ => {}
        }
    }
    system
}

fn tank(branch: Branch) -> Tank {
    Tank {
        shape: VesselShape::UprightCylinder {
            diameter: 0.9,
            depth: 0.7,
        },
        floor: 0.1,
        start_level: 0.6,
        overflow_level: 0.7,
        overflow_bore: 0.05,
        fed_by: TankFeed::PumpBranch(branch),
        overflows_to: TankOutlet::Sump,
    }
}

fn flow_of(duty: &Duty, pipe: &str) -> f64 {
    match pipe {
        "trunk" => duty.pump_flow,
        "bypass" => duty.bypass_flow,
        "tank" => duty.tank_flow,
        bed => {
            let number: usize = bed.trim_start_matches("bed-").parse().unwrap();
            duty.bed_flows[number - 1]
        }
    }
}

#[test]
fn pump_and_branch_flows_are_those_of_epanet() {
    let (mut pump, mut turbulent, mut between, mut dry) = (0, 0, 0, 0);
    for (name, rows) in trees() {
        let duty = SupplyTree::new(&built(&name, &rows)).duty(rows[0].number("sump_level_m"));
        for row in &rows {
            let (pipe, theirs) = (row.text("pipe"), row.number("flow_m3_s"));
            let ours = flow_of(&duty, pipe);
            let what = format!("{name}, {pipe}");
            let (tolerance, count) = if pipe == "trunk" {
                (PUMP, &mut pump)
            } else if theirs.abs() < 1e-9 {
                assert_eq!(ours, 0.0, "{what}");
                dry += 1;
                continue;
            } else if row.number("reynolds") > 4000.0 {
                (TURBULENT, &mut turbulent)
            } else {
                (BETWEEN, &mut between)
            };
            *count += 1;
            row.hold(&what, ours, theirs, tolerance);
        }
    }
    assert_eq!((pump, turbulent, between, dry), (16, 69, 3, 2));
}
