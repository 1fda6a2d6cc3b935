//! Minor losses: `03_minor_loss.csv`.
//!
//! Published K of one fitting differ by a factor of two between tables. Each
//! fitting is held exactly against the table its `published()` names, and
//! within the stated spread against the others.

use std::collections::HashSet;

use ebbwright::hydraulics::fittings::{CRANE_TABLE, Fitting, LAPPLE_TABLE};
use ebbwright::hydraulics::valves::{ValveKind, opening_for_k, valve_k};

use crate::table::{Row, rows};

const FILE: &str = "03_minor_loss.csv";
const PERRY: &str = "table after Perry's Chemical Engineers' Handbook Table 6-4";
const MUNSON: &str = "Munson, Young & Okiishi, Fundamentals of Fluid Mechanics, Table 8.2";
const CRANE: &str = "Crane TP-410";

/// The only row with this name, detail and beginning of the source.
fn row(fitting: &str, detail: &str, source: &str) -> Row {
    let mut found: Vec<Row> = rows(FILE)
        .into_iter()
        .filter(|r| {
            r.text("fitting") == fitting
                && r.text("detail") == detail
                && r.text("source").starts_with(source)
        })
        .collect();
    assert_eq!(found.len(), 1, "{fitting}, {detail}, {source}");
    found.remove(0)
}

#[test]
fn every_fitting_is_its_row_of_the_table_it_names() {
    // Perry/Lapple rows READ in a secondary copy; Crane A-29 rows FROM_MEMORY.
    let published = [
        (Fitting::Elbow90, "elbow 90", "standard R/D=1", PERRY),
        (
            Fitting::Elbow90Long,
            "elbow 90",
            "long radius R/D=1.5",
            PERRY,
        ),
        (
            Fitting::Elbow90Square,
            "elbow 90",
            "square or mitred",
            PERRY,
        ),
        (Fitting::Elbow45, "elbow 45", "standard R/D=1", PERRY),
        (
            Fitting::Elbow45Long,
            "elbow 45",
            "long radius R/D=1.5",
            PERRY,
        ),
        (Fitting::ReturnBend, "return bend 180", "close", PERRY),
        (Fitting::TeeRun, "tee run", "branch blanked", PERRY),
        (Fitting::TeeBranch, "tee", "branching flow", PERRY),
        (Fitting::Coupling, "coupling", "", PERRY),
        (Fitting::Union, "union", "", PERRY),
        (Fitting::CheckValve, "swing check", "", PERRY),
        (Fitting::FootValve, "foot valve", "", PERRY),
        (Fitting::EntranceSharp, "entrance", "rounded r/d=0", CRANE),
        (
            Fitting::EntranceProjecting,
            "entrance",
            "inward projecting",
            CRANE,
        ),
        (
            Fitting::EntranceDeburred,
            "entrance",
            "rounded r/d=0.02",
            CRANE,
        ),
        (
            Fitting::EntranceRounded,
            "entrance",
            "rounded r/d=0.06",
            CRANE,
        ),
        (
            Fitting::EntranceBellmouth,
            "entrance",
            "rounded r/d=0.15",
            CRANE,
        ),
        (
            Fitting::Exit,
            "exit",
            "any: projecting, sharp, rounded (into large tank)",
            CRANE,
        ),
    ];
    let seen: HashSet<Fitting> = published.iter().map(|p| p.0).collect();
    assert_eq!(seen, HashSet::from(Fitting::ALL), "a fitting without a row");
    for (fitting, name, detail, source) in published {
        let ours = fitting.published();
        assert_eq!(ours.k, row(name, detail, source).number("K"), "{fitting:?}");
        let table = if source == PERRY {
            LAPPLE_TABLE
        } else {
            CRANE_TABLE
        };
        assert_eq!(ours.table, table, "{fitting:?}");
    }
}

#[test]
fn other_tables_differ_no_more_than_the_module_says() {
    // Crane factors (FROM_MEMORY) for 1 and 2 in pipe, and Munson's threaded
    // and flanged values (READ in a secondary copy).
    let spread = |fitting: Fitting, name: &str, detail: &str, source: &str, factor: f64| {
        let other = row(name, detail, source).number("K");
        let ratio = fitting.published().k / other;
        assert!(
            ratio < factor && ratio > 1.0 / factor,
            "{fitting:?}: {ratio} of {name}, {detail}"
        );
    };
    for size in ["1", "2"] {
        let tail = |n: u32| format!("NPS {size} Sch 40 (K={n} fT)");
        let standard = format!("standard threaded; {}", tail(30));
        spread(Fitting::Elbow90, "elbow 90", &standard, CRANE, 1.35);
        let standard = format!("standard threaded; {}", tail(16));
        spread(Fitting::Elbow45, "elbow 45", &standard, CRANE, 1.35);
        let run = format!("flow thru run; {}", tail(20));
        spread(Fitting::TeeRun, "tee", &run, CRANE, 1.35);
        let branch = format!("flow thru branch; {}", tail(60));
        spread(Fitting::TeeBranch, "tee", &branch, CRANE, 1.35);
        let check = format!("style 1; {}", tail(100));
        spread(Fitting::CheckValve, "swing check", &check, CRANE, 1.35);
        let long = format!("r/d=1.5; {}", tail(14));
        spread(Fitting::Elbow90Long, "bend 90", &long, CRANE, 1.75);
    }
    let threaded = [
        (Fitting::Elbow90, "elbow 90", "regular, threaded"),
        (Fitting::Elbow90Long, "elbow 90", "long radius, threaded"),
        (Fitting::Elbow45, "elbow 45", "regular, threaded"),
        (Fitting::TeeRun, "tee line flow", "threaded"),
        (Fitting::TeeBranch, "tee branch flow", "threaded"),
        (Fitting::Union, "union", "threaded"),
        (Fitting::CheckValve, "swing check", "forward"),
    ];
    for (fitting, name, detail) in threaded {
        spread(fitting, name, detail, MUNSON, 2.3);
    }
}

#[test]
fn ball_valve_runs_through_its_tables() {
    for (opening, detail) in [
        (1.0, "fully open"),
        (2.0 / 3.0, "1/3 closed"),
        (1.0 / 3.0, "2/3 closed"),
    ] {
        let row = row("ball valve", detail, MUNSON);
        row.hold(
            "ball K",
            valve_k(ValveKind::Ball, opening),
            row.number("K"),
            1e-12,
        );
    }
    for (degrees, detail) in [(10.0, "10 deg"), (20.0, "20 deg"), (40.0, "40 deg")] {
        let row = row("plug cock (quarter turn)", detail, PERRY);
        let ours = valve_k(ValveKind::Ball, 1.0 - degrees / 90.0);
        row.hold("plug cock K", ours, row.number("K"), 1e-12);
    }
    // The two tables at the same angle: 206 against 200.
    let cock = row("plug cock (quarter turn)", "60 deg", PERRY);
    let ours = valve_k(ValveKind::Ball, 1.0 / 3.0);
    cock.hold("plug cock at 60 degrees", ours, cock.number("K"), 0.03);
    // Left out of the curve, see its comment; no more than 0.1 beside it.
    let nearly_open = row("plug cock (quarter turn)", "5 deg from open", PERRY);
    let ours = valve_k(ValveKind::Ball, 1.0 - 5.0 / 90.0);
    assert!((ours - nearly_open.number("K")).abs() < 0.1, "{ours}");
}

#[test]
fn gate_valve_runs_through_its_table() {
    for (opening, detail) in [
        (1.0, "open"),
        (0.75, "3/4 open"),
        (0.5, "1/2 open"),
        (0.25, "1/4 open"),
    ] {
        let row = row("gate valve", detail, PERRY);
        let k = row.number("K");
        row.hold("gate K", valve_k(ValveKind::Gate, opening), k, 1e-12);
        let back = opening_for_k(ValveKind::Gate, k);
        assert!((back - opening).abs() < 1e-12, "{detail}: {back}");
    }
    // Munson's table for the same valve reads up to 3.5 times lower when throttled.
    for (opening, detail) in [
        (1.0, "fully open"),
        (0.75, "1/4 closed"),
        (0.5, "1/2 closed"),
        (0.25, "3/4 closed"),
    ] {
        let other = row("gate valve", detail, MUNSON).number("K");
        let ratio = valve_k(ValveKind::Gate, opening) / other;
        assert!((1.0..3.5).contains(&ratio), "{detail}: {ratio}");
    }
}
